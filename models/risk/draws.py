"""Draws: a plan's installed cost, many times over, each time with other days, rates and prices.

A plan's cost is a sum of amounts, each in proportion to a few multipliers: an order line to those
of its item, its supplier and their currency; a booking to those of freight, its service and its
currency; a vessel's days to its day rate and to the days it will be charged. One source of spread
draws one multiplier, log-normal between its P10 and P90; a vessel's weather draws its days.
The same source draws the same numbers for every plan, so that plans are compared on like luck.
"""

from __future__ import annotations

import math
import zlib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from statistics import NormalDist

import numpy as np

from ..answer.plan import Plan
from ..arrays import Floats
from ..farm import Farm
from ..site.uncertainty import Uncertain, Uncertainty
from .charged_days import chances_of_lost_days, working_days_of

DRAWS = 20_000
"""Draws of a plan's cost."""

SEED = 21
"""Of all draws: the same plan has the same spread every time."""

Z90 = NormalDist().inv_cdf(0.9)
"""Standard deviations from the median to P90."""


@dataclass(frozen=True)
class Luck:
    """One source of spread: its multiplier in every draw."""

    name: str
    multiplier: Floats
    """(DRAWS,)"""


def evenly_drawn(name: str) -> Floats:
    """Return (DRAWS,) chances between 0 and 1, one from the middle of each of as many equal parts
    (a Latin hypercube), in an order that is the source's own."""
    order = np.random.default_rng([SEED, zlib.crc32(name.encode())]).permutation(DRAWS)
    return np.asarray((order + 0.5) / DRAWS)


@lru_cache(maxsize=1)
def _normal_scores() -> Floats:
    """Return (DRAWS,) the standard normal deviates of the middles of equal parts, in order."""
    normal = NormalDist()
    half = [normal.inv_cdf((place + 0.5) / DRAWS) for place in range(DRAWS)]
    return np.array(half)


def log_normal(name: str, p10: float, p90: float) -> Floats:
    """Return (DRAWS,) log-normal multipliers with this P10 and P90."""
    middle = 0.5 * (math.log(p10) + math.log(p90))
    deviation = (math.log(p90) - math.log(p10)) / (2 * Z90)
    places = np.floor(evenly_drawn(name) * DRAWS).astype(np.int64)
    return np.asarray(np.exp(middle + deviation * _normal_scores()[places]))


class CostDraws:
    """The installed cost of one plan over all draws, by its sources of spread."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        rows = plan.farm.uncertainties
        self._rows = {str(row): row for row in rows}
        amounts: defaultdict[tuple[str, ...], float] = defaultdict(float)
        for money, names in _amounts(plan, rows):
            amounts[tuple(sorted(names))] += money
        self.amounts = {names: money for names, money in amounts.items() if money}

    @cached_property
    def lucks(self) -> tuple[Luck, ...]:
        """The sources that this plan's cost depends on."""
        used = sorted({name for names in self.amounts for name in names})
        return tuple(self._luck(name) for name in used)

    @cached_property
    def costs(self) -> Floats:
        """(DRAWS,) the installed cost in every draw."""
        return self._costs(frozenset(luck.name for luck in self.lucks))

    def alone(self, luck: Luck) -> Floats:
        """Return (DRAWS,) the cost with one source of spread, everything else as priced."""
        return self._costs(frozenset({luck.name}))

    def _costs(self, drawn: frozenset[str]) -> Floats:
        by_name = {luck.name: luck.multiplier for luck in self.lucks if luck.name in drawn}
        costs = np.zeros(DRAWS)
        for names, money in self.amounts.items():
            each = np.full(DRAWS, money)
            for name in names:
                if name in by_name:
                    each *= by_name[name]
            costs += each
        return costs

    def _luck(self, name: str) -> Luck:
        row = self._rows.get(name)
        if row is not None:
            return Luck(name, log_normal(name, row.p10_share, row.p90_share))
        campaign = next(c for c in self.plan.campaigns if weather_of(c.vessel) == name)
        vessel = self.plan.farm.vessel_by_name[campaign.vessel]
        working = working_days_of(vessel, campaign.hours)
        lost = np.searchsorted(
            chances_of_lost_days(working, vessel.workable_share), evenly_drawn(name)
        )
        return Luck(name, (working + lost) / campaign.days)


def weather_of(vessel: str) -> str:
    """Return what the source of spread of a vessel's charged days is called."""
    return f"weather: days of {vessel}"


def _amounts(plan: Plan, rows: Sequence[Uncertainty]) -> Iterator[tuple[float, list[str]]]:
    """Yield the amounts that make up the installed cost, each with the sources it depends on."""
    farm = plan.farm
    insured = 1.0 + farm.project.insurance_share
    suppliers = {supplier.name: supplier for supplier in farm.suppliers}
    for line in plan.orders:
        money = line.money * insured + line.duty
        currency = suppliers[line.supplier].currency
        yield money, _named(rows, item=line.item, supplier=line.supplier, currency=currency)
    for name, charge in plan.order_charges.items():
        yield charge, _named(rows, currency=suppliers[name].currency)
    for money, currency in _joins(plan):
        yield money, _named(rows, currency=currency)
    for booking in plan.bookings:
        service = farm.service_by_name[booking.service]
        money = booking.money * insured + booking.duty
        yield money, _named(rows, service=service.name, currency=service.currency)
    for campaign in plan.campaigns:
        yield campaign.mobilisation + campaign.fuel, []
        names = _named(rows, vessel=campaign.vessel)
        if farm.vessel_by_name[campaign.vessel].workable_share < 1:
            names.append(weather_of(campaign.vessel))
        yield campaign.day_money, names


def _joins(plan: Plan) -> Iterator[tuple[float, str]]:
    """Yield what the connectors bought of each chain cost, and the currency of it."""
    farm: Farm = plan.farm
    for name, number in plan.connectors_bought.items():
        item = farm.item_by_name[name]
        currency = item.offers[0].currency if item.offers else farm.project.currency
        yield item.join_cost * number, currency


def _named(
    rows: Sequence[Uncertainty],
    *,
    item: str = "",
    supplier: str = "",
    currency: str = "",
    service: str = "",
    vessel: str = "",
) -> list[str]:
    """Return the names of the rows that an amount of these depends on."""
    of = {
        Uncertain.ITEM: item,
        Uncertain.SUPPLIER: supplier,
        Uncertain.CURRENCY: currency,
        Uncertain.SERVICE: service,
        Uncertain.FREIGHT: service,
        Uncertain.DAY_RATE: vessel,
    }
    return [str(row) for row in rows if of[row.what] and row.which in ("", of[row.what])]
