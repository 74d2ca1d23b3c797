"""The entrance: what the installed program runs first, and what hears Ctrl-C before all else."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
from types import FrameType

from .io.commands.exit_codes import STOPPED


def main() -> None:
    """Run the command line; Ctrl-C at any time ends in one line and exit code 130.

    Text that a terminal's encoding does not have is shown as escapes, never a traceback.
    """
    _fill_streams()
    heard: list[int] = []

    def hear(number: int, _frame: FrameType | None) -> None:
        heard.append(number)
        raise KeyboardInterrupt

    with contextlib.suppress(ValueError):  # not the main thread: Ctrl-C is not ours
        if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
            signal.signal(signal.SIGINT, hear)
    try:
        for stream in (sys.stdout, sys.stderr):
            with contextlib.suppress(AttributeError, ValueError):
                stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
        # Slow to import, so that Ctrl-C is likely to come here.
        from .io.commands.command_line import run

        code = run()
    except KeyboardInterrupt:
        code = STOPPED
    except Exception:
        # Libraries make other errors of a KeyboardInterrupt, above all while they are imported.
        if not heard:
            raise
        code = STOPPED
    if code == STOPPED or (heard and code != 0):
        code = STOPPED
        with contextlib.suppress(OSError, ValueError):
            os.write(2, b"\nmoorledger: stopped; what was not finished was not written\n")
    with contextlib.suppress(ValueError):
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # the exit code is decided
    try:
        if sys.stdout is not None:
            sys.stdout.flush()
    except (OSError, ValueError, AttributeError):
        # Closed, or on a full disk: what was buffered is lost, and must not be tried again.
        sys.stdout = None
        code = code or 1
    sys.exit(code)


def _fill_streams() -> None:
    """Give standard input, output and error that are closed to nothing: a file opened later would
    take their number, and what is said would go into it."""
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            with contextlib.suppress(OSError):
                os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free
