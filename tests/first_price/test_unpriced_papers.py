"""Order, papers and comparisons of a farm whose freight or laying is not priced: none empty, none
that names a stand-in as if it were a fact, and the sum by its right name."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from moorledger.io.commands.command_line import main
from moorledger.io.inputs.template import write_template
from moorledger.io.options.options_book import break_even_workbook, comparison_workbook
from moorledger.io.order.order_workbook import plan_workbook
from moorledger.io.papers.readers import papers_of
from moorledger.io.plan_page import plan_page
from moorledger.io.told.next_tests_text import NOT_PRICED, next_tests_text
from moorledger.io.told.offer_text import offers_text
from moorledger.io.told.option_text import break_even_text, comparison_text
from moorledger.models.answer.plan import Plan
from moorledger.models.asked.next_tests import NextTests
from moorledger.models.farm import Farm
from moorledger.models.rate import rate_named
from moorledger.optimiser.bargaining.offer_worth import offer_worths
from moorledger.optimiser.price import price
from moorledger.optimiser.repricing.break_even import break_even
from moorledger.optimiser.repricing.compare import compare
from moorledger.optimiser.repricing.farm_pricer import FarmPricer
from moorledger.optimiser.repricing.next_tests import next_tests
from moorledger.optimiser.repricing.reasons import reasons

from tests.farms.sample_cells import Grid
from tests.first_price.first_farm import farm_of_grid, first_grid, fuller
from tests.papers.written_papers import cell_beside, sheets, text_of
from tests.quick_run import LONG, mostly_long

GAP = 1e-3
STAND_INS = {"no vessel named", "as delivered"}
"""Names that no paper may tell a reader as if they were somebody's."""

UNCERTAIN = [["What", "Which", "P10 (%)", "P90 (%)"], ["item", "plate 150", 90, 125]]

STAGES = {
    (): "Cost of goods",
    ("Freight",): "Landed cost",
    ("Vessels",): "Cost of goods and laying",
    ("Freight", "Vessels"): "Installed cost",
}


def grid_of(stage: tuple[str, ...]) -> Grid:
    """Return the farm of eight legs with these sheets besides what is typed first."""
    grid = fuller(first_grid())
    kept = {"Freight", "Vessels"} - set(stage)
    return {title: copy.deepcopy(rows) for title, rows in grid.items() if title not in kept}


def farm_at(stage: tuple[str, ...], **more: Any) -> Farm:
    """Return that farm, with more sheets."""
    return farm_of_grid({**grid_of(stage), **more})


@pytest.fixture(
    scope="module",
    params=[
        pytest.param(stage, marks=LONG if stage else (), id="+".join(stage) or "goods")
        for stage in STAGES
    ],
)
def stage(request: pytest.FixtureRequest) -> tuple[str, ...]:
    """Each stage from goods alone to all that is priced."""
    found: tuple[str, ...] = request.param
    return found


@pytest.fixture(scope="module")
def plan(stage: tuple[str, ...]) -> Plan:
    """Its least plan, with an uncertain price."""
    return price(farm_at(stage, Uncertainty=UNCERTAIN), gap=GAP, workers=1)


def misnamed(text: str, called: str) -> bool:
    """Tell whether a text calls a sum the installed cost where it is not."""
    return called != "Installed cost" and "installed cost" in text.casefold()


def test_papers_are_those_that_somebody_can_be_sent(stage: tuple[str, ...], plan: Plan) -> None:
    """A booking only with freight, a laying plan only with a vessel; every paper has rows, and only
    the engineer's leg schedule and lines say that no vessel is named."""
    papers = papers_of(plan)
    kinds = {name.split()[0].removesuffix(".xlsx") for name in papers}
    expected = {"summary", "purchase", "yard", "engineer"}
    expected |= {"booking"} if "Freight" in stage else set()
    expected |= {"laying"} if "Vessels" in stage else set()
    assert kinds == expected
    for name, content in papers.items():
        assert all(sheet.max_row > 5 for sheet in sheets(content).values()), name
        text = text_of(content)
        assert not misnamed(text, STAGES[stage]), name
        cells = {c for sheet in sheets(content).values() for row in sheet.values for c in row}
        assert name == "engineer.xlsx" or not cells & STAND_INS, name
    engineer = text_of(papers["engineer.xlsx"])
    assert ("whether any vessel can lift" in engineer) == ("Vessels" not in stage)


def test_purchase_order_tells_no_stand_in_as_a_fact(stage: tuple[str, ...], plan: Plan) -> None:
    """No sides of a cube of steel, no quay that nobody named; that sizes are assumed is said."""
    (order,) = (c for name, c in papers_of(plan).items() if name.startswith("purchase"))
    text = text_of(order)
    assert "packs of 1, sides not stated" in text
    assert "How large the packs of plate 150" in text
    (sheet,) = sheets(order).values()
    place = cell_beside(sheet, "At the named place")
    assert place == ("Quay A" if "Freight" in stage else "All ready by")  # the next label: blank


@LONG
def test_order_workbook_names_the_sum_and_has_no_empty_booking(
    stage: tuple[str, ...], plan: Plan
) -> None:
    """Summary, Risk and page call the sum what it is; sheets of bookings and laying are only there
    where somebody is to book or to lay; what is not priced stands first."""
    content = plan_workbook(plan)
    names = sheets(content)
    called = STAGES[stage]
    assert not misnamed(text_of(content), called)
    assert cell_beside(names["Summary"], called) == pytest.approx(plan.installed_cost)
    assert f"the {called[0].lower()}{called[1:]} will lie" in text_of(content)  # on Risk
    assert any(name.startswith("Booking ") for name in names) == ("Freight" in stage)
    assert any(name.startswith("Laying ") for name in names) == ("Vessels" in stage)
    assert ("Anchor freight" in names) == ("Freight" in stage)
    page = plan_page(plan)
    assert not misnamed(page, called)
    first = str(names["Summary"]["A2"].value)
    assert first.startswith("NOT PRICED: " if len(stage) < 2 else "To approve: ")
    days = plan.spread.days if plan.spread else ()
    assert bool(days) == ("Vessels" in stage)


@LONG
@mostly_long("stage", STAGES, quick=[()], ids=lambda stage: "+".join(stage) or "goods")
def test_papers_are_made_from_the_order_as_well(stage: tuple[str, ...], tmp_path: Path) -> None:
    """From workbook to order to papers by the commands: the same papers as from the plan."""
    write_template(tmp_path / "farm.xlsx", farm_at(stage))
    order, folder = tmp_path / "order.xlsx", tmp_path / "papers"
    for arguments in (
        ["price", str(tmp_path / "farm.xlsx"), "-o", str(order), "--workers", "1"],
        ["papers", str(order), str(folder)],
    ):
        result = CliRunner().invoke(main, arguments)
        assert result.exit_code == 0, result.output
    plan = price(farm_at(stage), gap=GAP, workers=1)
    assert {path.name for path in folder.iterdir()} == set(papers_of(plan))


@LONG
@pytest.mark.parametrize("stage", [(), ("Vessels",)], ids=["goods", "Vessels"])
def test_options_offers_and_break_even_name_the_sum(stage: tuple[str, ...]) -> None:
    """What is compared is called what it is, and what is not priced stands on the first line."""
    farm = farm_at(stage)
    called = STAGES[stage]
    pricer = FarmPricer(farm, gap=GAP, workers=1)
    comparison = compare(pricer, time_limit_s=60)
    answer = break_even(
        FarmPricer(farm, gap=GAP, workers=1), rate_named(farm, "price of plate 150"),
        low=0.5, high=2.0, time_limit_s=60,
    )  # fmt: skip
    worths = offer_worths(FarmPricer(farm, gap=GAP, workers=1), time_limit_s=60)
    told = (comparison_text(comparison), break_even_text(answer, "EUR"), offers_text(worths))
    for text in told:
        assert text.startswith("NOT PRICED: ")
        assert not misnamed(text, called)
    books = (comparison_workbook(comparison, "p"), break_even_workbook(answer, "p", "EUR"))
    for book in books:
        cells = {c for sheet in sheets(book).values() for row in sheet.values for c in row}
        assert not cells & {*STAND_INS, "Freight: as delivered"}
        text = text_of(book)
        assert "NOT PRICED: freight" in text
        assert called in text
        assert not misnamed(text, called)


@pytest.mark.parametrize("stage", [("Freight",), ("Vessels",)], ids=["Freight", "Vessels"])
def test_reasons_ask_no_more_of_a_vessel_that_nobody_named(stage: tuple[str, ...]) -> None:
    """Without a vessel no day of weather is priced, and no vessel has the least day rate."""
    told = reasons(FarmPricer(farm_at(stage), gap=0.05, workers=1), time_limit_s=20)
    named = "Vessels" in stage
    assert any("weather" in change.what for change in told.changes) == named
    whys = {why.by_vessel for why in told.whys}
    assert whys == ({"the least day rate"} if named else {"the laying is not priced"})


@LONG
def test_tests_that_nothing_prices_are_said_to_be_unpriced() -> None:
    """Without a vessel and a stated price a pull test costs nobody knows what; a stated price is
    enough."""

    def asked(grid: Grid) -> NextTests:
        return next_tests(FarmPricer(farm_of_grid(grid), gap=0.05, workers=1), time_limit_s=20)

    assert NOT_PRICED in next_tests_text(asked(grid_of(())))
    stated = {**grid_of(()), "Project": [["Setting", "Value"], ["Price of a pull test", 900]]}
    assert NOT_PRICED not in next_tests_text(asked(stated))
