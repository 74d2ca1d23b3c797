"""The entrance: what the installed program runs first, and what hears Ctrl-C before all else."""

from __future__ import annotations

import contextlib
import os
import signal
import sys

STOPPED = 130
"""Exit code: stopped by Ctrl-C (128 + SIGINT, as shells have it)."""


def main() -> None:
    """Run the command line; Ctrl-C at any time ends in one line and exit code 130.

    Text that a terminal's encoding does not have is shown as escapes, never a traceback.
    """
    try:
        for stream in (sys.stdout, sys.stderr):
            with contextlib.suppress(AttributeError, ValueError):
                stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
        # Slow to import, so that Ctrl-C is likely to come here.
        from .command_line import run

        code = run()
    except KeyboardInterrupt:
        with contextlib.suppress(OSError, ValueError):
            os.write(2, b"\nmoorledger: stopped; what was not finished was not written\n")
        code = STOPPED
    with contextlib.suppress(ValueError):  # not the main thread
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # the exit code is decided
    sys.exit(code)
