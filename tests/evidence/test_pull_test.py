"""What a pull test is worth: check values of the trade, and rules that must always hold.

The values in kgf and kg are common practice, no source. Where an event falls on a row of its
own, that row is the reading taken once it had happened: "rolling out by 3 m and dragging on at
800" is a reading of 800 at 3 m marked rolled out.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from moorledger.models.site.pull_test import Event, PullTest, Reading, pull_tests
from moorledger.models.standing.holding import efficiency

from tests.farms.small_farm import run

KGF_KN = 9.80665e-3
"""One kilogram-force in kN, exact by definition (ISO 80000-4)."""


def in_kgf(*points: tuple[float, float] | tuple[float, float, Event]) -> PullTest:
    """Return a test from (drag m, load kgf, event) points."""
    readings = (replace(r, load_kn=r.load_kn * KGF_KN) for r in run("pull", list(points)))
    return pull_tests(readings)[0]


def kgf(load_kn: float) -> float:
    """Return a load in kgf."""
    return load_kn / KGF_KN


FIXED_FLUKE_60 = in_kgf((1.0, 1060.0), (2.0, 1670.0), (3.0, 800.0, Event.ROLLED_OUT))


@pytest.mark.parametrize(
    ("allowed", "load"),
    [(0.5, 0.0), (1.0, 1060.0), (1.5, 1365.0), (2.0, 1670.0), (3.0, 800.0), (9.0, 800.0)],
)
def test_60_kg_fixed_fluke_that_rolls_out(allowed: float, load: float) -> None:
    """1060 at 1 m, 1670 at 2 m, rolled out by 3 m, dragging on at 800 (common practice)."""
    assert kgf(FIXED_FLUKE_60.usable_load_kn(allowed)) == pytest.approx(load)


@pytest.mark.parametrize(
    ("mass", "test", "peak_drag", "expected"),
    [
        pytest.param(
            28.0,
            in_kgf((2.0, 300.0), (4.5, 570.0, Event.ROLLED_OUT)),
            4.5,
            20.36,
            id="28 kg hinged fluke",
        ),
        pytest.param(
            180.0,
            in_kgf((1.0, 260.0), (2.0, 500.0), (4.0, 550.0)),
            4.0,
            3.06,
            id="180 kg stockless",
        ),
        pytest.param(
            1000.0,
            in_kgf((1.0, 850.0), (2.0, 1155.0), (3.0, 1310.0)),
            3.0,
            1.31,
            id="1000 kg deadweight",
        ),
        pytest.param(
            25.0,
            in_kgf((1.0, 1155.0), (2.0, 2525.0), (3.0, 3065.0, Event.STOPPED)),
            3.0,
            122.6,
            id="25 kg folding plate",
        ),
        pytest.param(
            50.0, in_kgf((2.0, 3180.0), (3.0, 5020.0)), 3.0, 100.4, id="50 kg folding plate"
        ),
    ],
)
def test_efficiency_at_the_peak(
    mass: float, test: PullTest, peak_drag: float, expected: float
) -> None:
    """Peak load ÷ weight, both as forces (common practice, no source)."""
    assert test.peak.drag_m == peak_drag
    places = 0.005 if expected < 100 else 0.05
    assert efficiency(test.peak.load_kn, mass) == pytest.approx(expected, abs=places)


def test_28_kg_hinged_fluke_is_worth_nothing_once_it_rolled_out() -> None:
    """Peak of 570 at 4.5 m, then rolled out with nothing recorded after: zero from there on."""
    test = in_kgf((2.0, 300.0), (4.5, 570.0, Event.ROLLED_OUT))
    assert kgf(test.usable_load_kn(4.0)) == pytest.approx(300.0)
    assert test.usable_load_kn(4.5) == 0.0
    assert test.usable_load_kn(50.0) == 0.0


def test_300_kg_hinged_that_broke() -> None:
    """390 at 1 m, 2020 at 2 m where it broke: nothing from 2 m on, structural limit 2020."""
    test = in_kgf((1.0, 390.0), (2.0, 2020.0, Event.BROKE))
    assert test.usable_load_kn(2.0) == 0.0
    assert test.usable_load_kn(10.0) == 0.0
    assert kgf(test.usable_load_kn(1.0)) == pytest.approx(390.0)
    assert kgf(test.usable_load_kn(1.9)) == pytest.approx(390.0)
    assert kgf(test.structural_limit_kn) == pytest.approx(2020.0)


def test_structural_limit_counts_what_was_carried_before_the_break_only() -> None:
    """The gauge had fallen when the break was read: the highest load up to there is the limit."""
    test = in_kgf((1.0, 390.0), (2.0, 2020.0), (2.5, 100.0, Event.BROKE), (9.0, 3000.0))
    assert kgf(test.structural_limit_kn) == pytest.approx(2020.0)
    assert FIXED_FLUKE_60.structural_limit_kn == math.inf


def test_stopped_is_a_lower_bound_and_not_carried_further() -> None:
    """A test stopped at 3 m while holding is worth its last load at 3 m and at any more drag."""
    test = in_kgf((1.0, 1155.0), (2.0, 2525.0), (3.0, 3065.0, Event.STOPPED))
    assert kgf(test.usable_load_kn(2.5)) == pytest.approx((2525.0 + 3065.0) / 2)
    assert kgf(test.usable_load_kn(3.0)) == pytest.approx(3065.0)
    assert kgf(test.usable_load_kn(30.0)) == pytest.approx(3065.0)


def test_exponent_between_two_sizes_of_one_family() -> None:
    """25 kg at 3065 and 50 kg at 5020 within 3 m give an exponent of 0.7118 (common practice)."""
    small = in_kgf((1.0, 1155.0), (2.0, 2525.0), (3.0, 3065.0, Event.STOPPED))
    large = in_kgf((2.0, 3180.0), (3.0, 5020.0))
    ratio = large.usable_load_kn(3.0) / small.usable_load_kn(3.0)
    assert math.log(ratio) / math.log(50.0 / 25.0) == pytest.approx(0.7118, abs=5e-5)


def test_lowest_load_after_a_roll_out_counts() -> None:
    """Rolled out at its highest load, then 500, 350, 450: worth 350, also where 350 came later."""
    test = in_kgf((1.0, 900.0, Event.ROLLED_OUT), (2.0, 500.0), (3.0, 350.0), (4.0, 450.0))
    assert kgf(test.usable_load_kn(4.0)) == pytest.approx(350.0)
    assert kgf(test.usable_load_kn(2.0)) == pytest.approx(350.0)


def test_load_regained_beyond_the_allowed_drag_does_not_count() -> None:
    """Rolled out at 150 by 2 m and dug in again at 10 m: at 2 m worth no more than the 150."""
    test = in_kgf((1.0, 100.0), (2.0, 150.0, Event.ROLLED_OUT), (10.0, 900.0))
    assert kgf(test.usable_load_kn(2.0)) == pytest.approx(150.0)


def test_second_roll_out_with_nothing_after_leaves_nothing() -> None:
    """Rolled out twice, the second time at its highest and last load: zero."""
    test = in_kgf((1.0, 100.0, Event.ROLLED_OUT), (2.0, 200.0, Event.ROLLED_OUT))
    assert test.usable_load_kn(2.0) == 0.0


def test_readings_gather_by_test_and_first_equal_peak_is_the_peak() -> None:
    """Interleaved rows fall to their own tests in order; of two equal peaks the earlier counts."""
    one = run("one", [(1.0, 5.0), (2.0, 8.0), (3.0, 8.0)])
    two = run("two", [(1.0, 4.0)])
    gathered = pull_tests((one[0], two[0], one[1], one[2]))
    assert [test.name for test in gathered] == ["one", "two"]
    assert gathered[0].readings == one
    assert gathered[0].peak.drag_m == 2.0


@st.composite
def pulls(draw: st.DrawFn, events: tuple[Event, ...] = tuple(Event)) -> PullTest:
    """Draw a test of one to eight readings in order of drag."""
    steps = draw(st.lists(st.floats(0.01, 5.0), min_size=1, max_size=8))
    loads = draw(st.lists(st.floats(0.1, 100.0), min_size=len(steps), max_size=len(steps)))
    drag = 0.0
    readings = []
    for step, load in zip(steps, loads, strict=True):
        drag += step
        readings.append(Reading("t", "a", "s", drag, load, draw(st.sampled_from(events))))
    return PullTest("t", "a", "s", tuple(readings))


def first_bad(test: PullTest) -> float:
    """Return the drag of the first roll-out or break, m."""
    bad = (r.drag_m for r in test.readings if r.event in (Event.ROLLED_OUT, Event.BROKE))
    return min(bad, default=math.inf)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(pulls(), st.floats(0.0, 45.0), st.floats(0.0, 45.0))
def test_more_drag_never_lowers_a_usable_load_before_a_bad_event(
    test: PullTest, one: float, other: float
) -> None:
    """While nothing has gone wrong yet, allowing more drag can only help."""
    less, more = sorted((one, other))
    assume(more < first_bad(test))
    assert test.usable_load_kn(less) <= test.usable_load_kn(more) + 1e-9


@settings(max_examples=250, deadline=None, derandomize=True)
@given(
    pulls(),
    st.integers(0, 7),
    st.sampled_from([Event.ROLLED_OUT, Event.BROKE]),
    st.floats(0.0, 45.0),
)
def test_marking_a_bad_event_never_raises_a_usable_load(
    test: PullTest, at: int, event: Event, allowed: float
) -> None:
    """A reading at which nothing bad had happened is marked rolled out or broke."""
    at %= len(test.readings)
    assume(test.readings[at].event in (Event.NONE, Event.STOPPED))
    worse = list(test.readings)
    worse[at] = replace(worse[at], event=event)
    marked = replace(test, readings=tuple(worse))
    assert marked.usable_load_kn(allowed) <= test.usable_load_kn(allowed) + 1e-9
    assert marked.structural_limit_kn <= test.structural_limit_kn


@settings(max_examples=150, deadline=None, derandomize=True)
@given(
    pulls((Event.NONE, Event.STOPPED)),
    st.floats(0.01, 5.0),
    st.floats(0.1, 200.0),
    st.sampled_from([Event.ROLLED_OUT, Event.BROKE]),
    st.floats(0.0, 50.0),
)
def test_ending_in_a_bad_event_never_raises_a_usable_load(
    test: PullTest, further: float, load: float, event: Event, allowed: float
) -> None:
    """A last reading that is itself a bad event adds nothing, at whatever load it happened."""
    last = Reading("t", "a", "s", test.readings[-1].drag_m + further, load, event)
    longer = replace(test, readings=(*test.readings, last))
    assert longer.usable_load_kn(allowed) <= test.usable_load_kn(allowed) + 1e-9


@settings(max_examples=100, deadline=None, derandomize=True)
@given(pulls(), st.floats(0.0, 45.0), st.sampled_from([KGF_KN, 4.4482216e-3, 9.80665]))
def test_units_never_change_a_usable_load(test: PullTest, allowed: float, unit: float) -> None:
    """The worth of a test read in another unit of force is the same worth in that unit."""
    readings = tuple(replace(r, load_kn=r.load_kn * unit) for r in test.readings)
    other = replace(test, readings=readings)
    assert other.usable_load_kn(allowed) == pytest.approx(
        test.usable_load_kn(allowed) * unit, rel=1e-9, abs=1e-12
    )


@settings(max_examples=100, deadline=None, derandomize=True)
@given(pulls(), st.floats(0.0, 45.0))
def test_never_worth_more_than_was_ever_carried(test: PullTest, allowed: float) -> None:
    """No usable load lies above the peak or below nothing, and none before the first reading."""
    load = test.usable_load_kn(allowed)
    assert 0.0 <= load <= test.peak.load_kn
    if allowed < test.readings[0].drag_m:
        assert load == 0.0
