"""Setting: the drag at which an anchor holds what a leg requires, and the chain that it needs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from moorledger.models.answer.plan import Assignment
from moorledger.models.evidence.chain_need import (
    chain_need,
    typical_legs,
    typical_needs,
)
from moorledger.models.evidence.setting_drag import (
    setting,
    settings_of_farm,
    settings_of_plan,
)
from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import UpliftLoss
from moorledger.models.site.project import FactorActsOn, Project
from moorledger.models.site.pull_test import Event, PullTest, pull_tests
from moorledger.models.standing.catenary import line_states
from moorledger.models.standing.holding_evidence import HoldingEvidence
from moorledger.models.standing.make_up import Limit, LimitName, MakeUp

from tests.farms.small_farm import ANCHOR, CHAIN, LEG, ROPE, farm_with, run

from .test_pull_test import first_bad, pulls

FOLDING_PLATE_25 = [(1.0, 1155.0), (2.0, 2525.0), (3.0, 3065.0, Event.STOPPED)]
"""Drag m and load of a 25 kg folding plate, in kgf (common practice, no source)."""


def pull_of(*points: tuple[float, float] | tuple[float, float, Event]) -> PullTest:
    """Return a pull test from its points."""
    return pull_tests(run("t", list(points)))[0]


@pytest.mark.parametrize(
    ("load", "drag"),
    [
        (1000.0, 1.0),  # the first reading has it already
        (1155.0, 1.0),
        (1840.0, 1.5),  # half-way from 1155 to 2525
        (2525.0, 2.0),
        (2795.0, 2.5),  # half-way from 2525 to 3065
        (3065.0, 3.0),
        (3066.0, None),
    ],
)
def test_drag_to_reach_between_readings(load: float, drag: float | None) -> None:
    """In a straight line between readings, and never beyond the last."""
    reached = pull_of(*FOLDING_PLATE_25).drag_to_reach_m(load)
    assert reached is None if drag is None else reached == pytest.approx(drag)


def test_nothing_is_reached_at_or_after_a_bad_event() -> None:
    """Rolled out at 2 m with the highest load so far, dug in again later: 150 was never held."""
    test = pull_of((1.0, 100.0), (2.0, 160.0, Event.ROLLED_OUT), (9.0, 500.0))
    assert test.drag_to_reach_m(100.0) == 1.0
    assert test.drag_to_reach_m(150.0) is None
    assert test.drag_to_reach_m(400.0) is None


@settings(max_examples=200, deadline=None, derandomize=True)
@given(pulls(), st.floats(0.1, 110.0))
def test_within_the_drag_to_reach_a_load_it_is_usable(test: PullTest, load: float) -> None:
    """At that drag the usable load is there, just before it is not; and where none, never."""
    drag = test.drag_to_reach_m(load)
    if drag is None:
        end = min(first_bad(test), test.readings[-1].drag_m + 1.0)
        assert test.usable_load_kn(np.nextafter(end, 0.0)) < load * (1 + 1e-9)
    else:
        assert test.usable_load_kn(drag + 1e-9) >= load * (1 - 1e-6)
        assert test.usable_load_kn(drag - 1e-6) <= load
        assert drag < first_bad(test)


def two_tests() -> Farm:
    """Return the small farm with two tests of its anchor: 60 kN at 1.5 and at 2 m."""
    one, two = (
        run("a", [(1.0, 40.0), (2.0, 80.0)]),
        run("b", [(1.0, 30.0), (2.0, 60.0), (3.0, 70.0)]),
    )
    deep = replace(one[1], penetration_mm=730.0)
    return farm_with(project=Project(pull_test_scatter=0.05), readings=(one[0], deep, *two))


def test_the_worst_of_the_tests_counts() -> None:
    """Safety factor 1.5 × 40 kN = 60 kN: 1.5 m in one test, 2 m in the other; 2 of 3 m allowed."""
    farm = two_tests()
    found = setting(farm, LEG, ANCHOR, 60.0)
    assert found is not None
    assert found.drags_m == pytest.approx((1.5, 2.0))
    assert found.drag_m == pytest.approx(2.0)
    assert found.share == pytest.approx(2 / 3)
    assert found.depths_mm == (730.0,)
    never = setting(farm, LEG, ANCHOR, 75.0)
    assert never is not None
    assert (never.drag_m, never.share, never.reached) == (None, None, 1)


def test_a_test_stopped_below_the_load_says_nothing_of_its_drag() -> None:
    """75 kN: reached in one test at 1.875 m; another was stopped at 70 kN, or ended there."""
    farm = two_tests()
    last = farm.readings[-1]
    stopped = replace(farm, readings=(*farm.readings[:-1], replace(last, event=Event.STOPPED)))
    found = setting(stopped, LEG, ANCHOR, 75.0)
    assert found is not None
    assert (found.drag_m, found.reached, found.short) == (pytest.approx(1.875), 1, 0)
    ended = setting(farm, LEG, ANCHOR, 75.0)
    assert ended is not None
    assert (ended.drag_m, ended.short) == (None, 1)


def test_before_a_plan_only_what_is_relied_on_is_listed() -> None:
    """The 40 kN leg needs 60 kN of one anchor, which the tests bear out; a 60 kN leg does not."""
    farm = two_tests()
    heavy = replace(LEG, name="south", design_tension_kn=60.0)
    (found,) = settings_of_farm(replace(farm, legs=(LEG, heavy)))
    assert found.leg.name == "north"
    assert found.required_kn == pytest.approx(60.0)
    fenced = replace(LEG, allowed_families=("other",))
    assert settings_of_farm(replace(farm, legs=(fenced,))) == ()


def test_with_a_plan_the_share_of_each_anchor_counts() -> None:
    """Two anchors at 80 % each and 90 % kept under 5° of uplift: 72 ÷ (2 × 0.8 × 0.9) = 50 kN."""
    farm = replace(two_tests(), uplift_losses=(UpliftLoss(ANCHOR.name, 5.0, 0.9),))
    row = Assignment(
        leg="north",
        make_up=MakeUp(ANCHOR.name, 2, CHAIN.name, 20.0, ROPE.name, 60.0),
        vessel="work boat",
        count=1,
        uplift_deg=5.0,
        anchor_tension_kn=48.0,
        radius_m=60.0,
        grounded_m=0.0,
        evidence=HoldingEvidence(),
        limits=(Limit(LimitName.HOLDING, 72.0, 80.0, "kN"),),
    )
    (found,) = settings_of_plan(farm, (row,))
    assert found.required_kn == pytest.approx(50.0)
    assert found.drags_m == pytest.approx((1.25, 1 + 2 / 3))
    assert settings_of_plan(replace(farm, readings=()), (row,)) == ()


@pytest.mark.parametrize(
    ("acts_on", "tension_kn"),
    [(FactorActsOn.TENSION, 60.0), (FactorActsOn.ANCHOR_LOAD, 40.0)],  # 1.5 × 40 kN, or 40 kN
)
def test_chain_needed_is_the_least_cut_length_that_keeps_the_angle(
    acts_on: FactorActsOn, tension_kn: float
) -> None:
    """At that length the uplift is within the angle, one cutting step shorter it is not; under
    the tension multiplied by the safety factor, or the design tension where that is the practice.
    """
    farm = farm_with(project=Project(longest_chain_m=250.0, safety_factor_acts_on=acts_on))
    need = chain_need(farm, LEG, CHAIN, ROPE, 60.0, (0.0, 3.0, 6.0, 9.0))
    for angle, length in zip(need.uplifts_deg, need.lengths_m, strict=True):
        assert length is not None
        steps = np.array([length - farm.project.cutting_step_m, length])
        state = line_states(
            tension_kn,
            LEG.depth_m,
            steps,
            CHAIN.submerged_weight_kn_m,
            60.0,
            ROPE.submerged_weight_kn_m,
            0.7,
        )
        assert state.uplift_deg[1] <= angle + 1e-6 < state.uplift_deg[0]
    assert sorted(need.lengths_m, reverse=True) == list(need.lengths_m)


def test_no_chain_long_enough_is_none() -> None:
    """With a longest chain of 10 m the level pull is out of reach, and not drawn."""
    short = farm_with(project=Project(longest_chain_m=10.0))
    assert chain_need(short, LEG, CHAIN, ROPE, 60.0, (0.0,)).lengths_m == (None,)


def test_typical_legs_run_from_the_least_to_the_most_loaded() -> None:
    """Nine legs of 10 to 90 kN: the 10th, 30th, 50th, 70th and 90th; a crowd counts by lines."""
    legs = tuple(
        replace(LEG, name=f"{kn}", design_tension_kn=float(kn)) for kn in range(10, 100, 10)
    )
    chosen = [leg.name for leg in typical_legs(farm_with(legs=legs))]
    assert chosen == ["10", "30", "50", "70", "90"]
    crowd = (replace(legs[0], count=50), *legs[1:])
    assert [leg.name for leg in typical_legs(farm_with(legs=crowd))] == ["10", "90"]


def test_before_a_plan_the_lightest_strong_enough_chain_and_rope_are_drawn() -> None:
    """40 kN × 3 = 120 kN: a 130 kN chain is lighter than the 240 kN one; 100 kN would not do."""
    weak = replace(CHAIN, name="weak", mass_kg_per_m=3.0, breaking_load_kn=100.0)
    light = replace(CHAIN, name="light", mass_kg_per_m=5.0, breaking_load_kn=130.0)
    (need,) = typical_needs(farm_with(chains=(CHAIN, weak, light)))
    assert need.chain.name == "light"
    assert need.rope is ROPE
    assert need.rope_m == pytest.approx(2.5 * LEG.depth_m)  # third of 1.5, 2, 2.5, 3
    assert typical_needs(farm_with(chains=(weak,))) == ()
