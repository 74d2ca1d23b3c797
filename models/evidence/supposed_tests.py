"""Supposed tests: a farm as it would be with more pull tests of one anchor on one seabed.

Of an anchor with tests there, mean and scatter stay as they are, and only the factor of the number
of tests changes. An anchor whose holding rests on a law is given tests that come out as the law
says: at its mean, with its scatter; a law without a scatter is a lower value, so that its mean is
taken to lie above it by the project's stated scatter.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..arrays import ROUNDING, ceil_to_whole
from ..farm import Farm
from ..goods.anchor import Anchor
from ..site.pull_test import Reading, SupposedTests
from ..standing.characteristic import log_deviation
from ..standing.holding import DesignHolding, design_holding
from ..standing.holding_evidence import EvidenceKind
from ..standing.holding_spread import counted_pull_kn

MOST = 3
"""More tests that are looked at: one, two, three."""

ONE_IN_TWENTY = 1.645
"""Standard deviations from the mean to the 5 % fractile of a normal spread."""

PATTERNS = {
    1: (0.0,),
    2: (-math.sqrt(0.5), math.sqrt(0.5)),
    3: (-1.0, 0.0, 1.0),
}
"""So many numbers of mean 0 and standard deviation 1 (of a sample)."""


@dataclass(frozen=True)
class PlaceToTest:
    """An anchor on a seabed whose holding more tests would raise, or that rests on a law."""

    anchor: str
    seabed: str
    tests: int
    """There now."""
    by_law: bool
    """Whether its holding rests on a law now."""
    relied_on_kn: tuple[float, ...]
    """Within the least allowed drag there: now, and with one, two, three more; 0: refused."""
    raises: bool
    """Whether some more tests raise it, within some allowed drag. Tests that come out as a law says
    never do: the law is relied on as if it were known, few tests are not."""
    never_less: tuple[bool, ...]
    """With one, two, three more: whether it falls within no allowed drag. It may, where a stated
    scatter no longer is all that counts from the third test on."""
    most_is_highest: bool
    """Whether three more raise it highest, within every allowed drag."""


def with_more_tests(farm: Farm, anchor: str, seabed: str, more: int) -> Farm | None:
    """Return the farm with so many more tests; None where nothing says how they would come out."""
    if farm.tests_of(anchor, seabed):
        supposed = (*farm.supposed_tests, SupposedTests(anchor, seabed, more))
        return replace(farm, supposed_tests=supposed)
    law = farm.law_by_place.get((farm.anchor_by_name[anchor].family, seabed))
    scatter = None if law is None else law.scatter or farm.project.pull_test_scatter
    if law is None or scatter is None:
        return None
    deviation = log_deviation(scatter)
    mass = farm.anchor_by_name[anchor].mass_kg
    mean = law.holding_kn(mass)
    if law.scatter is None:
        mean *= math.exp(ONE_IN_TWENTY * deviation)
    drag = min(leg.allowed_drag_m for leg in farm.legs)
    readings = tuple(
        Reading(f"supposed {number}", anchor, seabed, drag, mean * math.exp(away * deviation))
        for number, away in enumerate(PATTERNS[more], start=1)
    )
    return replace(farm, readings=(*farm.readings, *readings))


def places_to_test(farm: Farm) -> tuple[PlaceToTest, ...]:
    """Return the anchors on the legs' seabeds that more tests would raise, or that a law backs."""
    return tuple(_places(farm))


def _places(farm: Farm) -> Iterator[PlaceToTest]:
    for seabed in farm.seabeds:
        # Of each drag without a pull, then with the pulls that count towards the holding.
        asked = sorted(
            {
                (pull_kn, leg.allowed_drag_m)
                for leg in farm.legs
                if leg.seabed == seabed.name
                for pull_kn in (0.0, counted_pull_kn(farm, leg, 1))
            }
        )
        if not asked:
            continue
        for anchor in farm.anchors:
            farms = [with_more_tests(farm, anchor.name, seabed.name, n) for n in range(1, MOST + 1)]
            known = [farm, *(one for one in farms if one is not None)]
            if len(known) <= MOST:
                continue
            held = [
                [_held(one, anchor, seabed.name, drag, pull) for pull, drag in asked]
                for one in known
            ]
            pairs = [(n, m) for later in held[1:] for n, m in zip(held[0], later, strict=True)]
            raises = any(later > now * (1 + ROUNDING) + ROUNDING for now, later in pairs)
            never_less = tuple(
                all(m >= n * (1 - ROUNDING) for n, m in zip(held[0], later, strict=True))
                for later in held[1:]
            )
            now = design_holding(farm, anchor, seabed.name, asked[0][1])
            if raises or _by_law(now):
                yield PlaceToTest(
                    anchor.name,
                    seabed.name,
                    len(farm.tests_of(anchor.name, seabed.name)),
                    _by_law(now),
                    tuple(of_farm[0] for of_farm in held),
                    raises,
                    never_less,
                    all(
                        most >= each * (1 - ROUNDING)
                        for fewer in held[:MOST]
                        for each, most in zip(fewer, held[MOST], strict=True)
                    ),
                )


def _by_law(holding: DesignHolding) -> bool:
    return holding.evidence.kind in (EvidenceKind.LAW, EvidenceKind.MEAN_LAW)


def _held(farm: Farm, anchor: Anchor, seabed: str, drag_m: float, pull_kn: float) -> float:
    """Return what embedding is relied on for; 0 where refused, or where it holds by weight."""
    holding = design_holding(farm, anchor, seabed, drag_m, pull_kn)
    return holding.holding_kn if holding.relied_on and math.isfinite(holding.holding_kn) else 0.0


def price_of_tests(farm: Farm, anchor: str, tests: int) -> float:
    """Return what so many more tests of an anchor cost, project currency; infinite where no vessel
    can do them.

    The project's price each; where none is stated, whole charged days and the fuel of the vessel
    that is cheapest of those that can lift the anchor: one round trip, and for each test shifting,
    assembly, lowering and setting. Mobilisation is not in it, nor the anchor, which may be laid.
    """
    if farm.project.pull_test_price is not None:
        return tests * farm.project.pull_test_price
    model = farm.anchor_by_name[anchor]
    minutes = model.assembly_min + model.lowering_min + model.setting_min
    prices = []
    for vessel in farm.vessels:
        lift = model.mass_kg / 1000 * farm.project.lift_factor
        if lift > vessel.crane_limit_t:
            continue
        hours = vessel.round_trip_h + tests * (vessel.shifting_min_per_leg + minutes) / 60
        days = ceil_to_whole(hours / vessel.hours_per_charged_day)
        prices.append(days * vessel.day_rate + vessel.fuel_per_trip)
    return min(prices, default=math.inf)
