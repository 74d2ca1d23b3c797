"""Turning points on the Summary: what is said of another rate, against pricing the farm there."""

from __future__ import annotations

import math
import re
from dataclasses import replace

from moorledger.io.words.case import case_of
from moorledger.models.answer.plan import Part
from moorledger.models.asked.comparison import Comparison, Outcome
from moorledger.models.option import FREE, Option, OptionKind
from moorledger.models.rate import Rate, RateKind, Rates
from moorledger.optimiser.price import price
from moorledger.optimiser.repricing.alternatives import alternatives
from moorledger.optimiser.repricing.compare import compare
from moorledger.optimiser.repricing.farm_pricer import FarmPricer

from tests.farms.plan_fixture import INSTALLED_COST, example_plan
from tests.farms.random_farms import random_farm
from tests.quick_run import LONG, mostly_long

SIDES = re.compile(r"(above|below) ([\d.]+) times today's \('([^']+)'\)")
SEEDS = range(2, 10)


@LONG
@mostly_long("seeds, least_seen", [(SEEDS, 3), (SEEDS[:2], 1)], quick=[(SEEDS[:2], 1)])
def test_past_a_turning_point_the_plan_is_no_longer_least(seeds: range, least_seen: int) -> None:
    """Two hundredths past each multiplier (they are told to a hundredth) the farm priced at that
    rate costs less than today's plan held fast; the option named is one that was compared."""
    seen = 0
    for seed in seeds:
        farm = random_farm(seed)
        pricing = FarmPricer(farm, gap=1e-9)
        comparison = compare(pricing)
        if comparison.base.plan is None:
            continue
        today = pricing.price(FREE)
        assert today.settlement is not None
        names = {outcome.option.name for outcome in comparison.done}
        for line in case_of(comparison).turning_points:
            kind = RateKind.FREIGHT if "freight rates" in line else RateKind.DAY_RATES
            for side, multiplier, option in SIDES.findall(line):
                assert option in names
                past = float(multiplier) + (0.02 if side == "above" else -0.02)
                there = Rates(((Rate(kind), past),))
                held = pricing.cost_at(today.settlement, there)
                least = FarmPricer(farm, gap=1e-9).price(FREE, there)
                assert least.cost < held
                seen += 1
    assert seen >= least_seen


def outcome(name: str, more: float, kind: OptionKind, bound: float = math.inf) -> Outcome:
    """Return what an option comes to: the example's plan with dearer anchors."""
    plan = example_plan()
    parts = {**plan.parts, Part.ANCHORS: plan.parts[Part.ANCHORS] + more}
    option = FREE if kind is OptionKind.FREE else Option(name, (), kind)
    cost = INSTALLED_COST + more
    return Outcome(option, replace(plan, parts=parts), min(bound, cost))


def test_options_asked_for_stand_first_and_no_plan_stands_twice() -> None:
    """The buyer's own options come before cheaper ones of the menu; a plan that is the order's
    own, or another option's, is no other answer; no more than five stand beside the order."""
    menu = [outcome(f"menu {n}", 100.0 * n, OptionKind.LEANING) for n in range(1, 8)]
    comparison = Comparison(
        "EUR",
        0.01,
        (
            outcome("free", 0.0, OptionKind.FREE),
            *menu,
            outcome("like the order", 0.0, OptionKind.SINGLE_MODEL),
            outcome("twice", 100.0, OptionKind.LEFT_OUT),
            outcome("the buyer's own", 900.0, OptionKind.OWN),
        ),
    )
    names = [option.name for option in case_of(comparison).options]
    assert names == ["the buyer's own", "menu 1", "menu 2", "menu 3", "menu 4"]


def test_reasons_are_in_money_and_say_what_is_not_proven() -> None:
    """Proven: at least so much; not proven: said so; cheaper than the order: said first."""
    comparison = Comparison(
        "EUR",
        0.01,
        (
            outcome("free", 0.0, OptionKind.FREE),
            outcome("proven", 500.0, OptionKind.OWN, INSTALLED_COST + 300.0),
            outcome("open", 700.0, OptionKind.OWN, INSTALLED_COST - 100.0),
            outcome("better", -50.0, OptionKind.OWN, INSTALLED_COST - 100.0),
        ),
    )
    better, proven, unproven = case_of(comparison).reasons
    assert better.startswith("Mind: a plan of 'better' was found that costs EUR 50 LESS")
    assert "EUR 500" in proven
    assert "at least EUR 300" in proven
    assert "EUR 700" in unproven
    assert "not proven" in unproven


@LONG
def test_alternatives_take_away_what_a_plan_leans_on() -> None:
    """A small farm's own plan stands first, each alternative is dearer, or it is the same price;
    without time there is none."""
    seen = 0
    for seed in (2, 3, 156):
        plan = price(random_farm(seed), gap=1e-6, time_limit_s=60)
        assert alternatives(plan, 0.0) is None
        found = alternatives(plan, 30.0)
        if found is None:
            continue
        assert found.base.plan is plan
        for one in found.done[1:]:
            assert one.plan is not None
            assert one.plan.installed_cost >= plan.installed_cost * (1 - 1e-6)
            seen += 1
    assert seen


def test_what_a_plan_cannot_do_without_makes_room_for_the_next() -> None:
    """The one supplier of a farm cannot be taken away: the anchor model laid most, the vessel and
    the second anchor model are."""
    plan = price(random_farm(12), gap=1e-6, time_limit_s=60)
    assert len({line.supplier for line in plan.orders}) == 1
    laid = [name for name, _ in plan.anchors_laid.most_common()]
    (campaign,) = plan.campaigns
    found = alternatives(plan, 30.0)
    assert found is not None
    assert [one.option.name for one in found.outcomes[1:]] == [
        f"without {name}" for name in (laid[0], campaign.vessel, laid[1])
    ]
