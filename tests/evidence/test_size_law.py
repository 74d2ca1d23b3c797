"""The fit across sizes, against scipy, a certified regression and simulated tests."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from moorledger.models.evidence.size_law import SizeLaw, log_fit, size_laws
from moorledger.models.evidence.student_t import cumulative, quantile
from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import Anchor
from moorledger.models.site.pull_test import Event, Reading
from moorledger.models.standing.holding import design_holding
from scipy import stats

from tests.farms.small_farm import ANCHOR, farm_with, run

KGF_KN = 9.80665e-3

NORRIS = np.array(
    [
        [0.1, 0.2], [338.8, 337.4], [118.1, 118.2], [888.0, 884.6], [9.2, 10.1], [228.1, 226.5],
        [668.5, 666.3], [998.5, 996.3], [449.1, 448.6], [778.9, 777.0], [559.2, 558.2], [0.3, 0.4],
        [0.1, 0.6], [778.1, 775.5], [668.8, 666.9], [339.3, 338.0], [448.9, 447.5], [10.8, 11.6],
        [557.7, 556.0], [228.3, 228.1], [998.0, 995.8], [888.8, 887.6], [119.6, 120.2], [0.3, 0.3],
        [0.6, 0.3], [557.6, 556.8], [339.3, 339.1], [888.0, 887.2], [998.5, 999.0], [778.9, 779.0],
        [10.2, 11.1], [117.6, 118.3], [228.9, 229.2], [668.4, 669.1], [449.2, 448.9], [0.2, 0.5],
    ]
)  # fmt: skip
"""y and x of "Norris", NIST Statistical Reference Datasets, linear regression (from memory: the
certified values below would not come out of wrong data)."""


def sized(name: str, mass_kg: float) -> Anchor:
    """Return an anchor of the small farm's family."""
    return replace(ANCHOR, name=name, mass_kg=mass_kg)


def family(
    loads: dict[float, list[float]], more: tuple[float, ...] = (), event: Event = Event.NONE
) -> Farm:
    """Return a farm whose family was tested to these loads (kN) at 3 m, by mass (kg)."""
    readings: list[Reading] = []
    for mass, each in loads.items():
        for number, load in enumerate(each):
            readings += run(f"{mass:g}-{number}", [(3.0, load, event)], anchor=f"{mass:g} kg")
    anchors = tuple(sized(f"{mass:g} kg", mass) for mass in (*loads, *more))
    return farm_with(anchors=anchors, readings=tuple(readings))


def only(farm: Farm) -> SizeLaw:
    """Return the only law."""
    (law,) = size_laws(farm)
    return law


def test_exponent_of_two_sizes_and_no_interval() -> None:
    """25 kg at 3065 kgf and 50 kg at 5020 within 3 m: 0.7118 (common practice, no source).

    Two tests fix two constants: there is nothing left to tell a standard error by, and it says so.
    """
    law = only(family({25.0: [3065 * KGF_KN], 50.0: [5020 * KGF_KN]}, (35.0,)))
    assert law.fit is not None
    assert law.fit.exponent == pytest.approx(0.7118, abs=5e-5)
    assert law.fit.exponent_error is None
    assert "no degrees of freedom" in law.remark
    between = law.prediction(sized("35 kg", 35.0))
    assert between is not None
    assert between.holding_kn / KGF_KN == pytest.approx(3065 * 1.4**0.7118, rel=1e-4)
    assert between.lower_kn is between.upper_kn is None
    assert between.remark == ""
    assert law.row_to_adopt is None


def test_certified_regression() -> None:
    """Slope, its standard error and the residual deviation certified by NIST for "Norris".

    Logarithms are what is fitted, so that the data go in as e^(x/100), e^(y/100).
    """
    y, x = NORRIS.T
    fit = log_fit(np.exp(x / 100).tolist(), np.exp(y / 100).tolist())
    assert fit.exponent == pytest.approx(1.00211681802045, rel=1e-11)
    assert fit.exponent_error == pytest.approx(0.429796848199937e-3, rel=1e-9)
    assert fit.deviation is not None
    assert fit.deviation * 100 == pytest.approx(0.884796396144373, rel=1e-9)
    level = (fit.mean_log_load - fit.exponent * fit.mean_log_mass) * 100
    assert level == pytest.approx(-0.262323073774029, rel=1e-9)


def test_prediction_interval_against_matrices_and_scipy() -> None:
    """The limits by (X'X)⁻¹ and scipy's t, for three sizes with three, two and two tests."""
    loads = {40.0: [13.2, 14.1, 13.5], 80.0: [25.0, 26.8], 180.0: [52.0, 49.5]}
    law = only(family(loads))
    x = np.log([mass for mass, each in loads.items() for _ in each])
    y = np.log([load for each in loads.values() for load in each])
    design = np.column_stack([np.ones_like(x), x])
    inverse = np.linalg.inv(design.T @ design)
    beta = inverse @ design.T @ y
    s2 = float(np.sum((y - design @ beta) ** 2)) / (len(x) - 2)
    line = stats.linregress(x, y)
    assert law.fit is not None
    assert law.fit.exponent == pytest.approx(line.slope, rel=1e-10)
    assert law.fit.exponent_error == pytest.approx(line.stderr, rel=1e-9)
    for mass in (40.0, 100.0, 180.0, 300.0):
        at = np.array([1.0, math.log(mass)])
        half = stats.t.ppf(0.95, len(x) - 2) * math.sqrt(s2 * (1 + at @ inverse @ at))
        said = law.prediction(sized("any", mass))
        assert said is not None
        assert said.lower_kn == pytest.approx(math.exp(at @ beta - half), rel=1e-9)
        assert said.upper_kn == pytest.approx(math.exp(at @ beta + half), rel=1e-9)


def test_one_further_test_in_twenty_falls_below_the_lower_limit() -> None:
    """Simulated: 4000 farms of seven tests, one further test each, 5 % ± 3 standard errors."""
    draw = np.random.default_rng(7)
    masses = [40.0, 40.0, 80.0, 80.0, 120.0, 180.0, 180.0]
    below = 0
    for _ in range(4000):
        truth = np.log(masses) * 0.9
        loads = np.exp(truth + draw.normal(0, 0.1, len(masses)))
        fit = log_fit(masses, loads.tolist())
        further = math.exp(0.9 * math.log(100.0) + draw.normal(0, 0.1))
        below += further < fit.load_kn(100.0) * math.exp(-(fit.margin(100.0) or 0.0))
    assert below / 4000 == pytest.approx(0.05, abs=3 * math.sqrt(0.05 * 0.95 / 4000))


@pytest.mark.parametrize(
    ("mass", "words"),
    [
        (30.0, "EXTRAPOLATED: under half the smallest mass tested (80 kg)"),
        (40.0, "below the smallest mass tested (80 kg)"),
        (100.0, ""),
        (180.0, ""),
        (360.0, "above the largest mass tested (180 kg)"),
        (361.0, "EXTRAPOLATED: beyond twice the largest mass tested (180 kg)"),
    ],
)
def test_extrapolation_is_never_silent(mass: float, words: str) -> None:
    """Between the sizes nothing, outside a word, beyond twice a loud one."""
    law = only(family({80.0: [26.0], 180.0: [52.0]}))
    said = law.prediction(sized("any", mass))
    assert said is not None
    assert said.remark == words


def test_row_to_adopt_never_exceeds_the_lower_limit_between_the_sizes() -> None:
    """The law as written in the Holding laws sheet, at 50 masses from the least to the most."""
    law = only(family({40.0: [13.2, 14.1, 13.5], 80.0: [25.0, 26.8], 180.0: [52.0, 49.5]}))
    assert law.row_to_adopt is not None
    mass, holding, exponent = law.row_to_adopt
    for size in np.geomspace(40.0, 180.0, 50):
        said = law.prediction(sized("any", float(size)))
        assert said is not None
        assert said.lower_kn is not None
        assert holding * (size / mass) ** exponent <= said.lower_kn * (1 + 1e-9)


def test_fit_is_shown_and_not_relied_on() -> None:
    """A size between the tested ones stays refused: no design holding comes from the fit."""
    farm = family({80.0: [26.0, 25.0, 27.0], 180.0: [52.0, 50.0, 51.0]}, (120.0,))
    untested = farm.anchor_by_name["120 kg"]
    assert only(farm).prediction(untested) is not None
    assert design_holding(farm, untested, "sand", 3.0).refusal


@pytest.mark.parametrize("event", [Event.ROLLED_OUT, Event.BROKE])
def test_no_law_through_a_test_that_let_go(event: Event) -> None:
    """What is left after a roll-out or a break follows no law of size: refused, tests named."""
    law = only(family({80.0: [26.0], 180.0: [52.0]}, event=event))
    assert law.fit is None
    assert "80-0, 180-0" in law.refusal
    assert law.prediction(sized("any", 100.0)) is None
    assert law.row_to_adopt is None


def test_two_sizes_cannot_test_the_form() -> None:
    """Repeats give an interval, but the row says what it takes for granted; three sizes do not."""
    assert "third size" in only(family({80.0: [26.0, 25.0], 180.0: [52.0, 50.0]})).remark
    assert only(family({80.0: [26.0], 120.0: [36.0], 180.0: [52.0]})).remark == ""
    falling = only(family({80.0: [52.0, 51.0], 180.0: [26.0, 25.0]}))
    assert "does not rise" in falling.remark
    assert falling.row_to_adopt is None


def test_one_size_makes_no_law() -> None:
    """Four tests of one anchor: nothing to fit across."""
    assert size_laws(family({80.0: [26.0, 25.0, 24.0, 27.0]}, (100.0,))) == ()
    with pytest.raises(ValueError, match="two different masses"):
        log_fit([80.0, 80.0], [26.0, 25.0])


@pytest.mark.parametrize("freedom", [*range(1, 31), 42, 60, 120])
def test_quantiles_of_student_t(freedom: int) -> None:
    """Against scipy, both tails, and back again."""
    for probability in (0.005, 0.05, 0.3, 0.5, 0.75, 0.95, 0.999):
        ours = quantile(probability, freedom)
        assert ours == pytest.approx(stats.t.ppf(probability, freedom), rel=1e-9, abs=1e-12)
        assert cumulative(ours, freedom) == pytest.approx(probability, rel=1e-9)


@pytest.mark.parametrize(("probability", "freedom"), [(0.0, 3), (1.0, 3), (0.9, 0)])
def test_no_quantile_without_a_meaning(probability: float, freedom: int) -> None:
    """Probabilities at the ends and no degrees of freedom are refused."""
    with pytest.raises(ValueError, match=r"probability|freedom"):
        quantile(probability, freedom)


def test_prediction_is_not_tolerance() -> None:
    """NIST/SEMATECH e-Handbook 7.2.6.3: n = 43, 90 % covered with 99 % confidence, k = 1.8740.

    scipy's non-central t gives that k; the same distribution tells what our prediction factor
    t √(1 + 1/n) covers: 90 % on average (by its own definition), so with about even confidence,
    and no more. EN 1990's k_n is a factor of this second kind.
    """
    n, z = 43, stats.norm.ppf(0.90)
    k = stats.nct.ppf(0.99, n - 1, z * math.sqrt(n)) / math.sqrt(n)
    assert k == pytest.approx(1.8740, abs=5e-5)
    prediction = quantile(0.90, n - 1) * math.sqrt(1 + 1 / n)
    confidence = stats.nct.cdf(prediction * math.sqrt(n), n - 1, z * math.sqrt(n))
    assert 0.5 < confidence < 0.6
    # Average coverage, by integrating over the estimated mean and deviation.
    draw = np.random.default_rng(3)
    mean = draw.normal(0, 1 / math.sqrt(n), 200_000)
    s = np.sqrt(draw.chisquare(n - 1, 200_000) / (n - 1))
    covered = stats.norm.cdf(mean + prediction * s)
    assert float(covered.mean()) == pytest.approx(0.90, abs=4e-4)
