"""The reader under whatever a cell, a row or a file may hold: it reads, or refuses with faults.

Few examples, always the same ones; `python -m tests.workbook_in.mutations` runs thousands.
"""

from __future__ import annotations

import copy
import random
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from moorledger.io.layout.column import CellKind, InputColumn
from moorledger.io.layout.sheets import SHEETS
from moorledger.io.reading.cells import Cell, RefusedError, number_of, value_of
from moorledger.io.reading.headings import match
from moorledger.io.reading.sheet_marks import marks_of
from moorledger.io.reading.workbook import farm_of, read_farm_with_warnings

from tests.farms.typed_workbook import TYPED, save
from tests.quick_run import LONG, mostly_long
from tests.workbook_in.mutations import damage, look_at, mutate, tables_of

fixed = settings(max_examples=60, derandomize=True, deadline=None, database=None)

VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=60),
    st.from_regex(r"[+-]?[\d., '%]{1,12}( ?[a-zA-Z]{1,3})?", fullmatch=True),
    st.datetimes(min_value=datetime(1900, 1, 1)),
    st.times(),
    st.dates(min_value=date(1900, 1, 1)),
    st.timedeltas(),
)
"""What a cell of a workbook may hold."""

COLUMNS = [column for sheet in SHEETS for column in sheet.columns]


@fixed
@given(VALUES, st.sampled_from(COLUMNS), st.booleans(), st.booleans())
def test_any_value_in_any_column_is_read_or_refused(
    value: Any, column: InputColumn, percent: bool, formula: bool
) -> None:
    """A value that is read lies in its column's range; one that is refused says what would do."""
    cell = Cell("A1", value, percent=percent, formula=formula)
    try:
        read, doubt = value_of(cell, column)
    except RefusedError as refused:
        read, doubt = None, str(refused)
    assert isinstance(doubt, str)
    if column.kind in (
        CellKind.NUMBER,
        CellKind.COUNT,
        CellKind.MONEY,
        CellKind.PERCENT,
        CellKind.SHARE,
    ):
        assert read is None or (
            not column.range.too_small(read) and read <= column.range.high and read == read
        )


@fixed
@given(st.floats(min_value=0.001, max_value=1e9), st.sampled_from([".", ","]), st.booleans())
def test_numbers_survive_being_written_as_text(number: float, sign: str, grouped: bool) -> None:
    """A number with two decimals and thousands by spaces is read as that number."""
    text = f"{number:,.2f}" if grouped else f"{number:.2f}"
    written = text.replace(",", " ").replace(".", sign)
    assert number_of(written) == pytest.approx(round(number, 2), rel=1e-12, abs=1e-12)


@fixed
@given(st.text(max_size=40))
def test_any_text_is_a_heading_or_none(text: str) -> None:
    """No text breaks the search for a heading; what is found is a column of the sheet."""
    for sheet in SHEETS[:4]:
        hit = match(text, sheet.columns)
        assert hit is None or hit.scale > 0
        assert hit is None or hit.column.heading in {c.heading for c in sheet.columns}


@fixed
@given(
    st.binary(max_size=200), st.sampled_from([b"<row ", b"<c r='A1'><f>", b"<mergeCell ref='A1:"])
)
def test_any_bytes_have_marks(content: bytes, start: bytes) -> None:
    """The search of a sheet's bytes, before any parser, takes whatever it meets."""
    marks = marks_of(start + content + b">" + content)
    assert marks.tags >= 1


@LONG
@fixed
@given(
    st.sampled_from(sorted(TYPED)),
    st.integers(0, 3),
    st.integers(0, 14),
    VALUES | st.just("\x00") | st.characters(),
)
def test_any_value_in_any_cell_leaves_a_farm_or_faults(
    title: str, row: int, column: int, value: Any
) -> None:
    """One cell of the typed workbook set to anything."""
    grid = copy.deepcopy(TYPED)
    rows = grid[title]
    line = rows[min(row, len(rows) - 1)]
    line[min(column, len(line) - 1)] = time(1, 2) if value == time(0) else value
    tables = tables_of(grid, random.Random(0))
    assert look_at(lambda: farm_of(tables)) in ("read", "refused")


@LONG
@mostly_long("first", range(0, 400, 100), quick=[0])
def test_mutated_grids_are_read_or_refused(first: int) -> None:
    """A hundred workbooks with up to six mutations each, of which some are read and some not."""
    outcomes = set()
    for number in range(first, first + 100):
        draw = random.Random(f"suite {number}")
        tables = tables_of(mutate(TYPED, draw), draw)
        outcomes.add(look_at(lambda tables=tables: farm_of(tables)))  # type: ignore[misc]
    assert outcomes == {"read", "refused"}


@LONG
def test_damaged_files_are_read_or_refused(tmp_path: Path) -> None:
    """A hundred files with spoilt XML or zip, of which some are read and some not."""
    content = save(TYPED, tmp_path / "sound.xlsx").read_bytes()
    path = tmp_path / "farm.xlsx"
    outcomes = set()
    for number in range(100):
        path.write_bytes(damage(content, random.Random(f"suite {number}")))
        outcomes.add(look_at(lambda: read_farm_with_warnings(path)))
    assert outcomes == {"read", "refused"}
