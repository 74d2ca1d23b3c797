"""An order read back: exactly, with what a hand wrote in its fields, or refused by cell."""

from __future__ import annotations

import io
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import openpyxl
import pytest
from moorledger.io.inputs.plan_record import TITLE
from moorledger.io.inputs.records import RecordError, record_of, rows_of
from moorledger.io.order.order_workbook import plan_workbook
from moorledger.io.papers.order_file import OrderFile, hand_written, plan_of_order
from moorledger.io.papers.readers import papers_of
from moorledger.io.reading.workbook import read_farm
from moorledger.io.words.case import Case, OptionCost
from moorledger.models.answer.plan import Part, Plan
from moorledger.models.fault import FarmError
from moorledger.optimiser.price import price
from openpyxl import Workbook

from tests.farms.plan_fixture import PARTS, example_plan
from tests.farms.random_farms import random_farm
from tests.papers.written_papers import cell_beside, sheets, text_of
from tests.quick_run import LONG

CASE = Case(
    (OptionCost("solid only", {**PARTS, Part.ANCHORS: 3124.0}, "not proven"),),
    ("Because of 17 %.",),
    ("At 1.8 × today's freight.",),
)


@cache
def order_with_case() -> bytes:
    """Return the example's order with its case, written once."""
    return plan_workbook(example_plan(), case=CASE)


def order(folder: Path, edit: Callable[[Workbook], None] | None = None) -> Path:
    """Write the example's order, with its sheets edited."""
    path = folder / "order.xlsx"
    path.write_bytes(order_with_case())
    if edit is not None:
        book = openpyxl.load_workbook(path)
        edit(book)
        book.save(path)
    return path


def read_back(path: Path) -> tuple[Plan, Case]:
    """Return what an order says, its checks those of the example."""
    plan, case = plan_of_order(OrderFile(path), read_farm(path))
    return plan.with_checks(example_plan().checks), case


def test_an_order_holds_its_plan_and_its_case_whole(tmp_path: Path) -> None:
    """Plan and case come back equal, to the last digit, and so do the papers."""
    plan, case = read_back(order(tmp_path))
    assert plan == example_plan()
    assert case == CASE
    path = tmp_path / "order.xlsx"
    assert hand_written(OrderFile(path), plan, case) == ({}, ())


@LONG
def test_the_sample_comes_back_from_its_order(sample_plan: Plan, tmp_path: Path) -> None:
    """Load plans, trips, joined chain and floats of sixteen digits are the same after a round."""
    path = tmp_path / "order.xlsx"
    path.write_bytes(plan_workbook(sample_plan))
    plan, _ = plan_of_order(OrderFile(path), read_farm(path))
    assert replace(plan, checks=sample_plan.checks) == sample_plan


@pytest.mark.parametrize("seed", [1, 4, 9, 156])
def test_any_plan_is_a_record_and_comes_back(seed: int) -> None:
    """Rows of farms at random, priced, are read as the same plan."""
    plan = price(random_farm(seed, "small"), gap=0.05, time_limit_s=60)
    rows = list(rows_of(plan, "plan", ("farm", "checks")))
    assert record_of(Plan, rows, farm=plan.farm, checks=plan.checks) == plan


def test_rows_that_are_no_record_are_refused() -> None:
    """A row lost, a word where a number is due, a row too deep: an error, never another plan."""
    plan = example_plan()
    rows = list(rows_of(plan, "plan", ("farm", "checks")))

    def read(changed: list[tuple[object, ...]]) -> None:
        record_of(Plan, changed, farm=plan.farm, checks=())  # type: ignore[arg-type]

    where = next(at for at, row in enumerate(rows) if row[1] == "assignments")
    with pytest.raises(RecordError):
        read([*rows[:where], (1, "assignments", "'north'", "'Work boat'", "many"), *rows[where:]])
    with pytest.raises(RecordError):
        read([*rows[: where + 1], (9, "limits", 1, 2), *rows[where + 1 :]])
    with pytest.raises(RecordError):
        read([*rows, (0, "plan", 1)])
    with pytest.raises(RecordError):
        read([])


@LONG
def test_what_a_hand_writes_in_fields_goes_on_the_papers(tmp_path: Path) -> None:
    """The order's number and the quotation are taken up; marks follow the number."""

    def by_hand(book: Workbook) -> None:
        sheet = book["Order Plate works"]
        sheet["J4"], sheet["J6"] = "PO-77", "Q-9 of May"

    path = order(tmp_path, by_hand)
    plan, case = read_back(path)
    hand, _ = hand_written(OrderFile(path), plan, case)
    papers = papers_of(plan, case, hand)
    (plates,) = sheets(papers["purchase order Plate works.xlsx"]).values()
    assert cell_beside(plates, "Order number") == "PO-77"
    assert cell_beside(plates, "Your quotation") == "Q-9 of May"
    assert "PO-77/1" in text_of(papers["purchase order Plate works.xlsx"])
    assert "PO-77/1" in text_of(papers["booking Box 20.xlsx"])
    assert "PO-77" not in text_of(papers["purchase order Chain store.xlsx"])


@pytest.mark.parametrize(
    ("sheet", "cell", "value", "told"),
    [
        pytest.param("Order Plate works", "H12", 390.0, "the plan says '400'", marks=LONG),
        ("Order Plate works", "F12", 5, "is '5', the plan says '4'"),
        pytest.param("Order Plate works", "I12", 9.0, "the plan says '=$F$12*$H$12'", marks=LONG),
        pytest.param("Freight bookings", "I5", 1.0, "the plan says '1000'", marks=LONG),
        pytest.param("Kit list", "C5", 2, "the plan says '1'", marks=LONG),
        pytest.param("Leg schedule", "P9", "a note", "the plan says blank", marks=LONG),
        ("Lines", "A5", None, "is blank"),
    ],
)
def test_what_would_be_another_plan_is_refused_by_cell(
    tmp_path: Path, sheet: str, cell: str, value: object, told: str
) -> None:
    """A price, a quantity, a formula, a length, a note beside: each named by its cell."""

    def edit(book: Workbook) -> None:
        book[sheet][cell] = value

    path = order(tmp_path, edit)
    plan, case = read_back(path)
    with pytest.raises(FarmError, match="price this workbook again") as refused:
        hand_written(OrderFile(path), plan, case)
    faults = [fault for fault in refused.value.faults if fault.sheet == sheet]
    assert [fault.cell for fault in faults] == [cell]
    assert told in str(faults[0])


@LONG
def test_a_sheet_taken_out_is_refused(tmp_path: Path) -> None:
    """A missing sheet is told, and a file without the record is no order."""

    def without(name: str) -> Callable[[Workbook], None]:
        return lambda book: book.remove(book[name])

    path = order(tmp_path, without("Kit list"))
    plan, case = read_back(path)
    with pytest.raises(FarmError, match="Kit list: the sheet is gone"):
        hand_written(OrderFile(path), plan, case)
    path = order(tmp_path, without(TITLE))
    with pytest.raises(FarmError, match="Plan record"):
        plan_of_order(OrderFile(path), read_farm(path))


@LONG
def test_an_order_saved_by_another_program_is_still_read(tmp_path: Path) -> None:
    """LibreOffice opens, calculates and saves the order: its plan and its cells are the same."""
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice (soffice) is not installed: no other program to save with")
    path = order(tmp_path)
    out = tmp_path / "saved"
    subprocess.run(
        [
            office,
            f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}",
            "--headless",
            "--convert-to",
            "xlsx",
            "--outdir",
            str(out),
            str(path),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    saved = out / "order.xlsx"
    assert openpyxl.load_workbook(io.BytesIO(saved.read_bytes())).sheetnames
    plan, case = read_back(saved)
    assert plan == example_plan()
    assert hand_written(OrderFile(saved), plan, case) == ({}, ())
