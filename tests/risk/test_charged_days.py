"""Charged days against scipy's negative binomial and the check values of the design basis."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from moorledger.models.risk.charged_days import (
    chance_within,
    chances_of_lost_days,
    charged_days_of,
    days_at,
    working_days_of,
)
from scipy import stats

from tests.farms.small_farm import VESSEL

CASES = [(1, 0.5), (3, 0.9), (8, 0.75), (16, 0.65), (60, 0.3), (400, 0.05), (1500, 0.6)]


@pytest.mark.parametrize(("working", "share"), CASES)
def test_chances_are_those_of_scipy(working: int, share: float) -> None:
    """The chances of lost days are scipy.stats.nbinom's, to the end of the tail."""
    chances = chances_of_lost_days(working, share)
    expected = stats.nbinom.cdf(np.arange(len(chances)), working, share)
    assert np.allclose(chances, expected, rtol=1e-9, atol=1e-11)


@pytest.mark.parametrize(("working", "share"), CASES)
@pytest.mark.parametrize("sure", [0.1, 0.5, 0.8, 0.9, 0.999])
def test_days_are_the_quantiles_of_scipy(working: int, share: float, sure: float) -> None:
    """The days that are enough with a chance are scipy's quantile, and no fewer are."""
    days = days_at(working, share, sure)
    assert days == working + int(stats.nbinom.ppf(sure, working, share))
    assert chance_within(working, share, days) >= sure > chance_within(working, share, days - 1)


def test_the_basis_has_these_days() -> None:
    """BASIS B11 and C6: 16 days at 65 % have P50 24, P80 28, P90 29; 8 at 75 % 10, 12, 13."""
    assert [days_at(16, 0.65, sure) for sure in (0.5, 0.8, 0.9)] == [24, 28, 29]
    assert [days_at(8, 0.75, sure) for sure in (0.5, 0.8, 0.9)] == [10, 12, 13]
    assert chance_within(16, 0.65, 24) == pytest.approx(0.526, abs=0.0005)
    assert chance_within(8, 0.75, 10) == pytest.approx(0.526, abs=0.0005)


def test_no_day_is_lost_where_every_day_can_be_worked() -> None:
    """With workable days of 100 % the days charged are those worked, at any certainty."""
    assert [days_at(7, 1.0, sure) for sure in (0.01, 0.5, 0.999)] == [7, 7, 7]
    assert chance_within(7, 1.0, 7) == 1.0
    assert chance_within(7, 1.0, 6) == 0.0


def test_hours_become_whole_days() -> None:
    """41 h at 10 h a day are 5 days of work: at 50 % workable 9 by the mean, more at 80 %."""
    vessel = replace(VESSEL, workable_share=0.5)
    assert working_days_of(vessel, 41.0) == 5
    assert charged_days_of(vessel, 41.0, None) == 9  # 41 ÷ 5 = 8.2
    assert charged_days_of(vessel, 41.0, 0.8) == 5 + int(stats.nbinom.ppf(0.8, 5, 0.5))
    assert charged_days_of(vessel, 0.0, 0.8) == 0


def test_no_weather_at_all_is_refused() -> None:
    """A share of nothing has no days."""
    with pytest.raises(ValueError, match="workable share"):
        chances_of_lost_days(3, 0.0)
