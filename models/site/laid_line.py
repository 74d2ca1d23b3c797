"""A line that is laid already: what lies on the seabed, as its crew recorded it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from ..fault import Source
from .pull_test import Event, Reading

DAYS_A_YEAR = 365.25


@dataclass(frozen=True)
class LaidLine:
    """A row of the Laid sheet: one line of a leg group, as built."""

    leg: str
    line: int
    """Which of the group's lines, from 1: its tag stays what it was."""
    anchor: str
    chain: str
    chain_m: float
    anchors: int = 1
    rope: str | None = None
    rope_m: float = 0.0
    """Between its eyes."""
    easting_m: float | None = None
    northing_m: float | None = None
    """Where its anchor lies."""
    pull_kn: float | None = None
    """The setting pull that was held, at the anchor; None: not recorded."""
    held_min: float | None = None
    drag_m: float | None = None
    """How far the anchor had moved when it held that pull."""
    laid_on: date | None = None
    chain_measured_mm: float | None = None
    """The least diameter found on its chain; None: not measured."""
    measured_on: date | None = None
    accepted_by: str = ""
    """Who accepts that it does not stand by the basis; blank: nobody."""
    note: str = ""
    source: Source | None = field(default=None, compare=False, repr=False)

    @property
    def tag(self) -> str:
        """The line's tag: the same on every sheet and paper."""
        return f"{self.leg}/{self.line}"

    @property
    def years_worn(self) -> float | None:
        """Years from the day it was laid to that of the measure; None where either is not given."""
        if self.chain_measured_mm is None or self.measured_on is None or self.laid_on is None:
            return None
        return (self.measured_on - self.laid_on).days / DAYS_A_YEAR

    def reading(self, seabed: str) -> Reading | None:
        """Return its pull as a test that was stopped while the anchor held; None: it is none.

        A pull without its drag says nothing of any allowed drag; and of a pull on several anchors
        nobody knows what each of them took.
        """
        if self.pull_kn is None or self.drag_m is None or self.anchors != 1:
            return None
        return Reading(
            f"{self.tag} as laid",
            self.anchor,
            seabed,
            self.drag_m,
            self.pull_kn,
            Event.STOPPED,
            setting=True,
            source=self.source,
        )
