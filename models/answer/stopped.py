"""What stopped a search, or a run of searches, before it had ended by itself."""

from __future__ import annotations

from enum import Enum, auto


class Stopped(Enum):
    """What stopped it; its words are those of whoever shows it."""

    TIME_LIMIT = auto()
    INTERRUPTED = auto()
    """Whoever watched it asked it to stop."""
