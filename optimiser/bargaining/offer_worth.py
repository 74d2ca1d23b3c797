"""What every offer is worth: the price at which it enters the least plan, or leaves it.

Along the price of one offer the least cost is concave, and level wherever the offer is not bought:
so it has one last break point, the turning, below which the offer is bought. It is where the line
of the best plan that buys the offer meets the least cost without it, and is found from below: the
line of any plan that buys it meets that cost at or below the turning; the farm priced there either
has no cheaper plan, and that is the turning, or one whose line meets it farther up. Each step is
one of the intersections of Eisner and Severance (see `envelope`), of which only the last is asked
for; every plan found counts for all offers.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from ...models.answer.plan import Plan
from ...models.answer.stopped import Stopped
from ...models.arrays import ROUNDING
from ...models.asked.break_even import CostLine
from ...models.asked.offer_worth import OfferWorth, OfferWorths
from ...models.goods.item import ItemKind, ItemOffer, OfferKey
from ...models.option import FREE, Option, Rule, What, one_rule
from ...models.rate import TODAY, Rate, RateKind, Rates
from ..repricing.farm_pricer import FarmPricer, PricedOption
from ..search.settlement import Settlement
from .offer_bounds import OfferBounds
from .swap import rated
from .vain_offers import asked_in_vain

BASE_SHARE = 1 / 3
"""Most of the time that the plan itself may take: every offer is held against it."""

NEXT_TO_NOTHING = 0.01
"""Multiplier at which an offer that no plan buys is tried first."""

MANY_TIMES = 100.0
"""Multiplier at which an offer is as good as not made: nobody bargains about more."""

CENT = 0.01
"""Project currency: what saves less saves nothing."""

MOST_STEPS = 12
"""Most solves for one offer."""


LEAST_S = 0.5
"""Seconds that a solve is given at least."""

WORTH_A_SOLVE = 0.5
"""Share of the time that the plan itself took below which nothing comes of pricing the farm anew:
what the relaxation says at once says more."""

RIVALS_LOOK, RIVALS_PROOF, LOOK = 0.5, 0.7, 0.85
"""Shares of the time by which offers of items that several offer have been looked at, and proven,
and by which the others have been looked at."""

ORDER_SHARE = 0.1
"""Most of the time that finding out which offers are likely may take."""

LOOK_S = 1.0
"""Seconds of a look for a plan without an offer: enough to change a known plan."""

LOOKS = 3
"""Looks for plans that buy an offer, each at the turning of the one before."""

OPTION_OF = {ItemKind.ANCHOR: What.ANCHORS, ItemKind.CHAIN: What.CHAINS, ItemKind.ROPE: What.ROPES}
"""Kind of item → what an option calls it."""

ENTERS_NEVER = "not in the least plan even at a hundredth of its price"
STAYS = "in the least plan even at a hundred times its price"
NONE_WITH_IT = "no plan found with it is the cheapest, even at a hundredth of its price: not proven"
NONE_WITHOUT_IT = (
    "no plan found without it is the cheapest, even at a hundred times its price: not proven"
)
NOT_TRIED = "not tried: the time was up"

Told = Callable[[str, float, float], bool]
"""Called with (what is being solved, best cost, bound); returns True to stop."""


def offer_worths(
    pricing: FarmPricer, *, time_limit_s: float = 600.0, progress: Told | None = None
) -> OfferWorths:
    """Return what every offer is worth, exact to the gap of `pricing`; the free choice is priced
    first if it was not. Raises ValueError where there is no plan to hold offers against."""
    return OfferWorthRun(pricing, progress, time_limit_s).all()


@dataclass(frozen=True)
class PlanKnown:
    """A plan found on the way, and what it costs at the prices asked."""

    settlement: Settlement
    cost: float


class OfferWorthRun:
    """The question, its clock, and every plan found so far."""

    def __init__(
        self,
        pricing: FarmPricer,
        progress: Told | None,
        time_limit_s: float,
        base_s: float = math.inf,
    ) -> None:
        """base_s : most seconds for the plan itself, where it is known already. Raises ValueError
        where there is no plan."""
        self.pricing, self.progress = pricing, progress
        self.began = time.perf_counter()
        self.ends = self.began + time_limit_s
        self.solves = 0
        self.stopped: Stopped | None = None
        self.plans: list[PlanKnown] = []
        self.whys: dict[OfferKey, str] = {}
        """Why an offer has no turning, where that was plain at once."""
        self.looked: set[OfferKey] = set()
        """Offers for which plans with them, or without, were looked for."""
        self.base = self._price("the plan itself", TODAY, min(time_limit_s * BASE_SHARE, base_s))
        if self.base.settlement is None:
            raise ValueError(self.base.why)
        self.bounds = OfferBounds(pricing, self.base.bound)

    def all(self) -> OfferWorths:
        """Ask of every offer in turn; those of items that several offer come first."""
        offers = list(self.pricing.farm.offer_by_key.values())
        rivals = {item.name for item in self.pricing.farm.items if len(item.offers) > 1}
        for offer in offers:
            if why := asked_in_vain(self.pricing.farm, self.pricing.choices, offer):
                self.whys[offer.key] = why
        offers = [offer for offer in offers if offer.key not in self.whys]
        against = [offer for offer in offers if offer.item in rivals]
        self._look_and_prove(against, RIVALS_LOOK, RIVALS_PROOF)
        others = self._likely_first([offer for offer in offers if offer not in against])
        self._look_and_prove(others, LOOK, 1.0)
        self._look_and_prove(offers, 0.0, 1.0)
        least = self._least()
        found = replace(self.pricing.bettered(self.base), settlement=least.settlement)
        plan = replace(found, settlement=replace(least.settlement, cost=least.cost)).plan()
        assert plan is not None, "a priced plan stays one"
        worths = [self._worth(offer) for offer in self.pricing.farm.offer_by_key.values()]
        known = worths_of(plan, self.pricing.gap, worths)
        # What time is left is not enough for another price of the farm.
        stopped = self.stopped or (None if known.proven else Stopped.TIME_LIMIT)
        spent = time.perf_counter() - self.began
        return replace(known, solves=self.solves, seconds=spent, stopped=stopped)

    def _likely_first(self, offers: Sequence[ItemOffer]) -> list[ItemOffer]:
        """Return the offers as they are looked at: those that lost first which might save most if
        they were as good as given away, then those that won, then those that might save nothing."""
        saves: dict[OfferKey, float] = {}
        until = time.perf_counter() + ORDER_SHARE * (self.ends - self.began)
        for offer in offers:
            if not self._takes(self._least(), offer) and not self._time_is_up(until):
                self.bounds.relax(offer, NEXT_TO_NOTHING)
                saves[offer.key] = self.bounds.saving(offer, NEXT_TO_NOTHING)

        def order(offer: ItemOffer) -> tuple[int, float]:
            saving = saves.get(offer.key)
            if saving is None:
                return 1, 0.0
            return (0 if saving > CENT else 2), -saving

        return sorted(offers, key=order)

    def one(self, key: OfferKey) -> OfferWorth:
        """Ask of one offer alone, with all the time there is."""
        offer = self.pricing.farm.offer_by_key[key]
        if why := asked_in_vain(self.pricing.farm, self.pricing.choices, offer):
            self.whys[key] = why
        else:
            self._look(offer)
            self._bound(offer)
            self._prove(offer, self.ends)
        return self._worth(offer)

    @property
    def least(self) -> Settlement:
        """The cheapest plan found so far."""
        return self._least().settlement

    def _look_and_prove(self, offers: Sequence[ItemOffer], look: float, proof: float) -> None:
        """Look at each of some offers and bound it, then prove those that are not, the nearest to
        the least plan first; both up to a share of all the time."""
        whole = self.ends - self.began
        for offer in offers:
            if self._time_is_up(self.began + look * whole):
                break
            self._look(offer)
        for offer in offers:
            if not self._time_is_up():
                self._bound(offer)
        left = [offer for offer in offers if not self._sure(offer)]
        left.sort(key=lambda offer: self._worth(offer).stake or math.inf)
        for number, offer in enumerate(left):
            now, until = time.perf_counter(), self.began + proof * whole
            if self._time_is_up(until):
                break
            least = WORTH_A_SOLVE * self.base.seconds
            if until - now < least:
                break
            share = (until - now) / (len(left) - number)
            self._prove(offer, min(now + max(share, least), until))

    def _look(self, offer: ItemOffer) -> None:
        """Find plans that buy an offer which lost, or do without one that won, at no proof."""
        self.looked.add(offer.key)
        least = self._least().settlement
        rate = Rate(RateKind.OFFER, offer.item, offer.supplier)
        if self._takes(self._least(), offer):
            option = self._without(offer)
            if option is not None:
                found = self.pricing.price(option, time_limit_s=LOOK_S)
                self._keep(found.settlement)
            else:
                self._keep(self.pricing.resettled(least, Rates(((rate, MANY_TIMES),))))
            return
        at = NEXT_TO_NOTHING
        for _ in range(LOOKS):
            rates = Rates(((rate, at),))
            if (offer.item, offer.supplier) in self._of_items_used():
                self._keep(self.pricing.resettled(least, rates))
            self._keep(self.pricing.with_item(least, offer.item, rates))
            turning, _ = self._turning(offer)
            if turning is None or turning <= at * (1 + ROUNDING):
                return
            at = turning

    def _of_items_used(self) -> set[OfferKey]:
        """Return the offers of items that the least plan uses."""
        used = {item for item, _ in self._least().settlement.quantities}
        return {key for key in self.pricing.farm.offer_by_key if key[0] in used}

    def _without(self, offer: ItemOffer) -> Option | None:
        """Return the option of doing without an item that only this offer is made of; None: others
        offer it too, or no option names its kind."""
        item = self.pricing.farm.item_by_name[offer.item]
        what = OPTION_OF.get(item.kind)
        if len(item.offers) > 1 or what is None:
            return None
        return one_rule(f"without {item.name}", Rule.FORBID, what, item.name)

    def _bound(self, offer: ItemOffer) -> None:
        """Bound the least cost where the offer's turning is known to be, at no solve."""
        if not self._sure(offer):
            self.bounds.relax(offer, self._asked_at(offer))

    def _prove(self, offer: ItemOffer, until: float) -> None:
        """Find the turning of one offer to the gap, as far as the time goes."""
        for _ in range(MOST_STEPS):
            if self._sure(offer) or self._time_is_up(until):
                return
            before = self._asked_at(offer)
            self._step(offer, before, until)
            if abs(self._asked_at(offer) - before) <= before * ROUNDING:
                return  # no cheaper plan was found there
            self._bound(offer)

    def _step(self, offer: ItemOffer, multiplier: float, until: float) -> None:
        """Price the farm with the offer's prices multiplied, and keep what is proven."""
        rate = Rate(RateKind.OFFER, offer.item, offer.supplier)
        seconds = max(until - time.perf_counter(), LEAST_S)
        label = f"{rate} × {multiplier:.4g}"
        priced = self._price(label, Rates(((rate, multiplier),)), seconds)
        self.bounds.know(offer, multiplier, priced.bound)

    def _asked_at(self, offer: ItemOffer) -> float:
        """Return the multiplier that decides on an offer: where it turns, as far as is known; else
        where it is as good as given away, or, bought, as good as not made."""
        turning, _ = self._turning(offer)
        if turning is not None:
            return turning
        return MANY_TIMES if self._takes(self._least(), offer) else NEXT_TO_NOTHING

    def _price(self, label: str, rates: Rates, seconds: float) -> PricedOption:
        self.solves += 1

        def told(cost: float, bound: float) -> bool:
            if self.progress is not None and self.progress(label, cost, bound):
                self.stopped = Stopped.INTERRUPTED
            return self.stopped is Stopped.INTERRUPTED

        priced = self.pricing.price(FREE, rates, time_limit_s=seconds, progress=told)
        self._keep(priced.settlement)
        return priced

    def _keep(self, settlement: Settlement | None) -> None:
        if settlement is not None:
            cost = self.pricing.cost_at(settlement, TODAY)
            self.plans.append(PlanKnown(settlement, cost))

    def _least(self) -> PlanKnown:
        return min(self.plans, key=lambda one: one.cost)

    @staticmethod
    def _takes(one: PlanKnown, offer: ItemOffer) -> bool:
        return one.settlement.quantities.get(offer.key, 0) > 0

    def _line(self, one: PlanKnown, offer: ItemOffer) -> CostLine:
        """Return what a plan costs along the offer's price: goods, duty and insurance of it."""
        share = rated(self.pricing.farm, offer, one.settlement.quantities.get(offer.key, 0))
        return CostLine(one.cost - share, share)

    def _turning(self, offer: ItemOffer) -> tuple[float | None, PlanKnown | None]:
        """Return where the best known plan with the offer meets the least known without it, and
        that plan; None where either is not known, no price is low enough, or none that anyone
        would ask high enough."""
        without = [one.cost for one in self.plans if not self._takes(one, offer)]
        taking = [one for one in self.plans if self._takes(one, offer)]
        if not without or not taking:
            return None, None
        least = min(without)

        def meets(one: PlanKnown) -> float:
            line = self._line(one, offer)
            return (least - line.fixed) / line.rated if line.rated > 0 else -math.inf

        best = max(taking, key=meets)
        turning = meets(best)
        return (turning, best) if 0 < turning <= MANY_TIMES else (None, best)

    def _worth(self, offer: ItemOffer) -> OfferWorth:
        item = self.pricing.farm.item_by_name[offer.item]
        least = self._least()
        bought = least.settlement.quantities.get(offer.key, 0)
        turning, one = self._turning(offer)
        taking = [known.cost for known in self.plans if self._takes(known, offer)]
        without = [known.cost for known in self.plans if not self._takes(known, offer)]
        gap = self._gap(offer)
        why = self.whys.get(offer.key, "")
        if why:
            turning = None
        elif turning is None and near_enough(gap, self.pricing.gap):
            why = STAYS if bought else ENTERS_NEVER
        elif turning is None:
            why = NONE_WITHOUT_IT if bought else NONE_WITH_IT
            why = why if offer.key in self.looked else NOT_TRIED
        return OfferWorth(
            offer.item,
            offer.supplier,
            offer.quotation,
            offer.currency,
            offer.prices.brackets[0].price / (item.length_sold_m or 1.0),
            bought,
            turning,
            least.cost if turning is None else min(without),
            min(taking, default=None),
            one.settlement.quantities.get(offer.key, 0) if one else 0,
            self._line(one, offer).rated if one else 0.0,
            gap,
            why,
        )

    def _gap(self, offer: ItemOffer) -> float:
        """Return by what share any plan may be cheaper than the cheapest known, where the price of
        an offer decides on it."""
        if offer.key in self.whys:
            return 0.0
        multiplier = self._asked_at(offer)
        there = min(self._line(one, offer).at(multiplier) for one in self.plans)
        return max(1.0 - self.bounds.at(offer, multiplier) / there, 0.0) if there > 0 else 0.0

    def _sure(self, offer: ItemOffer) -> bool:
        return near_enough(self._gap(offer), self.pricing.gap)

    def _time_is_up(self, until: float = math.inf) -> bool:
        up = time.perf_counter() > min(self.ends, until)
        if time.perf_counter() > self.ends and self.stopped is None:
            self.stopped = Stopped.TIME_LIMIT
        return up or self.stopped is not None


def worths_of(plan: Plan, gap: float, worths: Sequence[OfferWorth]) -> OfferWorths:
    """Return the offers that lost and those that won, each in their order."""
    return OfferWorths(
        plan,
        gap,
        tuple(sorted((w for w in worths if not w.won), key=_nearest_first)),
        tuple(sorted((w for w in worths if w.won), key=_dearest_first)),
        0,
        0.0,
    )


def near_enough(gap: float, asked: float) -> bool:
    """Tell whether a gap is the one asked for, but for rounding."""
    return gap <= asked + ROUNDING


def _nearest_first(one: OfferWorth) -> tuple[bool, float]:
    return one.stake is None, one.stake or 0.0


def _dearest_first(one: OfferWorth) -> tuple[bool, float]:
    return one.stake is not None, -(one.stake or 0.0)
