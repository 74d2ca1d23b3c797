"""Lines that lie already: built as recorded, no part of the cost, and their pulls tests."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from moorledger.models.farm import Farm
from moorledger.models.farm_faults import farm_faults
from moorledger.models.fault import FarmError, Severity
from moorledger.models.goods.anchor import HoldsBy
from moorledger.models.site.laid_line import LaidLine
from moorledger.models.site.project import Project
from moorledger.models.site.pull_test import Event
from moorledger.models.standing.holding import design_holding
from moorledger.models.standing.laid_standing import laid_standing
from moorledger.optimiser.price import price
from moorledger.optimiser.recheck.recheck import recheck

from tests.after.laid_farms import recorded, without_laid
from tests.brute.brute_force import least_cost
from tests.brute.brute_make_ups import every_make_up
from tests.farms.random_farms import random_farm
from tests.farms.small_farm import ANCHOR, CHAIN, FARM, LEG, ROPE, farm_with, run
from tests.quick_run import mostly_long

SEEDS = [0, 2, 3, 4, 6, 8, 9, 10, 11, 12, 14, 15, 16, 17, 18, 19, 20, 21, 22, 24]


@mostly_long("seed", SEEDS, quick=[3, 4])
def test_what_is_left_is_least_of_everything_tried(seed: int) -> None:
    """Tests half of a small farm laid: the rest costs what trying everything finds, to 1e-6."""
    farm = recorded(price(random_farm(seed), gap=1e-3), random.Random(seed))
    assert farm.laid
    plan = price(farm, gap=1e-7, time_limit_s=60.0)
    alone = without_laid(farm)
    assert plan.installed_cost == pytest.approx(least_cost(alone, every_make_up(alone)), rel=1e-6)
    assert plan.farm == farm
    for row in farm.laid:
        kept = [x for x in plan.laid if (x.leg, x.first_line) == (row.leg, row.line)]
        assert [(x.make_up.anchor, x.make_up.chain_m) for x in kept] == [(row.anchor, row.chain_m)]
    assert all(line.passed for line in recheck(plan))


LINE = LaidLine("north", 1, ANCHOR.name, CHAIN.name, 108.0, 1, ROPE.name, 36.0)
TWO = replace(LEG, count=2, depth_m=12.0)
NO_SCATTER, STATED = Project(), Project(pull_test_scatter=0.2)


def _pulled(*pulls: tuple[float, float]) -> tuple[LaidLine, ...]:
    return tuple(
        replace(LINE, line=n, drag_m=drag, pull_kn=load) for n, (drag, load) in enumerate(pulls, 1)
    )


def _value(farm: Farm) -> float:
    return design_holding(farm, ANCHOR, "sand", LEG.allowed_drag_m).holding_kn


DEVIATION = math.sqrt(math.log(1.04))
"""Of the logarithms, of a stated scatter of 0.2."""

THREE = (*run("A", [(3.0, 60.0)]), *run("B", [(3.0, 60.0)]), *run("C", [(3.0, 60.0)]))


@pytest.mark.parametrize(
    ("pulls", "tests", "project", "value"),
    [
        # One pull, V_X known 0.2: Table D1 gives k_1 = 2.31.
        ([(1.0, 80.0)], (), STATED, 80.0 * math.exp(-2.31 * DEVIATION)),
        # Of four alike two count: k_2 = 2.01. From three on V_X unknown must hold too, and its
        # k_4 = 2.63 is larger.
        ([(1.0, 80.0)] * 4, (), STATED, 80.0 * math.exp(-2.01 * DEVIATION)),
        # Three tests of 60, V_X unknown and not below 0.10: k_3 = 3.37, 42.87 kN.
        ([], THREE, NO_SCATTER, 60.0 * math.exp(-3.37 * math.sqrt(math.log(1.01)))),
        # A pull of 30 says nothing against: still 42.87 kN.
        ([(1.0, 30.0)], THREE, NO_SCATTER, 60.0 * math.exp(-3.37 * math.sqrt(math.log(1.01)))),
        # A pull of 90 raises it. With loads 60, 60, 60, 60·e^t the mean of the logarithms is
        # ln 60 + t/4 and s = t/2, not below s(0.10): largest at t = 2 s(0.10); k_4 = 2.63.
        ([(1.0, 90.0)], THREE, NO_SCATTER, 60.0 * math.exp((0.5 - 2.63) * 0.0997513451)),
    ],
)
def test_pulls_count_as_stopped_tests(
    pulls: list[tuple[float, float]], tests: tuple[object, ...], project: Project, value: float
) -> None:
    """Tests the characteristic value with the pulls of lines laid, each worked by hand."""
    farm = farm_with(
        legs=(replace(LEG, count=9),), readings=tests, project=project, laid=_pulled(*pulls)
    )
    assert _value(farm) == pytest.approx(value, rel=1e-6)


def test_a_pull_beyond_the_allowed_drag_is_no_test_there() -> None:
    """Tests an anchor that came 4 m: of 3 m its pull says nothing, of 4 m it is a lower bound.

    Its line, of which 3 m are allowed, does not stand: 133.3 %. Of 4 m the value is 48.52 kN, as
    worked above.
    """
    farm = farm_with(legs=(TWO,), readings=THREE, laid=_pulled((4.0, 90.0)))
    assert _value(farm) == pytest.approx(42.87, abs=0.01)
    assert design_holding(farm, ANCHOR, "sand", 4.0).holding_kn == pytest.approx(48.52, abs=0.01)
    told = [fault.message for fault in farm_faults(farm)]
    assert any("drag 133.3% (4 m when it was set, 3 m allowed)" in one for one in told)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (replace(LINE, pull_kn=50.0), "no drag is recorded with the pull"),
        (replace(LINE, pull_kn=50.0, drag_m=1.0, anchors=2), "several anchors"),
    ],
)
def test_pulls_that_are_no_test_are_said(line: LaidLine, said: str) -> None:
    """Tests that a pull without its drag, or on two anchors, is doubted and does not count."""
    farm = farm_with(legs=(TWO,), readings=THREE, laid=(line,))
    assert _value(farm) == pytest.approx(42.87, abs=0.01)
    doubts = [f for f in farm_faults(farm) if f.severity is Severity.WARNING]
    assert any(said in fault.message for fault in doubts)


STRONG = tuple(r for n in range(6) for r in run(f"T{n}", [(3.0, 400.0)]))


def test_a_line_that_no_longer_stands_is_an_error_with_its_utilisation() -> None:
    """Tests 240 kN chain at factor 3: 40 kN takes 50 %, and 90 kN, 112.5 %, unless accepted."""
    sound = farm_with(legs=(TWO,), readings=STRONG, laid=(LINE,))
    assert not farm_faults(sound)
    raised = replace(sound, legs=(replace(TWO, design_tension_kn=90.0),))
    told = [str(f) for f in farm_faults(raised)]
    assert any("north/1 as laid no longer stands" in one for one in told)
    assert any("chain strength 112.5%" in one for one in told)
    with pytest.raises(FarmError):
        price(raised)
    accepted = replace(raised, laid=(replace(LINE, accepted_by="A. N. Engineer"),))
    (doubt,) = farm_faults(accepted)
    assert doubt.severity is Severity.WARNING
    assert "accepted by A. N. Engineer" in doubt.message


def test_a_setting_pull_that_fell_short_is_an_error_with_its_utilisation() -> None:
    """Tests that of 20 kN asked (half of the tension) 12 kN held are 166.7 %, that the recheck
    finds it too, and that it is a doubt where it is accepted by name. A pull of 20 kN, one that is
    not recorded, and an anchor that is not set by a pull are in order."""
    half = Project(setting_pull_share=0.5)
    leg = replace(TWO, design_tension_kn=40.0)
    short = replace(LINE, pull_kn=12.0, drag_m=1.0)
    tugs = tuple(replace(vessel, bollard_pull_kn=50.0) for vessel in FARM.vessels)
    farm = farm_with(legs=(leg,), readings=STRONG, project=half, laid=(short,), vessels=tugs)
    (told,) = farm_faults(farm)
    assert told.severity is Severity.ERROR
    assert "north/1 as laid no longer stands: setting pull 166.7% (20 kN asked, 12 kN held)" in str(
        told
    )
    accepted = replace(farm, laid=(replace(short, accepted_by="A. N. Engineer"),))
    (doubt,) = farm_faults(accepted)
    assert doubt.severity is Severity.WARNING
    plan = price(accepted)
    assert all(line.passed for line in recheck(plan))
    failed = [line.what for line in recheck(replace(plan, farm=farm)) if not line.passed]
    assert failed == ["setting pull asked"]
    for kept in (replace(short, pull_kn=20.0), replace(short, pull_kn=None, drag_m=None)):
        assert not farm_faults(replace(farm, laid=(kept,)))
    heavy = replace(ANCHOR, holds_by=HoldsBy.WEIGHT, stated_volume_m3=0.1)
    by_weight = laid_standing(replace(farm, anchors=(heavy,)), short)
    assert not by_weight.pulled_short


def test_a_plan_that_builds_a_laid_line_otherwise_is_caught() -> None:
    """Tests that the recheck misses a laid line, and sees one that lies otherwise."""
    farm = farm_with(legs=(TWO,), readings=STRONG, laid=(LINE,))
    plan = price(farm)
    assert all(line.passed for line in recheck(plan))
    longer = replace(plan.laid[0], make_up=replace(plan.laid[0].make_up, chain_m=41.0))
    for wrong in (replace(plan, laid=()), replace(plan, laid=(longer,))):
        failed = {line.what for line in recheck(wrong) if not line.passed}
        assert "is in the plan as it was recorded" in failed
    twice = replace(plan.assignments[0], first_line=1)
    failed = {line.what for line in recheck(replace(plan, assignments=(twice,))) if not line.passed}
    assert "every line once" in failed


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([replace(LINE, line=3)], "north/3: the leg has 2 lines"),
        ([LINE, LINE], "north/1 is laid twice"),
        ([LINE, replace(LINE, line=2)], "every line is laid"),
        ([replace(LINE, rope=None)], "a rope and its metres go together"),
        ([replace(LINE, easting_m=4.0)], "give Easting and Northing, or neither"),
        ([replace(LINE, leg="nort")], "'nort' is not in Legs; did you mean 'north'?"),
        ([replace(LINE, chain="stud 21")], "'stud 21' is not in Chain; did you mean 'stud 20'?"),
    ],
)
def test_faults_of_the_sheet(rows: list[LaidLine], said: str) -> None:
    """Tests that what is said twice, of no line or by halves is told."""
    farm = farm_with(legs=(TWO,), readings=STRONG, laid=tuple(rows))
    assert any(said in str(fault) for fault in farm_faults(farm))


def test_an_anchor_recorded_outside_is_told() -> None:
    """Tests that the radius is that of the anchor's recorded position: 90 m out, 85 allowed."""
    leg = replace(TWO, easting_m=0.0, northing_m=0.0, bearing_deg=0.0, longest_radius_m=85.0)
    leg = replace(leg, spacing_m=10.0, row_bearing_deg=90.0)
    line = replace(LINE, line=2, easting_m=10.0, northing_m=90.0)
    farm = farm_with(legs=(leg,), readings=STRONG, laid=(line,))
    told = [fault.message for fault in farm_faults(farm)]
    assert any("radius 105.9% (90 m required, 85 m there)" in one for one in told)
    near = replace(farm, laid=(replace(line, northing_m=84.0),))
    assert not [f for f in farm_faults(near) if f.severity is Severity.ERROR]


def test_the_event_of_a_pull_is_stopped() -> None:
    """Tests that a pull is one reading, stopped, under the line's tag, and only of a whole one."""
    reading = replace(LINE, pull_kn=50.0, drag_m=1.0).reading("sand")
    assert reading is not None
    assert (reading.test, reading.event) == ("north/1 as laid", Event.STOPPED)
    assert FARM.to_lay is FARM
