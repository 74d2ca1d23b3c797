"""A pull test: a run of readings of load against drag, and what it is worth."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise

from ..fault import Source


class Event(StrEnum):
    """What happened at a reading."""

    NONE = ""
    ROLLED_OUT = "rolled out"
    BROKE = "broke"
    STOPPED = "stopped"
    """The test was ended while the anchor still held: the last load is a lower bound."""


@dataclass(frozen=True)
class Reading:
    """One row of the Pull tests sheet."""

    test: str
    anchor: str
    seabed: str
    drag_m: float
    load_kn: float
    event: Event = Event.NONE
    penetration_mm: float | None = None
    """How deep the anchor lay buried then; None: not recorded."""
    soil_note: str = ""
    """How the soil was left disturbed, in the tester's words."""
    setting: bool = False
    """Whether it is the pull that set an anchor: it says nothing of a lesser drag than its own."""
    source: Source | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class SupposedTests:
    """More tests than were made, to see what they would be worth; no workbook holds any."""

    anchor: str
    seabed: str
    more: int
    """That are counted with the mean and the scatter of those made."""


@dataclass(frozen=True)
class PullTest:
    """The readings of one test, in order of drag."""

    name: str
    anchor: str
    seabed: str
    readings: tuple[Reading, ...]

    def speaks_within(self, drag_m: float) -> bool:
        """Tell whether it says anything of a drag: a setting pull beyond it does not."""
        return not (self.readings[0].setting and self.readings[0].drag_m > drag_m)

    def first(self, event: Event) -> Reading | None:
        """Return the first reading at which `event` happened, or None."""
        return next((r for r in self.readings if r.event is event), None)

    @property
    def peak(self) -> Reading:
        """The reading of the largest load (the first of equals)."""
        return max(self.readings, key=lambda r: (r.load_kn, -r.drag_m))

    @property
    def structural_limit_kn(self) -> float:
        """The highest load that it had carried when it broke, kN; infinite if it did not."""
        broke = self.first(Event.BROKE)
        if broke is None:
            return math.inf
        carried = self.readings[: self.readings.index(broke) + 1]
        return max(r.load_kn for r in carried)

    @property
    def deepest_mm(self) -> float | None:
        """The deepest penetration recorded, mm; None where none was."""
        depths = [r.penetration_mm for r in self.readings if r.penetration_mm is not None]
        return max(depths, default=None)

    def held_within(self, drag_m: float) -> bool:
        """Tell whether it neither rolled out nor broke at any drag up to `drag_m`."""
        return all(
            r.event not in (Event.ROLLED_OUT, Event.BROKE)
            for r in self.readings
            if r.drag_m <= drag_m
        )

    def stopped_within(self, drag_m: float) -> bool:
        """Tell whether it ended at a drag up to `drag_m` because it was stopped while holding.

        Its usable load within that drag is then a lower bound. Not where it had let go before.
        """
        last = self.readings[-1]
        return last.event is Event.STOPPED and last.drag_m <= drag_m and self.held_within(drag_m)

    def let_go_soon(self, drag_m: float) -> tuple[Reading, ...]:
        """Return the readings beyond `drag_m`, and up to twice that, at which it let go."""
        return tuple(
            r
            for r in self.readings
            if drag_m < r.drag_m <= 2 * drag_m and r.event in (Event.ROLLED_OUT, Event.BROKE)
        )

    def load_at_kn(self, drag_m: float) -> float | None:
        """Return what the gauge showed at a drag, whatever had happened, kN.

        Linear between readings; None before the first and past the last. Where several readings
        were taken at that very drag, the last of them.
        """
        exact = [r.load_kn for r in self.readings if r.drag_m == drag_m]
        if exact:
            return exact[-1]
        for before, beyond in pairwise(self.readings):
            if before.drag_m < drag_m < beyond.drag_m:
                share = (drag_m - before.drag_m) / (beyond.drag_m - before.drag_m)
                return before.load_kn + share * (beyond.load_kn - before.load_kn)
        return None

    def drag_to_reach_m(self, load_kn: float) -> float | None:
        """Return the least drag within which the anchor had first held `load_kn`, m.

        Linear between readings, but not towards a reading at which it rolled out or broke, and
        nothing after such a reading counts. None where it never held that load before one. The
        drag of the first reading where that one reaches it already: the true drag may be less.
        """
        before: Reading | None = None
        for reading in self.readings:
            if reading.event in (Event.ROLLED_OUT, Event.BROKE):
                return None
            if reading.load_kn >= load_kn:
                if before is None:
                    return reading.drag_m
                share = (load_kn - before.load_kn) / (reading.load_kn - before.load_kn)
                return before.drag_m + share * (reading.drag_m - before.drag_m)
            before = reading
        return None

    def usable_load_kn(self, allowed_drag_m: float) -> float:
        """Return the load that the test lets one rely on within `allowed_drag_m`, kN.

        The largest load at drag ≤ the allowed drag, interpolated linearly at the allowed drag
        itself, with no extrapolation past the last reading and none towards a reading at which
        the anchor rolled out or broke. Rolled out within it: the lowest load recorded after
        the roll-out (none recorded: zero), and never more than without the roll-out, since
        loads regained beyond the allowed drag come too late. Broke within it: zero.

        Source: the event rules are common practice, no source.
        """
        within = [r for r in self.readings if r.drag_m <= allowed_drag_m]
        if any(r.event is Event.BROKE for r in within):
            return 0.0
        loads = [r.load_kn for r in within]
        beyond = next((r for r in self.readings if r.drag_m > allowed_drag_m), None)
        if within and beyond is not None and beyond.event in (Event.NONE, Event.STOPPED):
            before = within[-1]
            share = (allowed_drag_m - before.drag_m) / (beyond.drag_m - before.drag_m)
            loads.append(before.load_kn + share * (beyond.load_kn - before.load_kn))
        largest = max(loads, default=0.0)
        rolled = [at for at, r in enumerate(within) if r.event is Event.ROLLED_OUT]
        return min([largest, *(self._lowest_after(at) for at in rolled)])

    def _lowest_after(self, at: int) -> float:
        """Return the lowest load after the roll-out at reading number `at`, kN; none: zero.

        The roll-out's own row is one of those after it where its load lies below an earlier
        one: the gauge had dropped. Where it is the highest so far it is the load that rolled
        the anchor out.
        """
        dropped = any(r.load_kn > self.readings[at].load_kn for r in self.readings[:at])
        after = self.readings[at if dropped else at + 1 :]
        return min((r.load_kn for r in after), default=0.0)


def pull_tests(readings: Iterable[Reading]) -> tuple[PullTest, ...]:
    """Return the tests that `readings` make up, in the order of their first rows."""
    runs: dict[tuple[str, str, str], list[Reading]] = {}
    for reading in readings:
        runs.setdefault((reading.test, reading.anchor, reading.seabed), []).append(reading)
    return tuple(PullTest(*key, tuple(run)) for key, run in runs.items())
