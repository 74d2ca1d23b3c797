"""The buyer's own workbook with some records otherwise: what is kept and what changes."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from moorledger.io.inputs.buyers_workbook import BuyersWorkbook, NotKeptError
from moorledger.io.inputs.template import farm_book, write_template
from moorledger.io.reading.workbook import read_farm
from moorledger.models.farm import Farm
from moorledger.models.goods.price import PriceBreak
from moorledger.models.goods.supplier import Offer
from openpyxl import Workbook, load_workbook
from openpyxl.styles import PatternFill

from tests.farms.small_farm import ANCHOR, CHAIN, ROPE, SHACKLE, SUPPLIER, farm_with
from tests.quick_run import LONG

RIVAL = replace(SUPPLIER, name="Rival")
OFFERS = (
    Offer(ANCHOR.name, "Rival", 700.0, quotation="old"),
    Offer(CHAIN.name, "Rival", 21.0, duty_share=0.05),
)
YELLOW = "00FFFF00"


def _buyers(tmp_path: Path) -> Path:
    """Return a buyer's workbook: titles above, a column and a sheet of its own, colours, a
    formula, and no column for validity; lead times in weeks."""
    book = farm_book(farm_with(suppliers=(SUPPLIER, RIVAL), offers=OFFERS))
    page = book["Offers"]
    page.insert_rows(1, 2)
    page["A1"] = "Our buying desk"
    heads = {page.cell(3, n).value: n for n in range(1, page.max_column + 1)}
    page.delete_cols(heads["Valid until"])
    heads = {cell.value: cell.column for cell in page[3] if cell.value}
    page.cell(3, heads["Lead time (days)"]).value = "Lead time (weeks)"
    page.cell(3, len(heads) + 1).value = "Our mark"
    page.cell(4, len(heads) + 1).value = "ask Tuesday"
    page.cell(4, heads["Unit price"]).fill = PatternFill("solid", fgColor=YELLOW)
    own = book.create_sheet("Our notes")
    own["A1"], own["A2"] = 3, "=A1*2"
    path = tmp_path / "farm.xlsx"
    book.save(path)
    return path


def _kept(path: Path, after: Farm, tmp_path: Path) -> tuple[Workbook, Farm, str]:
    kept = BuyersWorkbook(path, read_farm(path), after)
    out = tmp_path / "new.xlsx"
    out.write_bytes(kept.content())
    return load_workbook(io.BytesIO(out.read_bytes())), read_farm(out), kept.told


def test_only_the_cells_that_change_are_written(tmp_path: Path) -> None:
    """Tests a price, a validity and a lead time of one offer: its colour, the buyer's column, title
    and sheet stay, the lead time is in the buyer's weeks, and nothing else is another."""
    path = _buyers(tmp_path)
    before = read_farm(path)
    offer = replace(
        before.offers[0], unit_price=650.0, valid_until=date(2031, 5, 1), lead_time_days=14
    )
    after = replace(before, offers=(offer, *before.offers[1:]))
    book, farm, told = _kept(path, after, tmp_path)
    assert farm.offers == after.offers
    assert told == "4 cells of Offers changed"
    was, now = load_workbook(path), book
    assert now.sheetnames == was.sheetnames
    assert now["Our notes"]["A2"].value == "=A1*2"
    page = now["Offers"]
    row = {page.cell(3, n).value: page.cell(4, n) for n in range(1, page.max_column + 1)}
    assert (row["Unit price"].value, row["Lead time (weeks)"].value) == (650, 2)
    assert row["Unit price"].fill.fgColor.rgb == YELLOW
    assert row["Our mark"].value == "ask Tuesday"
    assert page["A1"].value == "Our buying desk"
    others = [s for s in was.worksheets if s.title != "Offers"]
    for sheet in others:
        there = [[cell.value for cell in line] for line in now[sheet.title].iter_rows()]
        assert there == [[cell.value for cell in line] for line in sheet.iter_rows()]


def test_the_own_offer_of_an_anchor_may_come_to_stand_below_its_rivals(tmp_path: Path) -> None:
    """An anchor's own supplier quotes anew, and goes to Offers, where a rival stands already: which
    stands first says nothing of an anchor, so the buyer's workbook is kept."""
    path = _buyers(tmp_path)
    before = read_farm(path)
    anchors = (replace(before.anchors[0], supplier=None, unit_price=None), *before.anchors[1:])
    offers = (Offer(ANCHOR.name, SUPPLIER.name, 880.0), *before.offers)
    book, farm, _ = _kept(path, replace(before, anchors=anchors, offers=offers), tmp_path)
    assert book["Our notes"]["A2"].value == "=A1*2"
    assert set(farm.offers) == set(offers)


@LONG
def test_rows_that_are_new_and_gone(tmp_path: Path) -> None:
    """Tests offers of which one goes and two come, and a price break on a sheet with an example
    only: the farm reads as it is to."""
    path = _buyers(tmp_path)
    before = read_farm(path)
    after = replace(
        before,
        offers=(
            before.offers[1],
            Offer(ROPE.name, "Rival", 4.5, minimum_order=2, duty_share=0.07, quotation="R 1"),
            Offer(SHACKLE.name, "Rival", 9.0, available=40),
        ),
        price_breaks=(PriceBreak(CHAIN.name, 5, 20.0, supplier="Rival"),),
    )
    _, farm, _ = _kept(path, after, tmp_path)
    assert set(farm.offers) == set(after.offers)
    assert farm.price_breaks == after.price_breaks


@LONG
def test_a_row_that_goes_leaves_nothing_behind(tmp_path: Path) -> None:
    """Tests price breaks that go, of a workbook that writes out what they could leave to defaults:
    the row is blank, and the farm reads without it."""
    breaks = (PriceBreak(CHAIN.name, 5, 20.0), PriceBreak(CHAIN.name, 9, 19.0))
    path = tmp_path / "farm.xlsx"
    book = farm_book(farm_with(price_breaks=breaks))
    page = book["Price breaks"]
    scheme = next(cell.column for cell in page[1] if cell.value == "Scheme")
    for row in range(2, page.max_row + 1):
        if page.cell(row, 1).value == CHAIN.name:
            page.cell(row, scheme).value = "all units"
    book.save(path)
    before = read_farm(path)
    assert before.price_breaks == breaks
    _, farm, _ = _kept(path, replace(before, price_breaks=()), tmp_path)
    assert farm.price_breaks == ()


@LONG
def test_what_cannot_be_kept_is_said(tmp_path: Path) -> None:
    """Tests a folder, an order's input sheets, a setting, and rows without room below."""
    path = _buyers(tmp_path)
    before = read_farm(path)
    more = replace(before, offers=(*before.offers, Offer(ROPE.name, "Rival", 4.5)))
    with pytest.raises(NotKeptError, match=r"no \.xlsx"):
        BuyersWorkbook(tmp_path, before, more)
    with pytest.raises(NotKeptError, match="setting of Project"):
        BuyersWorkbook(path, before, replace(before, project=replace(before.project, name="x")))
    book = load_workbook(path)
    book["Offers"].cell(6, 1).value = "Total"
    book.save(path)
    with pytest.raises(NotKeptError, match="no blank row is left"):
        BuyersWorkbook(path, read_farm(path), more)
    order = tmp_path / "order.xlsx"
    write_template(order, before)
    book = load_workbook(order)
    for sheet in book.worksheets:
        sheet.title = f"Input {sheet.title}"
    book.save(order)
    with pytest.raises(NotKeptError, match="it is an order"):
        BuyersWorkbook(order, before, more)
