"""Orders that earlier versions wrote: their records have fewer fields, their sheets other words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, fields, is_dataclass
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest
from moorledger.io.inputs import earlier_records
from moorledger.io.inputs.plan_record import HEADING_ROW, LEFT_OUT, TITLE, ReadFrom
from moorledger.io.inputs.records import plain_fields_of
from moorledger.io.papers.order_file import WITHOUT_RECORD, OrderFile, hand_written, plan_of_order
from moorledger.io.reading.workbook import read_farm
from moorledger.io.words.case import Case
from moorledger.models.answer.plan import Plan
from moorledger.models.fault import FarmError
from openpyxl import Workbook

from tests.farms.plan_fixture import example_plan
from tests.papers.test_order_file import CASE, order, read_back
from tests.quick_run import LONG, mostly_long

Shape = Callable[[list[list[Any]]], list[list[Any]]]


def _first(rows: list[list[Any]]) -> list[list[Any]]:
    """The first orders with a record: no mark, nothing of orders before, no raised holding."""
    return [_without(row, marks=1, plan=3, evidence=1) for row in rows]


def _after(rows: list[list[Any]]) -> list[list[Any]]:
    """Orders that name the order before."""
    return [_without(row, marks=1, plan=2, evidence=1) for row in rows]


def _with_connectors(rows: list[list[Any]]) -> list[list[Any]]:
    """Orders whose plan held the connectors of orders before, which are on hand since."""
    rows = [_without(row, marks=1) for row in rows]
    case = next(at for at, row in enumerate(rows) if row[1] == "case")
    return [*rows[:case], [1, "connectors", "'Chain 20'", 3], *rows[case:]]


def _without(row: list[Any], marks: int = 0, plan: int = 0, evidence: int = 0) -> list[Any]:
    """Return a row of a record without the last of its cells that a version did not know; what
    raises a holding stands before its friction."""
    if row[1] == "evidence" and evidence:
        return [*row[:-2], row[-1]]
    gone = {"read from": marks, "plan": plan}.get(row[1], 0)
    return row[: len(row) - gone]


def _rewritten(shape: Shape, words: bool = True) -> Callable[[Workbook], None]:
    def edit(book: Workbook) -> None:
        sheet = book[TITLE]
        rows = [
            [cell for cell in row if cell is not None]
            for row in sheet.iter_rows(min_row=HEADING_ROW + 1, values_only=True)
        ]
        sheet.delete_rows(HEADING_ROW + 1, len(rows))
        for at, row in enumerate(shape(rows), start=HEADING_ROW + 1):
            for column, value in enumerate(row, start=1):
                sheet.cell(at, column).value = value
        if words:
            book["Basis"]["A3"] = "Said in other words."
            book["Summary"]["A3"] = "Said in other words."
            book.remove(book["Kit list"])

    return edit


@mostly_long("shape", [_first, _after, _with_connectors], quick=[_first])
def test_an_earlier_order_is_read_as_the_same_plan(tmp_path: Path, shape: Shape) -> None:
    """Tests that fields of today that it does not hold have their defaults; that what it writes in
    other words is named and not compared, that a sheet not written then is not missed, that numbers
    need only agree as two versions work them out, and that what was filled in on sheets that
    are as today is still taken over."""

    def edit(book: Workbook) -> None:
        _rewritten(shape)(book)
        book["Order Plate works"]["J4"] = "PO-77"
        book["Order Plate works"]["H12"] = 400.0 * (1 + 4e-8)

    path = order(tmp_path, edit)
    plan, case = read_back(path)
    assert plan == example_plan()
    assert case == CASE
    hand, otherwise = hand_written(OrderFile(path), plan, case)
    assert otherwise == ("Summary", "Basis")
    assert list(hand.values()) == [{(4, 10): "PO-77"}]


@LONG
def test_a_price_changed_on_an_earlier_order_is_refused_by_cell(tmp_path: Path) -> None:
    """Tests that a sheet with the words of today is compared, whichever version wrote it."""

    def edit(book: Workbook) -> None:
        _rewritten(_first)(book)
        book["Order Plate works"]["H12"] = 390.0

    path = order(tmp_path, edit)
    plan, case = read_back(path)
    with pytest.raises(FarmError, match="the plan says '400'"):
        hand_written(OrderFile(path), plan, case)


@LONG
def test_other_words_on_an_order_of_this_program_are_refused(tmp_path: Path) -> None:
    """Tests that a note written beside is still refused where the same program wrote the order."""
    path = order(tmp_path, _rewritten(lambda rows: rows))
    plan, case = read_back(path)
    with pytest.raises(FarmError, match="Said in other words"):
        hand_written(OrderFile(path), plan, case)


@LONG
def test_a_record_of_no_known_version_is_refused_with_what_to_do(tmp_path: Path) -> None:
    """Tests that a row of another length, and an order without a record, name the way out."""

    def short(rows: list[list[Any]]) -> list[list[Any]]:
        return [row[:-1] if row[1] == "assignments" else row for row in rows]

    def gone(book: Workbook) -> None:
        book.remove(book[TITLE])

    for edit in (_rewritten(short), gone):
        path = order(tmp_path, edit)
        with pytest.raises(FarmError, match="write what it bought on the sheet On hand"):
            plan_of_order(OrderFile(path), read_farm(path), WITHOUT_RECORD)
        with pytest.raises(FarmError, match="give an order as moorledger price wrote it"):
            plan_of_order(OrderFile(path), read_farm(path))


def test_what_earlier_rows_lack_has_a_default() -> None:
    """Tests that the shapes of earlier rows are of fields that there are, and that each field that
    they lack has a default that a record of then can be read with."""
    kinds = {kind.__name__: kind for kind in _kinds()}
    for name, shapes in earlier_records.PLAIN_FIELDS.items():
        today = plain_fields_of(kinds[name])
        left_out = LEFT_OUT if name == "Plan" else ()
        given = {f.name for f in fields(kinds[name]) if f.default is not MISSING}
        assert shapes
        for shape in shapes:
            assert list(shape) == [field for field in today if field in shape]
            assert set(today) - set(shape) - set(left_out) <= given


AS_WRITTEN = {
    "Plan": 3, "Assignment": 8, "MakeUp": 6, "HoldingEvidence": 8, "Limit": 5, "OrderLine": 8,
    "Cut": 4, "Piece": 5, "Booking": 8, "Pack": 10, "LoadPlan": 1, "Box": 7, "Placement": 8,
    "Campaign": 11, "Trip": 5, "Proof": 6, "Fit": 7, "LeftOut": 7, "Source": 2, "Spread": 5,
    "Percentiles": 4, "SourceSpread": 1, "VesselDays": 9, "SureChoice": 4, "Change": 8,
    "SentOrder": 3, "ReadFrom": 2, "Fault": 6, "Case": 0, "OptionCost": 2,
}  # fmt: skip
"""By record, the plain fields of a row as orders are written now."""


def test_rows_of_records_are_as_long_as_orders_have_them() -> None:
    """Tests the number of plain fields of every record that orders hold: a field that is added
    makes the orders that are out unreadable until its record's former fields are said in
    `io/inputs/earlier_records.py`; then the number here is raised."""
    assert {kind.__name__: len(plain_fields_of(kind)) for kind in _kinds()} == AS_WRITTEN


def _kinds() -> list[type[Any]]:
    """Return every kind of record that an order holds."""
    found: list[type[Any]] = []

    def look(kind: Any) -> None:
        if is_dataclass(kind) and isinstance(kind, type) and kind not in found:
            found.append(kind)
            hints = get_type_hints(kind)
            for field in fields(kind):
                if kind is not Plan or field.name not in LEFT_OUT:
                    look(hints[field.name])
        for one in get_args(kind):
            look(one)

    for kind in (Plan, ReadFrom, Case):
        look(kind)
    return found
