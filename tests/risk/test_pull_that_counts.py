"""A setting pull that counts towards the holding: only by the setting, and never too much."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from moorledger.models.evidence.supposed_tests import places_to_test
from moorledger.models.farm import Farm
from moorledger.models.site.declared_holding import DeclaredHolding, HoldingLaw
from moorledger.models.site.laid_line import LaidLine
from moorledger.models.standing.holding import design_holding
from moorledger.models.standing.holding_spread import HoldingSpread, counted_pull_kn
from moorledger.models.standing.laid_standing import laid_standing
from moorledger.optimiser.choices.make_ups import enumerate_make_ups
from moorledger.optimiser.price import price
from scipy import stats

from tests.brute.brute_force import least_cost
from tests.brute.brute_make_ups import every_make_up
from tests.farms.random_farms import random_farm
from tests.farms.small_farm import ANCHOR, FARM, LEG, farm_with, run
from tests.quick_run import mostly_long

V = 0.25
LAW = HoldingLaw("hinged fluke", "sand", 300.0, 100.0, 1.0, "invented", V)


def counting(farm: Farm, share: float = 0.7) -> Farm:
    """Return a farm whose setting pull counts, with that pull."""
    project = replace(farm.project, setting_pull_counts=True, setting_pull_share=share)
    boats = tuple(replace(boat, bollard_pull_kn=1000.0) for boat in farm.vessels)
    return replace(farm, project=project, vessels=boats)


def of_tests(*loads: float) -> Farm:
    """Return the small farm with a test of its anchor at each load."""
    readings = tuple(r for n, load in enumerate(loads) for r in run(f"t{n}", [(2.0, load)]))
    return farm_with(readings=readings)


def test_a_mean_law_is_raised_to_the_value_of_the_basis() -> None:
    """BASIS C4: V 0.25, pulled to 0.7 of the median: 0.6670 of the median becomes 0.7488."""
    farm = farm_with(holding_laws=(replace(LAW, reference_mass_kg=ANCHOR.mass_kg),))
    before = design_holding(farm, ANCHOR, "sand", 2.0)
    after = design_holding(farm, ANCHOR, "sand", 2.0, 70.0)
    assert before.holding_kn == pytest.approx(66.70, abs=0.01)
    assert after.holding_kn == pytest.approx(74.88, abs=0.01)
    assert (before.evidence.raised_by_pull_kn, after.evidence.raised_by_pull_kn) == (None, 70.0)


def test_what_few_tests_take_off_stays_off() -> None:
    """Three tests, k_3 = 3.37 (EN 1990:2002 Table D1): only the ratio of the 5 % values counts."""
    loads = (80.0, 100.0, 125.0)
    s = math.log(1.25)
    before = design_holding(of_tests(*loads), ANCHOR, "sand", 2.0).holding_kn
    after = design_holding(of_tests(*loads), ANCHOR, "sand", 2.0, 70.0).holding_kn
    of = stats.lognorm(s, scale=100.0)
    assert before == pytest.approx(100 * math.exp(-3.37 * s))
    assert after / before == pytest.approx(of.isf(0.95 * of.sf(70.0)) / of.ppf(0.05))
    assert after < of.ppf(0.05)


def test_what_is_not_raised() -> None:
    """Nothing without a spread, by a pull that half would fail, or above what tests held."""
    lower = farm_with(holding_laws=(replace(LAW, scatter=None),))
    declared = farm_with(
        declared_holdings=(DeclaredHolding(ANCHOR.name, "sand", 50.0, "a letter"),)
    )
    for farm in (lower, declared):
        without = design_holding(farm, ANCHOR, "sand", 2.0)
        assert design_holding(farm, ANCHOR, "sand", 2.0, 40.0) == without
    farm = of_tests(80.0, 100.0, 125.0)
    value = design_holding(farm, ANCHOR, "sand", 2.0).holding_kn
    assert design_holding(farm, ANCHOR, "sand", 2.0, 100.0).holding_kn == value
    assert design_holding(farm, ANCHOR, "sand", 2.0, 99.0).holding_kn > value
    law = replace(LAW, reference_mass_kg=ANCHOR.mass_kg)
    capped = farm_with(holding_laws=(law,), readings=run("one", [(2.0, 68.0)]))
    assert design_holding(capped, ANCHOR, "sand", 2.0, 70.0).holding_kn == 68.0
    assert HoldingSpread(100.0, 0.0).raised_by(50.0) == 1.0


def test_only_by_the_setting_and_of_one_anchor_alone() -> None:
    """The setting is off by default; of several anchors on a line nobody knows each one's pull."""
    farm = counting(FARM)
    assert counted_pull_kn(farm, LEG, 1) == pytest.approx(0.7 * LEG.design_tension_kn)
    assert counted_pull_kn(farm, LEG, 2) == 0.0
    project = replace(farm.project, setting_pull_counts=False)
    assert counted_pull_kn(replace(farm, project=project), LEG, 1) == 0.0
    assert not FARM.project.setting_pull_counts


def test_a_plan_rests_on_it_and_its_recheck_agrees() -> None:
    """A leg that three tests do not carry is carried once its setting pull counts."""
    tests = of_tests(40.0, 50.0, 62.5)
    value = design_holding(tests, ANCHOR, "sand", LEG.allowed_drag_m)
    tension = 1.2 * value.holding_kn / FARM.project.anchor_safety_factor
    legs = (replace(LEG, count=2, design_tension_kn=tension),)
    farm = counting(replace(tests, legs=legs), 2.0)
    off = replace(farm, project=replace(farm.project, setting_pull_counts=False))
    assert not len(enumerate_make_ups(off))
    plan = price(farm, workers=1)
    (row,) = plan.assignments
    assert row.evidence.raised_by_pull_kn == pytest.approx(2.0 * tension)
    assert row.available_kn > value.holding_kn


def test_a_line_that_lies_counts_the_pull_recorded_and_not_the_one_planned() -> None:
    """Without a record of pull and drag, or past the allowed drag, nothing is raised."""
    farm = counting(of_tests(80.0, 100.0, 125.0), 1.0)
    farm = replace(farm, legs=(replace(LEG, count=2),))
    lying = LaidLine(LEG.name, 1, ANCHOR.name, farm.chains[0].name, 60.0)

    def raised(**record: float) -> float | None:
        standing = laid_standing(farm, replace(lying, **record)).standing
        assert standing is not None
        return standing.holding.evidence.raised_by_pull_kn

    assert raised() is None
    assert raised(pull_kn=60.0) is None
    assert raised(pull_kn=60.0, drag_m=1.0) == 60.0
    assert raised(pull_kn=60.0, drag_m=LEG.allowed_drag_m + 1) is None


def test_next_tests_look_at_raised_holdings_too() -> None:
    """More tests raise what a pull raises, so the place is one to test, with no fall unseen."""
    farm = counting(of_tests(80.0, 100.0, 125.0))
    (place,) = places_to_test(farm)
    assert place.raises
    assert place.never_less == (True, True, True)
    assert place.most_is_highest


@mostly_long("seed", [0, 1, 2, 3, 4, 5, 6, 8, 9, 10], quick=[0])
def test_the_price_is_that_of_trying_everything(seed: int) -> None:
    """Farms at random whose setting pull counts: least by brute force, rechecked, and no dearer
    than without."""
    farm = counting(random_farm(seed), 0.9)
    plan = price(farm, gap=1e-7, time_limit_s=60.0, workers=1)
    assert plan.installed_cost == pytest.approx(least_cost(farm, every_make_up(farm)), rel=1e-6)
    off = replace(farm, project=replace(farm.project, setting_pull_counts=False))
    without = price(off, gap=1e-7, time_limit_s=60.0, workers=1)
    assert plan.installed_cost <= without.installed_cost * (1 + 1e-6)
