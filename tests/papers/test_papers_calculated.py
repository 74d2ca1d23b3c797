"""The papers as LibreOffice calculates and prints them, and the order after ten edits."""

from __future__ import annotations

import io
import shutil
import subprocess
from collections.abc import Iterator, Mapping
from pathlib import Path

import openpyxl
import pytest
from moorledger.io.order.order_workbook import plan_workbook
from moorledger.io.papers.readers import papers_of
from moorledger.models.answer.plan import Plan
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from tests.papers.written_papers import cell_beside, rows_under, sheets
from tests.quick_run import LONG

ERRORS = ("#REF!", "#N/A", "#NAME?", "#VALUE!", "#DIV/0!", "#NUM!", "#NULL!", "Err:5", "###")
MOST_PAGES = {"summary": 1, "purchase order": 2, "yard": 6, "laying": 4}


def converted(folder: Path, files: Mapping[str, bytes], to: str) -> Path:
    """Return the folder with files as LibreOffice converts them."""
    office = shutil.which("soffice")
    if office is None or shutil.which("pdftotext") is None:
        pytest.skip("LibreOffice (soffice) or pdftotext is not installed")
    for name, content in files.items():
        (folder / name).write_bytes(content)
    subprocess.run(
        [
            office,
            f"-env:UserInstallation={(folder / 'profile').as_uri()}",
            "--headless",
            "--convert-to",
            to,
            "--outdir",
            str(folder / to),
            *(str(folder / name) for name in files),
        ],
        check=True,
        capture_output=True,
        timeout=300,
    )
    return folder / to


def unstored(content: bytes, edits: Mapping[str, Mapping[str, float]] | None = None) -> bytes:
    """Return a workbook without its stored values, with some cells written over."""
    book = openpyxl.load_workbook(io.BytesIO(content))
    for sheet, cells in (edits or {}).items():
        for cell, value in cells.items():
            assert isinstance(book[sheet][cell].value, int | float), f"{sheet}!{cell}"
            book[sheet][cell] = value
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def number(value: object) -> float:
    """Return a cell that holds a number."""
    assert isinstance(value, int | float), value
    return float(value)


@LONG
def test_stored_values_of_every_paper_are_those_of_another_program(
    sample_plan: Plan, tmp_path: Path
) -> None:
    """What a preview of each paper shows is what LibreOffice calculates."""
    papers = papers_of(sample_plan)
    out = converted(tmp_path, {name: unstored(content) for name, content in papers.items()}, "xlsx")
    checked = 0
    for name, content in papers.items():
        calculated = openpyxl.load_workbook(out / name, data_only=True)
        for sheet in openpyxl.load_workbook(io.BytesIO(content)).worksheets:
            ours = sheets(content)[sheet.title]
            for row in sheet.iter_rows():
                for cell in row:
                    if cell.data_type == "f":
                        mine = ours[cell.coordinate].value
                        theirs = calculated[sheet.title][cell.coordinate].value
                        due = theirs if isinstance(theirs, str) else pytest.approx(theirs, abs=1e-6)
                        assert mine == due, f"{name} {sheet.title}!{cell.coordinate}"
                        checked += 1
    assert checked > 200


EDITS: dict[str, dict[str, float]] = {
    "Order Alder Sample Anchors": {"F12": 15, "H13": 1010.5},
    "Order Birch Sample Forge": {"F14": 80, "H12": 3300.25},
    "Order Cedar Sample Foundry": {"F12": 5, "H12": 455.55},
    "Order Dogwood Sample Chain": {"F12": 13, "H15": 520.4},
    "Order Elm Sample Chandlery": {"F14": 42, "H15": 5.35},
}
"""Ten of them: five quantities and five prices."""


def goods_of(sheet: Worksheet) -> float:
    """Return what the lines of an order come to, from its quantities and prices alone."""
    lines = rows_under(sheet, "Quantity", "Unit price")
    return sum(number(line["Quantity"]) * number(line["Unit price"]) for line in lines)


@LONG
def test_purchase_orders_follow_their_edits_to_the_cent(sample_plan: Plan, tmp_path: Path) -> None:
    """Ten quantities and prices changed on the papers: extended, totals, packs and mass follow."""
    papers = papers_of(sample_plan)
    files = {}
    for sheet, cells in EDITS.items():
        name = f"purchase order {sheet.removeprefix('Order ')}.xlsx"
        files[name] = unstored(papers[name], {sheet: cells})
    out = converted(tmp_path, files, "xlsx")
    for name in files:
        (sheet,) = openpyxl.load_workbook(out / name, data_only=True).worksheets
        label = next(
            str(cell.value)
            for row in sheet.iter_rows()
            for cell in row
            if str(cell.value).startswith("To pay, ")
        )
        charge = number(cell_beside(sheet, "Order charge"))
        assert cell_beside(sheet, label) == pytest.approx(goods_of(sheet) + charge, abs=0.005)
        for line in rows_under(sheet, "Quantity", "In a pack", "Packs"):
            if line["In a pack"] and "units" not in str(line["Description"]):
                packs = -(-number(line["Quantity"]) // number(line["In a pack"]))
                assert line["Packs"] == pytest.approx(packs), line["Item"]


@LONG
def test_the_order_follows_ten_edits_to_the_cent(sample_plan: Plan, tmp_path: Path) -> None:
    """The Summary's change is what the edits come to: goods at their rates, duty, insurance on
    goods and freight, and freight by measure on the new masses; flags say what is to choose again.
    """
    content = plan_workbook(sample_plan)
    out = converted(tmp_path, {"order.xlsx": unstored(content, EDITS)}, "xlsx")
    after = openpyxl.load_workbook(out / "order.xlsx", data_only=True)
    before = sheets(content)
    farm = sample_plan.farm
    goods = duty = 0.0
    for supplier in farm.suppliers:
        name = f"Order {supplier.name}"
        if name in EDITS:
            more = (goods_of(after[name]) - goods_of(before[name])) * supplier.exchange_rate
            goods += more
            duty += more * supplier.duty_share
    freight = 0.0
    for booking in sample_plan.bookings:
        service = farm.service_by_name[booking.service]
        if service.basis.value == "measure":
            kg = m3 = 0.0
            for supplier in farm.suppliers:
                if supplier.origin == booking.origin and f"Order {supplier.name}" in after:
                    lines = list(rows_under(after[f"Order {supplier.name}"], "Gross mass (kg)"))
                    kg += sum(number(line["Gross mass (kg)"] or 0) for line in lines)
                    m3 += sum(number(line["Volume (m³)"] or 0) for line in lines)
            charge = service.charge(0, kg / 1000, m3) * service.exchange_rate
            freight += charge - booking.money
    insurance = farm.project.insurance_share * (goods + freight)
    due = goods + duty + freight + insurance
    summary = after["Summary"]
    assert abs(due) > 100
    assert cell_beside(summary, "Change since priced") == pytest.approx(due, abs=0.01)
    flags = {str(row["Service"]): row["Changed since"] for row in _bookings(after)}
    assert set(flags.values()) & {"packs changed: book again", "packs changed: load again"}
    said = [str(c.value) for row in after["Cutting list"].iter_rows() for c in row]
    assert any("LENGTHS ORDERED HAVE CHANGED" in words for words in said)


def _bookings(book: Workbook) -> Iterator[dict[str, object]]:
    return rows_under(book["Freight bookings"], "Service", "Changed since")


@LONG
def test_papers_print_on_few_pages_with_nothing_cut(sample_plan: Plan, tmp_path: Path) -> None:
    """A4; a purchase order on at most two pages, the yard on six, a laying plan on four, a booking
    on one, one more and one for two containers that are not alike; no page is empty, and no number
    is too wide for its cell."""
    papers = papers_of(sample_plan)
    unlike = {load.placements for booking in sample_plan.bookings for load in booking.loads}
    most_pages = {**MOST_PAGES, "booking": 2 + len(unlike) // 2}
    out = converted(tmp_path, papers, "pdf")
    for name in papers:
        pdf = out / name.replace(".xlsx", ".pdf")
        told = subprocess.run(["pdfinfo", str(pdf)], check=True, capture_output=True, timeout=60)
        assert b"(A4)" in told.stdout
        done = subprocess.run(
            ["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, timeout=60
        )
        pages = done.stdout.decode().split("\f")[:-1]
        most = next((n for kind, n in most_pages.items() if name.startswith(kind)), 99)
        assert len(pages) <= most, f"{name}: {len(pages)} pages"
        for number_of, page in enumerate(pages, start=1):
            assert len(page.split()) > 25, f"{name}, page {number_of} is as good as empty"
            assert not [error for error in ERRORS if error in page], f"{name}, page {number_of}"
