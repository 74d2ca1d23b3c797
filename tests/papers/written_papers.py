"""Papers as a reader finds them: files of cells. No product code reads them here."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import openpyxl
from openpyxl.worksheet.worksheet import Worksheet

Files = Mapping[str, bytes]


def sheets(content: bytes) -> dict[str, Worksheet]:
    """Return the sheets of a file with the values of their formulas as stored."""
    return {s.title: s for s in openpyxl.load_workbook(io.BytesIO(content), data_only=True)}


def text_of(content: bytes) -> str:
    """Return everything that a file's parts say, its properties too, tags left away."""
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        parts = [
            package.read(name).decode("utf-8")
            for name in package.namelist()
            if name.endswith((".xml", ".rels"))
        ]
    return re.sub(r"<[^>]*>", "\n", "\n".join(parts))


def numbers_of(content: bytes) -> set[float]:
    """Return every number that stands in a cell of a file."""
    return {
        float(cell)
        for sheet in sheets(content).values()
        for row in sheet.iter_rows(values_only=True)
        for cell in row
        if isinstance(cell, int | float) and not isinstance(cell, bool)
    }


def cell_beside(sheet: Worksheet, label: str) -> object:
    """Return what stands in the first filled cell to the right of a label."""
    for row in sheet.iter_rows(values_only=True):
        for at, cell in enumerate(row):
            beside = [value for value in row[at + 1 :] if value is not None]
            if cell == label and beside:
                return beside[0]
    raise AssertionError(f"{sheet.title} has no '{label}'")


def rows_under(sheet: Worksheet, *headings: str) -> Iterator[dict[str, object]]:
    """Yield the rows of the table that has these headings, until its total or a blank row."""
    rows = sheet.iter_rows(values_only=True)
    names: tuple[object, ...] = ()
    for row in rows:
        if set(headings) <= {cell for cell in row if isinstance(cell, str)}:
            names = row
            break
    assert names, f"{sheet.title} has no table of {headings}"
    for row in rows:
        if row[0] in (None, "Total"):
            return
        yield {str(name): value for name, value in zip(names, row, strict=True) if name}


@dataclass
class Yard:
    """The cutting list and the kit list of the yard."""

    pieces: dict[str, float] = field(default_factory=dict)
    """Mark → metres."""
    kits: dict[str, dict[str, object]] = field(default_factory=dict)
    """Tag → the row of its kit."""


def yard_of(content: bytes) -> Yard:
    """Return the yard's paper: every piece by its mark, every kit by its tag."""
    book = sheets(content)
    yard = Yard()
    for row in rows_under(book["Cutting list"], "Code", "How often", "Pieces, in order (m)"):
        metres = [float(piece) for piece in str(row["Pieces, in order (m)"]).split(" + ")]
        lengths = _lengths(str(row["Lengths"]))
        assert len(lengths) == row["How often"]
        for length in lengths:
            for number, piece in enumerate(metres, start=1):
                mark = f"{row['Code']}.{length}.{number}"
                assert mark not in yard.pieces
                yard.pieces[mark] = piece
    for row in rows_under(book["Kit list"], "Line", "Pieces of chain"):
        assert row["Line"] not in yard.kits
        yard.kits[str(row["Line"])] = row
    return yard


def _lengths(said: str) -> list[str]:
    """Return the numbers that "12 to 16" or "H1, H3" stand for."""
    found = []
    for run in said.split(", "):
        first, _, last = run.partition(" to ")
        found += [first] if not last else [str(n) for n in range(int(first), int(last) + 1)]
    return found


def laid_tags(content: bytes) -> list[str]:
    """Return the tags of the lines of a laying plan, in order."""
    (sheet,) = sheets(content).values()
    return [str(row["Line"]) for row in rows_under(sheet, "Line", "Bearing (deg)", "Signed")]
