"""What an anchor holds, worked by trying; apart from the models and from the recheck.

Stopped tests: every choice of them is tried, and the load at which none is counted higher is
looked for on a grid that is made finer about its best point.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from functools import cache
from math import exp, fsum, inf, log, sqrt
from statistics import NormalDist, fmean

from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import Anchor
from moorledger.models.site.pull_test import Event, Reading
from scipy.stats import lognorm

TABLE_D1 = """
 n    known  unknown
 1    2.31   -
 2    2.01   -
 3    1.89   3.37
 4    1.83   2.63
 5    1.80   2.33
 6    1.77   2.18
 8    1.74   2.00
 10   1.72   1.92
 20   1.68   1.76
 30   1.67   1.73
"""
"""k_n of EN 1990:2002 Annex D for the 5 % characteristic value (seen in a copy)."""

ONE_IN_TWENTY = NormalDist().inv_cdf(0.95)
"""Standard deviations under the mean below which 5 % lie; MODEL rounds it to 1.645."""

GRID, FINER = 40, 26
"""Points of a grid, and how often it is narrowed about its best."""


def structural_limit_kn(farm: Farm, anchor: Anchor) -> float:
    """Return the least of the stated limit and of what it had carried whenever it broke, kN."""
    limit = anchor.structural_limit_kn or inf
    for run in _runs(farm, anchor).values():
        ends = [n for n, reading in enumerate(run) if reading.event is Event.BROKE]
        if ends:
            limit = min(limit, max(reading.load_kn for reading in run[: ends[0] + 1]))
    return limit


def design_holding_kn(
    farm: Farm, anchor: Anchor, seabed: str, allowed_drag_m: float, stood_kn: float = 0.0
) -> float | None:
    """Return what its embedding is relied on to hold, kN; zero where the anchor is refused.

    None where nothing is known of it: a deadweight then rests on its weight alone. stood_kn : the
    setting pull that it stands, where that counts.
    """
    heavy = anchor.holds_by == "weight"
    if heavy and all(bed.deadweight_friction is None for bed in farm.seabeds if bed.name == seabed):
        return 0.0
    runs = [run for (bed, _), run in _runs(farm, anchor).items() if bed == seabed]
    held = [_worth(run, allowed_drag_m) for run in runs if not _lower(run, allowed_drag_m)]
    bounds = [_worth(run, allowed_drag_m) for run in runs if _lower(run, allowed_drag_m)]
    scatter = farm.project.pull_test_scatter
    by_tests, loads, deviation = _by_tests(
        held, bounds, scatter, farm.project.least_pull_test_scatter
    )
    if heavy:
        stood_kn = 0.0
    after = by_tests * _raised(exp(fmean(map(log, loads))), deviation, stood_kn) if loads else 0.0
    rely = bool(held) and (scatter is not None or len(held) > 2)
    against = by_tests if rely else min([*held, inf])
    for row in farm.declared_holdings:
        if (row.anchor, row.seabed) == (anchor.name, seabed) and (
            row.overrides_tests or row.holding_kn <= max(against, by_tests) * 1.000000001
        ):
            return row.holding_kn
    by_law = more = None
    for law in farm.holding_laws:
        if (law.family, law.seabed) == (anchor.family, seabed):
            mean = law.reference_holding_kn * exp(
                law.exponent * (log(anchor.mass_kg) - log(law.reference_mass_kg))
            )
            by_law = more = mean * exp(-round(ONE_IN_TWENTY, 3) * _spread(law.scatter or 0.0))
            if law.scatter:
                more *= _raised(mean, _spread(law.scatter), stood_kn)
    if by_law is None and not held and (heavy or not bounds):
        return None
    if by_law is None or more is None or rely or by_tests >= min(by_law, against):
        return after
    return min(more, against)


def _raised(median_kn: float, deviation: float, stood_kn: float) -> float:
    """Return by what the 5 % value grows for anchors that stood a pull, as scipy has the spread."""
    if stood_kn <= 0 or stood_kn >= median_kn or deviation == 0:
        return 1.0
    of = lognorm(deviation, scale=median_kn)
    return float(of.isf(0.95 * of.sf(stood_kn)) / of.ppf(0.05))


def _runs(farm: Farm, anchor: Anchor) -> dict[tuple[str, str], list[Reading]]:
    runs: defaultdict[tuple[str, str], list[Reading]] = defaultdict(list)
    for reading in farm.readings:
        if reading.anchor == anchor.name:
            runs[reading.seabed, reading.test].append(reading)
    return runs


def _bad(reading: Reading) -> bool:
    return reading.event in (Event.ROLLED_OUT, Event.BROKE)


def _lower(run: list[Reading], drag_m: float) -> bool:
    """Tell whether a run was stopped within the drag, never having let go: a lower bound."""
    stopped = run[-1].event is Event.STOPPED and run[-1].drag_m <= drag_m
    return stopped and not any(map(_bad, run))


def _worth(run: list[Reading], drag_m: float) -> float:
    """Return the load that a run lets one rely on within a drag, kN."""
    seen = [reading for reading in run if reading.drag_m <= drag_m]
    later = run[len(seen) :]
    if not seen or any(reading.event is Event.BROKE for reading in seen):
        return 0.0
    loads = [reading.load_kn for reading in seen]
    if later and not _bad(later[0]):
        last, then = seen[-1], later[0]
        part = (drag_m - last.drag_m) / (then.drag_m - last.drag_m)
        loads.append((1 - part) * last.load_kn + part * then.load_kn)
    worth = max(loads)
    for n, reading in enumerate(seen):
        if reading.event is Event.ROLLED_OUT:
            fell = any(before.load_kn > reading.load_kn for before in run[:n])
            rest = [after.load_kn for after in run[n + (0 if fell else 1) :]]
            worth = min([worth, *(rest or [0.0])])
    return worth


Valued = tuple[float, list[float], float]
"""A characteristic value, the loads that it is of as they are counted, and the deviation."""


def _by_tests(
    held: list[float], bounds: list[float], scatter: float | None, least: float
) -> Valued:
    """Return the characteristic value, kN, and what it is of; zero where there is none."""
    best: Valued = 0.0, [], 0.0
    if 0.0 in held:
        return best
    bounds = [bound for bound in bounds if bound > 0]
    for taken in range(len(bounds) + 1):
        for chosen in set(itertools.combinations(sorted(bounds), taken)):
            best = max(best, _best_capped(held, chosen, scatter, least))
    return best


def _best_capped(
    held: list[float], chosen: tuple[float, ...], scatter: float | None, least: float
) -> Valued:
    if not chosen:
        return _value(held, False, scatter, least)
    low, high = log(min([*held, *chosen])), log(max(chosen))
    best: Valued = 0.0, [], 0.0
    for _ in range(FINER):
        step = (high - low) / GRID
        caps = [low + step * n for n in range(GRID)] + [high]
        values = [
            _value([*held, *(min(load, exp(cap)) for load in chosen)], True, scatter, least)
            for cap in caps
        ]
        best = max(best, *values)
        top = caps[values.index(max(values))]
        low, high = max(low, top - step), min(high, top + step)
    return best


def _value(loads: list[float], stopped: bool, scatter: float | None, least: float) -> Valued:
    """Return the value of loads as they are counted by the formulas of Annex D, kN."""
    logs = [log(load) for load in loads]
    known, unknown = _factors(len(loads))
    floor, stated = _spread(least), None if scatter is None else _spread(scatter)
    mean = fsum(logs) / len(logs) if logs else 0.0
    squares = fsum((one - mean) ** 2 for one in logs)
    own = sqrt(squares / (len(logs) - 1)) if len(logs) > 1 else 0.0
    if stopped:
        floor = max(floor, stated or 0.0)
        stated = None if stated is None else max(own, floor)
    drops = []
    if unknown is not None:
        drops.append((unknown * max(own, floor), max(own, floor)))
    if known is not None and stated is not None:
        drops.append((known * stated, stated))
    if not drops:
        return 0.0, [], 0.0
    drop, deviation = max(drops)
    return exp(mean - drop), loads, deviation


def _spread(scatter: float) -> float:
    return sqrt(log(1 + scatter**2))


@cache
def _factors(count: int) -> tuple[float | None, float | None]:
    """Return k_n for V_X known and unknown; of the next smaller number where not tabulated."""
    found: tuple[float | None, float | None] = None, None
    for line in TABLE_D1.strip().splitlines()[1:]:
        n, known, unknown = line.split()
        if int(n) <= count:
            found = float(known), None if unknown == "-" else float(unknown)
    return found
