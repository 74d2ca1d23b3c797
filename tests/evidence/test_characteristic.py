"""The characteristic value of few tests against EN 1990:2002 and scipy's distributions."""

from __future__ import annotations

import math

import numpy as np
import pytest
from moorledger.models.standing.characteristic import characteristic_value, k_n
from scipy import stats

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
    """No, one or two results of unknown scatter have no characteristic value."""
    with pytest.raises(ValueError, match="scatter"):
        characteristic_value(loads, None)


def test_log_normal_value_by_hand() -> None:
    """100, 110, 121: log mean ln 110, log deviation ln 1.1; EN 1990 D.7.2 (3), k_3 = 3.37.

    By hand: 3.37 × 0.0953102 = 0.321195; 110 × e^(−0.321195) = 79.780.
    """
    assert characteristic_value([121.0, 100.0, 110.0], None) == pytest.approx(79.780, abs=2e-3)
    assert characteristic_value([121.0, 100.0, 110.0], 0.02) == pytest.approx(79.780, abs=2e-3)


@pytest.mark.parametrize(("loads", "value"), [([100.0], 79.419), ([100.0, 100.0], 81.832)])
def test_known_scatter_by_hand(loads: list[float], value: float) -> None:
    """One or two results with 10 % stated scatter: log deviation √ln 1.01 = 0.0997513.

    By hand: 100 × e^(−2.31 × 0.0997513) = 79.419; 100 × e^(−2.01 × 0.0997513) = 81.832.
    """
    assert characteristic_value(loads, 0.10) == pytest.approx(value, abs=2e-3)


def test_a_result_of_zero_makes_the_value_zero() -> None:
    """One test that held nothing leaves nothing to rely on, however good the others."""
    assert characteristic_value([100.0, 0.0, 110.0], None) == 0.0
    assert characteristic_value([0.0], 0.1) == 0.0


@pytest.mark.parametrize(("tests", "tolerance_factor"), [(3, 3.152), (5, 2.463), (10, 2.104)])
def test_it_is_not_the_tolerance_factor(tests: int, tolerance_factor: float) -> None:
    """k_n is a prediction factor; the 75 %-confidence tolerance factor is another number.

    Source: noncentral t by scipy; 3.152 is also the classical table's, from memory.
    """
    shift = stats.norm.ppf(0.95) * math.sqrt(tests)
    exact = stats.nct.ppf(0.75, tests - 1, shift) / math.sqrt(tests)
    assert exact == pytest.approx(tolerance_factor, abs=1e-3)
    assert abs(k_n(tests, scatter_known=False) - tolerance_factor) > 0.1


def test_one_new_result_in_twenty_falls_below() -> None:
    """What the factor promises: 5 % of fresh log-normal results lie below the value of three.

    Recomputed by simulation, 40 000 trials, standard error 0.1 %.
    """
    random = np.random.default_rng(3)
    trials = 40_000
    seen = np.exp(random.normal(3.0, 0.2, (trials, 3)))
    fresh = np.exp(random.normal(3.0, 0.2, trials))
    values = np.array([characteristic_value(row, None) for row in seen.tolist()])
    assert np.mean(fresh < values) == pytest.approx(0.05, abs=0.005)
