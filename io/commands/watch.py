"""The watch over a search: a line of progress on a terminal, Ctrl-C to stop it, and its end."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import time
from collections.abc import Callable
from types import FrameType

from ..told.plan_text import progress_text
from .exit_codes import STOPPED, TERMINATED

SECONDS_BETWEEN_LINES = 0.5


class Watch:
    """Called by the search with its best cost and bound; answers whether it is to stop.

    The first Ctrl-C only asks: the solver stops at its next report and the best plan is kept.
    """

    def __init__(self, currency: str, give_up: Callable[[], None] = lambda: None) -> None:
        """give_up is called before a second Ctrl-C ends the program, to leave nothing behind."""
        self.currency = currency
        self.give_up = give_up
        self.asked = False
        self._began = time.perf_counter()
        self._said = 0.0
        self._width = 0
        self._what = ""
        self._error = sys.stderr  # none at all, where a program without a window runs it
        self._shown = self._error is not None and self._error.isatty()

    def __call__(self, cost: float, bound: float) -> bool:
        """Show the best cost and the bound; return True once the search is to stop."""
        now = time.perf_counter()
        if self._shown and now - self._said > SECONDS_BETWEEN_LINES:
            self._said = now
            self._show(self._what + progress_text(now - self._began, cost, bound, self.currency))
        return self.asked

    def about(self, what: str, cost: float, bound: float) -> bool:
        """Show the same of one search of several, with what it is about."""
        self._what = f"{what}: "
        return self(cost, bound)

    def shared(self, done: int, of: int) -> None:
        """Show how many of the prices are done that several processes share."""
        if self._shown:
            seconds = time.perf_counter() - self._began
            self._show(f"{seconds:6.1f} s: {done} of {of} priced")

    def __enter__(self) -> Watch:
        with contextlib.suppress(ValueError):  # not the main thread: signals are not ours
            self._before = signal.signal(signal.SIGINT, self._interrupted)
            self._before_ended = signal.signal(signal.SIGTERM, self._ended)
        return self

    def __exit__(self, *_: object) -> None:
        self.clear()
        with contextlib.suppress(ValueError):
            signal.signal(signal.SIGINT, getattr(self, "_before", signal.SIG_DFL))
            signal.signal(signal.SIGTERM, getattr(self, "_before_ended", signal.SIG_DFL))

    def clear(self) -> None:
        """Wipe the line of progress, so that what is said next starts clean."""
        if self._width:
            self._show("")
            self._write("\r")
            self._width = 0

    def _show(self, line: str) -> None:
        self._write(f"\r{line.ljust(self._width)}")
        self._width = len(line)

    def _write(self, text: str) -> None:
        """Write on standard error, if it is still there: a plan is worth more than what is said."""
        if self._error is not None:
            try:
                self._error.write(text)
                self._error.flush()
            except (OSError, ValueError):
                self._error, self._shown = None, False

    def _ended(self, _signal: int, _frame: FrameType | None) -> None:
        """End at once, as one does who is told to by the system, with nothing left behind."""
        self.give_up()
        os._exit(TERMINATED)

    def _interrupted(self, _signal: int, _frame: FrameType | None) -> None:
        if self.asked:
            self.give_up()
            # An exception would have to pass through the solver's native code.
            with contextlib.suppress(OSError):
                os.write(2, b"\ngiven up: no order written\n")
            os._exit(STOPPED)
        self.asked = True
        self.clear()
        self._write("stopping with the best plan so far; Ctrl-C again to give up\n")
