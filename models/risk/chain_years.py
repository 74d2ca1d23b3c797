"""Years of chain: when each line's chain is worn to its limit, and what replacing it is worth now.

Breaking load falls with the square of the diameter left. With d as new, a breaking load B and a
strength required R, factors in, the least diameter is d √(R ÷ B), and at a steady rate of wear it
is reached after (d − least) ÷ rate years. Chain is replaced every whole number of years that lies
within that: the present worth of one unit of money every n years up to a horizon, at a rate i, is
Σ (1 + i)⁻ᵏⁿ over kn ≤ horizon.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..answer.plan import Assignment, Plan
from ..arrays import ROUNDING, floor_to_whole
from ..farm import Farm
from ..standing.load_cases import leg_cases, own_factor


@dataclass(frozen=True)
class ChainYears:
    """The chain of some lines of one leg group, built alike."""

    leg: str
    chain: str
    lines: int
    diameter_mm: float
    least_mm: float
    """At which it is worn to its limit."""
    years: float
    """Until then; infinite where nothing wears."""
    each: float
    """What replacing the chain of one line costs: chain and boat time, project currency."""
    present_worth: float
    """Of all replacements of these lines within the horizon; 0 without a horizon."""


def least_diameter_mm(diameter_mm: float, required_kn: float, breaking_load_kn: float) -> float:
    """Return the diameter, mm, at which a chain as new breaks at no more than is required."""
    return diameter_mm * math.sqrt(required_kn / breaking_load_kn)


def worth_of_replacing(every_years: int, horizon_years: float, rate: float) -> float:
    """Return the present worth of one unit of money every so many years, the horizon in."""
    times = floor_to_whole(horizon_years / every_years, ROUNDING)
    return sum((1 + rate) ** (-every_years * k) for k in range(1, times + 1))


def chain_years(plan: Plan) -> tuple[ChainYears, ...]:
    """Return the years of every line's chain, the first to need replacing first.

    Boat time: shifting and the handling of the chain, at the day rate of the vessel that lays it;
    mobilisation and trips are not in it. None where no wear is stated.
    """
    if plan.farm.project.chain_wear_mm_per_year <= 0:
        return ()
    found = [_years(plan.farm, row) for row in plan.assignments]
    return tuple(sorted(found, key=lambda one: (one.years, one.leg)))


def present_worth(years: Sequence[ChainYears]) -> float:
    """Return the present worth of all replacements within the horizon, project currency."""
    return sum(one.present_worth for one in years)


def _years(farm: Farm, row: Assignment) -> ChainYears:
    project, leg = farm.project, farm.leg_by_name[row.leg]
    chain = farm.chain_by_name[row.make_up.chain]
    factor = own_factor(farm, farm.anchor_by_name[row.make_up.anchor])
    required = max(case.chain_required_kn for case in leg_cases(farm, leg, factor))
    least = least_diameter_mm(chain.diameter_mm, required, chain.breaking_load_kn)
    years = (chain.diameter_mm - least) / project.chain_wear_mm_per_year
    vessel = farm.vessel_by_name[row.vessel]
    metre = farm.item_by_name[chain.name].list_price / chain.length_sold_m
    minutes = vessel.shifting_min_per_leg + row.make_up.chain_m / 10 * chain.handling_min_per_10_m
    boat = minutes / 60 * vessel.day_rate / vessel.hours_per_charged_day
    each = row.make_up.chain_m * metre + boat
    every = floor_to_whole(years, ROUNDING)
    worth = 0.0
    if project.replacement_horizon_years > 0:
        horizon, rate = project.replacement_horizon_years, project.discount_rate
        worth = row.count * each * worth_of_replacing(max(every, 1), horizon, rate)
    return ChainYears(row.leg, chain.name, row.count, chain.diameter_mm, least, years, each, worth)
