"""Standard output: kept for what a command has to say."""

from __future__ import annotations

import contextlib
import os
import sys
import threading
from collections.abc import Iterator

_ONE_AT_A_TIME = threading.Lock()
"""Standard output is the whole process's: of two threads that silence it at once, the second
would keep, and give back, the first one's silence."""


@contextlib.contextmanager
def silenced() -> Iterator[None]:
    """Send nowhere what is written to standard output, by native code too.

    HiGHS prints its banner from its constructor, before any option can silence it, and past
    Python's own `sys.stdout`. Where there is no standard output nothing is done.
    """
    with _ONE_AT_A_TIME:
        with contextlib.suppress(OSError, ValueError, AttributeError):
            sys.stdout.flush()
        try:
            kept = os.dup(1)
        except OSError:
            yield
            return
        try:
            with open(os.devnull, "w") as nowhere:
                os.dup2(nowhere.fileno(), 1)
            yield
        finally:
            os.dup2(kept, 1)
            os.close(kept)
