"""Break-even rates of small farms, against trying everything at 400 rates of each."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from moorledger.models.answer.stopped import Stopped
from moorledger.models.asked.break_even import OptionCosts
from moorledger.models.farm import Farm
from moorledger.models.option import FREE, Option
from moorledger.models.option_menu import leanings
from moorledger.models.rate import Rate, RateKind, Rates, UnknownRateError, rate_named, rates_of
from moorledger.optimiser.repricing.break_even import break_even
from moorledger.optimiser.repricing.farm_pricer import FarmPricer, PricedOption
from moorledger.optimiser.search.settlement import Settlement

from tests.brute.brute_force import least_cost
from tests.brute.brute_make_ups import every_make_up
from tests.farms.random_farms import random_farm
from tests.farms.rival_offers import farm_with_rivals
from tests.quick_run import LONG, mostly_long

LOW, HIGH = 0.2, 3.0
POINTS = 400
GAP = 1e-9

SWEPT = [
    (2, "prices of supplier Supplier 2"),
    (14, "prices of family folding plate"),
    (156, "prices of family hinged fluke"),
    (137, "prices of family hinged fluke"),
    (16, "day rate of V1"),
    (17, "currency XTS"),
    (21, "day rates"),
    (22, "day rates"),
    (28, "freight rates"),
    (15, "freight rates"),
]
"""Seeds of farms that brute force prices in milliseconds, and what is varied."""


def costs_of(farm: Farm, rate: Rate) -> OptionCosts:
    """Return the free choice's break-even answer."""
    (costs,) = break_even(FarmPricer(farm, gap=GAP), rate, LOW, HIGH, options=(FREE,)).options
    return costs


@LONG
def test_some_swept_farms_flip_more_than_once() -> None:
    """The sweep below is about something: several of its farms have break points."""
    flips = [len(costs_of(random_farm(s), rate_named(random_farm(s), r)).break_points)
             for s, r in SWEPT[:4]]  # fmt: skip
    assert sum(flips) >= 5


@LONG
@mostly_long("seed, text", SWEPT, quick=SWEPT[:1], most=7)
def test_no_break_point_is_missed_and_every_stretch_is_least(seed: int, text: str) -> None:
    """At 400 rates everything is tried, apart from the optimiser: the answer's cost is the least
    there, so that no stretch is wrong and no break point missing; and the cost is concave."""
    farm = random_farm(seed)
    rate = rate_named(farm, text)
    costs = costs_of(farm, rate)
    make_ups = every_make_up(farm)
    swept = np.linspace(LOW, HIGH, POINTS)
    least = np.array([least_cost(rate.scaled(farm, float(x)), make_ups) for x in swept])
    told = np.array([costs.at(float(x)) for x in swept])
    assert np.allclose(told, least, rtol=1e-7)
    bound = np.array([costs.bound_at(float(x)) for x in swept])
    assert (bound <= least * (1 + 1e-7)).all()
    assert costs.gap <= GAP * 1.01
    # Concave: each cost is at least the mean of its neighbours'.
    assert (least[1:-1] >= (least[:-2] + least[2:]) / 2 - 1e-6 * least[1:-1]).all()
    rises = [stretch.line.rated for stretch in costs.stretches]
    assert rises == sorted(rises, reverse=True)


@cache
def priced(seed: int, rivals: bool) -> tuple[Farm, FarmPricer, Settlement]:
    """Return a farm at random, what priced it, and its least plan settled; once for all rates."""
    farm = farm_with_rivals(seed) if rivals else random_farm(seed)
    pricing = FarmPricer(farm, gap=1e-3)
    settlement = pricing.price().settlement
    assert settlement is not None
    return farm, pricing, settlement


@LONG
@mostly_long("kind", list(RateKind), quick=list(RateKind)[1:2])
def test_a_plan_costs_a_straight_line_in_every_rate(kind: RateKind) -> None:
    """The recursion rests on it: with orders, bookings and days held fast, what a plan costs at
    four multipliers lies on one line, and it does change with the rate for some farm."""
    bends, moves = [], []
    for seed in (2, 14, 156):
        farm, pricing, settlement = priced(seed, kind is RateKind.OFFER)
        for rate in (one for one in rates_of(farm).values() if one.kind is kind):
            points = [0.0, 0.5, 1.0, 2.5]
            cost = [pricing.cost_at(settlement, Rates(((rate, x),))) for x in points]
            slopes = np.diff(cost) / np.diff(points)
            bends.append(np.ptp(slopes))
            moves.append(slopes[0])
    assert max(bends) < 1e-6
    assert max(moves) > 1.0


def test_two_options_meet_where_brute_force_says() -> None:
    """Where two families are said to cost the same, each of them alone is priced the same by
    trying everything; on either side the one named cheaper is cheaper."""
    farm = random_farm(156)
    rate = Rate(RateKind.FAMILY, "fixed fluke")
    strict = {one.name: one for one, _ in leanings(farm)}
    options = (strict["fixed fluke only"], strict["hinged fluke only"])
    answer = break_even(FarmPricer(farm, gap=GAP), rate, LOW, HIGH, options=options)
    (crossing,) = answer.crossings

    def alone(family: str, at: float) -> float:
        scaled = rate.scaled(farm, at)
        of_family = {
            leg: [one for one in choices if farm.anchor_by_name[one[0].anchor].family == family]
            for leg, choices in every_make_up(farm).items()
        }
        return least_cost(scaled, of_family)

    here = [alone(family, crossing.multiplier) for family in ("fixed fluke", "hinged fluke")]
    assert here[0] == pytest.approx(here[1], rel=1e-6)
    assert here[0] == pytest.approx(crossing.cost, rel=1e-6)
    assert crossing.cheaper_below == "fixed fluke only"
    below, above = crossing.multiplier - 0.1, crossing.multiplier + 0.1
    assert alone("fixed fluke", below) < alone("hinged fluke", below)
    assert alone("fixed fluke", above) > alone("hinged fluke", above)
    assert crossing.low == pytest.approx(crossing.multiplier, abs=1e-4)
    assert crossing.high == pytest.approx(crossing.multiplier, abs=1e-4)
    for advantage in answer.advantages:
        family, others = (
            one.removesuffix(" only") for one in (advantage.cheaper, advantage.dearer)
        )
        by = alone(others, advantage.multiplier) - alone(family, advantage.multiplier)
        assert advantage.by == pytest.approx(by, rel=1e-6)
        assert advantage.at_least == pytest.approx(by, rel=1e-3)
    assert [one.multiplier for one in answer.advantages] == [LOW, 1.0, HIGH]


def test_no_time_is_no_claim() -> None:
    """With no time for more than the ends the answer says so, and its gaps are the truth: no
    cost by brute force lies below the bound."""
    farm = random_farm(156)
    rate = Rate(RateKind.FREIGHT)
    pricing = FarmPricer(farm, gap=GAP)
    answer = break_even(pricing, rate, LOW, HIGH, time_limit_s=0.0)
    assert answer.stopped is Stopped.TIME_LIMIT
    assert not answer.proven
    (costs,) = answer.options
    make_ups = every_make_up(farm)
    for at in np.linspace(LOW, HIGH, 15):
        least = least_cost(rate.scaled(farm, float(at)), make_ups)
        assert costs.bound_at(float(at)) <= least * (1 + 1e-9)
        assert costs.at(float(at)) >= least * (1 - 1e-9)


def test_time_that_is_up_for_one_option_leaves_the_next_its_own(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The second of two options is searched though the first used its time up: nobody said stop."""
    pricing = FarmPricer(random_farm(156), gap=GAP)
    whole = pricing.price

    def price(option: Option, rates: Rates, **how: Any) -> PricedOption:
        found = whole(option, rates)
        told_to_stop = how["progress"](found.cost, found.bound)
        return replace(found, settlement=None, bound=0.0) if told_to_stop else found

    monkeypatch.setattr(pricing, "price", price)
    answer = break_even(
        pricing,
        Rate(RateKind.FREIGHT),
        LOW,
        HIGH,
        options=(FREE, Option("again")),
        time_limit_s=0.0,
        progress=lambda *_: False,
    )
    assert answer.stopped is Stopped.TIME_LIMIT
    assert [bool(one.stretches) for one in answer.options] == [True, True]


def test_rates_are_named_as_people_do() -> None:
    """A rate is found by its whole name or its owner's, whatever the capitals."""
    farm = random_farm(14)
    assert rate_named(farm, "Freight Rates") == Rate(RateKind.FREIGHT)
    assert rate_named(farm, " day rate  of v1 ") == Rate(RateKind.VESSEL, "V1")
    assert rate_named(farm, "v1") == Rate(RateKind.VESSEL, "V1")
    assert rate_named(farm, "folding plate") == Rate(RateKind.FAMILY, "folding plate")
    anchor = farm.anchors[0].name
    assert rate_named(farm, f"price of {anchor}") == Rate(RateKind.ITEM, anchor)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("workable days", "not linear in workable days"),
        ("currency eur", "the project's own currency"),
        ("freight rate", "did you mean 'freight rates'"),
        ("the moon", "cannot be varied; what can: 'freight rates'"),
        ("freigt rates", "did you mean 'freight rates'. What can: 'freight rates'"),
    ],
)
def test_what_cannot_be_varied_says_why(text: str, said: str) -> None:
    """What is not linear is refused with what to do instead; a slip is met with what was meant."""
    with pytest.raises(UnknownRateError, match=said):
        rate_named(random_farm(14), text)


def test_an_option_without_a_plan_is_said_not_drawn() -> None:
    """An option that some leg bars has no stretches, and says why."""
    farm = random_farm(156)
    barred = next(one for one, _ in leanings(farm) if one.name == "deadweight only")
    answer = break_even(FarmPricer(farm), Rate(RateKind.FREIGHT), LOW, HIGH, options=(barred,))
    assert answer.options[0].stretches == ()
    assert "cannot be moored" in answer.options[0].why
