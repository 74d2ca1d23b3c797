"""What an anchor is relied on to hold, worked again for the check of a finished plan."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from ...models.constants import GRAVITY_M_S2, SEA_WATER_KG_M3
from ...models.farm import Farm
from ...models.goods.anchor import Anchor, HoldsBy
from ...models.site.laid_line import LaidLine
from ...models.site.leg import Leg
from ...models.site.pull_test import Event, Reading

D1_KNOWN = {
    1: 2.31,
    2: 2.01,
    3: 1.89,
    4: 1.83,
    5: 1.80,
    6: 1.77,
    8: 1.74,
    10: 1.72,
    20: 1.68,
    30: 1.67,
}
"""n and k_n, V_X known (EN 1990:2002 Annex D, Table D1)."""

D1_UNKNOWN = (
    (3, 3.37),
    (4, 2.63),
    (5, 2.33),
    (6, 2.18),
    (8, 2.00),
    (10, 1.92),
    (20, 1.76),
    (30, 1.73),
)
"""n and k_n, V_X unknown (EN 1990:2002 Annex D, Table D1)."""


@dataclass(frozen=True)
class Reliance:
    """What one anchor is worth on a leg's seabed; None: that ground is not there to rely on."""

    embedding_kn: float | None
    weight_kn: float | None
    """Submerged weight of one deadweight."""
    friction: float | None
    structure_kn: float

    @property
    def usable(self) -> bool:
        """Whether there is anything to rely on."""
        return self.embedding_kn is not None or self.friction is not None


def reliance(farm: Farm, anchor: Anchor, leg: Leg, stood_kn: float = 0.0) -> Reliance:
    """Return what `anchor` may be relied on for on a leg's seabed within its allowed drag.

    stood_kn : the setting pull that it stands when it is laid, as far as it counts.
    """
    runs: dict[tuple[str, str], list[Reading]] = {}
    for reading in (*farm.readings, *_pulls(farm, leg.allowed_drag_m)):
        if reading.anchor == anchor.name:
            runs.setdefault((reading.test, reading.seabed), []).append(reading)
    structure = anchor.structural_limit_kn if anchor.structural_limit_kn is not None else math.inf
    for run in runs.values():
        structure = min(structure, _carried_when_it_broke(run))
    here = [run for (_, seabed), run in runs.items() if seabed == leg.seabed]
    embedding = _embedding_kn(farm, anchor, leg, here, stood_kn)
    if anchor.holds_by is not HoldsBy.WEIGHT:
        return Reliance(embedding, None, None, structure)
    friction = next(s for s in farm.seabeds if s.name == leg.seabed).deadweight_friction
    volume = anchor.stated_volume_m3
    if volume is None:
        density = anchor.stated_density_kg_m3
        if density is None:
            return Reliance(None, None, None, structure)  # steel is never assumed of a deadweight
        volume = anchor.mass_kg / density
    weight = (anchor.mass_kg - volume * SEA_WATER_KG_M3) * GRAVITY_M_S2 / 1000.0
    if friction is None:
        embedding = None  # a deadweight is not relied on where its friction is not known
    return Reliance(embedding, weight, friction, structure)


def _pulls(farm: Farm, drag_m: float) -> Iterator[Reading]:
    """Yield the setting pulls of the lines that lie already: each stopped while it held, and
    saying nothing of a lesser drag than its own."""
    seabeds = {leg.name: leg.seabed for leg in farm.legs}
    for row in farm.laid:
        if row.anchors != 1 or row.pull_kn is None or row.drag_m is None:
            continue
        if row.drag_m <= drag_m:
            test = f"laid: {row.leg}, line {row.line}"
            seabed = seabeds[row.leg]
            yield Reading(test, row.anchor, seabed, row.drag_m, row.pull_kn, Event.STOPPED)


def kept_share(farm: Farm, anchor: Anchor, uplift_deg: float) -> float:
    """Return the share of its holding that an anchor keeps at an uplift angle."""
    points = _points(farm, anchor)
    if not points:
        return 1.0
    if points[0][0] > 0:
        points.insert(0, (0.0, 1.0))
    for (low, kept_low), (high, kept_high) in itertools.pairwise(points):
        if low <= uplift_deg <= high and high > low:
            return kept_low + (kept_high - kept_low) * (uplift_deg - low) / (high - low)
    return points[-1][1]


def _points(farm: Farm, anchor: Anchor) -> list[tuple[float, float]]:
    """Return the anchor's own points (angle, share), or else its family's, by angle."""
    for name in (anchor.name, anchor.family):
        rows = [r for r in farm.uplift_losses if r.anchor_or_family == name]
        if rows:
            return sorted((r.uplift_deg, r.holding_kept) for r in rows)
    return []


def pull_that_counts_kn(farm: Farm, leg: Leg, anchors: int, lying: LaidLine | None) -> float:
    """Return the setting pull that raises a holding, kN; 0 where none does.

    lying : the record of a line that lies already, whose own pull counts and not the one planned.
    """
    if not farm.project.setting_pull_counts or anchors > 1:
        return 0.0
    if lying is None:
        return leg.design_tension_kn * farm.project.setting_pull_share
    if lying.pull_kn is None or lying.drag_m is None or lying.drag_m > leg.allowed_drag_m:
        return 0.0
    return lying.pull_kn


def after_pull_kn(relied_kn: float, median_kn: float, spread: float, stood_kn: float) -> float:
    """Return a holding relied on, raised for a load that the anchor has stood, kN.

    It grows as its 5 % fractile does when the anchors that hold less than the load are taken away:
    95 % of the others hold r or more. Not where half of them or more would be taken away.
    """
    if not 0 < stood_kn < median_kn or spread <= 0:
        return relied_kn

    def hold_more(load_kn: float) -> float:
        return 0.5 * math.erfc(math.log(load_kn / median_kn) / (spread * math.sqrt(2.0)))

    def five_percent(of: float) -> float:
        low, high = median_kn * math.exp(-9 * spread), median_kn * math.exp(9 * spread)
        for _ in range(100):
            middle = math.sqrt(low * high)
            low, high = (middle, high) if hold_more(middle) > 0.95 * of else (low, middle)
        return low

    return relied_kn * five_percent(hold_more(stood_kn)) / five_percent(1.0)


def _embedding_kn(
    farm: Farm, anchor: Anchor, leg: Leg, runs: list[list[Reading]], stood_kn: float
) -> float | None:
    """What tests, declaration and law leave to rely on, kN; None: nothing that speaks of it.

    Zero where what there is may not be used (too few tests, no scatter stated; one that holds
    nothing). A deadweight whose tests were all stopped rests on its weight.
    """
    held: list[float] = []
    bounds: list[float] = []
    for run in runs:
        (bounds if _stopped(run, leg.allowed_drag_m) else held).append(
            usable_kn(run, leg.allowed_drag_m)
        )
    stated = farm.project.pull_test_scatter
    tests = fractile(held, bounds, stated, farm.project.least_pull_test_scatter)
    tested = tests.value_kn
    if anchor.holds_by is HoldsBy.WEIGHT:
        stood_kn = 0.0
    pulled = after_pull_kn(tested, tests.median_kn, tests.spread, stood_kn)
    enough = len(held) >= 3 or (len(held) >= 1 and stated is not None)
    most = tested if enough else min(held, default=math.inf)
    for row in farm.declared_holdings:
        if row.anchor == anchor.name and row.seabed == leg.seabed:
            if row.overrides_tests or row.holding_kn <= max(most, tested) * (1 + 1e-9):
                return row.holding_kn
            break
    for law in farm.holding_laws:
        if law.family == anchor.family and law.seabed == leg.seabed:
            size = anchor.mass_kg / law.reference_mass_kg
            lawful = law.reference_holding_kn * math.exp(law.exponent * math.log(size))
            median = lawful
            if law.scatter is not None:
                lawful /= math.exp(1.645 * _spread(law.scatter))
            if enough or min(lawful, most) <= tested:
                return pulled
            if law.scatter and lawful < most:
                lawful = after_pull_kn(lawful, median, _spread(law.scatter), stood_kn)
            return min(lawful, most)
    if not held and (not bounds or anchor.holds_by is HoldsBy.WEIGHT):
        return None
    return pulled


def _spread(scatter: float) -> float:
    """Return the deviation of the logarithms for a coefficient of variation."""
    return math.sqrt(math.log(1.0 + scatter * scatter))


def _stopped(run: list[Reading], allowed_drag_m: float) -> bool:
    """Tell whether a run ended within the drag with the anchor holding, never let go before."""
    if run[-1].event is not Event.STOPPED or run[-1].drag_m > allowed_drag_m:
        return False
    return not any(r.event in (Event.ROLLED_OUT, Event.BROKE) for r in run)


@dataclass(frozen=True)
class Fractile:
    """The 5 % fractile of test loads, and what it is of; all zero where there is none."""

    value_kn: float = 0.0
    median_kn: float = 0.0
    spread: float = 0.0
    """Of the logarithms."""


def fractile(
    held: list[float], bounds: list[float], stated_scatter: float | None, least_scatter: float
) -> Fractile:
    """Return the 5 % fractile of test loads (EN 1990:2002 D.7, log-normal), kN.

    held : loads of tests that count as they are; bounds : of stopped ones, which count from the
    highest down, at no more than one load, so that the fractile is the largest. Zero where any
    held load is zero, and where one or two count and no scatter is stated.
    """
    best = Fractile()
    if any(load <= 0 for load in held):
        return best
    known = [math.log(load) for load in held]
    caps = sorted((math.log(load) for load in bounds if load > 0), reverse=True)
    for taken in range(len(caps) + 1):
        count = len(known) + taken
        if count == 0 or (count < 3 and stated_scatter is None):
            continue
        if taken == 0:
            best = _higher(best, _held_alone(known, stated_scatter, least_scatter))
            continue
        factor = D1_KNOWN[count] if count < 3 else _unknown_factor(count)
        floor = max(_spread(least_scatter), _spread(stated_scatter or 0.0))
        for t in _turning_points(known, caps[:taken], factor, floor):
            logs = known + [min(cap, t) for cap in caps[:taken]]
            best = _higher(best, _below(logs, factor, max(_own_spread(logs), floor)))
    return best


def _higher(one: Fractile, other: Fractile) -> Fractile:
    return other if other.value_kn > one.value_kn else one


def _below(logs: list[float], factor: float, spread: float) -> Fractile:
    """Return what lies so many spreads below the mean of some logarithms."""
    mean = _mean(logs)
    return Fractile(math.exp(mean - factor * spread), math.exp(mean), spread)


def _held_alone(logs: list[float], stated: float | None, least: float) -> Fractile:
    """Return the fractile of tests of which none was stopped."""
    values = []
    if stated is not None:
        factor = [k for n, k in D1_KNOWN.items() if n <= len(logs)][-1]
        values.append(_below(logs, factor, _spread(stated)))
    if len(logs) >= 3:
        spread = max(_own_spread(logs), _spread(least))
        values.append(_below(logs, _unknown_factor(len(logs)), spread))
    return min(values, key=lambda one: one.value_kn)


def _unknown_factor(count: int) -> float:
    return [k for n, k in D1_UNKNOWN if n <= count][-1]


def _mean(logs: list[float]) -> float:
    return math.fsum(logs) / len(logs)


def _own_spread(logs: list[float]) -> float:
    if len(logs) < 2:
        return 0.0
    mean = _mean(logs)
    return math.sqrt(math.fsum((x - mean) ** 2 for x in logs) / (len(logs) - 1))


def _turning_points(
    known: list[float], caps: list[float], factor: float, floor: float
) -> list[float]:
    """Return every common load t among which the best one lies, where u bounds are lowered to it.

    With the others fixed, (n − 1) s² = a t² + b t + c. The fractile turns where s meets the floor,
    or where its slope, u/n − k (2 a t + b) ÷ (2 (n − 1) s), is zero; else at a bound, or (with no
    floor, where all are alike) at a load that held.
    """
    points = [*caps, *(load for load in known if load < caps[0])]
    n = len(known) + len(caps)
    for u in range(1, len(caps) + 1):
        fixed = known + caps[u:]
        total = math.fsum(fixed)
        a, b = u - u * u / n, -2.0 * u * total / n
        c = math.fsum(x * x for x in fixed) - total * total / n
        slope = 4.0 * u * u * (n - 1) / (n * n)
        k2 = factor * factor
        roots = [
            *_roots(a, b, c - (n - 1) * floor * floor),
            *_roots(slope * a - 4 * k2 * a * a, slope * b - 4 * k2 * a * b, slope * c - k2 * b * b),
        ]
        below = caps[u] if u < len(caps) else -math.inf
        points += [t for t in roots if below <= t <= caps[u - 1]]
    return points


def _roots(a: float, b: float, c: float) -> list[float]:
    """Return the real roots of a x² + b x + c."""
    inside = b * b - 4 * a * c
    if a == 0 or inside < 0:
        return []
    return [(-b - math.sqrt(inside)) / (2 * a), (-b + math.sqrt(inside)) / (2 * a)]


def usable_kn(run: list[Reading], allowed_drag_m: float) -> float:
    """Return the load that one test's readings, in order of drag, are good for, kN."""
    best, highest = 0.0, 0.0
    before: Reading | None = None
    for at, reading in enumerate(run):
        whole = reading.event in (Event.NONE, Event.STOPPED)
        if reading.drag_m > allowed_drag_m:
            if before is not None and whole:
                slope = (reading.load_kn - before.load_kn) / (reading.drag_m - before.drag_m)
                best = max(best, before.load_kn + slope * (allowed_drag_m - before.drag_m))
            return best
        if reading.event is Event.BROKE:
            return 0.0
        if reading.event is Event.ROLLED_OUT:
            # Breaking later, within the drag, still makes it worth nothing.
            if any(r.event is Event.BROKE and r.drag_m <= allowed_drag_m for r in run):
                return 0.0
            after = run[at + 1 :] if reading.load_kn >= highest else run[at:]
            return min((r.load_kn for r in after), default=0.0)
        highest = max(highest, reading.load_kn)
        best = max(best, reading.load_kn)
        before = reading
    return best


def _carried_when_it_broke(run: list[Reading]) -> float:
    """Return the highest load up to the row at which the anchor broke; infinite if it did not."""
    highest = 0.0
    for reading in run:
        highest = max(highest, reading.load_kn)
        if reading.event is Event.BROKE:
            return highest
    return math.inf
