"""`moorledger price --after`, and edits in an order that is priced again."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner
from moorledger.io.commands.command_line import main
from moorledger.io.inputs.template import write_template

from tests.farms.random_farms import random_farm
from tests.quick_run import LONG


def _run(*arguments: object) -> Any:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.fixture(scope="module")
def ordered(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A farm's workbook and its order."""
    folder = tmp_path_factory.mktemp("ordered")
    farm, order = folder / "farm.xlsx", folder / "order.xlsx"
    write_template(farm, random_farm(4))
    assert _run("price", farm, "-o", order).exit_code == 0
    return farm, order


def _edited(source: Path, target: Path, sheet: str, cell: str, value: object) -> None:
    book = openpyxl.load_workbook(source)
    book[sheet][cell].value = value
    book.save(target)


def _place(order: Path, sheet: str, heading: str) -> str:
    """Return the first cell below a heading of a sheet."""
    for row in openpyxl.load_workbook(order)[sheet].iter_rows():
        for cell in row:
            if cell.value == heading:
                return f"{cell.column_letter}{cell.row + 1}"
    raise AssertionError(heading)


@LONG
def test_changes_are_told_on_terminal_sheet_and_page(
    ordered: tuple[Path, Path], tmp_path: Path
) -> None:
    """Tests that two lines more are told in all three, their money the difference of the totals,
    and that the new order can be priced after in its turn."""
    farm, order = ordered
    at = _place(farm, "Legs", "Count")
    _edited(farm, tmp_path / "more.xlsx", "Legs", at, 3)
    second, page = tmp_path / "second.xlsx", tmp_path / "second.html"
    told = _run("price", tmp_path / "more.xlsx", "--after", order, "-o", second, "--page", page)
    assert told.exit_code == 0, told.output
    assert "Changes against order.xlsx" in told.output
    assert "legs 'L1' count: 1 → 3" in told.output
    assert "<h2>Changes</h2>" in page.read_text(encoding="utf-8")
    rows = [[c.value for c in row] for row in openpyxl.load_workbook(second)["Changes"].iter_rows()]
    head = next(n for n, row in enumerate(rows) if row[0] == "What")
    foot = next(n for n, row in enumerate(rows) if row[0] == "Total")
    money = sum(row[7] or 0.0 for row in rows[head + 1 : foot])
    figures = {row[0]: row[7] for row in rows[foot + 1 :] if row[0]}
    assert money == pytest.approx(figures["Difference"], abs=0.005)
    came = figures["What order.xlsx came to"]
    assert figures["Together, now"] - came == pytest.approx(money, abs=0.005)
    third = _run("price", tmp_path / "more.xlsx", "--after", second, "-o", tmp_path / "third.xlsx")
    assert third.exit_code == 0, third.output
    assert "nothing: it stands as it was ordered" in third.output


@LONG
def test_an_edit_on_an_orders_own_sheet_is_refused_by_cell(
    ordered: tuple[Path, Path], tmp_path: Path
) -> None:
    """Tests that a figure changed on Quantities is refused, priced again or priced after."""
    farm, order = ordered
    name = next(n for n in openpyxl.load_workbook(order).sheetnames if n.startswith("Leg sched"))
    at = _place(order, name, "Chain (m)")
    _edited(order, tmp_path / "edited.xlsx", name, at, 99)
    for arguments in (
        (tmp_path / "edited.xlsx",),
        (farm, "--after", tmp_path / "edited.xlsx"),
    ):
        told = _run("price", *arguments, "-o", tmp_path / "new.xlsx")
        assert told.exit_code == 1
        assert f"{name}!{at}" in told.output
        assert "change it on the Input sheets" in told.output
    assert not (tmp_path / "new.xlsx").exists()
    sound = _run("price", order, "-o", tmp_path / "new.xlsx")
    assert sound.exit_code == 0, sound.output


@LONG
def test_keep_asks_for_an_order(ordered: tuple[Path, Path]) -> None:
    """Tests that --keep without --after is an error of the command line."""
    assert _run("price", ordered[0], "--keep").exit_code == 2


@LONG
def test_a_price_changed_on_an_order_is_taken_up_and_listed(
    ordered: tuple[Path, Path], tmp_path: Path
) -> None:
    """Tests that an order priced again costs what was written on it, and says so by cell."""
    _, order = ordered
    name = next(n for n in openpyxl.load_workbook(order).sheetnames if n.startswith("Order "))
    at = _place(order, name, "Unit price")
    was = openpyxl.load_workbook(order)[name][at].value
    _edited(order, tmp_path / "dearer.xlsx", name, at, 1.5 * was)
    told = _run("price", tmp_path / "dearer.xlsx", "-o", tmp_path / "new.xlsx")
    assert told.exit_code == 0, told.output
    assert f"note: {name}!{at}: " in told.output
    assert "taken up as the price of" in told.output
    again = _run("price", tmp_path / "new.xlsx", "-o", tmp_path / "same.xlsx")
    assert "taken up" not in again.output


@LONG
def test_what_a_change_has_to_save_stands_on_sheet_terminal_and_page(
    ordered: tuple[Path, Path], tmp_path: Path
) -> None:
    """Tests that the cost of changing a line, of the option or else of Project, is said wherever
    the order is, that it holds for an order after another only, and that --keep is said too."""
    farm, order = ordered
    book = openpyxl.load_workbook(farm)
    project = book["Project"]
    (row,) = [r for r in project.iter_rows() if r[0].value == "Cost of changing a line"]
    row[1].value = 250
    book.save(tmp_path / "farm.xlsx")
    for more, said in (
        (("--after", order), "more than EUR 250.00 a line"),
        (("--after", order, "--change-cost", 75.5), "more than EUR 75.50 a line"),
        (("--after", order, "--keep"), "that can be as in order.xlsx is held so"),
        ((), ""),
    ):
        new, page = tmp_path / "new.xlsx", tmp_path / "new.html"
        told = _run("price", tmp_path / "farm.xlsx", *more, "-o", new, "--page", page, "--force")
        assert told.exit_code == 0, told.output
        sheets = {
            sheet.title: " ".join(str(c.value) for r in sheet.iter_rows() for c in r)
            for sheet in openpyxl.load_workbook(new).worksheets
        }
        if said:
            assert said in told.output
            assert said in page.read_text(encoding="utf-8")
            assert said in sheets["Changes"]
            assert said in sheets["Summary"]
        else:
            assert " a line. Leg groups are weighed" not in told.output + sheets["Summary"]
