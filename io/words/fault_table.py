"""The faults of a workbook as a table to read on a terminal or in a log."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Sequence

from ...models.fault import Fault

HEADINGS = ("", "Sheet", "Cell", "Heading", "What was found, and what would do")
NARROWEST = 30
"""Columns of a terminal that the last column is wrapped to at least."""
MOST_WIDE = 40
"""Columns that any other one takes up at most."""


def fault_table(faults: Sequence[Fault], width: int | None = None) -> list[str]:
    """Return the lines of a table, a row a fault; headings first; no lines for no faults.

    width : columns of the terminal, to which the messages are wrapped; None: they are not.
    """
    return text_table(HEADINGS, [_row(fault) for fault in faults], width)


def text_table(
    headings: tuple[str, ...], body: Sequence[tuple[str, ...]], width: int | None = None
) -> list[str]:
    """Return the lines of any table of texts, the last column wrapped to `width`; see above."""
    if not body:
        return []
    rows = [headings, *(tuple(printable(word) for word in row) for row in body)]
    widths = [min(max(len(row[n]) for row in rows), MOST_WIDE) for n in range(len(headings) - 1)]
    indent = sum(widths) + 2 * len(widths)
    lines = []
    for *cells, message in rows:
        start = "".join(f"{cell:{wide}}  " for cell, wide in zip(cells, widths, strict=True))
        if width is None:
            lines.append(start + message)
            continue
        wrapped = textwrap.wrap(message, max(width - indent, NARROWEST), break_on_hyphens=False)
        lines.append(start + (wrapped[0] if wrapped else ""))
        lines += [" " * indent + line for line in wrapped[1:]]
    return lines


def printable(text: str) -> str:
    """Return text that a terminal shows and does not obey: control characters made visible."""
    return "".join(
        "\N{REPLACEMENT CHARACTER}" if unicodedata.category(letter) in ("Cc", "Cs") else letter
        for letter in text
    )


def _row(fault: Fault) -> tuple[str, ...]:
    cell = fault.cell or (f"row {fault.row}" if fault.row and fault.sheet else "")
    return (str(fault.severity), fault.sheet, cell, fault.heading, fault.message)
