"""Targets for bargaining: a cent below its target an offer is bought, a cent above it is not."""

from __future__ import annotations

from dataclasses import replace

import pytest
from moorledger.models.asked.offer_worth import OfferWorth, OfferWorths
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.models.option import FREE
from moorledger.models.rate import Rate, RateKind, Rates
from moorledger.optimiser.bargaining.offer_worth import OfferWorthRun, offer_worths
from moorledger.optimiser.price import price
from moorledger.optimiser.repricing.farm_pricer import FarmPricer

from tests.farms.rival_offers import farm_with_rivals
from tests.quick_run import LONG, mostly_long

EXACT = 1e-8
CENT = 0.01


def worths_of(farm: Farm) -> OfferWorths:
    """Return what the offers of a small farm are worth, exactly."""
    return offer_worths(FarmPricer(farm, gap=EXACT), time_limit_s=120.0)


def buys(farm: Farm, one: OfferWorth, asked: float) -> int:
    """Return what the least plan orders of an offer where its price is another."""
    rate = Rate(RateKind.OFFER, one.item, one.supplier)
    other = Rates(((rate, asked / one.price),)).applied(farm)
    plan = price(other, gap=EXACT, time_limit_s=60.0)
    bought = (
        line for line in plan.orders if (line.item, line.supplier) == (one.item, one.supplier)
    )
    return sum(line.quantity for line in bought)


@LONG
@mostly_long("seed", range(20), quick=[8], most=3)
def test_an_offer_enters_a_cent_below_its_target_and_leaves_a_cent_above(seed: int) -> None:
    """Every target of a small farm, of losers and winners, priced again from the beginning."""
    farm = farm_with_rivals(seed)
    farm = replace(farm, legs=tuple(replace(g, count=min(g.count, 2)) for g in farm.legs[:2]))
    try:
        found = worths_of(farm)
    except FarmError:
        pytest.skip("no plan for this farm")
    tried = [one for one in (*found.lost, *found.won) if one.target is not None]
    assert found.proven
    assert tried
    for one in tried:
        assert one.target is not None
        if one.target > CENT:
            assert buys(farm, one, one.target - CENT) > 0, one
        assert buys(farm, one, one.target + CENT) == 0, one


@pytest.mark.parametrize("share", [0.3, 0.8])
def test_a_cheaper_offer_saves_no_more_than_what_is_worth_ordering_of_it(share: float) -> None:
    """Tests the bound by which a loser's target is sure: of every offer of a small farm priced at a
    share of its price, the least cost falls by no more than that takes off the largest order."""
    farm = farm_with_rivals(8)
    farm = replace(farm, legs=tuple(replace(g, count=min(g.count, 2)) for g in farm.legs[:2]))
    run = OfferWorthRun(FarmPricer(farm, gap=EXACT), None, 60.0)
    fell = 0
    for offer in farm.offer_by_key.values():
        rates = Rates(((Rate(RateKind.OFFER, offer.item, offer.supplier), share),))
        there = run.pricing.price(FREE, rates, time_limit_s=60.0)
        assert there.settlement is not None
        most = run.most_rated(offer)
        assert there.settlement.cost >= run.base.bound - (1.0 - share) * most - CENT
        fell += there.settlement.cost < run.base.bound - CENT
    assert fell
