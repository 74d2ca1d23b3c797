"""How a command ends: the exit codes of the program."""

from __future__ import annotations

STOPPED = 130
"""Exit code: stopped by Ctrl-C (128 + SIGINT, as shells have it)."""


AT_FAULT = 1
"""Exit code: the workbook or the farm is at fault, or a file cannot be written."""


NO_PLAN = 3
"""Exit code: no plan within the time limit."""


SOLVER_FAILED = 4
"""Exit code: the solver is missing, was killed or broke off; nothing was written."""


CHECK_FAILED = 5
"""Exit code: the finished plan failed its own checks; nothing was written."""


TERMINATED = 143
"""Exit code: ended by the system (128 + SIGTERM, as shells have it)."""
