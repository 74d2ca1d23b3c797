"""The characteristic value of few tests against EN 1990:2002 and scipy's distributions."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from moorledger.models.standing.characteristic import Characteristic, Scatter, characteristic, k_n
from scipy import stats

from tests.quick_run import LONG

KNOWN = {
    1: 2.31,
    2: 2.01,
    3: 1.89,
    4: 1.83,
    5: 1.80,
    6: 1.77,
    8: 1.74,
    10: 1.72,
    20: 1.68,
    30: 1.67,
}
"""EN 1990:2002 Table D1, V_X known (seen in a copy)."""

UNKNOWN = {3: 3.37, 4: 2.63, 5: 2.33, 6: 2.18, 8: 2.00, 10: 1.92, 20: 1.76, 30: 1.73}
"""EN 1990:2002 Table D1, V_X unknown (seen in a copy)."""


FLOOR = 0.10
"""V_X, unknown, is not taken below it (EN 1990:2002 D.7.1, from memory)."""

LOADS = st.lists(st.floats(5.0, 200.0), max_size=5)
STATED = st.one_of(st.none(), st.floats(0.05, 0.5))


def worked(
    held: list[float],
    stated: float | None = None,
    stopped: list[float] | None = None,
    least: float = FLOOR,
) -> Characteristic:
    """Return the characteristic value that there is, with its working."""
    found = characteristic(held, stopped or [], stated, least)
    assert found is not None
    return found


def value(
    held: list[float],
    stated: float | None = None,
    stopped: list[float] | None = None,
    least: float = FLOOR,
) -> float:
    """Return the characteristic value; zero where there is none."""
    found = characteristic(held, stopped or [], stated, least)
    return 0.0 if found is None else found.value_kn


def as_written(
    held: list[float], counted: list[float], stated: float | None, least: float = FLOOR
) -> float:
    """Return the value with just these stopped tests, at these loads, by the formula as written."""
    loads = np.log([*held, *counted])
    n = len(loads)
    if n == 0 or (n < 3 and stated is None):
        return 0.0

    def spread(scatter: float) -> float:
        return math.sqrt(math.log(1 + scatter**2))

    def factor(table: dict[int, float]) -> float:
        return table[max(size for size in table if size <= n)]

    own = float(loads.std(ddof=1)) if n > 1 else 0.0
    values = []
    if counted:
        s = max(own, spread(stated or 0.0), spread(least))
        values = [factor(KNOWN) * s] if n < 3 else [factor(UNKNOWN) * s]
    else:
        values += [factor(KNOWN) * spread(stated)] if stated is not None else []
        values += [factor(UNKNOWN) * max(own, spread(least))] if n >= 3 else []
    return float(np.exp(loads.mean() - max(values)))


def prediction_factor(tests: int, scatter_known: bool) -> float:
    """Return the rule that Table D1 follows: quantile × √(1 + 1/n), recomputed with scipy."""
    quantile = 1.64 if scatter_known else float(stats.t.ppf(0.95, tests - 1))
    return quantile * math.sqrt(1 + 1 / tests)


@pytest.mark.parametrize(("tests", "factor"), KNOWN.items())
def test_table_d1_scatter_known(tests: int, factor: float) -> None:
    """k_n with V_X known is the table's and within 0.015 of 1.64 √(1 + 1/n)."""
    assert k_n(tests, scatter_known=True) == factor
    assert k_n(tests, scatter_known=True) == pytest.approx(
        prediction_factor(tests, True), abs=0.015
    )


@pytest.mark.parametrize(("tests", "factor"), UNKNOWN.items())
def test_table_d1_scatter_unknown(tests: int, factor: float) -> None:
    """k_n with V_X unknown is the table's and within 0.015 of t_0.95,n−1 √(1 + 1/n)."""
    assert k_n(tests, scatter_known=False) == factor
    assert k_n(tests, scatter_known=False) == pytest.approx(
        prediction_factor(tests, False), abs=0.015
    )


def test_known_row_is_not_shifted() -> None:
    """A copy in circulation drops 1.80 and moves the rest of the known row up; ours has it at 5."""
    assert k_n(5, scatter_known=True) == 1.80
    assert k_n(30, scatter_known=True) == 1.67
    for tests in (5, 6, 8, 10):
        shifted = KNOWN[{5: 6, 6: 8, 8: 10, 10: 20}[tests]]
        assert abs(shifted - prediction_factor(tests, True)) > 0.015


@pytest.mark.parametrize("scatter_known", [True, False])
def test_between_tabulated_numbers_the_factor_is_safe(scatter_known: bool) -> None:
    """For every n up to 200 k_n falls never below the rule by more than the table's rounding."""
    for tests in range(3, 201):
        rule = prediction_factor(tests, scatter_known)
        assert k_n(tests, scatter_known) >= rule - 0.015
        assert k_n(tests, scatter_known) <= k_n(tests - 1 if tests > 3 else 3, scatter_known)


@pytest.mark.parametrize(
    ("tests", "scatter_known"), [(0, True), (0, False), (1, False), (2, False)]
)
def test_no_factor_where_the_table_has_none(tests: int, scatter_known: bool) -> None:
    """Table D1 is blank below n = 3 for unknown scatter: refused, not extrapolated."""
    with pytest.raises(ValueError, match="k_n"):
        k_n(tests, scatter_known)


@pytest.mark.parametrize("loads", [[], [100.0], [100.0, 90.0]])
def test_few_loads_without_stated_scatter_are_refused(loads: list[float]) -> None:
    """No, one or two results of unknown scatter have no characteristic value, held or stopped."""
    assert characteristic(loads, [], None, FLOOR) is None
    assert characteristic([], loads, None, FLOOR) is None


def test_log_normal_value_by_hand() -> None:
    """100, 110, 121: log mean ln 110, log deviation ln 1.1; EN 1990 D.7.2 (3), k_3 = 3.37.

    By hand: 3.37 × 0.0953102 = 0.321195; 110 × e^(−0.321195) = 79.780, with no least scatter.
    With 0.10 the deviation is √ln 1.01 = 0.0997513: 110 × e^(−0.336162) = 78.595.
    """
    assert value([121.0, 100.0, 110.0], least=0.0) == pytest.approx(79.780, abs=2e-3)
    assert value([121.0, 100.0, 110.0], 0.02, least=0.0) == pytest.approx(79.780, abs=2e-3)
    assert value([121.0, 100.0, 110.0]) == pytest.approx(78.595, abs=2e-3)


@pytest.mark.parametrize(("loads", "owed"), [([100.0], 79.419), ([100.0, 100.0], 81.832)])
def test_known_scatter_by_hand(loads: list[float], owed: float) -> None:
    """One or two results with 10 % stated scatter: log deviation √ln 1.01 = 0.0997513.

    By hand: 100 × e^(−2.31 × 0.0997513) = 79.419; 100 × e^(−2.01 × 0.0997513) = 81.832.
    """
    assert value(loads, 0.10) == pytest.approx(owed, abs=2e-3)
    assert worked(loads, 0.10).known


@pytest.mark.parametrize(("loads", "owed"), [([50, 50, 50], 35.73), ([49, 50, 51], 35.72)])
def test_tests_that_agree_too_well_have_the_least_scatter(loads: list[float], owed: float) -> None:
    """V_X, unknown, is not taken below 0.10 (EN 1990:2002 D.7.1 (5), note, from memory).

    By hand: s(0.10) = √ln 1.01 = 0.0997513, k_3 = 3.37 (Table D1, seen in a copy);
    50 × e^(−0.336162) = 35.725; the geometric mean of 49, 50, 51 is 49.993: 35.720.
    """
    found = worked(loads)
    assert found.value_kn == pytest.approx(owed, abs=0.005)
    assert found.scatter is Scatter.LEAST
    assert value(loads, least=0.0) > owed + 10


@pytest.mark.parametrize(("tests", "share"), [(3, 0.71451), (4, 0.76924), (5, 0.79261)])
def test_share_of_the_mean_at_the_least_scatter(tests: int, share: float) -> None:
    """exp(−k_n s(0.10)) for like tests, computed apart from k_n of Table D1 (seen in a copy)."""
    assert value([50.0] * tests) / 50 == pytest.approx(share, abs=5e-6)


def test_a_stated_scatter_still_counts_from_three_tests_on() -> None:
    """Stated 0.25, the tests' own s 0.02: V_X known gives the smaller value, and it counts.

    By hand: ln loads −0.02, 0, 0.02 about ln 60 have s = 0.02. Unknown, at the least: 60 ×
    0.71451 = 42.87. Known: s(0.25) = √ln 1.0625 = 0.246221, 1.89 × 0.246221 = 0.465357,
    60 × 0.62791 = 37.67. Without the rule the third test would lift 0.61 of the mean to 0.93.
    """
    loads = [60 * math.exp(x) for x in (-0.02, 0.0, 0.02)]
    found = worked(loads, 0.25)
    assert found.value_kn == pytest.approx(37.675, abs=2e-3)
    assert (found.known, found.k_n, found.scatter) == (True, 1.89, Scatter.STATED)
    assert value(loads) == pytest.approx(42.871, abs=2e-3)
    assert value(loads, least=0.0) / 60 == pytest.approx(math.exp(-3.37 * 0.02))
    assert value(loads[:2], 0.25) / 60 == pytest.approx(0.6096 * math.exp(-0.01), abs=1e-4)


def test_three_tests_stopped_alike_are_three_lower_bounds() -> None:
    """Each stopped at 60 kN by the winch: not 60 × e^0, but 60 × 0.71451 = 42.87 kN.

    With a stated scatter of 0.25 the deviation is 0.246221: 60 × e^(−3.37 × 0.246221) = 26.17 of
    all three, 60 × e^(−2.01 × 0.246221) = 36.58 of two and 60 × e^(−2.31 × 0.246221) = 33.97 of
    one. That of two is the largest, and a lower bound says nothing against it. By hand.
    """
    found = worked([], None, [60.0, 60.0, 60.0])
    assert found.value_kn == pytest.approx(42.871, abs=2e-3)
    assert (found.held, found.stopped, found.left_out) == (0, 3, 0)
    stated = worked([], 0.25, [60.0, 60.0, 60.0])
    assert stated.value_kn == pytest.approx(36.58, abs=5e-3)
    assert (stated.stopped, stated.left_out, stated.k_n) == (2, 1, 2.01)


def test_a_low_setting_pull_is_left_out() -> None:
    """Three tests at 50 kN and one stopped at 15: what three say alone, not a scatter of 0.6."""
    found = worked([50.0, 50.0, 50.0], None, [15.0])
    assert found.value_kn == pytest.approx(35.725, abs=2e-3)
    assert (found.stopped, found.left_out, found.most_counted_kn) == (0, 1, None)
    higher = worked([50.0, 50.0, 50.0], None, [50.0])
    assert higher.value_kn == pytest.approx(50 * 0.76924, abs=2e-3)


def test_a_stopped_test_that_held_more_is_no_worse_than_its_like() -> None:
    """60, 60 and 90 kN, all stopped: the last held 60 on its way, so 42.87 kN at the least.

    Counted at its 90 kN the scatter would leave 68.7 × e^(−3.37 × 0.2341) = 31.2 kN. Counted at
    60 e^x the deviation is x ÷ √3, no more than the least of 0.0997513 up to x = 0.172774, where
    the value turns: 60 × e^(0.057591 − 0.336162) = 45.41 kN at a load of 71.32 kN. By hand.
    """
    assert as_written([], [60.0, 60.0, 90.0], None) == pytest.approx(31.2, abs=0.05)
    found = worked([], None, [60.0, 60.0, 90.0])
    assert found.value_kn == pytest.approx(45.412, abs=5e-3)
    assert found.most_counted_kn == pytest.approx(71.316, abs=5e-3)
    assert value([], None, [60.0, 60.0, 900.0]) == pytest.approx(found.value_kn, rel=1e-9)


@LONG
@settings(max_examples=300, deadline=None, derandomize=True)
@given(LOADS, LOADS, STATED, st.floats(1.0, 400.0))
def test_a_stopped_test_more_never_lowers_the_value(
    held: list[float], stopped: list[float], stated: float | None, more: float
) -> None:
    """Whatever was tested before, and whatever the new one held."""
    before = value(held, stated, stopped)
    assert value(held, stated, [*stopped, more]) >= before * (1 - 1e-12)


@LONG
@settings(max_examples=300, deadline=None, derandomize=True)
@given(LOADS, LOADS.filter(bool), STATED, st.floats(1.0, 5.0))
def test_a_higher_load_of_a_stopped_test_never_lowers_the_value(
    held: list[float], stopped: list[float], stated: float | None, times: float
) -> None:
    """A winch that pulled harder before it was stopped can only help."""
    before = value(held, stated, stopped)
    assert value(held, stated, [stopped[0] * times, *stopped[1:]]) >= before * (1 - 1e-12)


@LONG
@settings(max_examples=200, deadline=None, derandomize=True)
@given(LOADS, LOADS, STATED, st.integers(0, 10_000))
def test_it_is_the_largest_of_what_the_stopped_tests_allow(
    held: list[float], stopped: list[float], stated: float | None, seed: int
) -> None:
    """No choice of stopped tests, at loads up to their own, gives more by the formula as written.

    And the loads that it counts them at give just as much.
    """
    found = value(held, stated, stopped)
    draw = np.random.default_rng(seed)
    for _ in range(40):
        chosen = [load for load in stopped if draw.random() < 0.7]
        common = draw.uniform(5.0, 200.0)
        loads = [min(load, common) * draw.choice([1.0, draw.uniform(0.5, 1.0)]) for load in chosen]
        assert as_written(held, loads, stated) <= found * (1 + 1e-9)
    if found > 0:
        how = worked(held, stated, stopped)
        counted = sorted(stopped, reverse=True)[: how.stopped]
        at_most = how.most_counted_kn or math.inf
        told = as_written(held, [min(load, at_most) for load in counted], stated)
        assert told == pytest.approx(found, rel=1e-9)
        assert how.mean_kn * math.exp(-how.k_n * how.deviation) == pytest.approx(found, rel=1e-12)
        assert how.held + how.stopped + how.left_out == len(held) + len(stopped)


def test_a_result_of_zero_leaves_no_value() -> None:
    """One test that held nothing leaves nothing to rely on, however good the others."""
    assert characteristic([100.0, 0.0, 110.0], [], None, FLOOR) is None
    assert characteristic([0.0], [90.0, 90.0, 90.0], 0.1, FLOOR) is None
    assert value([100.0, 100.0, 110.0], None, [0.0]) == value([100.0, 100.0, 110.0])


@pytest.mark.parametrize(("tests", "tolerance_factor"), [(3, 3.152), (5, 2.463), (10, 2.104)])
def test_it_is_not_the_tolerance_factor(tests: int, tolerance_factor: float) -> None:
    """k_n is a prediction factor; the 75 %-confidence tolerance factor is another number.

    Source: noncentral t by scipy; 3.152 is also the classical table's, from memory.
    """
    shift = stats.norm.ppf(0.95) * math.sqrt(tests)
    exact = stats.nct.ppf(0.75, tests - 1, shift) / math.sqrt(tests)
    assert exact == pytest.approx(tolerance_factor, abs=1e-3)
    assert abs(k_n(tests, scatter_known=False) - tolerance_factor) > 0.1


@LONG
def test_one_new_result_in_twenty_falls_below() -> None:
    """What the factor promises: 5 % of fresh log-normal results lie below the value of three.

    Recomputed by simulation, 40 000 trials, standard error 0.1 %.
    """
    random = np.random.default_rng(3)
    trials = 40_000
    seen = np.exp(random.normal(3.0, 0.2, (trials, 3)))
    fresh = np.exp(random.normal(3.0, 0.2, trials))
    values = np.array([value(row, least=0.0) for row in seen.tolist()])
    assert np.mean(fresh < values) == pytest.approx(0.05, abs=0.005)
