"""Comparisons: the sample's options side by side, and differences that add up to the cent."""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import openpyxl
import pytest
from moorledger.io.options.options_book import comparison_workbook
from moorledger.io.told.option_text import comparison_text
from moorledger.models.answer.plan import Part
from moorledger.models.answer.stopped import Stopped
from moorledger.models.asked.comparison import (
    Comparison,
    Outcome,
    Step,
    amounts_of,
    in_hundredths,
    steps_of,
    waterfall,
)
from moorledger.models.goods.anchor import TransportForm
from moorledger.models.option import FREE, Option
from moorledger.optimiser.repricing.compare import compare
from moorledger.optimiser.repricing.farm_pricer import FarmPricer, PricedOption
from openpyxl import Workbook

from tests.farms.plan_fixture import INSTALLED_COST, example_plan
from tests.farms.random_farms import random_farm
from tests.quick_run import LONG


@pytest.fixture(scope="module", params=["small", pytest.param("sample", marks=LONG)])
def compared(request: pytest.FixtureRequest) -> Comparison:
    """The options of a small farm, and of the sample."""
    found: Comparison = request.getfixturevalue(f"{request.param}_comparison")
    return found


@pytest.fixture
def book(compared: Comparison) -> Workbook:
    """The comparison as a workbook, with its formulas."""
    return openpyxl.load_workbook(io.BytesIO(comparison_workbook(compared, "Farm")))


def test_waterfalls_add_up_to_the_cent(compared: Comparison) -> None:
    """Between any two options the steps, in whole cents, are the difference of the totals; and
    each total is the installed cost rounded once."""
    pairs = list(itertools.permutations(compared.done, 2))
    assert len(pairs) >= 30
    for one, other in pairs:
        steps = waterfall(one, other)
        assert sum(change for _, change in steps) == other.total_cents - one.total_cents
    for outcome in compared.done:
        assert outcome.plan is not None
        assert outcome.total_cents == round(outcome.plan.installed_cost * 100)


def test_time_left_goes_to_the_options_that_are_still_open(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Where each option's first search ends with half its bound, every one is searched again, and
    all are proven in the end; with no time left none is, and the comparison says so."""
    farm = random_farm(156)
    for seconds, proven in ((600.0, True), (1.0, False)):
        pricing = FarmPricer(farm, gap=1e-6)
        whole = pricing.price
        seen: set[str] = set()

        def price(
            option: Option,
            whole: Callable[..., PricedOption] = whole,
            seen: set[str] = seen,
            **how: Any,
        ) -> PricedOption:
            found = whole(option, **how)
            early = option.name not in seen and found.settlement is not None
            seen.add(option.name)
            return replace(found, bound=found.bound / 2) if early else found

        monkeypatch.setattr(pricing, "price", price)
        monkeypatch.setattr(pricing, "bettered", lambda priced: priced)
        found = compare(pricing, time_limit_s=seconds)
        assert len(found.done) >= 3
        assert all(one.plan is not None and one.plan.proof.proven for one in found.done) == proven
        assert found.stopped is (None if proven else Stopped.TIME_LIMIT)


def test_options_of_one_name_are_priced_each_for_itself() -> None:
    """A family may be called as a transport form is: "folding only" then means two options, and
    neither is given the other's outcome."""
    farm = random_farm(5)
    old = next(a.family for a in farm.anchors if a.transport_form is TransportForm.SOLID)

    def renamed(rows: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(
            replace(row, family="folding") if getattr(row, "family", "") == old else row
            for row in rows
        )

    farm = replace(
        farm,
        anchors=renamed(farm.anchors),
        holding_laws=renamed(farm.holding_laws),
        legs=tuple(replace(leg, allowed_families=()) for leg in farm.legs),
    )
    pricing = FarmPricer(farm, gap=1e-6)
    told = [one for one in compare(pricing).outcomes if one.option.name == "folding only"]
    assert len(told) == 2
    for one in told:
        alone = pricing.price(one.option)
        assert one.impossible == (alone.settlement is None)
        if one.plan is not None:
            assert one.plan.installed_cost == pytest.approx(alone.cost, rel=1e-6)
    assert len({one.plan and round(one.plan.installed_cost) for one in told}) == 2


@LONG
def test_every_kind_of_option_of_the_sample_is_there(sample_comparison: Comparison) -> None:
    """Forms, families, models, suppliers and vessels are all asked; who cannot serve says why."""
    named = {outcome.option.name: outcome for outcome in sample_comparison.outcomes}
    assert next(iter(named)) == FREE.name
    assert {"folding only", "folding where it holds", "solid only"} <= set(named)
    assert {"without Elm Sample Chandlery", "without Workboat 12 m"} <= set(named)
    barred = named["folding only"]
    assert barred.impossible
    # The sample's README: the licence of the oyster trial asks for stockless anchors there.
    assert "leg 'OY-S' may by its own lists use only stockless" in barred.why
    assert "fittings" in named["without Elm Sample Chandlery"].why


def test_no_option_undercuts_the_free_choice(compared: Comparison) -> None:
    """Plans are shared among options, so the free choice's is never the dearer; and what is said
    to be proven lies below what was found."""
    for outcome in compared.done:
        found, least, most = compared.dearer_by(outcome)
        assert least - 0.01 <= found <= most + 0.01
        assert found >= -0.01
        assert outcome.plan is not None
        assert outcome.bound <= outcome.plan.installed_cost + 0.01


@LONG
def test_folding_where_it_holds_lays_no_solid_anchor_elsewhere(
    sample_comparison: Comparison,
) -> None:
    """Only the legs that no folding anchor can moor (the oyster trial's and the outer marks', by
    the sample's story, and the corner of most uplift) have a solid one."""
    (outcome,) = [o for o in sample_comparison.done if o.option.name == "folding where it holds"]
    assert outcome.plan is not None
    forms = {a.name: a.transport_form.value for a in outcome.plan.farm.anchors}
    solid = {r.leg for r in outcome.plan.assignments if forms[r.make_up.anchor] == "solid"}
    assert solid == {"OY-S", "BM-O", "PG-NE"}


def test_sheets_of_a_comparison(book: Workbook, compared: Comparison) -> None:
    """The table has a row an option, the parts a column an option, and charts stand by them."""
    assert book.sheetnames == ["Options compared", "Differences", "Option parts"]
    options, parts = book["Options compared"], book["Option parts"]
    names = [outcome.option.name for outcome in compared.done]
    assert [parts.cell(3, 2 + n).value for n in range(len(names))] == names
    column = [cell.value for cell in options["A"]]
    first = column.index(FREE.name)
    assert column[first : first + len(names)] == names
    assert [len(book[name]._charts) for name in book.sheetnames] == [1, 1, 0]
    assert options.cell(first + 1, 2).value.startswith("='Option parts'!")


def test_stored_values_of_the_parts_add_up(compared: Comparison) -> None:
    """What a reader that does not calculate sees: the parts of every option make its total."""
    content = comparison_workbook(compared, "Farm")
    sheet = openpyxl.load_workbook(io.BytesIO(content), data_only=True)["Option parts"]
    last = next(c.row for c in sheet["A"] if c.value == "Installed cost")
    for column, outcome in enumerate(compared.done, start=2):
        values = [sheet.cell(row, column).value for row in range(4, last)]
        assert math.fsum(values) == pytest.approx(sheet.cell(last, column).value, abs=1e-6)
        assert round(sheet.cell(last, column).value * 100) == outcome.total_cents


def test_text_of_a_comparison_names_every_option(compared: Comparison) -> None:
    """The terminal shows each option, done or not."""
    text = comparison_text(compared)
    assert all(outcome.option.name in text for outcome in compared.outcomes)
    assert "At least" in text


def test_steps_of_the_worked_plan() -> None:
    """The plan worked by hand: freight by service is 900 and 120, the whole 11 626.64."""
    outcome = Outcome(FREE, example_plan(), 0.0)
    assert outcome.total_cents == round(INSTALLED_COST * 100)
    assert outcome.cents[Step(Part.FREIGHT, "Box 20")] == 90_000
    assert outcome.cents[Step(Part.FREIGHT, "Road parcel")] == 12_000
    assert Step(Part.FREIGHT) not in steps_of(example_plan())


def test_amounts_of_the_worked_plan() -> None:
    """The plan worked by hand: 6 lines of 20 m, 1.2 + 1.79 t, one container, one trip, 2 days."""
    amounts = amounts_of(example_plan())
    assert (amounts.anchors, amounts.models, amounts.chain_m) == (6, 1, 120.0)
    assert (amounts.containers, amounts.trips, amounts.days) == (1, 1, 2)
    assert amounts.mass_t == pytest.approx(2.99)
    assert amounts.volume_m3 == pytest.approx(6.28)
    assert amounts.revenue_tonnes == pytest.approx(1.79)


@pytest.mark.parametrize("thirds", [1, 2, 7])
def test_hundredths_are_rounded_once(thirds: int) -> None:
    """Thirds of a cent: rounded one by one they would miss their own sum."""
    parts = list(Part)[: 3 * 3]
    amounts = {Step(part): thirds + 0.01 / 3 for part in parts}
    whole = in_hundredths(amounts)
    assert sum(whole.values()) == 100 * thirds * 9 + 3
    assert all(abs(whole[step] - 100 * amounts[step]) < 1 for step in amounts)
