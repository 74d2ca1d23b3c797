"""Years of chain: when each line's chain is worn to its limit, and what replacing it is worth now.

Breaking load falls with the square of the diameter left. With d as new, a breaking load B and a
strength required R, factors in, the least diameter is d √(R ÷ B), and at a steady rate of wear it
is reached after (d − least) ÷ rate years. The rate is the project's, or was measured on a line
that lies: (d as new − d as measured) ÷ years between. Chain is replaced every whole number of years
that lies within that: the present worth of one unit of money every n years up to a horizon, at a
rate i, is Σ (1 + i)⁻ᵏⁿ over kn ≤ horizon.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from ..answer.plan import Assignment, Plan
from ..arrays import ROUNDING, floor_to_whole
from ..farm import Farm
from ..goods.chain import Chain
from ..site.laid_line import DAYS_A_YEAR, LaidLine
from ..site.vessel import Vessel
from ..standing.load_cases import leg_cases, own_factor

MOST_YEARS = 1000.0
"""Beyond which no day is told."""


@dataclass(frozen=True)
class ChainYears:
    """The chain of some lines of one leg group, built alike."""

    leg: str
    """The leg; of a line that lies, its tag."""
    chain: str
    lines: int
    diameter_mm: float
    """As new; of a line that lies, as measured."""
    least_mm: float
    """At which it is worn to its limit."""
    rate_mm_per_year: float
    measured: bool
    """Whether the rate was measured on a line of the leg that lies; else it is the project's."""
    years: float
    """From `diameter_mm` until then; infinite where nothing wears."""
    due: date | None
    """The day of that, of a line that lies."""
    each: float
    """What replacing the chain of one line costs: chain and boat time, project currency."""
    present_worth: float
    """Of all replacements of these lines within the horizon; 0 without a horizon."""


def least_diameter_mm(diameter_mm: float, required_kn: float, breaking_load_kn: float) -> float:
    """Return the diameter, mm, at which a chain as new breaks at no more than is required."""
    return diameter_mm * math.sqrt(required_kn / breaking_load_kn)


def worth_of_replacing(
    every_years: int, horizon_years: float, rate: float, first_years: int | None = None
) -> float:
    """Return the present worth of one unit of money every so many years, the horizon in.

    first_years : until the first of them; None: as many as between any two.
    """
    first = every_years if first_years is None else first_years
    times = floor_to_whole((horizon_years - first) / every_years, ROUNDING) + 1
    return sum((1 + rate) ** -(first + every_years * k) for k in range(times))


def chain_years(plan: Plan) -> tuple[ChainYears, ...]:
    """Return the years of every line's chain, the first to need replacing first.

    At the rate measured on a line of the leg that lies (the fastest of them), else at the
    project's; a line that was measured itself from its own diameter and day. Boat time: shifting
    and the handling of the chain, at the day rate of the vessel that lays it (of one that lies, of
    the vessel that is cheapest); mobilisation and trips are not in it. None where no wear is
    stated or measured.
    """
    farm = plan.farm.whole or plan.farm
    measured = [row for row in farm.laid if (row.years_worn or 0.0) > 0]
    rates: dict[str, float] = {}
    for row in measured:
        rates[row.leg] = max(rates.get(row.leg, 0.0), _rate(farm, row))
    stated = farm.project.chain_wear_mm_per_year
    found = [
        _years(farm, row, rates.get(row.leg, stated), measured=row.leg in rates)
        for row in plan.assignments
        if row.leg in rates or stated > 0
    ]
    found += [_left(farm, row, rates[row.leg]) for row in measured]
    return tuple(sorted(found, key=lambda one: (one.years, one.leg)))


def present_worth(years: Sequence[ChainYears]) -> float:
    """Return the present worth of all replacements within the horizon, project currency."""
    return sum(one.present_worth for one in years)


def _rate(farm: Farm, row: LaidLine) -> float:
    """Return the diameter, mm, that a measured line's chain has lost a year."""
    assert row.chain_measured_mm is not None, "a measured line"
    assert row.years_worn is not None, "a measured line"
    return (farm.chain_by_name[row.chain].diameter_mm - row.chain_measured_mm) / row.years_worn


def _years(farm: Farm, row: Assignment, rate: float, *, measured: bool) -> ChainYears:
    chain = farm.chain_by_name[row.make_up.chain]
    least = _least_mm(farm, row.leg, row.make_up.anchor, chain)
    life = _life(chain.diameter_mm, least, rate)
    each = _each(farm, chain, row.make_up.chain_m, [farm.vessel_by_name[row.vessel]])
    worth = row.count * each * _worth(farm, life, life)
    return ChainYears(
        row.leg, chain.name, row.count, chain.diameter_mm, least, rate, measured, life, None, each,
        worth,
    )  # fmt: skip


def _left(farm: Farm, row: LaidLine, rate: float) -> ChainYears:
    """Return the years left to a line that lies, from the diameter that was measured on it."""
    chain, now = farm.chain_by_name[row.chain], row.chain_measured_mm
    assert now is not None, "a measured line"
    assert row.measured_on is not None, "a measured line"
    least = _least_mm(farm, row.leg, row.anchor, chain)
    left = _life(now, least, rate)
    due = None
    if left < MOST_YEARS:
        due = row.measured_on + timedelta(days=math.floor(left * DAYS_A_YEAR))
    each = _each(farm, chain, row.chain_m, farm.vessels)
    worth = each * _worth(farm, left, _life(chain.diameter_mm, least, rate))
    return ChainYears(row.tag, chain.name, 1, now, least, rate, True, left, due, each, worth)


def _least_mm(farm: Farm, leg: str, anchor: str, chain: Chain) -> float:
    factor = own_factor(farm, farm.anchor_by_name[anchor])
    cases = leg_cases(farm, farm.leg_by_name[leg], factor)
    required = max(case.chain_required_kn for case in cases)
    return least_diameter_mm(chain.diameter_mm, required, chain.breaking_load_kn)


def _life(diameter_mm: float, least_mm: float, rate: float) -> float:
    """Return the years until a diameter is worn to the least, never below none."""
    return max(diameter_mm - least_mm, 0.0) / rate if rate > 0 else math.inf


def _each(farm: Farm, chain: Chain, chain_m: float, vessels: Sequence[Vessel]) -> float:
    """Return what replacing the chain of one line costs: by the cheapest of these vessels."""
    metre = farm.item_by_name[chain.name].list_price / chain.length_sold_m
    handling = chain_m / 10 * chain.handling_min_per_10_m
    boat = min(
        (vessel.shifting_min_per_leg + handling) / 60 * vessel.day_rate
        / vessel.hours_per_charged_day
        for vessel in vessels
    )  # fmt: skip
    return chain_m * metre + boat


def _worth(farm: Farm, first_years: float, life_years: float) -> float:
    """Return the present worth of replacing one unit's worth of chain within the horizon."""
    horizon, rate = farm.project.replacement_horizon_years, farm.project.discount_rate
    if horizon <= 0 or not math.isfinite(life_years):
        return 0.0
    every = max(floor_to_whole(life_years, ROUNDING), 1)
    if first_years == life_years:
        return worth_of_replacing(every, horizon, rate)
    return worth_of_replacing(every, horizon, rate, floor_to_whole(first_years, ROUNDING))
