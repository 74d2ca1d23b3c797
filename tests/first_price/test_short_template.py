"""The short template, filled in as a new user does, and carried over into the full one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner
from moorledger.io.commands.command_line import main
from moorledger.io.layout.sheets import SHEETS
from moorledger.io.layout.short import SHORT
from moorledger.io.reading.workbook import read_farm

from tests.first_price.first_farm import first_grid
from tests.quick_run import LONG


def run(*arguments: Any) -> str:
    """Run a command that must end well; return all that it says."""
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert result.exit_code == 0, result.output
    return result.output


@pytest.fixture
def short(tmp_path: Path) -> Path:
    """A short template, filled in below its example rows."""
    path = tmp_path / "short.xlsx"
    run("template", path, "--short")
    book = openpyxl.load_workbook(path)
    for title, (_, *rows) in first_grid().items():
        for number, row in enumerate(rows, start=3):
            for column, value in enumerate(row, start=1):
                book[title].cell(number, column).value = value
    book.save(path)
    return path


def test_it_is_five_sheets_and_25_columns() -> None:
    """It asks for no more than it promises, and every column is the full template's own."""
    assert (len(SHORT), sum(len(sheet.columns) for sheet in SHORT)) == (5, 25)
    full = {sheet.title: sheet.columns for sheet in SHEETS}
    assert all(column in full[sheet.title] for sheet in SHORT for column in sheet.columns)


def test_its_first_row_is_a_grey_example(tmp_path: Path) -> None:
    """Each sheet has one row above the blank ones, grey and marked as an example."""
    run("template", tmp_path / "short.xlsx", "--short")
    book = openpyxl.load_workbook(tmp_path / "short.xlsx")
    for sheet in SHORT:
        first = book[sheet.title].cell(2, 1)
        assert first.value.startswith("Example: ")
        assert first.font.color.rgb == "00666666"
        assert book[sheet.title].max_row == 2 or book[sheet.title].cell(3, 1).value is None


def test_filled_in_it_is_checked_and_priced_with_one_doubt(short: Path, tmp_path: Path) -> None:
    """The new user meets one message, the setting pull's, and a first line that says what the
    sum is not."""
    said = run("check", short)
    assert "0 errors, 1 warning" in said
    assert "price, compare, breakeven, offers, quotes: enough for the cost of goods; more: " in said
    page = tmp_path / "page.html"
    told = run("price", short, "-o", tmp_path / "order.xlsx", "--page", page, "--workers", 1)
    lines = [line for line in told.splitlines() if not line.startswith("warning")]
    assert lines[0].startswith("NOT PRICED: freight")
    assert any(line.startswith("Cost of goods EUR ") for line in lines)
    assert "Installed cost" not in told
    shown = page.read_text(encoding="utf-8")
    assert "NOT PRICED: freight" in shown
    assert "Installed cost" not in shown
    assert "licensed engineer" in shown
    summary = openpyxl.load_workbook(tmp_path / "order.xlsx", data_only=True)["Summary"]
    assert summary["A2"].value.startswith("NOT PRICED: ")


@LONG
def test_order_keeps_stand_ins_out_of_its_inputs(short: Path, tmp_path: Path) -> None:
    """Priced again from its own order, a farm still knows what nobody stated."""
    order = tmp_path / "order.xlsx"
    run("price", short, "-o", order, "--workers", 1)
    again = read_farm(order)
    assert replace(again, origin_file="short.xlsx") == read_farm(short)
    assert (again.freight_priced, again.laying_priced) == (False, False)
    assert all("deck_area_m2" in anchor.stood_in for anchor in again.anchors)


@LONG
def test_it_is_carried_over_into_the_full_template(short: Path, tmp_path: Path) -> None:
    """All that the short one states stands in the full one, and nothing that it assumes."""
    full = tmp_path / "full.xlsx"
    run("template", full, "--from", short)
    assert replace(read_farm(full), origin_file="short.xlsx") == read_farm(short)
    book = openpyxl.load_workbook(full)
    assert {sheet.title for sheet in SHEETS} <= set(book.sheetnames)
    head = [cell.value for cell in book["Anchors"][1]]
    for heading in ("Deck area (m²)", "Lowering (min)", "Pack length (mm)", "Supplier"):
        assert book["Anchors"].cell(2, head.index(heading) + 1).value is None
    assert book["Vessels"].cell(2, 1).value.startswith("Example: ")


def test_only_one_way_to_fill_a_template(tmp_path: Path) -> None:
    """--short and --sample exclude each other."""
    asked = ["template", str(tmp_path / "x.xlsx"), "--short", "--sample"]
    assert CliRunner().invoke(main, asked).exit_code != 0


def test_a_leg_that_nothing_holds_is_no_cell_to_mend(tmp_path: Path) -> None:
    """Without pull tests no cell is at fault: what is missing is what would hold the legs."""
    run("template", tmp_path / "short.xlsx", "--short")
    book = openpyxl.load_workbook(tmp_path / "short.xlsx")
    typed = {"Seabeds": ["sand", 0.7], "Legs": ["N1", 4, 30, 18, "sand", 3],
             "Anchors": ["plate 150", "folding plate", 150, 640, 6],
             "Chain": ["chain 20", 20, 8.7, 251, 15.5, 27.5]}  # fmt: skip
    for title, row in typed.items():
        for column, value in enumerate(row, start=1):
            book[title].cell(3, column).value = value
    book.save(tmp_path / "short.xlsx")
    result = CliRunner().invoke(main, ["check", str(tmp_path / "short.xlsx")])
    assert result.exit_code == 1
    assert "leg 'N1' cannot be moored: no anchor may be relied on there" in result.output
    assert "not enough; it takes what would hold 1 leg" in result.output
