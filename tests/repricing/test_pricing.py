"""Pricing again and again: the same answers as pricing once, and no plan lost on the way."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from moorledger.models.farm import Farm
from moorledger.models.option import FREE, Rule, What, one_rule
from moorledger.models.option_menu import leanings, left_out, single_models
from moorledger.models.rate import Rate, RateKind, Rates
from moorledger.optimiser.price import price
from moorledger.optimiser.repricing.deciding import pairs_of
from moorledger.optimiser.repricing.farm_pricer import FarmPricer

from tests.brute.brute_force import least_cost
from tests.brute.brute_make_ups import every_make_up
from tests.farms.random_farms import random_farm

GAP = 1e-7


def without_vessel(farm: Farm, name: str) -> Farm:
    """Return the farm with one vessel fewer."""
    return replace(farm, vessels=tuple(v for v in farm.vessels if v.name != name))


@pytest.mark.parametrize("seed", [14, 21, 156])
def test_options_cost_what_the_narrowed_farm_costs(seed: int) -> None:
    """One anchor alone, or one vessel left out, costs just what brute force makes of a farm that
    has nothing else; and what cannot be done there cannot be done here."""
    farm = random_farm(seed)
    pricing = FarmPricer(farm, gap=GAP)
    compared = 0
    for option in single_models(farm):
        model = option.restrictions[0].which[0]
        of_model = {
            leg: [one for one in choices if one[0].anchor == model]
            for leg, choices in every_make_up(farm).items()
        }
        found = pricing.price(option)
        assert found.cost == pytest.approx(least_cost(farm, of_model), rel=1e-6)
        compared += found.settlement is not None
    for vessel in farm.vessels:
        narrowed = without_vessel(farm, vessel.name)
        least = least_cost(narrowed, every_make_up(narrowed))
        found = pricing.price(one_rule("o", Rule.FORBID, What.VESSELS, vessel.name))
        assert found.cost == pytest.approx(least, rel=1e-6)
        compared += found.settlement is not None
    assert compared >= 2


@pytest.mark.parametrize("seed", [2, 14, 156])
def test_order_of_questions_does_not_matter(seed: int) -> None:
    """Whatever was priced before, an option at a rate costs the same: starting from known plans
    only saves time."""
    farm = random_farm(seed)
    rates = Rates(((Rate(RateKind.FREIGHT), 2.0),))
    options = [FREE, *(one for one, _ in leanings(farm)), *left_out(farm)]
    forwards, backwards = FarmPricer(farm, gap=GAP), FarmPricer(farm, gap=GAP)
    one = {option.name: forwards.price(option, rates).cost for option in options}
    two = {option.name: backwards.price(option, rates).cost for option in reversed(options)}
    assert one == pytest.approx(two, rel=3 * GAP)
    assert len(set(one.values())) > 1


@pytest.mark.parametrize("seed", [2, 14, 156])
def test_free_choice_is_the_price_and_no_option_beats_it(seed: int) -> None:
    """The free choice is what `price` finds; each option's bound and cost are no less."""
    farm = random_farm(seed)
    pricing = FarmPricer(farm, gap=GAP)
    free = pricing.price()
    assert free.cost == pytest.approx(price(farm, gap=GAP).installed_cost, rel=3 * GAP)
    for option in left_out(farm):
        found = pricing.price(option)
        assert found.cost >= free.bound * (1 - GAP)
        assert found.bound >= free.bound


def test_plans_of_options_pass_their_own_checks() -> None:
    """The plan of an option is rechecked like any other, and orders nothing that is barred."""
    farm = random_farm(86)
    pricing = FarmPricer(farm, gap=GAP)
    free = pricing.price().plan()
    assert free is not None
    assert "Supplier 2" in {line.supplier for line in free.orders}
    option = one_rule("o", Rule.FORBID, What.SUPPLIERS, "Supplier 2")
    plan = pricing.price(option).plan()
    assert plan is not None
    assert all(check.passed for check in plan.checks)
    assert len(plan.checks) > 20
    assert "Supplier 2" not in {line.supplier for line in plan.orders}


def test_a_barred_service_carries_nothing() -> None:
    """Each service left out in turn: none of its bookings is left."""
    farm = random_farm(14)
    pricing = FarmPricer(farm, gap=1e-3)
    free = pricing.price().plan()
    assert free is not None
    used = {booking.service for booking in free.bookings}
    done = 0
    for name in used:
        plan = pricing.price(one_rule("o", Rule.FORBID, What.SERVICES, name)).plan()
        if plan is not None:
            assert name not in {booking.service for booking in plan.bookings}
            assert plan.installed_cost >= free.installed_cost * (1 - 1e-3)
            done += 1
    assert done


@pytest.mark.parametrize(("seed", "most"), [(156, 2), (137, 1)])
def test_a_plan_that_must_be_unlike_another_has_another_anchor(seed: int, most: int) -> None:
    """The next best plan lays on some leg an anchor that the best does not lay there, and costs
    what brute force finds among all plans that do; also where a group's lines must be alike."""
    farm = random_farm(seed)
    assert farm.project.make_ups_per_leg_group == most
    assert max(leg.count for leg in farm.legs) == 2
    pricing = FarmPricer(farm, gap=GAP)
    best = pricing.price().settlement
    assert best is not None
    pairs = pairs_of(pricing.choices, best.chosen.tolist())
    following = pricing.price(unlike=(pairs,)).settlement
    assert following is not None
    assert not pairs[following.chosen].all()
    assert best.counts[pairs[best.chosen]].sum() == farm.leg_count
    made = best.choices.make_ups
    used = {(int(g), farm.anchors[int(a)].name) for g, a in zip(made.leg, made.anchor, strict=True)}
    make_ups = every_make_up(farm)
    costs = []
    for place, leg in enumerate(farm.legs):
        mine = [one for one in make_ups[leg.name] if (place, one[0].anchor) not in used]
        if most == 1:
            costs.append(least_cost(farm, {**make_ups, leg.name: mine}))
            continue
        # One line of this group has another anchor; the group's other lines are as they like.
        one_line, rest = replace(leg, name="one", count=1), replace(leg, count=leg.count - 1)
        legs = [g for g in farm.legs if g is not leg] + [one_line]
        offered = {**make_ups, "one": mine}
        if rest.count:
            legs.append(rest)
        costs.append(least_cost(replace(farm, legs=tuple(legs)), offered))
    assert following.cost == pytest.approx(min(costs), rel=1e-6)
    assert np.isfinite(min(costs))
