"""What drops out is told: a sheet, a line on terminal, Summary and page, and JSON."""

from __future__ import annotations

import io
from dataclasses import replace

from moorledger.io.order.order_workbook import plan_workbook
from moorledger.io.plan_json import plan_record
from moorledger.io.plan_page import plan_page
from moorledger.io.told.plan_text import plan_summary
from moorledger.models.answer.left_out import Cause, LeftOut
from moorledger.models.fault import Source
from openpyxl import load_workbook

from tests.farms.plan_fixture import example_plan
from tests.quick_run import LONG

CRANE = LeftOut(
    "anchor", "=Plate 900", Cause.CRANE, "9.1 t; crane limit of 'Work boat': 8 t", 9.1, 8.0, "t",
    Source("Anchors", 7),
)  # fmt: skip
FAMILY = LeftOut("anchor", "Block 4", Cause.NOT_ALLOWED, "every leg allows other families")
SLOW = LeftOut("service", "Slow box", Cause.DATES, "70 days, of 60", 70, 60, "days")
LINE = (
    "Left out: 2 anchors and 1 service: no plan can use them; sheet 'Left out' of the order says "
    "why."
)


@LONG
def test_each_row_stands_on_its_sheet() -> None:
    """What, name, reason, nearest figure and where it stands; text like a formula stays text."""
    plan = replace(example_plan(), left_out=(CRANE, FAMILY, SLOW))
    sheet = load_workbook(io.BytesIO(plan_workbook(plan)))["Left out"]
    rows = [tuple(cell.value for cell in row[:8]) for row in sheet.iter_rows(min_row=5, max_row=7)]
    assert rows[0] == (
        "anchor", "=Plate 900", "crane too small", "9.1 t; crane limit of 'Work boat': 8 t",
        9.1, 8, "t", "Anchors row 7",
    )  # fmt: skip
    assert rows[1][:6] == (
        "anchor", "Block 4", "no leg may use it", "every leg allows other families", None, None
    )  # fmt: skip
    assert rows[2][2:7] == ("too late", "70 days, of 60", 70, 60, "days")
    assert sheet["B5"].data_type == "s"


@LONG
def test_where_nothing_drops_out_the_sheet_says_so() -> None:
    """The sheet is there, and no line counts what there is none of."""
    plan = example_plan()
    sheet = load_workbook(io.BytesIO(plan_workbook(plan)))["Left out"]
    lead = " ".join(str(cell.value) for row in sheet["A1:A3"] for cell in row)
    assert "Everything that stands in the workbook can be used by some plan." in lead
    assert "Left out:" not in plan_summary(plan)
    assert plan_record(plan)["left_out"] == []


@LONG
def test_a_line_counts_them_where_the_plan_is_told() -> None:
    """On the terminal, on Summary and on the page; in JSON each with its figures."""
    plan = replace(example_plan(), left_out=(CRANE, FAMILY, SLOW))
    assert LINE in plan_summary(plan)
    assert LINE.replace("'", "&#x27;") in plan_page(plan)
    summary = load_workbook(io.BytesIO(plan_workbook(plan)))["Summary"]
    assert any(LINE in str(row[0].value) for row in summary.iter_rows())
    assert plan_record(plan)["left_out"][2] == {
        "what": "service", "name": "Slow box", "reason": "too late", "nearest": "70 days, of 60",
        "required": 70.0, "available": 60.0, "unit": "days",
    }  # fmt: skip
