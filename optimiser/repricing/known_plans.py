"""What is known of a farm from earlier searches: its plans, and the least that any plan costs.

A plan is a plan at other rates and under other options too, wherever they admit its make-ups; and
a bound for what one option leaves holds for every option that leaves less.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from ...models.arrays import Bools
from ...models.farm import Farm
from ...models.rate import Rates
from ..search.ledger import cost_parts
from ..search.settlement import Settlement


@dataclass(frozen=True)
class Offers:
    """The rates, the services that are left and the suppliers that are barred."""

    rates: Rates
    served: frozenset[str]
    barred: frozenset[str]


@dataclass(frozen=True)
class OptionScope:
    """What an option leaves of a farm at some rates."""

    offers: Offers
    admits: Bools
    """(X,) of all the farm's choices."""

    def covers(self, other: OptionScope) -> bool:
        """Tell whether all that another option leaves is left by this one too."""
        return (
            self.offers.rates == other.offers.rates
            and other.offers.served <= self.offers.served
            and other.offers.barred >= self.offers.barred
            and not (other.admits & ~self.admits).any()
        )


@dataclass(frozen=True)
class KnownPlan:
    """A plan found at some time."""

    settlement: Settlement
    services: frozenset[str]
    """That it ships by."""
    suppliers: frozenset[str]
    """That it orders from."""
    offers: Offers
    """At which, and from among which, it was settled: there it stays as it is."""


class KnownPlans:
    """The plans and bounds of one farm that were found so far."""

    def __init__(self, farm: Farm) -> None:
        self.farm = farm
        self._plans: list[KnownPlan] = []
        self._bounds: list[tuple[OptionScope, float]] = []

    def keep(self, settlement: Settlement, offers: Offers) -> None:
        """Keep a plan that was settled from these offers."""
        if any(_same(settlement, known.settlement) for known in self._plans):
            return
        suppliers = frozenset(supplier for _, supplier in settlement.quantities)
        self._plans.append(KnownPlan(settlement, frozenset(settlement.packs), suppliers, offers))

    def keep_bound(self, left: OptionScope, bound: float) -> None:
        """Keep that no plan of what an option leaves costs less."""
        self._bounds.append((left, bound))

    def bound(self, left: OptionScope) -> float:
        """Return what is known of the least cost of what an option leaves."""
        covering = (bound for known, bound in self._bounds if known.covers(left))
        return max(covering, default=-math.inf)

    def first(self, number: int) -> list[Settlement]:
        """Return the plans that were found first, whatever they cost now."""
        return [known.settlement for known in self._plans[:number]]

    def standing(
        self, farm: Farm, left: OptionScope, unlike: tuple[Bools, ...]
    ) -> tuple[list[Settlement], list[Settlement]]:
        """Return the plans that stand as they are, at the cost that they have now, and those that
        should be settled anew because something else is on offer; each the cheapest first.

        farm : at the rates. unlike : masks over the choices, of each of which a plan must not be
        made up whole.
        """
        lines = self.farm.leg_count
        standing: list[Settlement] = []
        others: list[tuple[float, Settlement]] = []
        for known in self._plans:
            settlement = known.settlement
            alike = any(settlement.counts[m[settlement.chosen]].sum() >= lines for m in unlike)
            if alike or not left.admits[settlement.chosen].all():
                continue
            if known.offers == left.offers:
                standing.append(settlement)
                continue
            cost = math.inf
            if known.services <= left.offers.served and not known.suppliers & left.offers.barred:
                cost = sum(cost_parts(farm, settlement).values())
                standing.append(replace(settlement, cost=cost))
            others.append((cost, settlement))
        standing.sort(key=lambda one: one.cost)
        others.sort(key=lambda one: one[0])
        return standing, [settlement for _, settlement in others]


def _same(one: Settlement, other: Settlement) -> bool:
    return (
        np.array_equal(one.chosen, other.chosen)
        and np.array_equal(one.counts, other.counts)
        and one.quantities == other.quantities
        and one.packs == other.packs
    )
