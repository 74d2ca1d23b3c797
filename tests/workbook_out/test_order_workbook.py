"""The order workbook: its case, its contents, its pictures, and its inputs written back."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from functools import cache
from pathlib import Path
from posixpath import dirname, join, normpath
from xml.etree import ElementTree

import openpyxl
import pandas as pd
import pytest
from moorledger.io.inputs.order_inputs import write_inputs
from moorledger.io.inputs.template import sample_folder
from moorledger.io.options.side_by_side import GROUPS
from moorledger.io.order.order_workbook import plan_workbook
from moorledger.io.paper.book import PlanBook
from moorledger.io.reading.workbook import read_farm, read_farm_with_warnings
from moorledger.io.words.case import BARS, Case, OptionCost, reasons_of
from moorledger.models.answer.plan import Part, PartGroup, Plan
from moorledger.models.farm import Farm
from moorledger.models.fault import Severity
from moorledger.models.site.delivery_term import DeliveryTerm
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from tests.farms.plan_fixture import INSTALLED_COST, PARTS, example_order, example_plan
from tests.farms.random_farms import random_farm
from tests.farms.typed_workbook import FARM
from tests.quick_run import LONG, mostly_long

CASE = Case(
    options=(
        OptionCost("solid only", {**PARTS, Part.ANCHORS: 3124.00}, "not proven"),
        OptionCost("one supplier", {}, "none sells both"),
    ),
    reasons=("Because of 17 %.",),
    turning_points=("At 1.8 × today's freight.",),
)


def opened(plan: Plan | None = None, case: Case | None = None, *, values: bool = True) -> Workbook:
    """Return the workbook as read back."""
    if plan is None and case is None:
        return example_opened(values=values)
    content = plan_workbook(plan or example_plan(), case=case or Case())
    return openpyxl.load_workbook(io.BytesIO(content), data_only=values)


@cache
def example_opened(*, values: bool) -> Workbook:
    """Return the example's workbook as read back, once; nobody changes it."""
    return openpyxl.load_workbook(io.BytesIO(example_order()), data_only=values)


def words(sheet: Worksheet) -> str:
    """Return every text of a sheet, one a line."""
    cells = (cell.value for row in sheet.iter_rows() for cell in row)
    return "\n".join(value for value in cells if isinstance(value, str))


def row_of(sheet: Worksheet, text: str, column: int) -> int:
    """Return the row whose cell in `column` holds exactly `text`."""
    for (cell,) in sheet.iter_rows(min_col=column, max_col=column):
        if cell.value == text:
            return int(cell.row)
    raise AssertionError(f"{sheet.title} has no '{text}'")


# --- the case ----------------------------------------------------------------------------------


def test_groups_hold_every_part_of_the_cost_once() -> None:
    """What a bar is stacked of adds up to the installed cost."""
    assert sorted(part for _, parts in BARS for part in parts) == sorted(Part)
    assert sorted(part for group in PartGroup for part in group.value) == sorted(Part)
    assert set(GROUPS) == set(PartGroup)


def test_options_stand_beside_the_plan_and_add_up() -> None:
    """Solid only costs 1000 more in anchors and nothing else; what cannot be done says why."""
    summary = opened(case=CASE)["Summary"]
    this, other = (
        row_of(summary, "This order, now", 6),
        row_of(summary, "solid only (not proven)", 6),
    )
    ours = [summary.cell(this, column).value for column in range(7, 12)]
    theirs = [summary.cell(other, column).value for column in range(7, 13)]
    assert ours[-1] == pytest.approx(INSTALLED_COST)
    assert sum(ours[:-1]) == pytest.approx(INSTALLED_COST)
    assert theirs[0] == pytest.approx(3124.0)
    assert theirs[1:4] == pytest.approx(ours[1:4])
    assert theirs[4:] == pytest.approx([INSTALLED_COST + 1000.0, 1000.0])
    said = words(summary)
    assert "one supplier: cannot be done. none sells both" in said
    assert "1. Because of 17 %." in said
    assert "At 1.8 × today's freight." in said


def test_without_options_the_summary_says_what_to_run() -> None:
    """The bar of the plan stands alone, and the way to the others is a command to paste."""
    book = opened()
    said = words(book["Summary"])
    assert 'moorledger compare "six lines.xlsx"' in said
    assert 'moorledger breakeven "six lines.xlsx"' in said
    assert "More than this" not in said
    (chart,) = opened(values=False)["Summary"]._charts
    assert [len(chart.series), chart.grouping] == [len(BARS), "stacked"]


def test_reasons_of_a_plan_are_its_own_numbers() -> None:
    """Holding 4 × 67.5 + 2 × 60.75 of 6 × 72 kN; 110 m over of 590 m; 12.5 of 16 hours worked.

    Chain 3 × 50 − 120 = 30 m and rope 2 × 220 − 360 = 80 m over; 2 days of 10 h, 80 % workable.
    """
    holding, material, work = reasons_of(example_plan())
    assert "392 kN" in holding
    assert "432 kN (91% used)" in holding
    assert "590 m" in material
    assert "110 m (18.6%)" in material
    assert "freight is 8.8% of the cost" in work
    assert "worked to 78%" in work


def test_the_summary_has_lines_to_sign_on() -> None:
    """Who prepares, the engineer and the manager; the manager is named where the project does."""
    plan = example_plan()
    project = replace(plan.farm.project, approved_by="M. Invented")
    said = words(opened(replace(plan, farm=replace(plan.farm, project=project)))["Summary"])
    for line in ("Prepared by: ", "Engineer, for the design values: ", "Approved by: M. Invented"):
        assert line in said


# --- orders ------------------------------------------------------------------------------------


def ordered(**settings: object) -> Worksheet:
    """Return the plates' order of a project with some settings."""
    plan = example_plan()
    project = replace(plan.farm.project, **settings)
    anchors = tuple(replace(anchor, hs_heading="7316") for anchor in plan.farm.anchors)
    farm = replace(plan.farm, project=project, anchors=anchors)
    return opened(replace(plan, farm=farm))["Order Plate works"]


def test_an_order_carries_its_particulars() -> None:
    """Parties, places, term, dates and customs heading stand where the seller looks for them, and
    nothing of what is the buyer's alone."""
    order = ordered(
        buyer="Six Lines Ltd", delivery_place="North pier", delivery_term=DeliveryTerm.FCA
    )
    facts = {order.cell(row, 1).value: order.cell(row, 3).value for row in range(4, 10)}
    assert facts == {
        "Buyer": "Six Lines Ltd",
        "Supplier": "Plate works",
        "Supplier's contact": None,
        "Delivery term": "FCA Free Carrier",
        "At the named place": "East port",
        "Carried by": "the buyer's forwarder",
    }
    dates = {order.cell(row, 8).value: order.cell(row, 10).value for row in range(4, 10)}
    assert dates["Order number"] == "20310301-01"
    assert str(dates["Order date"]).startswith("2031-03-01")
    assert str(dates["All ready by"]).startswith("2031-04-05")  # 35 days of lead time
    headings = {cell.value: cell.column for cell in order[11]}
    assert order.cell(12, headings["HS heading"]).value == "7316"
    assert order.cell(12, headings["Marks"]).value == "20310301-01/1"
    said = words(order)
    assert "EN 10204 type 3.1" in said
    for hidden in ("Mind:", "Duty", "EUR", "Chain store"):
        assert hidden not in said


@LONG
def test_the_buyer_is_warned_where_carriage_would_be_paid_twice() -> None:
    """Under CIF the seller carries, to the buyer's place: the freight priced here is double."""
    plan = example_plan()
    project = replace(
        plan.farm.project, delivery_place="North pier", delivery_term=DeliveryTerm.CIF
    )
    book = opened(replace(plan, farm=replace(plan.farm, project=project)))
    assert book["Order Plate works"].cell(8, 3).value == "North pier"
    assert "Mind: under CIF the suppliers pay the carriage" in words(book["Landed cost"])


def test_the_delivery_term_is_chosen_from_the_eleven_rules() -> None:
    """The cell offers the list on Assumptions, and another word is doubted, not refused."""
    book = opened(values=False)
    (rule,) = book["Order Plate works"].data_validations.dataValidation
    assert rule.errorStyle == "warning"
    sheet, cells = rule.formula1.split("!")
    assert sheet == "'Assumptions'"
    listed = [cell.value for (cell,) in book["Assumptions"][cells.replace("$", "")]]
    assert listed == [f"{term} {term.in_words}" for term in DeliveryTerm]


# --- contents, pictures, structure ---------------------------------------------------------------


def test_contents_link_to_every_sheet_and_say_what_is_on_it() -> None:
    """No sheet is hidden or protected, and none is missing from the list."""
    book = opened()
    contents = book["Contents"]
    links = {
        cell.value: cell.hyperlink.location
        for (cell,) in contents.iter_rows(min_col=1, max_col=1)
        if cell.hyperlink
    }
    assert set(links) == set(book.sheetnames) - {"Contents"}
    for name, location in links.items():
        assert location == f"'{name}'!A1"
        assert contents.cell(row_of(contents, name, 1), 2).value
    for sheet in book.worksheets:
        assert sheet.sheet_state == "visible"
        assert not sheet.protection.sheet


def test_contents_sum_up_the_orders() -> None:
    """2360 USD of plates and 100 USD of order charge; with 118 USD of duty 2320.20 EUR."""
    contents = opened()["Contents"]
    row = row_of(contents, "Plate works", 2)
    assert [contents.cell(row, column).value for column in (3, 4, 5)] == [
        "USD",
        pytest.approx(2460.0),
        pytest.approx(2320.2),
    ]


def test_lists_can_be_filtered_and_orders_are_left_plain() -> None:
    """Long lists are tables of the spreadsheet's own, under names that no two share."""
    book = opened(values=False)
    names = [name.casefold() for sheet in book.worksheets for name in sheet.tables]
    assert len(set(names)) == len(names)
    for name in ("Quantities", "Leg schedule", "Leg limits", "Checks in full"):
        (table,) = book[name].tables.values()
        assert table.autoFilter is not None
        first, last = table.ref.split(":")
        assert book[name][first].value is not None
        assert int("".join(filter(str.isdigit, last))) <= book[name].max_row
    assert not book["Order Plate works"].tables


def test_the_farm_picture_draws_each_anchor_at_its_legs() -> None:
    """One anchor at one place is one series of one point; the two legs without a place are told."""
    book = opened(values=False)
    (chart,) = book["Farm picture"]._charts
    (series,) = chart.series
    place = book["Farm picture"][series.xVal.numRef.f.split("!")[1].replace("$", "").split(":")[0]]
    assert place.value == 100.0
    assert "2 of 6 lines have no position" in words(book["Farm picture"])
    assert len(book["Leg drawings"]._images) == 2


def test_a_farm_without_positions_has_no_picture_but_its_legs_drawn() -> None:
    """No coordinates, no map: the sheet is left out."""
    plan = example_plan()
    legs = tuple(replace(leg, easting_m=None, northing_m=None) for leg in plan.farm.legs)
    book = opened(replace(plan, farm=replace(plan.farm, legs=legs)))
    assert "Farm picture" not in book.sheetnames
    assert "Leg drawings" in book.sheetnames


def test_another_reader_sees_every_sheet_and_the_total(tmp_path: Path) -> None:
    """pandas reads the file with calamine, which shares no code with what wrote it."""
    path = tmp_path / "order.xlsx"
    path.write_bytes(example_order())
    sheets = pd.read_excel(path, sheet_name=None, header=None, engine="calamine")
    assert list(sheets) == openpyxl.load_workbook(path, read_only=True).sheetnames
    summary = sheets["Summary"]
    total = summary[summary[0] == "Installed cost"].iloc[0]
    assert total[1] == pytest.approx(INSTALLED_COST, abs=0.005)


def test_every_part_of_the_package_is_sound_and_related() -> None:
    """All parts are XML or pictures of a declared kind, and each relationship has its target.

    The rules are those of ECMA-376 Part 2, Open Packaging Conventions (from memory).
    """
    with zipfile.ZipFile(io.BytesIO(plan_workbook(example_plan(), case=CASE))) as package:
        names = set(package.namelist())
        assert len(names) == len(package.namelist())
        kinds = ElementTree.fromstring(package.read("[Content_Types].xml"))
        declared = {item.get("PartName", "").lstrip("/") for item in kinds}
        defaults = {item.get("Extension") for item in kinds}
        related = 0
        for name in names - {"[Content_Types].xml"}:
            assert name in declared or name.rsplit(".", 1)[-1] in defaults, name
            if name.endswith((".xml", ".rels", ".vml")):
                root = ElementTree.fromstring(package.read(name))
            if name.endswith(".rels"):
                folder = dirname(dirname(name))
                for relation in root:
                    assert relation.get("TargetMode") != "External"
                    target = str(relation.get("Target"))
                    part = target.lstrip("/") if target[0] == "/" else join(folder, target)
                    assert normpath(part) in names, f"{name}: {target}"
                    related += 1
        assert related > 50


# --- the inputs written back ---------------------------------------------------------------------


def inputs_of(farm: Farm, path: Path) -> Path:
    """Write the input sheets alone that an order on this farm would end with."""
    book = PlanBook(replace(example_plan(), farm=farm))
    write_inputs(book)
    path.write_bytes(book.content())
    return path


def test_an_order_can_be_read_as_the_farm_it_was_priced_on(tmp_path: Path) -> None:
    """The farm comes back whole, though the results stand before it; what is doubtful about it
    is said of the sheets that it was read from."""
    plan = example_plan()
    path = tmp_path / "six lines.xlsx"
    path.write_bytes(plan_workbook(plan))
    farm, doubts = read_farm_with_warnings(path)
    assert farm == plan.farm
    assert [(doubt.sheet, doubt.heading, doubt.severity) for doubt in doubts] == [
        ("Input Project", "Setting pull", Severity.WARNING),
        ("Input Anchors", "Anchor", Severity.WARNING),
        ("Input Suppliers", "Supplier", Severity.WARNING),  # who sells nothing
    ]


@mostly_long("name", ["sample", "typed", "random 1", "random 2"], quick=["typed", "random 1"])
def test_any_farm_comes_back_from_an_order(name: str, tmp_path: Path) -> None:
    """The sample, a farm of every column and farms at random are the same after a round."""
    farm = FARM if name == "typed" else read_farm(sample_folder())
    if name.startswith("random"):
        farm = random_farm(int(name[-1]), "small")
        farm = replace(farm, project=replace(farm.project, given=frozenset()))
    path = inputs_of(farm, tmp_path / "order.xlsx")
    back = read_farm(path)
    given = back.project.given | farm.project.given
    back = replace(back, origin_file=farm.origin_file, project=replace(back.project, given=given))
    assert back == replace(farm, project=replace(farm.project, given=given))


def test_a_fault_in_the_inputs_of_an_order_names_their_sheet(tmp_path: Path) -> None:
    """Who edits the inputs of an order is told where, by the sheet's name there."""
    path = inputs_of(FARM, tmp_path / "order.xlsx")
    book = openpyxl.load_workbook(path)
    book["Input Legs"]["D2"].value = "much"
    book.save(path)
    with pytest.raises(Exception, match="Input Legs!D2 Design tension"):
        read_farm(path)
