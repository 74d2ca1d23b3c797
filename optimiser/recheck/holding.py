"""What an anchor is relied on to hold, worked again for the check of a finished plan."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from ...models.constants import GRAVITY_M_S2, SEA_WATER_KG_M3, STEEL_KG_M3
from ...models.farm import Farm
from ...models.goods.anchor import Anchor, HoldsBy
from ...models.site.leg import Leg
from ...models.site.pull_test import Event, Reading

D1_KNOWN = {1: 2.31, 2: 2.01}
"""k_n, V_X known, for one and two results (EN 1990:2002 Annex D, Table D1)."""

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


def reliance(farm: Farm, anchor: Anchor, leg: Leg) -> Reliance:
    """Return what `anchor` may be relied on for on a leg's seabed within its allowed drag."""
    runs: dict[tuple[str, str], list[Reading]] = {}
    for reading in farm.readings:
        if reading.anchor == anchor.name:
            runs.setdefault((reading.test, reading.seabed), []).append(reading)
    structure = anchor.structural_limit_kn if anchor.structural_limit_kn is not None else math.inf
    for run in runs.values():
        structure = min(structure, _carried_when_it_broke(run))
    here = [run for (_, seabed), run in runs.items() if seabed == leg.seabed]
    embedding = _embedding_kn(farm, anchor, leg, here)
    if anchor.holds_by is not HoldsBy.WEIGHT:
        return Reliance(embedding, None, None, structure)
    friction = next(s for s in farm.seabeds if s.name == leg.seabed).deadweight_friction
    volume = anchor.stated_volume_m3
    if volume is None:
        volume = anchor.mass_kg / STEEL_KG_M3
    weight = (anchor.mass_kg - volume * SEA_WATER_KG_M3) * GRAVITY_M_S2 / 1000.0
    if friction is None:
        embedding = None  # a deadweight is not relied on where its friction is not known
    return Reliance(embedding, weight, friction, structure)


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


def _embedding_kn(farm: Farm, anchor: Anchor, leg: Leg, runs: list[list[Reading]]) -> float | None:
    """Declared, else tested, else by the family's law, kN; None: nothing known.

    Tests that may not be used (too few, no scatter stated; one that holds nothing) give zero.
    """
    for row in farm.declared_holdings:
        if row.anchor == anchor.name and row.seabed == leg.seabed:
            return row.holding_kn
    if runs:
        loads = [usable_kn(run, leg.allowed_drag_m) for run in runs]
        return fractile_kn(loads, farm.project.pull_test_scatter)
    for law in farm.holding_laws:
        if law.family == anchor.family and law.seabed == leg.seabed:
            size = anchor.mass_kg / law.reference_mass_kg
            return law.reference_holding_kn * math.exp(law.exponent * math.log(size))
    return None


def fractile_kn(loads: list[float], stated_scatter: float | None) -> float:
    """Return the 5 % fractile of test loads (EN 1990:2002 D.7, log-normal), kN.

    Zero where any load is zero, and where one or two tests have no stated scatter.
    """
    count = len(loads)
    if min(loads) <= 0 or (count < 3 and stated_scatter is None):
        return 0.0
    logs = [math.log(load) for load in loads]
    mean = math.fsum(logs) / count
    if count < 3 and stated_scatter is not None:
        factor, deviation = D1_KNOWN[count], math.sqrt(math.log(1 + stated_scatter**2))
    else:
        factor = [k for n, k in D1_UNKNOWN if n <= count][-1]
        deviation = math.sqrt(math.fsum((x - mean) ** 2 for x in logs) / (count - 1))
    return math.exp(mean - factor * deviation)


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
