"""What one more pull test is worth, against prices of farms that have the tests."""

from __future__ import annotations

import io
import itertools
import math
import random
from dataclasses import replace

import numpy as np
import openpyxl
import pytest
from moorledger.io.evidence.evidence_book import holding_workbook
from moorledger.io.told.next_tests_text import next_tests_text
from moorledger.models.evidence.supposed_tests import (
    PATTERNS,
    places_to_test,
    price_of_tests,
    with_more_tests,
)
from moorledger.models.farm import Farm
from moorledger.models.site.declared_holding import HoldingLaw
from moorledger.models.site.pull_test import Reading
from moorledger.models.standing.characteristic import characteristic
from moorledger.models.standing.holding import design_holding
from moorledger.optimiser.price import price
from moorledger.optimiser.repricing.farm_pricer import FarmPricer
from moorledger.optimiser.repricing.next_tests import next_tests

from tests.farms.small_farm import ANCHOR, FARM, LEG, VESSEL, farm_with, run
from tests.quick_run import LONG, mostly_long

GAP = 1e-7


def factor(n: int, scatter: float) -> float:
    """Return the characteristic value over the median of n tests of exactly this scatter."""
    deviation = math.sqrt(math.log1p(scatter**2))
    loads = np.exp(deviation * np.array(PATTERNS[3])).tolist()
    known = characteristic(loads, (), None, 0.01, n - 3)
    assert known is not None
    return known.value_kn


@pytest.mark.parametrize(
    ("scatter", "factors"),
    [
        (0.10, (0.7145, 0.7692, 0.7926, 0.8046)),
        (0.15, (0.6049, 0.6755, 0.7064, 0.7224)),
        (0.25, (0.4362, 0.5233, 0.5634, 0.5846)),
        (0.35, (0.3180, 0.4090, 0.4529, 0.4766)),
    ],
)
def test_factors_are_those_of_the_basis(scatter: float, factors: tuple[float, ...]) -> None:
    """BASIS C3: three tests, and one, two, three more with their mean and scatter."""
    assert [factor(n, scatter) for n in (3, 4, 5, 6)] == pytest.approx(factors, abs=5e-5)


def test_worth_of_a_test_of_the_basis() -> None:
    """BASIS C3 by its stated assumption, cost R c ÷ f(n): 3 → 4 tests 10,990, then 3,915, 1,852."""
    cost = [2640 * 10.9 / factor(n, 0.25) for n in (3, 4, 5, 6)]
    worth = [one - other for one, other in itertools.pairwise(cost)]
    assert worth == pytest.approx([10_990, 3_915, 1_852], abs=12)


def made_tests(anchor: str, mean_kn: float, deviation: float, count: int) -> tuple[Reading, ...]:
    """Return so many tests of this geometric mean and this deviation of logarithms, exactly."""
    away = np.linspace(-1.0, 1.0, count)
    away = away / np.std(away, ddof=1)
    loads = mean_kn * np.exp(deviation * away)
    return tuple(
        reading
        for number, load in enumerate(loads.tolist())
        for reading in run(f"{anchor} {number}", [(2.0, load)], anchor)
    )


def farm_of(seed: int) -> tuple[Farm, dict[str, tuple[float, float]]]:
    """Return a farm of two tested anchors, and the mean and deviation of each one's three tests."""
    draw = random.Random(seed)
    tension = draw.uniform(14, 22)
    small = replace(ANCHOR, name="small", mass_kg=250.0, unit_price=draw.uniform(500, 900))
    large = replace(ANCHOR, name="large", mass_kg=500.0, unit_price=draw.uniform(1500, 2600))
    scatter = draw.uniform(0.12, 0.3)
    # The small one fails by its three tests, and does with one to three more, or never does.
    spread = {
        "small": (1.5 * tension / math.exp(-draw.uniform(1.6, 3.4) * scatter), scatter),
        "large": (1.5 * tension * 4, 0.15),
    }
    legs = (
        replace(LEG, design_tension_kn=tension, count=draw.randint(2, 5)),
        replace(LEG, name="south", design_tension_kn=tension * draw.uniform(0.5, 1.0), count=2),
    )
    readings = tuple(r for name, of in spread.items() for r in made_tests(name, *of, 3))
    return farm_with(anchors=(small, large), legs=legs, readings=readings), spread


def with_tests(farm: Farm, spread: dict[str, tuple[float, float]], anchor: str, n: int) -> Farm:
    """Return the farm as if n tests of one anchor had been made, with the same mean and scatter."""
    others = tuple(r for r in farm.readings if r.anchor != anchor)
    return replace(farm, readings=(*others, *made_tests(anchor, *spread[anchor], n)))


@mostly_long("seed", range(10), quick=[1, 6, 7])
def test_worth_is_the_difference_of_two_prices(seed: int) -> None:
    """On ten small farms: the farm with the tests made, priced, less the farm as it is, priced."""
    farm, spread = farm_of(seed)
    told = next_tests(FarmPricer(farm, gap=GAP, workers=1))
    today = price(farm, gap=GAP, workers=1).installed_cost
    assert told.cost == pytest.approx(today, rel=1e-6)
    for row in told.rows:
        for option in row.options:
            made = with_tests(farm, spread, row.anchor, 3 + option.more)
            then = price(made, gap=GAP, workers=1).installed_cost
            assert option.saves is not None
            assert option.saves.found == pytest.approx(today - then, abs=0.01)
            assert option.saves.least - 0.01 <= today - then <= option.saves.most + 0.01
            held = design_holding(made, made.anchor_by_name[row.anchor], "sand", 3.0).holding_kn
            assert option.relied_on_kn == pytest.approx(held)
    saved = {row.anchor: row.options[-1].saves for row in told.rows}
    assert set(saved) == {"small", "large"}


@LONG
def test_a_bound_of_all_is_a_bound_of_each() -> None:
    """No test by itself saves more than three of all do together, and what is told agrees."""
    for seed in range(10):
        farm, spread = farm_of(seed)
        both = with_tests(with_tests(farm, spread, "small", 6), spread, "large", 6)
        most = price(farm, gap=GAP, workers=1).installed_cost
        most -= price(both, gap=GAP, workers=1).installed_cost
        told = next_tests(FarmPricer(farm, gap=GAP, workers=1))
        for row in told.rows:
            for option in row.options:
                assert option.saves is not None
                assert option.saves.found <= most + 0.01
                assert option.saves.found <= option.saves.most + 0.01


def test_what_the_time_leaves_out_is_told() -> None:
    """With no time left a place is said not to be priced, never that it saves nothing."""
    saving = next(
        seed for seed in range(10)
        if next_tests(FarmPricer(farm_of(seed)[0], gap=GAP, workers=1)).rows[0].best.net > -3000
    )  # fmt: skip
    farm, _ = farm_of(saving)
    told = next_tests(FarmPricer(farm, gap=GAP, workers=1), time_limit_s=1e-9)
    assert told.rows
    assert all(one.saves is None for row in told.rows for one in row.options)
    assert "not priced: the time was up" in next_tests_text(told)


@LONG
def test_some_farms_save_and_some_do_not() -> None:
    """The ten farms are about something: of some a test is worth it, of others it is not."""
    found = [next_tests(FarmPricer(farm_of(seed)[0], gap=GAP, workers=1)) for seed in range(10)]
    saving = [max(option.saves.found for row in one.rows for option in row.options
                  if option.saves) for one in found]  # fmt: skip
    assert any(saving) and not all(saving)  # noqa: PT018
    best = [one.rows[0].best.net for one in found]
    assert best == [max(row.best.net for row in one.rows) for one in found]


def test_a_test_is_paid_by_vessel_hours() -> None:
    """3 h there and back, and 30 + 20 + 30 min a test: one day for up to 5 tests, then two."""
    assert [price_of_tests(FARM, ANCHOR.name, n) for n in (1, 5, 6)] == [3000.0, 3000.0, 6000.0]
    stated = replace(FARM, project=replace(FARM.project, pull_test_price=700.0))
    assert price_of_tests(stated, ANCHOR.name, 3) == 2100.0
    weak = replace(FARM, vessels=(replace(VESSEL, crane_limit_t=0.1),))
    assert price_of_tests(weak, ANCHOR.name, 1) == math.inf


def test_tests_as_a_law_says_do_not_raise_it() -> None:
    """A mean law is lowered by 1.645 s, tests of its mean and scatter by k_n s, which is more."""
    law = HoldingLaw("hinged fluke", "sand", 300.0, 200.0, 0.9, "invented", 0.25)
    farm = farm_with(holding_laws=(law,))
    (place,) = places_to_test(farm)
    deviation = math.sqrt(math.log1p(0.25**2))
    assert place.by_law
    assert not place.raises
    assert place.relied_on_kn[0] == pytest.approx(200 * math.exp(-1.645 * deviation))
    assert place.relied_on_kn[3] == pytest.approx(200 * math.exp(-3.37 * deviation))
    three = with_more_tests(farm, ANCHOR.name, "sand", 3)
    assert three is not None
    assert len(three.tests_of(ANCHOR.name, "sand")) == 3
    unsaid = farm_with(holding_laws=(replace(law, scatter=None),))
    assert with_more_tests(unsaid, ANCHOR.name, "sand", 3) is None
    assert places_to_test(unsaid) == ()


def test_two_tests_of_unknown_scatter_become_three() -> None:
    """Two tests without a stated scatter are refused; with one more they are relied on."""
    readings = made_tests(ANCHOR.name, 100.0, 0.2, 2)
    (place,) = places_to_test(farm_with(readings=readings))
    assert place.relied_on_kn[0] == 0.0
    assert place.relied_on_kn[1] == pytest.approx(100 * math.exp(-3.37 * 0.2))
    assert places_to_test(farm_with(readings=made_tests(ANCHOR.name, 100.0, 0.2, 2)[:1])) == ()


def test_the_sheet_and_the_table_say_where_to_stop() -> None:
    """Each place has a verdict; what rests on a law is told together; the caution is there."""
    law = HoldingLaw("hinged fluke", "sand", 300.0, 200.0, 0.9, "invented", 0.25)
    lawful = replace(ANCHOR, name="lawful")
    farm, _ = farm_of(1)
    farm = replace(farm, anchors=(*farm.anchors, lawful), holding_laws=(law,))
    told = next_tests(FarmPricer(farm, gap=GAP, workers=1))
    text = next_tests_text(told)
    assert "1 more rest on a law" in text
    assert text.count("stop testing here") + text.count("more test") >= 2
    assert "A pull test is itself dangerous" in text
    book = openpyxl.load_workbook(io.BytesIO(holding_workbook(farm, tests=told)))
    rows = list(book["Next tests"].iter_rows(min_row=6, max_col=12, values_only=True))
    lines = [row for row in rows if row[0] in ("small", "large", "lawful")]
    assert [sum(row[0] == name for row in lines) for name in ("small", "large", "lawful")] == [
        3, 3, 1,
    ]  # fmt: skip
    assert all("stop" in str(row[11]) or "saves" in str(row[11]) for row in lines if row[11])
