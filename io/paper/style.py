"""How the workbook looks: every font, fill, number format and width, and nothing else.

Restrained on purpose: grey only, so that a black and white print says as much as the screen.
"""

from __future__ import annotations

import textwrap
from enum import Enum

from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

from ..words.kinds import NumberKind

NUMBER_FORMATS: dict[NumberKind, str] = {
    NumberKind.TEXT: "@",
    NumberKind.COUNT: "#,##0",
    NumberKind.MONEY: "#,##0.00",
    NumberKind.MONEY_WHOLE: "#,##0",
    NumberKind.PRICE: "#,##0.00##",
    NumberKind.EXCHANGE: "0.0000##",
    NumberKind.SHARE: "0.0%",
    NumberKind.SHARE_FINE: "0.00%",
    NumberKind.FORCE_KN: "#,##0.0",
    NumberKind.LENGTH_M: "#,##0.0",
    NumberKind.MASS_KG: "#,##0",
    NumberKind.MASS_T: "#,##0.00",
    NumberKind.VOLUME_M3: "#,##0.00",
    NumberKind.AREA_M2: "#,##0.0",
    NumberKind.ANGLE_DEG: "0.0",
    NumberKind.HOURS: "#,##0.0",
    NumberKind.FACTOR: "0.00",
    NumberKind.EFFICIENCY: "0.0",
    NumberKind.FINE: "0.000",
    NumberKind.DATE: "yyyy-mm-dd",
    NumberKind.PLAIN: "General",
}


FONT = "Arial"
BODY_POINTS = 9
LINE_POINTS = 12.0
"""Height of one line of body text, points."""

INDENT = 1.5
"""What one step of indenting takes of a column's width."""

NARROWEST, WIDEST = 5.0, 110.0
"""Column widths, in digits of the default font."""


class Look(Enum):
    """What part a cell plays on its sheet."""

    BODY = "body"
    STRONG = "strong"
    TITLE = "title"
    LEAD = "lead"
    SECTION = "section"
    HEADING = "heading"
    TOTAL = "total"
    NOTE = "note"
    ALERT = "alert"
    LINK = "link"
    FIRST = "first"
    """A row of a table that begins a group: a line above it."""
    FIELD = "field"
    """Where a hand, or whoever edits the sheet, writes."""


FONTS: dict[Look, Font] = {
    Look.BODY: Font(name=FONT, size=BODY_POINTS),
    Look.STRONG: Font(name=FONT, size=BODY_POINTS, bold=True),
    Look.TITLE: Font(name=FONT, size=14, bold=True),
    Look.LEAD: Font(name=FONT, size=10),
    Look.SECTION: Font(name=FONT, size=10, bold=True),
    Look.HEADING: Font(name=FONT, size=BODY_POINTS, bold=True),
    Look.TOTAL: Font(name=FONT, size=BODY_POINTS, bold=True),
    Look.NOTE: Font(name=FONT, size=8, italic=True),
    Look.ALERT: Font(name=FONT, size=BODY_POINTS, bold=True),
    Look.LINK: Font(name=FONT, size=BODY_POINTS, underline="single"),
    Look.FIELD: Font(name=FONT, size=BODY_POINTS),
    Look.FIRST: Font(name=FONT, size=BODY_POINTS),
}

_THIN, _HAIR = Side(style="thin"), Side(style="hair", color="808080")

BORDERS: dict[Look, Border] = {
    Look.HEADING: Border(top=_THIN, bottom=_THIN),
    Look.TOTAL: Border(top=_THIN),
    Look.SECTION: Border(bottom=_THIN),
    Look.ALERT: Border(left=_THIN, right=_THIN, top=_THIN, bottom=_THIN),
    Look.FIELD: Border(bottom=_THIN),
    Look.FIRST: Border(top=_THIN, bottom=_HAIR),
}

ROW_RULE = Border(bottom=_HAIR)
"""The fine rule under every row of a table."""

FILLS: dict[Look, PatternFill] = {
    Look.HEADING: PatternFill("solid", fgColor="E7E7E7"),
    Look.ALERT: PatternFill("solid", fgColor="F2F2F2"),
}


def alignment(
    look: Look, kind: NumberKind, *, textual: bool, turned: bool, indented: bool
) -> Alignment:
    """Return how a cell is set: text left and wrapped, numbers right, headings at the foot.

    textual : a text, which wraps in a column of numbers too. indented : a text that stands beside
    a number keeps a little distance.
    """
    indent = 1 if indented and kind is NumberKind.TEXT and not turned else 0
    # A date in a field stands as the texts of the fields above and below it do.
    left = kind is NumberKind.TEXT or (look is Look.FIELD and kind is NumberKind.DATE)
    across = "left" if left else "right"
    if look is Look.HEADING:
        return Alignment(
            horizontal="center" if turned else across,
            vertical="bottom",
            wrap_text=not turned,
            text_rotation=90 if turned else 0,
            indent=indent,
        )
    wraps = textual or kind is NumberKind.TEXT
    return Alignment(horizontal=across, vertical="top", wrap_text=wraps, indent=indent)


def lines_needed(text: str, width: float, look: Look) -> int:
    """Return how many lines a text takes in a column (or merged columns) of `width` digits."""
    size = float(FONTS[look].size or BODY_POINTS)
    letter = 1.07 if FONTS[look].bold else 1.0
    room = max(int(width * 10.6 / size / letter), 1)
    return sum(max(1, len(textwrap.wrap(line, room))) for line in text.split("\n"))
