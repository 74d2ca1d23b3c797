"""Targets for bargaining: a cent below its target an offer is bought, a cent above it is not."""

from __future__ import annotations

from dataclasses import replace

import pytest
from moorledger.models.asked.offer_worth import OfferWorth, OfferWorths
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.models.rate import Rate, RateKind, Rates
from moorledger.optimiser.bargaining.offer_worth import offer_worths
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
