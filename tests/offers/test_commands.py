"""The commands of buying, as a buyer gives them: ask, take and compare."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from moorledger.io.commands.command_line import main
from moorledger.io.inputs.template import write_template
from moorledger.io.reading.workbook import read_farm
from openpyxl import load_workbook

from tests.farms.rival_offers import farm_with_rivals
from tests.farms.small_farm import ANCHOR, SUPPLIER, farm_with
from tests.offers.layouts import LAYOUTS
from tests.quick_run import LONG


def run(*words: str | Path) -> Result:
    """Run the program with these words."""
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture(scope="module")
def workbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the workbook of a small farm with rival offers."""
    path = tmp_path_factory.mktemp("farm") / "bay.xlsx"
    farm = farm_with_rivals(2)
    write_template(path, replace(farm, project=replace(farm.project, name="Bay")))
    return path


@LONG
def test_offers_are_compared_on_terminal_sheet_and_page(workbook: Path, tmp_path: Path) -> None:
    """Every offer stands on the sheet; the nearest loser is named first, with its target, which
    page and order hold too."""
    book, order, page = (tmp_path / name for name in ("o.xlsx", "order.xlsx", "p.html"))
    files = ("-o", book, "--order", order, "--page", page)
    done = run("offers", workbook, *files, "--gap", "0.0001%")
    assert done.exit_code == 0, done.output
    assert "C2 from Rival 2, XXX 31.801: enters at 28.9796 (-8.87%" in done.output
    sheet = load_workbook(book)["Offers compared"]
    named = {(row[0], row[1]) for row in sheet.iter_rows(values_only=True)}
    assert set(read_farm(workbook).offer_by_key) <= named
    assert "Offers compared" in load_workbook(order).sheetnames
    assert "28.9796" in page.read_text()


@LONG
def test_orders_and_freight_say_whose_each_is(workbook: Path, tmp_path: Path) -> None:
    """The order sheet of a rival names its quotation, and its packs stand by its name."""
    order = tmp_path / "order.xlsx"
    assert run("price", workbook, "-o", order).exit_code == 0
    book = load_workbook(order)
    rows = [row for row in book["Order Rival 1"].iter_rows(values_only=True) if "A1" in row]
    assert any("quotation Q A1" in str(cell) for row in rows for cell in row)
    freight = list(book["Freight bookings"].iter_rows(values_only=True))
    assert any(row[2:4] == ("A1", "Rival 1") for row in freight)


def test_ask_fill_in_and_take(workbook: Path, tmp_path: Path) -> None:
    """A request filled in by a supplier comes back as its offer, and the farm still prices."""
    asked = tmp_path / "asked"
    done = run("quotes", "ask", workbook, asked, "--time-limit", "30")
    assert done.exit_code == 0, done.output
    answer = asked / "quotation Bay Rival 2.xlsx"
    for other in set(asked.iterdir()) - {answer}:
        other.unlink()
    book = load_workbook(answer)
    page = book["Quotation"]
    row = next(r for r in range(13, 20) if page.cell(r, 1).value == "C2")
    page.cell(row, 7).value = 25.0
    book.save(answer)
    out = tmp_path / "new.xlsx"
    done = run("quotes", "take", workbook, asked, "-o", out)
    assert done.exit_code == 0, done.output
    assert "C2 from Rival 2: XXX 25.00 (was" in done.output
    assert "Your workbook, with" in done.output
    assert "Quotations taken" in load_workbook(out).sheetnames
    farm = read_farm(out)
    offer = farm.offer_by_key["C2", "Rival 2"]
    assert offer.prices.brackets[0].price == pytest.approx(
        25.0 * farm.chain_by_name["C2"].length_sold_m
        * next(s.price_factor for s in farm.suppliers if s.name == "Rival 2")
    )  # fmt: skip


@LONG
def test_an_unknown_layout_is_proposed_first_and_taken_by_the_map(tmp_path: Path) -> None:
    """Nothing of it is taken until its map stands on the sheet Map; then all of it is."""
    layout = LAYOUTS[0]
    sellers = (SUPPLIER, replace(SUPPLIER, name=layout.supplier))
    farm, first, second = (tmp_path / name for name in ("farm.xlsx", "1.xlsx", "2.xlsx"))
    write_template(farm, farm_with(suppliers=sellers))
    (tmp_path / "answers").mkdir()
    layout.write(tmp_path / "answers")
    done = run("quotes", "take", farm, tmp_path / "answers", "-o", first)
    assert done.exit_code == 0, done.output
    assert "look at the rows on the sheet Map" in done.output
    assert read_farm(first).offers == ()
    assert read_farm(first).layout_words
    done = run("quotes", "take", first, tmp_path / "answers", "-o", second)
    assert done.exit_code == 0, done.output
    assert "look at the rows" not in done.output
    offers = {offer.item: offer.unit_price for offer in read_farm(second).offers}
    assert offers == layout.prices


def test_a_fault_stops_all_and_nothing_is_written(tmp_path: Path) -> None:
    """One wrong price in one file: exit code 1, file and cell named, no workbook."""
    layout = replace(LAYOUTS[0], rows=[["Item", "Unit price"], [ANCHOR.name, "about 900"]])
    sellers = (SUPPLIER, replace(SUPPLIER, name=layout.supplier))
    farm = tmp_path / "farm.xlsx"
    write_template(farm, farm_with(suppliers=sellers))
    out = tmp_path / "out.xlsx"
    done = run("quotes", "take", farm, layout.write(tmp_path), "-o", out, "--accept")
    assert done.exit_code == 1
    assert "Aspen Invented offer 1.xlsx: Sheet1!B2 Unit price: found 'about 900'" in done.output
    assert not out.exists()
