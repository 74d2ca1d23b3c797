"""Tables below one another on one sheet, each begun on a page that holds it, or parted by pages.

A sheet can repeat one row of headings on its pages, and these tables have headings of their own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .page import CLOSE_POINTS, Page
from .style import INDENT, LINE_POINTS, Look, lines_needed
from .table import SheetColumn, Value

ROOM_POINTS = 455.0
"""Of close rows that a page of A4 holds where the sheet is some 150 digits wide; programs differ by
a few rows."""

HEAD_POINTS = 45.0
"""Of title and lead."""

CONTINUED = ", continued"


@dataclass(frozen=True)
class TitledTable:
    """A table with its title, and a note on it."""

    title: str
    note: str
    columns: Sequence[SheetColumn]
    rows: Sequence[Sequence[Value]]


def write_tables(
    page: Page, row: int, tables: Sequence[TitledTable], widths: Sequence[float]
) -> int:
    """Write tables from a row on, below a title and a lead; return the next free row.

    widths : of the columns, which the longest texts of the rows are wrapped to. A table that would
    run over the page's end begins on the next; one longer than a page is parted, its title and
    headings on every page.
    """
    across, used = len(widths), HEAD_POINTS
    for table in tables:
        top = _top_points(table, widths)
        heights = [_row_points(values, widths) for values in table.rows]
        if used > HEAD_POINTS and used + top + sum(heights) > ROOM_POINTS:
            row, used = page.break_before(row), 0.0
        left, points = list(table.rows), heights
        title, note = table.title, table.note
        while True:
            fits = _fitting(points, ROOM_POINTS - used - top)
            page.put(row, 1, title, look=Look.SECTION, across=across)
            row += 1
            if note:
                row = page.paragraphs(row, [note], across, Look.NOTE)
            row = page.table(row, table.columns, left[:fits]).next_row + 1
            used += top + sum(points[:fits])
            left, points = left[fits:], points[fits:]
            if not left:
                break
            row, used = page.break_before(row), 0.0
            title, note = table.title + CONTINUED, ""
    return row


def _fitting(points: Sequence[float], room: float) -> int:
    """Return how many rows fit, the first one always."""
    taken = 0.0
    for count, height in enumerate(points):
        taken += height
        if count and taken > room:
            return count
    return len(points)


def _top_points(table: TitledTable, widths: Sequence[float]) -> float:
    """Return the height of a table's title, note and headings, and of the space below it."""
    note = lines_needed(table.note, sum(widths), Look.NOTE) * LINE_POINTS if table.note else 0.0
    words = [column.heading for column in table.columns]
    return 3 * LINE_POINTS + note + _row_points(words, widths)


def _row_points(values: Sequence[Value], widths: Sequence[float]) -> float:
    lines = [
        lines_needed(value, width - 1.0 - INDENT, Look.BODY)
        for value, width in zip(values, widths, strict=True)
        if isinstance(value, str)
    ]
    return max(lines, default=1) * CLOSE_POINTS
