"""Days charged at a certainty: the programme against brute force, and one another."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from functools import cache

import pytest
from moorledger.models.answer.plan import Plan
from moorledger.models.farm import Farm
from moorledger.models.risk.charged_days import chance_within, working_days_of
from moorledger.models.site.uncertainty import Uncertain, Uncertainty
from moorledger.optimiser.failures import PlanFaultError
from moorledger.optimiser.price import checked, price
from moorledger.optimiser.repricing.sure import cost_at, price_sure, shifted_rates

from tests.brute.brute_force import least_cost
from tests.brute.brute_make_ups import every_make_up
from tests.farms.random_farms import random_farm
from tests.quick_run import mostly_long
from tests.search.test_against_brute_force import SLOW_TO_TRY

SEEDS = [seed for seed in range(30) if seed not in SLOW_TO_TRY][:20]
CERTAINTIES = (0.5, 0.8, 0.95)


@cache
def rough_farm(seed: int) -> Farm:
    """Return a random small farm whose vessels work short days in rough weather."""
    farm = random_farm(seed)
    vessels = tuple(
        replace(
            vessel,
            workable_share=(0.45, 0.6, 0.8)[(seed + number) % 3],
            working_hours_per_day=max(vessel.working_hours_per_day / 2, vessel.round_trip_h + 1),
        )
        for number, vessel in enumerate(farm.vessels)
    )
    return replace(farm, vessels=vessels)


def sure_of(farm: Farm, sure: float | None) -> Farm:
    """Return the farm with its days charged at a certainty."""
    return replace(farm, project=replace(farm.project, charged_days_sure=sure))


@cache
def priced(seed: int, sure: float) -> Plan:
    """Return the least plan of a rough farm at a certainty."""
    return price(sure_of(rough_farm(seed), sure), gap=1e-7, time_limit_s=60.0, workers=1)


@mostly_long("seed", SEEDS, quick=SEEDS[:4:2])
def test_price_is_the_least_of_everything_tried(seed: int) -> None:
    """At 80 % the installed cost and the bound are the brute force's, to 1e-6."""
    farm = sure_of(rough_farm(seed), 0.8)
    least = least_cost(farm, every_make_up(farm))
    assert math.isfinite(least)
    plan = priced(seed, 0.8)
    assert plan.installed_cost == pytest.approx(least, rel=1e-6)
    assert plan.proof.bound == pytest.approx(least, rel=1e-6)


@mostly_long("seed", SEEDS, quick=SEEDS[:2])
def test_a_certainty_more_is_never_cheaper(seed: int) -> None:
    """From 50 to 80 to 95 % the least cost does not fall, and the days are enough each time."""
    plans = [priced(seed, sure) for sure in CERTAINTIES]
    for less, more in itertools.pairwise(plans):
        assert more.installed_cost >= less.installed_cost * (1 - 1e-6)
    for plan, sure in zip(plans, CERTAINTIES, strict=True):
        for campaign in plan.campaigns:
            vessel = plan.farm.vessel_by_name[campaign.vessel]
            working = working_days_of(vessel, campaign.hours)
            days = campaign.days
            assert chance_within(working, vessel.workable_share, days) >= sure
            assert days == working or (
                chance_within(working, vessel.workable_share, days - 1) < sure
            )


def test_workable_days_of_100_percent_are_as_before() -> None:
    """Where no day is lost a certainty changes nothing."""
    farm = random_farm(0)
    calm = replace(farm, vessels=tuple(replace(v, workable_share=1.0) for v in farm.vessels))
    plain = price(calm, gap=1e-7, workers=1)
    sure = price(sure_of(calm, 0.9), gap=1e-7, workers=1)
    assert sure.installed_cost == pytest.approx(plain.installed_cost, rel=1e-9)


def test_a_day_too_few_fails_the_recheck() -> None:
    """A plan that charges one day less than is sure is caught by the check apart."""
    plan = priced(SEEDS[0], 0.95)
    campaign = plan.campaigns[0]
    vessel = plan.farm.vessel_by_name[campaign.vessel]
    fewer = replace(
        campaign, days=campaign.days - 1, day_money=(campaign.days - 1) * vessel.day_rate
    )
    tampered = replace(plan, campaigns=(fewer, *plan.campaigns[1:]))
    cost = plan.installed_cost - vessel.day_rate
    with pytest.raises(PlanFaultError):
        checked(
            replace(
                tampered,
                parts={**plan.parts, "vessel days": plan.parts["vessel days"] - vessel.day_rate},
                proof=replace(plan.proof, cost=cost, bound=min(plan.proof.bound, cost)),
            )
        )


def test_the_plan_of_least_p80_is_taken() -> None:
    """Of the plans found none has a lower P80; the days are sure; how many were compared is told.

    With one very uncertain anchor price the plan cheapest as given is not the one to take.
    """
    farm = rough_farm(3)
    farm = replace(farm, uncertainties=(Uncertainty(Uncertain.ITEM, 1.0, 4.0, "A2"),))
    plan = price_sure(farm, 0.8, gap=1e-7, workers=1)
    choice = plan.sure_choice
    assert choice is not None
    assert choice.among >= 2
    assert choice.cost == pytest.approx(cost_at(plan, 0.8))
    as_given = price(sure_of(farm, 0.8), gap=1e-7, workers=1)
    assert choice.least_cost_plan == pytest.approx(cost_at(as_given, 0.8), rel=1e-6)
    assert choice.cost < choice.least_cost_plan
    assert plan.installed_cost >= as_given.installed_cost * (1 - 1e-9)
    assert all(check.passed for check in plan.checks)


def test_rates_are_shifted_together_and_each_alone() -> None:
    """Two uncertain rates give three prices besides that at the rates as given; one gives one."""
    rows = (Uncertainty(Uncertain.FREIGHT, 0.8, 1.25), Uncertainty(Uncertain.DAY_RATE, 1.0, 1.0))
    farm = replace(rough_farm(0), uncertainties=rows)
    both, freight, days = shifted_rates(farm, 0.9)
    assert [str(rate) for rate, _ in both.factors] == ["freight rates", "day rates"]
    assert freight.factors[0][1] == pytest.approx(1.25, rel=1e-3)
    assert days.factors[0][1] == pytest.approx(1.0)
    assert len(shifted_rates(replace(farm, uncertainties=rows[:1]), 0.9)) == 1
    assert shifted_rates(replace(farm, uncertainties=()), 0.9) == ()
