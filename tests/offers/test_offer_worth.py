"""Targets for bargaining: a cent below its target an offer is bought, a cent above it is not."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from moorledger.io.told.offer_text import target_told
from moorledger.models.asked.offer_worth import OfferWorth, OfferWorths
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.models.goods.item import OfferKey
from moorledger.models.goods.supplier import Offer
from moorledger.models.option import FREE
from moorledger.models.rate import Rate, RateKind, Rates
from moorledger.optimiser.bargaining.offer_bounds import OfferBounds
from moorledger.optimiser.bargaining.offer_worth import OfferWorthRun, offer_worths
from moorledger.optimiser.bargaining.swap import Swap, rated
from moorledger.optimiser.price import price
from moorledger.optimiser.repricing.farm_pricer import FarmPricer

from tests.farms.random_farms import random_farm
from tests.farms.rival_offers import RIVAL, farm_with_rivals
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
    farm = small_farm(seed)
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


def small_farm(seed: int) -> Farm:
    """Return a farm of two leg groups with rival offers."""
    farm = farm_with_rivals(seed)
    return replace(farm, legs=tuple(replace(g, count=min(g.count, 2)) for g in farm.legs[:2]))


@mostly_long("seed", [1, 2, 3, 5, 6, 8], quick=[1], most=2)
def test_no_plan_costs_less_than_an_offer_is_bounded_by(seed: int) -> None:
    """Tests the bounds by which targets are sure, of every offer of a small farm at several shares
    of its price: by the farm's own bound, by swaps, and by the relaxation; many of them are near
    the least cost, which is priced anew."""
    pricing = FarmPricer(small_farm(seed), gap=EXACT)
    bounds = OfferBounds(pricing, pricing.price(FREE, time_limit_s=60.0).bound)
    near = fell = 0
    for offer in pricing.farm.offer_by_key.values():
        for share in (0.3, 0.9, 1.5):
            rates = Rates(((Rate(RateKind.OFFER, offer.item, offer.supplier), share),))
            there = pricing.price(FREE, rates, time_limit_s=60.0)
            assert bounds.at(offer, share) <= there.cost + CENT
            bounds.relax(offer, share)
            assert bounds.at(offer, share) <= there.cost + CENT
            near += bounds.at(offer, share) > 0.995 * there.cost
            fell += there.cost < bounds.least - CENT
    assert fell
    assert near > fell


def with_rival(farm: Farm, key: OfferKey, factor: float, **seller: Any) -> Farm:
    """Return a farm where another supplier from the same place makes an offer like one of the
    farm's, its price multiplied; seller : what else is otherwise of the supplier."""
    own, item = farm.offer_by_key[key], farm.item_by_name[key[0]]
    like = next(s for s in farm.suppliers if s.name == own.supplier)
    rival = replace(like, name=RIVAL, order_charge=0.0, price_factor=1.0, **seller)
    offer = Offer(
        own.item,
        RIVAL,
        own.prices.brackets[0].price / (item.length_sold_m or 1.0) * factor,
        own.minimum_order,
        own.order_multiple,
        own.available,
        own.lead_time_days,
        own.duty_share,
    )
    return replace(farm, suppliers=(*farm.suppliers, rival), offers=(*farm.offers, offer))


def two_groups(seed: int) -> Farm:
    """Return a random farm of two leg groups, a supplier an item."""
    farm = random_farm(seed, "small")
    return replace(farm, legs=tuple(replace(g, count=min(g.count, 2)) for g in farm.legs[:2]))


def test_a_rival_alike_but_dearer_is_sure_without_a_price_anew() -> None:
    """Nobody buys of a rival from the same place, no earlier and in no smaller orders, above what
    the other asks: its target is that price, and as sure as the plan, at no solve."""
    farm = with_rival(two_groups(10), ("C1", "Supplier 1"), 1.05)
    run = OfferWorthRun(FarmPricer(farm, gap=EXACT), None, 60.0)
    assert run.base.settlement is not None
    assert run.base.settlement.quantities["C1", "Supplier 1"] > 0
    before = run.solves
    worth = run.one(("C1", RIVAL))
    assert run.solves == before
    assert worth.turning == pytest.approx(1 / 1.05)
    assert worth.gap <= EXACT


def test_no_figure_is_told_that_nobody_would_ask() -> None:
    """Every plan of this farm has of rope R1: with a rival at 50 times its price it may rise to
    that; with one at 150 times it is told that it stays at a hundred times, no figure."""
    for factor, turning in ((50.0, pytest.approx(50.0)), (150.0, None)):
        farm = with_rival(two_groups(3), ("R1", "Supplier 1"), factor)
        worth = OfferWorthRun(FarmPricer(farm, gap=EXACT), None, 60.0).one(("R1", "Supplier 1"))
        assert worth.turning == turning
        assert worth.gap <= EXACT
        assert bool(worth.why) == (turning is None)


def test_a_target_is_told_as_prices_are_quoted_and_never_above_it() -> None:
    """Above ten by the hundredth, below by the ten-thousandth, rounded down: what is told is still
    a price at which the offer enters."""
    one = OfferWorth("C1", RIVAL, "", "EUR", 100.0, 0, 0.5, 1.0, 1.0, 1, 1.0, 0.0)
    for turning, told in (
        (4.618356, 461.83), (0.0347899, 3.4789), (0.34, 34.0), (0.345, 34.5), (None, None),
    ):  # fmt: skip
        assert target_told(replace(one, turning=turning)) == told


def test_a_swap_stands_only_where_the_other_offer_is_as_good() -> None:
    """From another place, later, in larger orders or packs, of fewer units, or where suppliers are
    few, what a rival sells is not to be had instead; what it costs more is told for what is."""
    farm = two_groups(10)
    own = farm.offer_by_key["C1", "Supplier 1"]
    worse: tuple[dict[str, Any], ...] = (
        {"origin": "elsewhere"},
        {"lead_time_days": 99},
        {"minimum_order": 5},
        {"order_multiple": 3},
        {"available": 12},
    )
    offer = replace(own, supplier=RIVAL, minimum_order=2, order_multiple=2, lead_time_days=30)
    assert Swap(farm, offer, own, 10).stands
    for terms in worse:
        assert not Swap(farm, offer, replace(own, **terms), 10).stands, terms
    few = replace(farm, project=replace(farm.project, most_suppliers=1))
    assert not Swap(few, offer, own, 10).stands
    assert Swap(farm, own, own, 10).dearer(0.5) == pytest.approx(0.5 * rated(farm, own, 10))
    assert Swap(farm, offer, own, 10).dearer(1.0) == pytest.approx(0.0, abs=CENT)
    sellers = tuple(replace(s, order_charge=150.0, exchange_rate=0.9) for s in farm.suppliers)
    charged = replace(farm, suppliers=sellers)
    assert Swap(charged, offer, own, 10).dearer(1.0) == pytest.approx(150.0 * 0.9)
