"""Mutations of cells, headings and files at random, for throwing at the reader.

Run as a program it reads mutated workbooks by the thousand and counts what was not foreseen:

    python -m tests.workbook_in.mutations --grids 20000 --files 3000 --seed 1
"""

from __future__ import annotations

import argparse
import copy
import io
import math
import random
import sys
import tempfile
import time
import traceback
import zipfile
from collections import Counter
from collections.abc import Callable
from datetime import date, datetime, timedelta
from datetime import time as time_of_day
from pathlib import Path
from typing import Any

from moorledger.io.reading.cells import Cell
from moorledger.io.reading.sheet_marks import Merged
from moorledger.io.reading.table import InputTable, Row
from moorledger.io.reading.workbook import farm_of, read_farm_with_warnings
from moorledger.io.words.fault_table import fault_table
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError, Fault
from openpyxl.utils import get_column_letter

from tests.farms.typed_workbook import TYPED, Cells, save

ODD_VALUES: tuple[Any, ...] = (
    None, "", " ", "\u00a0", 0, -1, 1, 0.5, 95, 1e9, 1e308, 5e-324, -0.0, math.inf, -math.inf,
    math.nan, 10**400, True, False, "#N/A", "#REF!", "1,234", "1.234", "1.234,5", "1 234", "12,5",
    "15%", "15 %", "%", "1e5", "1e999", "--1", "=1+1", "+1", "-1", "@sum", "\t=1", "80 kN",
    "EUR 12", "$1", "٣", "½", "NaN", "inf", "yes", "no", "maybe", "sand", "Sand ", "sandd", "a;b",
    "a" * 1001, "x" * 32767, "1 " * 16000 + "!", "9" * 5000, "[]:*?/\\", "שלום", "⚓🦪",
    "\u202eabc", "\x07", "\x1b[2J", "\ud800", "e\u0301", "ſ", "ß", "İ",
    datetime(2027, 5, 1), date(1900, 1, 1), time_of_day(12, 30), timedelta(hours=30),
    "2027-02-30", "0000-01-01", "2027-05-01", "'",
    "Example: x", "\r\n", ";", ",", ";;;", "1;2;x",
)  # fmt: skip
"""What buyers, spreadsheets and mischief put into cells."""

Grid = dict[str, list[list[Any]]]


def mutate(cells: Cells, draw: random.Random) -> Grid:
    """Return a copy of cells with one to six mutations of any kind."""
    grid = copy.deepcopy(cells)
    for _ in range(draw.randint(1, 6)):
        draw.choice(MUTATIONS)(grid, draw)
    return grid


def _rows(grid: Grid, draw: random.Random) -> list[list[Any]]:
    return grid[draw.choice(sorted(grid))] if grid else [[]]


def _odd_value(grid: Grid, draw: random.Random) -> None:
    rows = _rows(grid, draw)
    row = draw.choice(rows) if rows else []
    if row:
        row[draw.randrange(len(row))] = draw.choice(ODD_VALUES)


def _bent_text(grid: Grid, draw: random.Random) -> None:
    rows = _rows(grid, draw)
    row = draw.choice(rows) if rows else []
    texts = [n for n, value in enumerate(row) if isinstance(value, str) and value]
    if texts:
        place = draw.choice(texts)
        text = row[place]
        at = draw.randrange(len(text))
        letter = draw.choice(["", text[at] * 2, chr(draw.randrange(1, 0x3000)), " ", "(", ")", "*"])
        row[place] = text[:at] + letter + text[at + 1 :]


def _scaled(grid: Grid, draw: random.Random) -> None:
    rows = _rows(grid, draw)
    row = draw.choice(rows) if rows else []
    numbers = [
        n for n, v in enumerate(row) if isinstance(v, int | float) and not isinstance(v, bool)
    ]
    if numbers:
        place = draw.choice(numbers)
        row[place] = draw.choice([-1, 1e3, 1e-3, 9.80665, 1e-9, 1e12]) * row[place]


def _moved(grid: Grid, draw: random.Random) -> None:
    rows = _rows(grid, draw)
    how = draw.choice(["shuffle", "drop", "double", "blank", "swap columns", "cut", "widen"])
    if not rows:
        return
    at = draw.randrange(len(rows))
    if how == "shuffle":
        draw.shuffle(rows)
    elif how == "drop":
        del rows[at]
    elif how == "double":
        rows.insert(at, list(rows[at]))
    elif how == "blank":
        rows.insert(at, [])
    elif how == "swap columns" and rows[0]:
        one, other = draw.randrange(len(rows[0])), draw.randrange(len(rows[0]))
        for row in rows:
            if max(one, other) < len(row):
                row[one], row[other] = row[other], row[one]
    elif how == "cut":
        rows[at] = rows[at][: draw.randrange(len(rows[at]) + 1)]
    elif how == "widen":
        rows[at] += [draw.choice(ODD_VALUES)]


def _sheets(grid: Grid, draw: random.Random) -> None:
    if not grid:
        return
    title = draw.choice(sorted(grid))
    how = draw.choice(["drop", "rename", "swap", "empty", "new"])
    if how == "drop":
        del grid[title]
    elif how == "rename":
        name = draw.choice(
            [title.upper(), title + "s", title[:-1], "Legs", title.replace(" ", "_")]
        )
        grid.setdefault(name or "x", grid.pop(title))
    elif how == "swap":
        other = draw.choice(sorted(grid))
        grid[title], grid[other] = grid[other], grid[title]
    elif how == "empty":
        grid[title] = []
    else:
        grid["Sheet9"] = [["x"]]


MUTATIONS: tuple[Callable[[Grid, random.Random], None], ...] = (
    _odd_value, _odd_value, _odd_value, _bent_text, _bent_text, _scaled, _moved, _sheets,
)  # fmt: skip


def tables_of(grid: Grid, draw: random.Random) -> list[InputTable]:
    """Return a grid as the tables that the reader takes, with marks of cells at random."""
    tables = []
    odd = 0.01 if draw.random() < 0.2 else 0.0
    for title, rows in grid.items():
        filled = []
        for number, row in enumerate(rows, start=1):
            cells = {
                column: _cell(f"{get_column_letter(column)}{number}", value, odd, draw)
                for column, value in enumerate(row, start=1)
                if value is not None
            }
            if cells:
                filled.append(Row(number, cells))
        merged = []
        if draw.random() < odd * 10:
            top, left = draw.randint(1, 4), draw.randint(1, 8)
            merged.append(Merged(top, left, top + draw.randint(0, 3), left + draw.randint(0, 3)))
        tables.append(InputTable(title, tuple(filled), (), tuple(merged)))
    return tables


def _cell(address: str, value: Any, odd: float, draw: random.Random) -> Cell:
    if isinstance(value, int) and abs(value) > 10**300:
        value = math.inf  # as the reader of files has it
    marks = {name: draw.random() < odd for name in ("percent", "no_result", "formula", "struck")}
    error = (isinstance(value, str) and value.startswith("#")) or draw.random() < odd / 3
    return Cell(address, None if marks["no_result"] else value, error=error, **marks)


def look_at(read: Callable[[], tuple[Farm, tuple[Fault, ...]]]) -> str:
    """Return "read" or "refused"; raises what the reader was not meant to, and AssertionError for
    a refusal without a fault or a fault that cannot be shown."""
    try:
        faults, outcome = read()[1], "read"
    except FarmError as refused:
        faults, outcome = refused.faults, "refused"
    assert faults or outcome == "read", "refused without a fault"
    for line in fault_table(faults, 100):
        assert line.isprintable() or "\u202e" in line or not line.isascii(), line
    return outcome


def damage(content: bytes, draw: random.Random) -> bytes:
    """Return a workbook's bytes with some of its XML, or of its zip, spoilt."""
    if draw.random() < 0.15:
        spoilt = bytearray(content)
        for _ in range(draw.randint(1, 8)):
            spoilt[draw.randrange(len(spoilt))] = draw.randrange(256)
        return bytes(spoilt[: draw.randint(1, len(spoilt))] if draw.random() < 0.3 else spoilt)
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    for _ in range(draw.randint(1, 3)):
        name = draw.choice(sorted(parts))
        part = bytearray(parts[name])
        how = draw.random()
        if how < 0.1:
            del parts[name]
            if not parts:
                break
            continue
        for _ in range(draw.randint(1, 6)):
            if not part:
                break
            at = draw.randrange(len(part))
            if how < 0.6:
                part[at] = draw.choice(b'0123456789<>"=/ abcAZr:!&;')
            elif how < 0.8:
                del part[at : at + draw.randint(1, 40)]
            else:
                end = at + draw.randint(1, 200)
                part[at:at] = part[at:end]
        parts[name] = bytes(part)
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as package:
        for name, part_bytes in parts.items():
            package.writestr(name, part_bytes)
    return stream.getvalue()


def main() -> None:
    """Throw mutated grids and files at the reader, and say how it took them."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--grids", type=int, default=20_000)
    parser.add_argument("--files", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    outcomes: Counter[str] = Counter()
    longest = 0.0
    with tempfile.TemporaryDirectory() as folder:
        content = save(TYPED, Path(folder) / "sound.xlsx").read_bytes()
        path = Path(folder) / "farm.xlsx"
        for number in range(asked.grids + asked.files):
            kind = "grid" if number < asked.grids else "file"
            draw = random.Random(f"{asked.seed} {kind} {number}")
            started = time.process_time()
            try:
                if kind == "grid":
                    tables = tables_of(mutate(TYPED, draw), draw)
                    outcome = look_at(lambda tables=tables: farm_of(tables, "farm.xlsx"))  # type: ignore[misc]
                else:
                    path.write_bytes(damage(content, draw))
                    outcome = look_at(lambda: read_farm_with_warnings(path))
            except Exception:
                outcome = "UNFORESEEN"
                print(f"--- seed {asked.seed} {kind} {number}", file=sys.stderr)
                traceback.print_exc(limit=-6)
            outcomes[f"{kind}s {outcome}"] += 1
            longest = max(longest, time.process_time() - started)
            if number % 1000 == 999:
                print(f"{number + 1}: {dict(outcomes)}", file=sys.stderr, flush=True)
    seconds = time.process_time()
    print(", ".join(f"{count} {outcome}" for outcome, count in sorted(outcomes.items())))
    print(f"{seconds:.0f} s of a processor, the longest {longest:.2f} s")
    sys.exit(any("UNFORESEEN" in outcome for outcome in outcomes))


if __name__ == "__main__":
    main()
