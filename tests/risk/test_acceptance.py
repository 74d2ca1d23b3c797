"""Acceptance pulls against the check values of the design basis and scipy."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from moorledger.models.answer.plan import Assignment
from moorledger.models.risk.acceptance import (
    HoldingSpread,
    acceptance_pulls,
    chances_of_failures,
    spares_for,
)
from moorledger.models.site.declared_holding import HoldingLaw
from moorledger.models.standing.characteristic import log_deviation
from moorledger.optimiser.price import price
from scipy import stats
from scipy.optimize import brentq

from tests.farms.small_farm import FARM, LEG, VESSEL, farm_with, run


def spread(scatter: float) -> HoldingSpread:
    """Return the spread of an anchor with a median of 1."""
    return HoldingSpread(1.0, log_deviation(scatter))


@pytest.mark.parametrize(
    ("scatter", "pull", "fails", "before", "after"),
    [
        (0.25, 0.7, 0.07372, 0.6670, 0.7488),
        (0.25, 0.8, 0.18240, 0.6670, 0.8291),
        (0.15, 0.8, 0.06733, 0.7824, 0.8354),
        (0.35, 0.7, 0.14704, 0.5717, 0.7417),
    ],
)
def test_the_basis_has_these_values(
    scatter: float, pull: float, fails: float, before: float, after: float
) -> None:
    """BASIS C4: the chance to fail a pull, and the 5 % value before and after it."""
    one = spread(scatter)
    assert one.chance_below(pull) == pytest.approx(fails, abs=5e-6)
    assert one.value_kn() == pytest.approx(before, abs=5e-5)
    assert one.value_after_kn(pull) == pytest.approx(after, abs=5e-5)


def test_the_value_after_a_pull_is_the_fractile_of_what_survives() -> None:
    """Of anchors drawn at random, one in twenty of those that stood the pull holds less."""
    holding = np.random.default_rng(4).lognormal(0.0, log_deviation(0.25), 400_000)
    left = holding[holding > 0.75]
    assert spread(0.25).value_after_kn(0.75) == pytest.approx(np.quantile(left, 0.05), rel=0.003)


def test_spares_of_the_basis() -> None:
    """BASIS C4: of 12 anchors at 0.07372 2 spares are enough for 90 %, 3 for 99 %."""
    chances = [(0.07372, 12)]
    total = np.cumsum(chances_of_failures(chances))
    assert total[1:4] == pytest.approx([0.7799, 0.9467, 0.9910], abs=5e-5)
    assert total == pytest.approx(stats.binom.cdf(np.arange(13), 12, 0.07372))
    assert spares_for(chances, 0.90) == 2
    assert spares_for(chances, 0.99) == 3


def test_unlike_pulls_add_up() -> None:
    """Two kinds of pull: the failures are the convolution of their binomials."""
    both = chances_of_failures([(0.1, 5), (0.3, 4)])
    one, other = stats.binom.pmf(np.arange(6), 5, 0.1), stats.binom.pmf(np.arange(5), 4, 0.3)
    assert both == pytest.approx(np.convolve(one, other))
    assert spares_for([], 0.99) == 0


def test_a_plan_tells_the_pulls_of_its_legs() -> None:
    """Tested anchors have their tests' median and scatter; a lower law tells nothing."""
    loads = (100.0, 120.0, 144.0)
    readings = tuple(r for n, load in enumerate(loads) for r in run(f"t{n}", [(2.0, load)]))
    legs = (replace(LEG, count=3, design_tension_kn=20.0),)
    project = replace(FARM.project, setting_pull_share=3.0)
    boats = (replace(VESSEL, bollard_pull_kn=100.0),)
    farm = farm_with(project=project, vessels=boats, legs=legs, readings=readings)
    plan = price(farm, workers=1)
    pulls, spares = acceptance_pulls(farm, plan.assignments)
    deviation = float(np.std(np.log(loads), ddof=1))
    assert [(p.anchors, p.pull_kn) for p in pulls] == [(3, pytest.approx(60.0))]
    assert pulls[0].spread is not None
    assert pulls[0].spread.median_kn == pytest.approx(120.0)
    assert pulls[0].spread.deviation == pytest.approx(deviation)
    fails = stats.lognorm(deviation, scale=120.0).cdf(60.0)
    assert spares[0].expected == pytest.approx(3 * fails)
    lawful = farm_with(
        project=project,
        vessels=boats,
        legs=legs,
        holding_laws=(HoldingLaw("hinged fluke", "sand", 300.0, 120.0, 0.9, "invented"),),
    )
    rows: tuple[Assignment, ...] = price(lawful, workers=1).assignments
    pulls, spares = acceptance_pulls(lawful, rows)
    assert pulls[0].spread is None
    assert (spares[0].pulled, spares[0].unknown, spares[0].spares) == (0, 3, ())
    assert acceptance_pulls(replace(farm, project=FARM.project), plan.assignments) == ((), ())


@pytest.mark.parametrize("pull_kn", [0.5, 1.0, 3.0, 8.0, 30.0])
def test_the_value_after_a_pull_is_scipys_far_above_the_median_too(pull_kn: float) -> None:
    """Tests the 5 % value against scipy's truncated normal (inverse survival of its tail), and
    that no value lies below a pull that was stood."""
    one = spread(0.1)
    tail = stats.norm.logsf(math.log(pull_kn) / one.deviation) + math.log(0.95)
    z = brentq(lambda z: stats.norm.logsf(z) - tail, -20.0, 60.0, xtol=1e-12)
    if math.exp(tail) > 0:
        assert one.value_after_kn(pull_kn) == pytest.approx(math.exp(z * one.deviation), rel=1e-9)
    assert one.value_after_kn(pull_kn) >= pull_kn


def test_a_pull_that_nothing_should_have_stood_is_the_value_itself() -> None:
    """Tests a pull a thousand deviations above the median, and anchors all alike."""
    assert HoldingSpread(1.0, 0.01).value_after_kn(1000.0) == 1000.0
    assert HoldingSpread(1.0, 0.0).value_after_kn(2.0) == 2.0
    assert HoldingSpread(1.0, 0.0).value_after_kn(0.5) == 1.0
    assert HoldingSpread(1.0, 0.1).value_after_kn(0.0) == HoldingSpread(1.0, 0.1).value_kn()
