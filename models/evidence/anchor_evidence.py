"""The evidence for an anchor: what its pull tests on a seabed showed, side by side."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ..farm import Farm
from ..goods.anchor import Anchor
from ..site.pull_test import Event, PullTest, Reading
from ..standing.characteristic import Characteristic
from ..standing.holding import DesignHolding, design_holding, efficiency, structural_limit_kn
from ..standing.holding_evidence import HoldingEvidence
from ..standing.own_tests import own_tests

ROUND_DRAGS_M = (1.0, 2.0, 3.0, 5.0, 8.0, 12.0, 20.0, 30.0, 50.0, 80.0)
MOST_ROUND_DRAGS = 4
"""Allowed drags that the evidence is shown for where nobody asks for any."""


@dataclass(frozen=True)
class WithinDrag:
    """What the tests and the other evidence come to within one allowed drag."""

    allowed_drag_m: float
    loads_kn: tuple[float | None, ...]
    """What each test's gauge showed at that drag; None where no reading reaches it."""
    usable_kn: tuple[float, ...]
    """What each test lets one rely on: its event rules applied."""
    statistics: Characteristic | None
    """None where no test, no stated scatter for one or two, or a test that holds nothing."""
    holding: DesignHolding
    let_go_soon: tuple[Reading, ...] = ()
    """Where its tests let go beyond that drag, but within twice that: a caution."""

    @property
    def relied_on_kn(self) -> float:
        """What one anchor is relied on to hold without uplift, kN; zero where refused.

        The least of what its embedding, its weight and its structure allow.
        """
        if self.holding.refusal:
            return 0.0
        weight = self.holding.by_weight_kn
        return min(
            self.holding.holding_kn,
            math.inf if weight is None else weight,
            self.holding.structural_limit_kn,
        )


@dataclass(frozen=True)
class AnchorEvidence:
    """One anchor on one seabed, at every allowed drag of the farm."""

    anchor: Anchor
    seabed: str
    tests: tuple[PullTest, ...]
    structural_limit_kn: float
    """Infinite where none is stated and no test broke it."""
    within: tuple[WithinDrag, ...]

    @property
    def peak(self) -> Reading | None:
        """The reading of the largest load of all its tests here; None without a test."""
        peaks = [test.peak for test in self.tests]
        return max(peaks, key=lambda r: r.load_kn, default=None)

    @property
    def peak_efficiency(self) -> float | None:
        """Largest load ÷ weight in air, dimensionless; None without a test."""
        return None if self.peak is None else efficiency(self.peak.load_kn, self.anchor.mass_kg)

    @property
    def what_happened(self) -> str:
        """How its tests ended: a count of those that held, and each that did not by name."""
        if not self.tests:
            return ""
        if len(self.tests) == 1:
            return what_happened(self.tests[0])
        good = [test for test in self.tests if test.held_within(math.inf)]
        stopped = sum(test.first(Event.STOPPED) is not None for test in good)
        counts = ((len(good) - stopped, "held"), (stopped, "stopped while holding"))
        said = [f"{count} {words}" for count, words in counts if count]
        bad = [test for test in self.tests if test not in good]
        return "; ".join([*said, *(f"{test.name} {what_happened(test)}" for test in bad)])

    @property
    def refusals(self) -> tuple[str, ...]:
        """Why it is not relied on, each reason once."""
        reasons = (at.holding.refusal for at in self.within if at.holding.refusal)
        return tuple(dict.fromkeys(reasons))

    @property
    def rests_on(self) -> tuple[HoldingEvidence, ...]:
        """The evidence relied on, each kind once, without the drags."""
        kinds = (
            replace(at.holding.evidence, within_m=None)
            for at in self.within
            if not at.holding.refusal
        )
        return tuple(dict.fromkeys(kinds))


def what_happened(test: PullTest) -> str:
    """Return in words how a test went: its events in order, or how far it held."""
    events = [
        "stopped while holding" + f" at {r.drag_m:g} m"
        if r.event is Event.STOPPED
        else f"{r.event} at {r.drag_m:g} m"
        for r in test.readings
        if r.event is not Event.NONE
    ]
    return ", ".join(events) or f"held to {test.readings[-1].drag_m:g} m"


def allowed_drags_m(farm: Farm) -> tuple[float, ...]:
    """Return every allowed drag of the farm's legs, and those asked for, least first, m.

    Where there are neither, a few round drags that the pull tests reached.
    """
    drags = {leg.allowed_drag_m for leg in farm.legs} | set(farm.drags_m)
    return tuple(sorted(drags or round_drags_m(farm)))


def drags_on_m(farm: Farm, seabed: str) -> tuple[float, ...]:
    """Return the allowed drags of the legs on a seabed; of a farm without legs, all asked for."""
    if not farm.legs:
        return allowed_drags_m(farm)
    return tuple(sorted({leg.allowed_drag_m for leg in farm.legs if leg.seabed == seabed}))


def round_drags_m(farm: Farm) -> list[float]:
    """Return up to four round drags, the largest that some reading reached; 1 m without tests."""
    farthest = max((reading.drag_m for reading in farm.readings), default=ROUND_DRAGS_M[0])
    reached = [drag for drag in ROUND_DRAGS_M if drag <= farthest] or [ROUND_DRAGS_M[0]]
    return reached[-MOST_ROUND_DRAGS:]


def anchor_evidence(farm: Farm) -> tuple[AnchorEvidence, ...]:
    """Return a row for every anchor on every seabed that has a leg, a test or a declaration.

    In a farm without legs a law of its family will do too.
    By seabed in the order of its sheet, then by anchor in the order of the catalogue.
    """
    drags = allowed_drags_m(farm)
    used = {leg.seabed for leg in farm.legs}
    known = {(r.anchor, r.seabed) for r in farm.readings}
    known |= {(d.anchor, d.seabed) for d in farm.declared_holdings}
    if not farm.legs:
        kin = {(law.family, law.seabed) for law in farm.holding_laws}
        known |= {(a.name, seabed) for a in farm.anchors for f, seabed in kin if a.family == f}
    return tuple(
        _row(farm, anchor, seabed.name, drags)
        for seabed in farm.seabeds
        for anchor in farm.anchors
        if seabed.name in used or (anchor.name, seabed.name) in known
    )


def _row(farm: Farm, anchor: Anchor, seabed: str, drags: tuple[float, ...]) -> AnchorEvidence:
    tests = farm.tests_of(anchor.name, seabed)
    return AnchorEvidence(
        anchor,
        seabed,
        tests,
        structural_limit_kn(farm, anchor),
        tuple(_within(farm, anchor, seabed, drag, tests) for drag in drags),
    )


def _within(
    farm: Farm, anchor: Anchor, seabed: str, drag_m: float, tests: tuple[PullTest, ...]
) -> WithinDrag:
    own = own_tests(farm, anchor.name, seabed, drag_m)
    return WithinDrag(
        drag_m,
        tuple(test.load_at_kn(drag_m) for test in tests),
        own.usable_kn,
        own.characteristic,
        design_holding(farm, anchor, seabed, drag_m),
        tuple(reading for test in tests for reading in test.let_go_soon(drag_m)),
    )
