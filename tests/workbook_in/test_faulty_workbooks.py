"""Over two hundred faulty workbooks, each the sample farm with one named mutation.

What must be said of each, cell included, stands in `faulty_workbooks.csv`; what is a fault is the
workbook's specification, the wording our own.
"""

from __future__ import annotations

import csv
import json
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from moorledger.io.reading.workbook import farm_of, read_farm_with_warnings
from moorledger.models.fault import FarmError, Severity
from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.utils.cell import coordinate_from_string

from tests.farms.sample_cells import Grid, sample, tables_of
from tests.farms.typed_workbook import rewrite, save
from tests.quick_run import LONG, mostly_long

CORPUS = Path(__file__).resolve().parents[1] / "farms" / "faulty_workbooks.csv"
"""Columns: mutation; changes, as JSON (sheet, address, value); what is said, a line a fault."""


def rows() -> list[tuple[str, list[tuple[str, str, Any]], list[str]]]:
    """Return the corpus: name, changes, expected lines."""
    with CORPUS.open(newline="", encoding="utf-8") as file:
        return [
            (
                row["mutation"],
                [(sheet, cell, meant(value)) for sheet, cell, value in json.loads(row["changes"])],
                row["said"].splitlines(),
            )
            for row in csv.DictReader(file)
        ]


def meant(value: Any) -> Any:
    """Return a value of the corpus: "2026-09-05@date" is a date, "x*1001" a letter 1001 times."""
    if isinstance(value, str) and value.endswith("@date"):
        return datetime.fromisoformat(value.removesuffix("@date"))
    if isinstance(value, str) and value[1:2] == "*" and value[2:].isdigit():
        return value[0] * int(value[2:])
    return value


def said_of(grid: Grid) -> list[str]:
    """Return what the reader says of cells, a line a fault with its severity."""
    try:
        faults = farm_of(tables_of(grid))[1]
    except FarmError as refused:
        faults = refused.faults
    return [f"{fault.severity}: {fault}" for fault in faults]


def test_sample_itself_is_sound() -> None:
    """Nothing is said of the sample before anything is done to it."""
    assert said_of(sample()) == []


def test_corpus_is_large_and_names_cells() -> None:
    """At least 150 mutations, all of different names; every fault of a cell names that cell."""
    corpus = rows()
    assert len(corpus) >= 150
    assert len({name for name, _, _ in corpus}) == len(corpus)
    assert all(said for _, _, said in corpus)
    for name, changes, said in corpus:
        cells = [f"{sheet}!{cell}" for sheet, cell, value in changes if cell[:1].isalpha()]
        one_cell = len(cells) == len(changes) == 1 and not cells[0].endswith("1")
        if one_cell and "twice" not in name and name not in ELSEWHERE:
            assert cells[0] in said[0], name


ELSEWHERE = {
    "setting of another unit", "value without setting", "test of two anchors",
    "value without heading", "test on two seabeds", "two rates of a currency",
    "anchor of no evidence", "rope named like a chain",
}  # fmt: skip
"""Mutations of which another cell is as likely the wrong one, or is where the fault shows."""


@mostly_long(
    "changes, said",
    [(changes, said) for _, changes, said in rows()],
    quick=[(changes, said) for _, changes, said in rows()[::8]],
    ids=[name for name, _, _ in rows()],
)
def test_mutation_is_said_where_it_is(changes: list[tuple[str, str, Any]], said: list[str]) -> None:
    """Exactly the expected faults, each with its cell: none missed, none that only follows."""
    assert said_of(sample(*changes)) == said


# --- what only a file has: merged, hidden, filtered cells; formulas ---------------------------


def marked() -> Workbook:
    """Return the sample as a workbook that can be marked up."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for title, lines in sample().items():
        sheet = book.create_sheet(title)
        for line in lines:
            sheet.append(line)
    return book


def faults_of(book: Workbook, path: Path) -> list[str]:
    """Return what is said of a workbook that goes through a file."""
    book.save(path)
    return file_faults(path)


def file_faults(path: Path) -> list[str]:
    """Return what is said of a file."""
    try:
        faults = read_farm_with_warnings(path)[1]
    except FarmError as refused:
        faults = refused.faults
    return [f"{fault.severity}: {fault}" for fault in faults]


@pytest.mark.parametrize(
    ("block", "said"),
    [
        (
            "G2:G4",
            ["error: Legs!G2 Seabed: found 'soft mud' in the merged cells G2:G4, of which only G2 "
             "holds it and the others are blank: unmerge them, and fill in each"],
        ),
        (
            "D2:E2",
            ["error: Legs!D2 Design tension: found 14 in the merged cells D2:E2, of which only D2 "
             "holds it and the others are blank: unmerge them, and fill in each"],
        ),
        ("K2:L5", []),
        ("R2:T2", []),
    ],
)  # fmt: skip
def test_merged_cells_are_said_where_they_hide_values(
    block: str, said: list[str], tmp_path: Path
) -> None:
    """One fault a block, nothing of the cells that it covers; blank blocks and notes may be."""
    book = marked()
    book["Legs"].merge_cells(block)
    assert faults_of(book, tmp_path / "farm.xlsx") == said


def test_merged_heading_is_said(tmp_path: Path) -> None:
    """A heading over two columns leaves the second without one."""
    book = marked()
    book["Legs"].merge_cells("H1:I1")
    book["Legs"]["I3"] = 90
    assert faults_of(book, tmp_path / "farm.xlsx") == [
        "warning: Legs!I1: the column has no heading; it is not read (it is merged into H1:I1: "
        "unmerge, and give each column a heading)"
    ]


def test_hidden_and_filtered_cells_are_read_and_said(tmp_path: Path) -> None:
    """Rows, columns and sheets that a spreadsheet does not show count all the same."""
    book = marked()
    legs = book["Legs"]
    for row in (5, 6, 9):
        legs.row_dimensions[row].hidden = True
    legs.column_dimensions["G"].hidden = True
    chain = book["Chain"]
    chain.row_dimensions[3].hidden = True
    chain.auto_filter.ref = "A1:P6"
    chain.auto_filter.add_filter_column(0, ["Short link 13"])
    book["Rope"].sheet_state = "hidden"
    said = faults_of(book, tmp_path / "farm.xlsx")
    assert sorted(said) == [
        "warning: Chain!A3: a filter hides row 3; read like the others: delete what is not to "
        "count",
        "warning: Legs!A5: hidden: rows 5 to 6, 9; read like the others: delete what is not to "
        "count",
        "warning: Legs!G1: hidden: column G; read like the others: delete what is not to count",
        "warning: Rope: the sheet is hidden; it is read like any other",
    ]
    assert len(read_farm_with_warnings(tmp_path / "farm.xlsx")[0].legs) == 30


@pytest.mark.parametrize(
    ("address", "stored", "said"),
    [
        ("D2", "14", []),
        ("D2", "", ["error: Legs!D2 Design tension: the formula has no stored result; open the "
                    "workbook in a spreadsheet program, let it calculate, and save it"]),
        ("D2", "0", ["error: Legs!D2 Design tension: found 0; needs a number, more than 0; 0 is "
                     "the stored result of a formula, and some programs store 0 for want of "
                     "calculating; open the workbook in a spreadsheet program and save it, unless "
                     "0 is right"]),
        ("H2", "0", ["warning: Legs!H2 Allowed drag: 0 is the stored result of a formula, and "
                     "some programs store 0 for want of calculating; open the workbook in a "
                     "spreadsheet program and save it, unless 0 is right"]),
    ],
)  # fmt: skip
def test_formulas_are_read_by_their_stored_results(
    address: str, stored: str, said: list[str], tmp_path: Path
) -> None:
    """A result that was never stored is an error, and a stored 0 is asked about."""
    path = save(sample(("Legs", address, "=1*1")), tmp_path / "farm.xlsx")
    part = f"xl/worksheets/sheet{list(sample()).index('Legs') + 1}.xml"
    for empty in (b"<v></v>", b"<v />", b"<v/>"):
        full = f"<f>1*1</f><v>{stored}</v>".encode()
        rewrite(path, part, b"<f>1*1</f>" + empty, full)
    assert file_faults(path) == said


def test_order_of_sheets_and_rows_does_not_matter(tmp_path: Path) -> None:
    """Sheets in another order, and columns too, are the same farm."""
    grid = sample()
    turned = {title: [row[::-1] for row in grid[title]] for title in reversed(grid)}
    width = {title: max(len(row) for row in lines) for title, lines in grid.items()}
    for title, lines in grid.items():
        turned[title] = [(row + [None] * (width[title] - len(row)))[::-1] for row in lines]
    farm = farm_of(tables_of(grid))[0]
    assert farm_of(tables_of(turned))[0] == farm
    assert read_farm_with_warnings(save(turned, tmp_path / "x.xlsx"))[0].legs == farm.legs


@LONG
def test_severity_of_a_doubt_never_stops_a_price() -> None:
    """Each warning of the corpus alone leaves a farm that can be read."""
    warned = [c for _, c, said in rows() if all(line.startswith("warning") for line in said)]
    assert len(warned) >= 15
    for changes in warned:
        farm, faults = farm_of(tables_of(sample(*changes)))
        assert farm.leg_count > 0
        assert {fault.severity for fault in faults} == {Severity.WARNING}


def test_addresses_of_the_corpus_are_cells() -> None:
    """The corpus itself: every plain address is a cell of the sample's sheet or beside it."""
    grid = sample()
    for name, changes, _ in rows():
        for sheet, address, _value in changes:
            assert sheet in grid, name
            if address[:1].isalpha():
                letters, row = coordinate_from_string(address)
                assert row <= len(grid[sheet]) + 1, name
                assert letters <= get_column_letter(26), name
