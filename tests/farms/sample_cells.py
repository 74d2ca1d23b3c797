"""The sample farm as cells, and copies of it with named mutations."""

from __future__ import annotations

import copy
import csv
import functools
import re
from pathlib import Path
from typing import Any

from moorledger.io.reading.cells import Cell
from moorledger.io.reading.table import InputTable, Row
from openpyxl.utils import get_column_letter
from openpyxl.utils.cell import column_index_from_string

SAMPLE = Path(__file__).resolve().parents[2] / "sample_inputs" / "heron_sound"

Grid = dict[str, list[list[Any]]]


@functools.cache
def _sample() -> Grid:
    grid = {}
    for path in sorted(SAMPLE.glob("*.csv")):
        with path.open(newline="", encoding="utf-8") as file:
            grid[path.stem] = [[_value(text) for text in row] for row in csv.reader(file)]
    return grid


def _value(text: str) -> Any:
    if re.fullmatch(r"-?\d+", text):
        return int(text)
    return float(text) if re.fullmatch(r"-?\d+\.\d+", text) else text or None


def sample(*changes: tuple[str, str, Any]) -> Grid:
    """Return the sample's cells with some changed: (sheet, address, value).

    The address may be a cell ("F14"), a row to drop ("-3"), a row to repeat at the end ("+3"), two
    rows to swap ("3<>4"), or "" for the whole sheet: None drops it, text renames it.
    """
    grid = copy.deepcopy(_sample())
    for sheet, address, value in changes:
        rows = grid[sheet]
        if address == "":
            del grid[sheet]
            if value is not None:
                grid[value] = rows
        elif address.startswith("-"):
            del rows[int(address[1:]) - 1]
        elif address.startswith("+"):
            rows.append(list(rows[int(address[1:]) - 1]))
        elif "<>" in address:
            one, other = (int(number) - 1 for number in address.split("<>"))
            rows[one], rows[other] = rows[other], rows[one]
        else:
            found = re.fullmatch("([A-Z]+)([0-9]+)", address)
            assert found is not None, address
            row, column = int(found[2]), column_index_from_string(found[1])
            rows += [[] for _ in range(row - len(rows))]
            rows[row - 1] += [None] * (column - len(rows[row - 1]))
            rows[row - 1][column - 1] = value
    return grid


def tables_of(grid: Grid) -> list[InputTable]:
    """Return cells as the tables that the reader makes of a workbook."""
    return [
        InputTable(
            title,
            tuple(
                Row(
                    number,
                    {
                        column: _cell(f"{get_column_letter(column)}{number}", value)
                        for column, value in enumerate(row, start=1)
                        if value is not None
                    },
                )
                for number, row in enumerate(rows, start=1)
                if any(value is not None for value in row)
            ),
        )
        for title, rows in grid.items()
    ]


def _cell(address: str, value: Any) -> Cell:
    error = isinstance(value, str) and value.startswith("#")
    if isinstance(value, str) and value.startswith("="):  # a formula that was never calculated
        return Cell(address, no_result=True)
    return Cell(address, value, error=error)
