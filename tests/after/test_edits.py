"""Edits in an order's own sheets: taken up into its inputs, told, or refused by cell."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from moorledger.io.order.order_workbook import order_book
from moorledger.io.papers.edits import Taken, taken_up
from moorledger.io.papers.order_file import Compared, Edit, OrderFile, compare_with
from moorledger.models.farm import Farm
from openpyxl import Workbook
from openpyxl.utils.cell import column_index_from_string, coordinate_from_string

from tests.farms.plan_fixture import example_plan
from tests.papers.test_order_file import order, read_back
from tests.quick_run import LONG

CHAIN, PLATE = "Order Chain store", "Order Plate works"


@pytest.fixture(scope="module")
def compared() -> Compared:
    """The example's order against its plan, nothing edited."""
    return Compared(order_book(example_plan()), (), ())


def _edited(compared: Compared, *edits: tuple[str, str, object]) -> Taken:
    """Return what is taken up of the example's order with some of its cells otherwise."""
    fields = {page.name: page.fields for page in compared.book.pages}
    found = []
    for sheet, cell, now in edits:
        letters, row = coordinate_from_string(cell)
        at = (row, column_index_from_string(letters))
        found.append(Edit(sheet, at, "as it was", now, at in fields[sheet]))
    plan = example_plan()
    return taken_up(replace(compared, edits=tuple(found)), plan.farm, plan)


def _supplier(name: str, field: str) -> Callable[[Farm], Any]:
    return lambda farm: getattr(next(s for s in farm.suppliers if s.name == name), field)


TAKEN: dict[str, tuple[str, str, object, Callable[[Farm], Any], Any]] = {
    "a rope's price a length": (
        CHAIN, "H13", 440.0, lambda farm: farm.rope_by_name["Rope 40"].price_per_m, 2.0,
    ),
    "a fitting's price": (CHAIN, "H14", 7.5, lambda farm: farm.fittings[0].unit_price, 7.5),
    "fewer to be had": (CHAIN, "F14", 8, lambda farm: farm.fittings[0].available, 8),
    "an order charge": (CHAIN, "I17", 60.0, _supplier("Chain store", "order_charge"), 60.0),
    "what a join costs": (CHAIN, "H15", 18.0, lambda farm: farm.chains[0].join_cost, 18.0),
    "ready ten days after the order": (
        PLATE, "O12", date(2031, 3, 11), lambda farm: farm.anchors[0].lead_time_days, 10,
    ),
    "a freight rate": ("Freight bookings", "I5", 950.0, lambda farm: farm.services[0].rate, 950.0),
    "a day rate": (
        "Laying Work boat", "D5", 2500.0, lambda farm: farm.vessels[0].day_rate, 2500.0,
    ),
    "a factor": (
        "Assumptions", "B7", 1.6, lambda farm: farm.project.anchor_safety_factor, 1.6,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", TAKEN)
def test_what_means_one_thing_is_taken_up(compared: Compared, name: str) -> None:
    """A price, a charge, a rate, a setting, a day, a lesser quantity: into the inputs, told."""
    sheet, cell, value, read, due = TAKEN[name]
    taken = _edited(compared, (sheet, cell, value))
    assert taken.refused == ()
    assert read(taken.farm) == pytest.approx(due)
    assert [line.startswith(f"{sheet}!{cell}: ") for line in taken.told] == [True]
    assert "taken up as" in taken.told[0]


@pytest.mark.parametrize(
    ("sheet", "cell", "value", "why"),
    [
        (CHAIN, "F14", 20, "why more is wanted is not certain"),
        (CHAIN, "F14", 1.5, "a quantity is a whole number"),
        (CHAIN, "H14", "cheap", "an amount of money is a number"),
        (CHAIN, "H14", -1.0, "an amount of money is a number"),
        (PLATE, "H12", 390.0, "one of several prices"),
        (PLATE, "O12", date(2031, 2, 1), "counted from the order date"),
        ("Kit list", "C5", 2, "does not say for certain"),
        ("Assumptions", "B7", "many", "is read on the Input sheet Project only"),
    ],
)
def test_what_may_mean_another_thing_is_refused_by_cell(
    compared: Compared, sheet: str, cell: str, value: object, why: str
) -> None:
    """More than was ordered, a price among several, a length: by cell, with what to do."""
    taken = _edited(compared, (sheet, cell, value))
    assert [(fault.sheet, fault.cell) for fault in taken.refused] == [(sheet, cell)]
    assert why in taken.refused[0].message
    assert "change it on the Input sheets" in taken.refused[0].message
    assert taken.told == ()


def test_an_order_date_on_every_order_is_taken_up(compared: Compared) -> None:
    """Written on all orders alike it is the project's; on one alone it stays with that order."""
    day = date(2031, 3, 20)
    both = _edited(compared, (PLATE, "J5", day), (CHAIN, "J5", day))
    assert both.farm.project.order_date == day
    assert both.told == ("order date 2031-03-20, on every order: taken up",)
    one = _edited(compared, (PLATE, "J5", day), (PLATE, "J6", "Q-9 of May"))
    assert one.farm.project.order_date == date(2031, 3, 1)
    assert len(one.told) == 2
    assert all("stays with this order" in line for line in one.told)


def test_blanks_filled_in_on_board_are_told(compared: Compared) -> None:
    """A pull written into the order's laying plan is for `moorledger laid`, and is said to be."""
    taken = _edited(compared, ("Laying Work boat", "Q20", 60.0))
    assert taken.refused == ()
    assert "moorledger laid takes it over" in taken.told[0]


@LONG
def test_cells_of_a_file_are_found_as_edits(tmp_path: Path) -> None:
    """A price and a blank of the laying plan, written into the order's file, are found there."""

    def edit(book: Workbook) -> None:
        book[CHAIN]["H13"], book["Laying Work boat"]["Q20"] = 440.0, 60.0

    path = order(tmp_path, edit)
    plan, case = read_back(path)
    found = compare_with(OrderFile(path), plan, case).edits
    assert [(e.sheet, e.cell, e.was, e.now, e.in_field) for e in found] == [
        (CHAIN, "H13", 660, 440, False),
        ("Laying Work boat", "Q20", None, 60, True),
    ]
    assert taken_up(compare_with(OrderFile(path), plan, case), plan.farm, plan).refused == ()
