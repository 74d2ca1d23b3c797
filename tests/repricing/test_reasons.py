"""Reasons: what decided a leg, and what it would cost for one thing to be otherwise."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from moorledger.models.answer.stopped import Stopped
from moorledger.models.asked.reasons import Reasons
from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import HoldsBy
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.project import Project
from moorledger.optimiser.repricing.deciding import COST, whys_of
from moorledger.optimiser.repricing.farm_pricer import FarmPricer
from moorledger.optimiser.repricing.reasons import reasons

from tests.brute.brute_force import least_cost
from tests.brute.brute_make_ups import every_make_up
from tests.farms.random_farms import random_farm
from tests.farms.small_farm import ANCHOR, LEG, SEABED, VESSEL, farm_with
from tests.quick_run import LONG

GAP = 1e-7
SEED = 156


@pytest.fixture(scope="module")
def told() -> Reasons:
    """The reasons of a farm that brute force can price."""
    return reasons(FarmPricer(random_farm(SEED), gap=GAP))


def least(farm: Farm) -> float:
    """Return a farm's least cost by trying everything."""
    return least_cost(farm, every_make_up(farm))


@LONG
def test_more_of_anything_is_priced_by_brute_force_too(told: Reasons) -> None:
    """1 kN, 1 m and 0.1 of the safety factor more, on the farm itself, tried in every way."""
    farm = random_farm(SEED)
    factor = farm.project.anchor_safety_factor + 0.1
    changed = (
        replace(
            farm,
            legs=tuple(replace(g, design_tension_kn=g.design_tension_kn + 1) for g in farm.legs),
        ),
        replace(farm, legs=tuple(replace(g, depth_m=g.depth_m + 1) for g in farm.legs)),
        replace(
            farm,
            project=replace(farm.project, anchor_safety_factor=factor),
            anchors=tuple(
                replace(a, safety_factor=a.safety_factor and a.safety_factor + 0.1)
                for a in farm.anchors
            ),
        ),
    )
    for change, other in zip(told.changes, changed, strict=False):
        assert change.adds is not None
        assert change.adds.found == pytest.approx(least(other) - least(farm), abs=1e-2)


def test_a_day_of_weather_costs_the_least_of_one_more_day(told: Reasons) -> None:
    """Every vessel that sails is charged one day more: the vessels of each plan are few, so all
    sets of them are tried, each with its days' rates on top."""
    farm = random_farm(SEED)
    tried = []
    for kept in ([0], [1], [0, 1]):
        vessels = tuple(farm.vessels[n] for n in kept)
        if not vessels:
            continue
        extra = sum(vessel.day_rate for vessel in vessels)
        tried.append(least(replace(farm, vessels=vessels)) + extra)
    change = told.changes[3]
    assert change.adds is not None
    assert change.adds.found == pytest.approx(min(tried) - least(farm), abs=1e-2)


def test_regret_is_the_farm_without_the_anchor(told: Reasons) -> None:
    """Each anchor laid, banned: the same as brute force over what is left."""
    farm = random_farm(SEED)
    assert told.regrets
    for change in told.regrets:
        banned = change.what.removesuffix(" not to be had")
        rest = {
            leg: [one for one in choices if one[0].anchor != banned]
            for leg, choices in every_make_up(farm).items()
        }
        assert change.adds is not None
        assert change.adds.found == pytest.approx(least_cost(farm, rest) - told.cost, abs=1e-2)
        assert banned not in change.laid


def test_a_forced_family_is_priced_for_the_whole_farm(told: Reasons) -> None:
    """One leg group on another family, the rest free: as brute force has it; where the family
    cannot moor the leg, it says so and adds nothing."""
    farm = random_farm(SEED)
    make_ups = every_make_up(farm)
    priced = 0
    for forced in told.forced:
        of_family = [
            one
            for one in make_ups[forced.leg]
            if farm.anchor_by_name[one[0].anchor].family == forced.family
        ]
        cost = least_cost(farm, {**make_ups, forced.leg: of_family})
        assert (forced.adds is None) == math.isinf(cost)
        if forced.adds is None:
            assert forced.leg in forced.why
            continue
        assert forced.adds.found == pytest.approx(cost - told.cost, abs=1e-2)
        families = {farm.anchor_by_name[made.anchor].family for made in forced.make_ups}
        assert families == {forced.family}
        priced += 1
    assert priced >= 2


def test_next_best_plans_only_get_dearer(told: Reasons) -> None:
    """The k next best, in order, none cheaper than the plan itself."""
    found = [change.adds.found for change in told.next_best if change.adds]
    assert len(found) >= 2
    assert found == sorted(found)
    assert found[0] >= -1e-2


PROJECT = Project(longest_chain_m=250.0)
"""With the factor on the tension, 60 kN, the leg's chain needs more than 110 m to lie down."""

SMALLER = replace(ANCHOR, name="hinged 200", mass_kg=200.0, unit_price=700.0)


def test_anchor_size_by_holding() -> None:
    """The smaller anchor, declared too weak for the leg's 40 kN by 1.5, is barred by holding."""
    farm = farm_with(
        project=PROJECT,
        anchors=(SMALLER, ANCHOR),
        declared_holdings=(
            DeclaredHolding(ANCHOR.name, SEABED.name, 100.0, "invented"),
            DeclaredHolding(SMALLER.name, SEABED.name, 30.0, "invented"),
        ),
    )
    (why,) = _whys(farm)
    assert why.anchor == "set by anchor holding"
    # Largest uplift 0°: the chain must reach the seabed before the anchor.
    assert why.chain_length == "set by uplift angle"
    assert why.by_vessel == "the least day rate"


def test_anchor_size_by_cost() -> None:
    """A smaller anchor that holds as well, but costs ten times as much, is barred by nothing."""
    farm = farm_with(
        project=PROJECT,
        anchors=(replace(SMALLER, unit_price=9000.0), ANCHOR),
        declared_holdings=(
            DeclaredHolding(ANCHOR.name, SEABED.name, 100.0, "invented"),
            DeclaredHolding(SMALLER.name, SEABED.name, 100.0, "invented"),
        ),
    )
    (why,) = _whys(farm)
    assert why.anchor == COST


def test_vessel_by_crane() -> None:
    """A cheaper vessel with a crane of 0.3 t cannot lift 0.3 t by the lift factor 1.3."""
    small = replace(VESSEL, name="skiff", day_rate=500.0, crane_limit_t=0.3)
    farm = farm_with(
        project=PROJECT,
        vessels=(small, VESSEL),
        declared_holdings=(DeclaredHolding(ANCHOR.name, SEABED.name, 100.0, "invented"),),
    )
    (why,) = _whys(farm)
    assert why.vessel == VESSEL.name
    assert why.by_vessel == "set by crane of skiff"


def test_chain_of_a_fixed_leg_says_so() -> None:
    """A chain that Legs fixes was not chosen."""
    farm = farm_with(
        project=PROJECT,
        legs=(replace(LEG, fixed_chain="stud 20"),),
        declared_holdings=(DeclaredHolding(ANCHOR.name, SEABED.name, 100.0, "invented"),),
    )
    assert farm.anchors[0].holds_by is HoldsBy.EMBEDDING
    (why,) = _whys(farm)
    assert why.chain == "fixed in Legs"


@pytest.mark.parametrize(
    ("step", "shortest", "said"),
    [(0.5, 230.0, "the project's shortest chain"), (245.0, 2.0, "one cutting step, the least")],
)
def test_chain_that_may_be_no_shorter_says_so(step: float, shortest: float, said: str) -> None:
    """A chain longer than any limit asks, because the project lays or cuts none shorter."""
    farm = farm_with(
        project=replace(PROJECT, cutting_step_m=step, shortest_chain_m=shortest),
        declared_holdings=(DeclaredHolding(ANCHOR.name, SEABED.name, 100.0, "invented"),),
    )
    (why,) = _whys(farm)
    assert why.chain_length.startswith(said)


def _whys(farm: Farm) -> tuple:  # type: ignore[type-arg]
    pricing = FarmPricer(farm, gap=GAP)
    plan = pricing.price().plan()
    assert plan is not None
    return whys_of(plan, pricing.choices)


def test_questions_that_no_time_is_left_for_say_so() -> None:
    """With the time up nothing is priced and nothing is claimed; what decided each leg is known
    without a search and is still told."""
    told = reasons(FarmPricer(random_farm(SEED), gap=GAP), time_limit_s=0.0)
    assert told.stopped is Stopped.TIME_LIMIT
    assert told.whys
    assert {one.adds for one in (*told.forced, *told.changes, *told.regrets)} == {None}
    assert all("time was up" in one.why for one in (*told.forced, *told.changes))
