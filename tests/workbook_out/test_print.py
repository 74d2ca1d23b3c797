"""The workbooks as they print: nothing is cut off, no cell is in error, and not too many pages."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import openpyxl
import pytest
from moorledger.io.evidence.evidence_book import holding_workbook
from moorledger.io.inputs.template import sample_folder, write_template
from moorledger.io.order.order_workbook import plan_workbook
from moorledger.io.reading.workbook import read_farm
from moorledger.io.words.case import Case, OptionCost
from moorledger.models.answer.check_line import CheckLine
from moorledger.models.answer.left_out import Cause, LeftOut
from moorledger.models.answer.plan import Part, Plan
from moorledger.models.fault import Fault, Severity
from moorledger.models.site.delivery_term import DeliveryTerm
from moorledger.models.standing.holding_evidence import EvidenceKind, HoldingEvidence
from openpyxl.cell.cell import Cell
from openpyxl.worksheet.worksheet import Worksheet

from tests.farms.letter_widths import lines, points
from tests.farms.plan_fixture import PARTS, example_plan
from tests.quick_run import LONG, mostly_long

ERRORS = ("#REF!", "#N/A", "#NAME?", "#VALUE!", "#DIV/0!", "#NUM!", "#NULL!", "Err:5")
DIGIT_POINTS = 5.0
"""A column's width counts digits of 9-point Arial: 0.556 × 9."""
PADDING_POINTS = 3.75
"""Five pixels, which spreadsheets keep free of text (from memory)."""
LINE_FOR_9_POINTS = 12.0 - 0.6
"""Height of a line of 9-point text in print: 1.15 × 9 and a little (common practice, no source)."""


def wordy_plan() -> Plan:
    """Return the example with long names, a long note of evidence, every particular filled, many
    doubts and a vessel left out."""
    plan = example_plan(
        project_name="A farm with a name that goes on for rather longer than names usually do",
        plate_supplier="Plate works of the northern harbour and sons",
        anchor="Folding plate anchor 150 kg, galvanised twice",
    )
    project = replace(
        plan.farm.project,
        buyer="Northern shellfish and kelp growers' cooperative, Old quay 117, invented town",
        delivery_place="The long pier behind the old cannery, invented town",
        delivery_term=DeliveryTerm.CIP,
        approved_by="the manager of the cooperative",
    )
    source = "by the engineer of the farm in a letter that has a long title (invented)"
    declared = HoldingEvidence(EvidenceKind.DECLARED, source)
    rows = tuple(replace(row, evidence=declared) for row in plan.assignments)
    checks = tuple(
        CheckLine("chain strength", f"leg {n}, {rows[0].make_up}", 150.0, 175.0, "kN", True)
        for n in range(400)
    )
    said = "960 is 72 times what its like cost by the kilogram; about 13.2 expected" + " or so" * 20
    doubts = tuple(
        Fault("Anchors", n, f"F{n}", "Unit price", said, Severity.WARNING) for n in range(2, 60)
    )
    farm = replace(plan.farm, project=project, doubts=doubts)
    unused = LeftOut("vessel", "Skiff", Cause.CRANE, "0.39 t; crane limit: 0.3 t", 0.39, 0.3, "t")
    return replace(plan, farm=farm, assignments=rows, checks=checks, left_out=(unused,))


CASE = Case(
    options=tuple(
        OptionCost(f"only anchors of family {n}", {**PARTS, Part.ANCHORS: 2124.0 + 1000 * n})
        for n in range(4)
    ),
    reasons=tuple(f"{n}. {'A reason with many words and 17 % in it. ' * 4}" for n in range(3)),
    turning_points=("Above 1.8 × today's freight rates solid anchors cost less.",),
)


KINDS = ["order", "evidence", "template", "sample"]


@cache
def written(kind: str) -> bytes:
    """Return a workbook of each kind that is written."""
    if kind == "order":
        return plan_workbook(wordy_plan(), case=CASE)
    sample = read_farm(sample_folder())
    if kind == "evidence":
        return holding_workbook(sample)
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"{kind}.xlsx"
        write_template(path, sample if kind == "sample" else None)
        return path.read_bytes()


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with each workbook as LibreOffice prints it."""
    office = shutil.which("soffice")
    if office is None or shutil.which("pdftotext") is None:
        pytest.skip("LibreOffice (soffice) or pdftotext is not installed: nothing to print with")
    folder = tmp_path_factory.mktemp("printed")
    for name in KINDS:
        (folder / f"{name}.xlsx").write_bytes(written(name))
    subprocess.run(
        [
            office,
            f"-env:UserInstallation={(folder / 'profile').as_uri()}",
            "--headless",
            "--convert-to",
            "pdf",
            "--outdir",
            str(folder),
            *(str(folder / f"{name}.xlsx") for name in KINDS),
        ],
        check=True,
        capture_output=True,
        timeout=300,
    )
    return folder


def pages(folder: Path, name: str) -> list[str]:
    """Return the text of each page."""
    done = subprocess.run(
        ["pdftotext", "-layout", str(folder / f"{name}.pdf"), "-"],
        check=True,
        capture_output=True,
        timeout=60,
    )
    return done.stdout.decode().split("\f")[:-1]


@LONG
@pytest.mark.parametrize("name", KINDS)
def test_no_error_and_no_number_too_wide_is_printed(printed: Path, name: str) -> None:
    """Neither an error's name nor the #### of a column too narrow, on any page on A4 paper."""
    done = subprocess.run(
        ["pdfinfo", str(printed / f"{name}.pdf")], check=True, capture_output=True, timeout=60
    )
    assert b"(A4)" in done.stdout
    for number, page in enumerate(pages(printed, name), start=1):
        assert "###" not in page, f"page {number}"
        assert not [error for error in ERRORS if error in page], f"page {number}"


@LONG
def test_the_order_prints_every_sheet_and_not_a_book(printed: Path) -> None:
    """Each sheet is in the footers; Summary and Contents are a page each, long lists a few."""
    feet = [
        re.split(r"\s{2,}", page.strip().splitlines()[-1])[0] for page in pages(printed, "order")
    ]
    names = openpyxl.load_workbook(printed / "order.xlsx").sheetnames
    assert [name for name in names if name not in feet] == []
    for name in ("Summary", "Contents", "Checks in full"):
        assert feet.count(name) == 1
    assert feet.count("Chart data") <= 2
    assert len(feet) <= 2 * len(names)


@LONG
def test_the_summary_says_its_case_on_its_one_page(printed: Path) -> None:
    """Decision, money, options, reasons, what would change it, cautions, and lines to sign on."""
    first = " ".join(pages(printed, "order")[0].split())
    for said in (
        "To approve: EUR 11,626.64",
        "How sure. Least cost, proven",
        "Installed cost",
        "only anchors of family 3",
        "3,000.00",
        "Why this order",
        "Above 1.8 ×",
        "Doubted in the workbook",
        "and 50 more",
        "Left out: 1 vessel",
        "can kill",
        "Prepared by",
        "Engineer",
        "Approved by: the manager of the cooperative",
    ):
        assert said in first


@mostly_long("name", KINDS, quick=["template"])
def test_every_text_has_room_in_its_cell(name: str) -> None:
    """Widths of letters against widths of columns: no line is cut off to the right or below."""
    book = openpyxl.load_workbook(io.BytesIO(written(name)), data_only=True)
    cut = [
        f"{sheet.title}!{cell.coordinate}: {cell.value!r:.80}"
        for sheet in book.worksheets
        for cell in _cells(sheet)
        if not _fits(sheet, cell)
    ]
    assert cut == []


@LONG
def test_a_text_without_room_is_seen() -> None:
    """The check itself catches a column too narrow, a row too low and a number too wide."""
    sheet = openpyxl.load_workbook(io.BytesIO(written("order")), data_only=True)["Quantities"]
    item, needed = sheet["A5"], sheet["D5"]
    assert _fits(sheet, item)
    assert _fits(sheet, needed)
    sheet.column_dimensions["A"].width = 9.0
    sheet.column_dimensions["D"].width = 1.0
    assert not _fits(sheet, item)
    assert not _fits(sheet, needed)


def _cells(sheet: Worksheet) -> Iterator[Cell]:
    """Yield the cells that are printed and hold something."""
    area = re.search(r"\$(\d+)$", str(sheet.print_area or ""))
    last = int(area[1]) if area else sheet.max_row
    for row in sheet.iter_rows(max_row=last):
        for cell in row:
            if isinstance(cell, Cell) and cell.value is not None:
                yield cell


def _fits(sheet: Worksheet, cell: Cell) -> bool:
    """Whether a cell's text, or its number as shown, has room."""
    merged = next((m for m in sheet.merged_cells.ranges if cell.coordinate in m), None)
    columns = range(merged.min_col, merged.max_col + 1) if merged else [cell.column]
    letters = [openpyxl.utils.get_column_letter(column) for column in columns]
    room = sum(sheet.column_dimensions[letter].width for letter in letters) * DIGIT_POINTS
    room -= PADDING_POINTS + cell.alignment.indent * 6.0
    size, bold = float(cell.font.sz), bool(cell.font.b)
    height = sheet.row_dimensions[cell.row].height
    if not isinstance(cell.value, str):
        return points(_number(cell), size, bold=bold) <= room
    if cell.alignment.textRotation == 90:
        return height is not None and points(cell.value, size, bold=bold) <= height
    if not cell.alignment.wrap_text:
        return points(cell.value, size, bold=bold) <= room
    if height is None:
        return True  # the program that opens it sets the height
    needed = lines(cell.value, room, size, bold=bold) * LINE_FOR_9_POINTS * size / 9
    return needed <= height + 1.0


def _number(cell: Cell) -> str:
    """Return a number as its format shows it, with as many decimals as it always has."""
    if not isinstance(cell.value, int | float):
        return "2000-01-01"  # a date
    wanted = re.search(r"\.(0+)", cell.number_format)
    decimals = len(wanted[1]) if wanted else 0
    if "%" in cell.number_format:
        return f"{cell.value:.{decimals}%}"
    if cell.number_format == "General":
        return f"{cell.value:.10g}"
    return f"{cell.value:,.{decimals}f}"
