"""The output workbook: its sums, its texts, its words and its print."""

from __future__ import annotations

import io
import math
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import fields, replace
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from moorledger.io.layout.farm import PROJECT
from moorledger.io.order.assumptions import DUTY_WORDS
from moorledger.io.order.order_workbook import plan_workbook, write_plan
from moorledger.io.paper.book import PlanBook, sheet_name
from moorledger.io.paper.stored_values import with_stored_values
from moorledger.io.told.plan_text import proof_text
from moorledger.io.told.rests_on import evidence_words
from moorledger.io.words.grammar import clean
from moorledger.models.answer.check_line import CheckLine
from moorledger.models.answer.plan import Part, Plan
from moorledger.models.answer.stopped import Stopped
from moorledger.models.site.project import DutyOn, Project
from moorledger.models.standing.holding_evidence import EvidenceKind, HoldingEvidence
from moorledger.models.standing.make_up import LimitName
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from tests.farms.plan_fixture import (
    CHECKS,
    INSTALLED_COST,
    PARTS,
    WITH_CONTINGENCY,
    example_order,
    example_plan,
)
from tests.quick_run import LONG
from tests.trade.test_duty import landed_plan

Edit = Callable[[Workbook], None]


def written(plan: Plan | None = None, *, values: bool = False) -> Workbook:
    """Return the workbook as read back, with its formulas or with their stored values."""
    content = plan_workbook(plan) if plan else example_order()
    return openpyxl.load_workbook(io.BytesIO(content), data_only=values)


def find(sheet: Worksheet, text: str, column: int = 1) -> int:
    """Return the row whose cell in `column` holds exactly `text`."""
    for (cell,) in sheet.iter_rows(min_col=column, max_col=column):
        if cell.value == text:
            return cell.row
    raise AssertionError(f"{sheet.title} has no row '{text}'")


def parts_of(summary: Worksheet, column: int) -> dict[str, float]:
    """Return the Summary's parts from its column 2 (now) or 3 (as priced)."""
    return {
        str(part): summary.cell(find(summary, str(part).capitalize()), column).value
        for part in Part
    }


def recalculated(folder: Path, edit: Edit | None = None, plan: Plan | None = None) -> Workbook:
    """Return the workbook as LibreOffice calculates it from its formulas alone.

    openpyxl drops every stored value when it saves, so that nothing can be passed through.
    """
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice (soffice) is not installed: no other program to calculate with")
    book = written(plan)
    if edit is not None:
        edit(book)
    source = folder / "plan.xlsx"
    book.save(source)
    out = folder / "calculated"
    subprocess.run(
        [
            office,
            f"-env:UserInstallation={(folder / 'profile').as_uri()}",
            "--headless",
            "--convert-to",
            "xlsx",
            "--outdir",
            str(out),
            str(source),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    return openpyxl.load_workbook(out / "plan.xlsx", data_only=True)


@pytest.fixture(scope="module")
def calculated(tmp_path_factory: pytest.TempPathFactory) -> Workbook:
    """The example's workbook as LibreOffice calculates it."""
    return recalculated(tmp_path_factory.mktemp("calculated"))


@LONG
def test_an_independent_program_sums_to_the_plan_to_the_cent(calculated: Workbook) -> None:
    """LibreOffice's recalculation of every part and total equals the hand-worked figures."""
    summary = calculated["Summary"]
    assert parts_of(summary, 2) == pytest.approx(
        {str(part): money for part, money in PARTS.items()}, abs=0.005
    )
    total = summary.cell(find(summary, "Installed cost"), 2).value
    assert total == pytest.approx(INSTALLED_COST, abs=0.005)
    with_contingency = summary.cell(find(summary, "With contingency"), 2).value
    assert with_contingency == pytest.approx(WITH_CONTINGENCY, abs=0.005)
    assert summary.cell(find(summary, "Change since priced"), 3).value == "sums agree"
    plates, landed = calculated["Order Plate works"], calculated["Landed cost"]
    said = plates.cell(find(plates, "To pay, USD", 4), 9).value
    assert said == pytest.approx(2460.0, abs=0.005)
    row = find(landed, "Plate works")
    assert landed.cell(row, 6).value == pytest.approx(2460.0, abs=0.005)
    assert landed.cell(row, 9).value == pytest.approx(106.2, abs=0.005)
    assert landed.cell(row, 10).value == pytest.approx(2320.2, abs=0.005)


@LONG
def test_duty_on_all_is_summed_live(tmp_path: Path) -> None:
    """Duty on price, freight and insurance of the plan worked by hand in `landed_plan`: 172.912;
    with 2 % insurance, changed on Assumptions, it is 1.02 ÷ 1.01 of that."""

    def insured(book: Workbook) -> None:
        sheet = book["Assumptions"]
        sheet.cell(find(sheet, "Insurance"), 2).value = 0.02

    for edit, duty in ((None, 172.912), (insured, 172.912 * 1.02 / 1.01)):
        summary = recalculated(tmp_path, edit, landed_plan())["Summary"]
        assert parts_of(summary, 2)["duty"] == pytest.approx(duty, abs=0.005)
    words = [cell.value for row in written(landed_plan())["Assumptions"] for cell in row]
    assert DUTY_WORDS[DutyOn.LANDED] in words


@LONG
def test_an_edited_price_moves_every_total(tmp_path: Path) -> None:
    """Two plates dearer by 10 USD: 20 USD × 0.9 of goods, 5 % duty, 1 % insurance on the goods."""

    def dearer(book: Workbook) -> None:
        sheet = book["Order Plate works"]
        assert (sheet.cell(13, 6).value, sheet.cell(13, 8).value) == (2, 380.0)
        sheet.cell(13, 8).value = 390.0

    summary = recalculated(tmp_path, dearer)["Summary"]
    moved = summary.cell(find(summary, "Change since priced"), 2).value
    assert moved == pytest.approx(18.0 + 0.9 + 0.18, abs=0.005)
    assert summary.cell(find(summary, "Change since priced"), 3).value == "changed since"


@LONG
def test_stored_values_equal_an_independent_recalculation(calculated: Workbook) -> None:
    """What a preview shows is what LibreOffice calculates, for every formula of the workbook."""
    stored, formulas = written(values=True), written()
    checked = 0
    for sheet in formulas.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type != "f":
                    continue
                ours = stored[sheet.title][cell.coordinate].value
                theirs = calculated[sheet.title][cell.coordinate].value
                expected = theirs if isinstance(theirs, str) else pytest.approx(theirs, abs=1e-6)
                assert ours == expected, f"{sheet.title}!{cell.coordinate}"
                checked += 1
    assert checked > 50


def test_incremental_brackets_have_a_line_each_and_all_units_one() -> None:
    """Four plates at 400 and two at 380; three chains at 600, the price that is paid for all."""
    book = written(values=True)
    plates, store = book["Order Plate works"], book["Order Chain store"]
    assert [[plates.cell(row, col).value for col in (6, 8, 9)] for row in (12, 13)] == [
        [4, 400.0, 1600.0],
        [2, 380.0, 760.0],
    ]
    assert [store.cell(12, col).value for col in (2, 6, 7, 8, 9)] == [
        "Chain 20",
        3,
        "length of 50 m",
        600.0,
        1800.0,
    ]
    assert "12 EUR per m" in store.cell(12, 4).value


def test_connectors_for_joined_chain_are_on_the_order() -> None:
    """One chain is joined of two pieces: one connector at 15 EUR is to be bought."""
    store = written(values=True)["Order Chain store"]
    row = find(store, "Connector for Chain 20", 2)
    assert [store.cell(row, col).value for col in (6, 8, 9)] == [1, 15.0, 15.0]


@LONG
def test_a_join_that_costs_nothing_still_needs_its_connector() -> None:
    """Chain that the cutting list joins cannot be laid without a link, priced or not."""
    plan = example_plan()
    chains = tuple(replace(chain, join_cost=0.0) for chain in plan.farm.chains)
    plan = replace(plan, farm=replace(plan.farm, chains=chains))
    store = written(plan, values=True)["Order Chain store"]
    row = find(store, "Connector for Chain 20", 2)
    assert [store.cell(row, col).value for col in (6, 8, 9)] == [1, 0.0, 0.0]
    assert "no join cost is given" in store.cell(row, 4).value
    assert "175 kN" in store.cell(row, 4).value


def test_the_summary_says_how_many_legs_no_test_backs() -> None:
    """A manager must see how much of the farm rests on a family's law or on friction alone."""
    plan = example_plan()
    first, *others = plan.assignments
    of_tests = HoldingEvidence(EvidenceKind.PULL_TESTS, tests=3, within_m=2.0)
    lawful = replace(first, evidence=HoldingEvidence(EvidenceKind.LAW, "invented"))
    tested = [replace(row, evidence=of_tests) for row in others]
    words = evidence_words(replace(plan, assignments=(lawful, *tested)))
    assert f"{first.count} of {sum(row.count for row in plan.assignments)} leg" in words
    by_both = HoldingEvidence(EvidenceKind.DECLARED, "an engineer", friction=0.4)
    backed = replace(first, evidence=by_both)
    words = evidence_words(replace(plan, assignments=(backed, *tested)))
    assert "every anchor was tested" in words


@LONG
def test_a_text_wraps_in_a_column_of_numbers() -> None:
    """A long project name among the settings' numbers is wrapped, not cut at the cell's edge."""
    sheet = written(example_plan(project_name="A farm with quite a long name"))["Assumptions"]
    assert sheet["B5"].alignment.wrap_text
    assert not sheet.cell(find(sheet, "Lift factor"), 2).alignment.wrap_text


def test_text_from_the_input_is_never_a_formula() -> None:
    """A project, supplier or anchor named like a formula stays text and keeps its characters."""
    plan = example_plan(
        project_name="=1+1", plate_supplier="=cmd|' /C x'!A0", anchor='=HYPERLINK("x")'
    )
    book = written(plan)
    assert book["Assumptions"]["B5"].value == "=1+1"
    hostile = ("=1+1", "=cmd", "=HYPERLINK")
    found = 0
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.startswith(hostile):
                    assert cell.data_type == "s", f"{sheet.title}!{cell.coordinate}"
                    assert cell.quotePrefix
                    found += 1
    assert found > 5


def test_formulas_reach_sheets_with_odd_names() -> None:
    """A supplier's apostrophe, slash and brackets do not break the sums that refer to it."""
    plan = example_plan(plate_supplier="O'Plate [works] / sea & sons, an overlong name")
    book = written(plan)
    name = next(n for n in book.sheetnames if n.startswith("Order O"))
    assert len(name) <= 31
    assert not set(name) & set("[]:*?/\\")
    quoted = "'" + name.replace("'", "''") + "'!"
    landed = book["Landed cost"]
    row = next(at for at in range(9, 20) if landed.cell(at, 2).value == "Plate 150")
    assert quoted in landed.cell(row, 6).value
    summary = book["Summary"]
    assert "'Landed cost'!" in summary.cell(find(summary, "Anchors"), 2).value


@pytest.mark.parametrize(
    ("wanted", "taken", "name"),
    [
        ("a/b:c*d?e[f]g\\h", set(), "a b c d e f g h"),
        ("'quoted'", set(), "quoted"),
        ("", set(), "Sheet"),
        ("History", set(), "History sheet"),
        ("x" * 40, set(), "x" * 31),
        ("Order", {"order"}, "Order 2"),
        ("y" * 31, {"y" * 31, "y" * 29 + " 2"}, "y" * 29 + " 3"),
    ],
)
def test_sheet_names_are_lawful_and_unique(wanted: str, taken: set[str], name: str) -> None:
    """The limits are those of "Rename a worksheet" in Excel's help (from memory)."""
    assert sheet_name(wanted, taken) == name


def test_two_sheets_of_one_name_both_stand() -> None:
    """Names that differ only in forbidden characters or case get a number."""
    book = PlanBook(example_plan())
    names = [book.page(name).name for name in ("Order A/B", "order a?b", "Order A:B")]
    assert names == ["Order A B", "order a b 2", "Order A B 3"]


def test_control_characters_are_taken_out() -> None:
    """Characters that XML 1.0 forbids are gone, the line break and the rest stay."""
    assert clean("a\x00b\x0bc\r\nd\ue000\ud800e\uffff") == "abc\nd\ue000e"
    assert len(clean("z" * 40_000)) == 32_767


def test_a_reader_without_a_calculator_sees_the_values(tmp_path: Path) -> None:
    """pandas finds the total in the file as written."""
    write_plan(example_plan(), tmp_path / "plan.xlsx")
    frame = pd.read_excel(
        tmp_path / "plan.xlsx", sheet_name="Summary", header=None, engine="openpyxl"
    )
    row = frame[frame[0] == "Installed cost"].iloc[0]
    assert row[1] == pytest.approx(INSTALLED_COST, abs=0.005)


def test_a_stored_value_without_its_formula_is_an_error() -> None:
    """A value that finds no formula is not dropped in silence."""
    book = Workbook()
    book.worksheets[0]["A1"] = "=1+1"
    file = io.BytesIO()
    book.save(file)
    filled = with_stored_values(file.getvalue(), [{"A1": 2.0}])
    assert openpyxl.load_workbook(io.BytesIO(filled), data_only=True).worksheets[0]["A1"].value == 2
    with pytest.raises(ValueError, match="B7"):
        with_stored_values(file.getvalue(), [{"A1": 2.0, "B7": 3.0}])


@LONG
def test_only_a_proven_plan_is_called_proven_least() -> None:
    """The words follow the proof: proven, cut short, and without any bound."""
    assert proof_text(example_plan()).startswith("Least cost, proven")
    short = proof_text(example_plan(bound=11000.0, stopped=Stopped.TIME_LIMIT))
    assert "Least cost, proven" not in short
    assert "626.64" in short
    assert "time limit" in short
    blind = proof_text(example_plan(bound=-math.inf))
    assert "Least cost, proven" not in blind
    assert "inf" not in blind
    for plan, said in ((example_plan(), True), (example_plan(bound=11000.0), False)):
        words = " ".join(
            str(cell.value)
            for sheet in written(plan).worksheets
            for row in sheet.iter_rows()
            for cell in row
        )
        assert ("Least cost, proven" in words) is said


@LONG
def test_a_failed_check_is_first_and_on_the_summary() -> None:
    """A limit that is not kept stands at the head of the checks and warns on the Summary."""
    failed = CheckLine(LimitName.RADIUS, "leg south", 80.0, 75.0, "m", False)
    book = written(example_plan().with_checks((*CHECKS, failed)))
    full, kinds = book["Checks in full"], book["Checks"]
    assert [full.cell(5, col).value for col in (1, 2, 3)] == ["NO", "radius", "leg south"]
    assert [kinds.cell(5, col).value for col in (1, 2, 3)] == ["radius", 1, 1]
    warned = str(book["Summary"]["A4"].value)
    assert warned.startswith(
        "Strength and holding: 1 of 3 checks FAILED; arithmetic: the one check passed: do not order"
    )
    unchecked = written(example_plan().with_checks(()))
    assert "has not been checked" in str(unchecked["Summary"]["A4"].value)


def test_cautions_stand_where_work_can_hurt() -> None:
    """Summary, leg schedule and installation name the engineer, the local codes and snap-back."""
    book = written()
    for name in ("Summary", "Leg schedule", "Installation"):
        words = " ".join(
            str(cell.value) for row in book[name].iter_rows() for cell in row if cell.value
        )
        for word in ("licensed engineer", "local codes", "snaps back", "can kill"):
            assert word in words, f"{name} does not say '{word}'"


def test_every_setting_is_among_the_assumptions() -> None:
    """No field of the project is left out, and given ones are told from defaults."""
    known = {field.name for field in fields(Project)} - {"given", "source"}
    assert {setting.field for setting in PROJECT.columns} == known
    sheet = written()["Assumptions"]
    assert all(find(sheet, setting.heading) for setting in PROJECT.columns)
    assert sheet.cell(find(sheet, "Insurance"), 4).value == "given"
    assert sheet.cell(find(sheet, "Lift factor"), 4).value == "default"
    assert sheet.cell(find(sheet, "Anchor safety factor"), 5).value.startswith("UFC 4-159-03")


def test_the_legs_have_a_row_an_assignment_with_its_limits() -> None:
    """Leg north: chain strength 150 of 175 kN is 86 % used, its nearest limit the holding."""
    book = written(values=True)
    schedule, limits = book["Leg schedule"], book["Leg limits"]
    headings = {cell.value: cell.column for cell in limits[4]}
    row = find(limits, "north")
    assert limits.cell(row, headings["Chain strength"]).value == pytest.approx(150.0 / 175.0)
    assert limits.cell(row, headings["Nearest limit"]).value == "anchor holding"
    assert "Radius" not in headings  # no leg of the example has a longest radius
    assert schedule.cell(find(schedule, "north"), 3).value == 4


def test_every_sheet_prints_on_a4_landscape_one_page_wide() -> None:
    """Paper size 9 is A4 (ECMA-376 Part 1, 18.3.1.63, from memory); lists repeat headings.

    The widest inputs print on two or three pages side by side, with their first column again. No
    code prints the day in the reader's own order of day and month: the plan's date is written out.
    """
    book = written()
    assert book.sheetnames[0] == "Summary"
    for sheet in book.worksheets:
        assert sheet.page_setup.orientation == "landscape"
        assert int(sheet.page_setup.paperSize) == 9
        pages = (1, 2, 3) if sheet.title.startswith("Input") else (1,)
        assert sheet.page_setup.fitToWidth in pages
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert "&P" in sheet.oddFooter.right.text
        assert sheet.oddHeader.left.text == "Six lines"
        own = sheet.title.startswith(("Order ", "Input "))
        dated = None if own else "Plan of order date 2031-03-01"
        assert sheet.oddHeader.right.text == dated
    assert book["Summary"].page_setup.fitToHeight == 1
    for name in ("Order Plate works", "Leg schedule", "Cutting list", "Checks"):
        heading = int(book[name].freeze_panes[1:]) - 1
        assert book[name].print_title_rows == f"${heading}:${heading}"


def test_a_plan_with_nothing_in_it_is_still_a_workbook() -> None:
    """No legs, orders, bookings or campaigns: every sheet stands and the cost is nought."""
    empty = replace(
        example_plan(),
        assignments=(),
        orders=(),
        order_charges={},
        cuts=(),
        bookings=(),
        campaigns=(),
        parts={},
    )
    book = written(empty, values=True)
    summary = book["Summary"]
    assert summary.cell(find(summary, "Installed cost"), 2).value == 0
    assert not [name for name in book.sheetnames if name.startswith("Order")]
