"""What stopped a search, in words."""

from __future__ import annotations

from ...models.answer.stopped import Stopped

STOPPED = {Stopped.TIME_LIMIT: "time limit", Stopped.INTERRUPTED: "interrupted"}

WHY_NOT_PROVEN = {
    None: "the search ended early",
    Stopped.TIME_LIMIT: "stopped at the time limit",
    Stopped.INTERRUPTED: "stopped on request",
}
"""Why a plan is not proven to be the least."""


def in_brackets(stopped: Stopped | None) -> str:
    """Return " (time limit)", or "" where nothing stopped it."""
    return "" if stopped is None else f" ({STOPPED[stopped]})"


def ended_early(stopped: Stopped | None) -> str:
    """Return " Ended early (time limit).", or "" where nothing stopped it."""
    return "" if stopped is None else f" Ended early{in_brackets(stopped)}."
