"""A page: one sheet of the output workbook, and the only place where cells are written."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from openpyxl.cell.cell import Cell
from openpyxl.drawing.image import Image
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.cell_range import CellRange
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.table import Table as ExcelTable
from openpyxl.worksheet.table import TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

from ..words.grammar import clean
from ..words.kinds import NumberKind, shown
from .openpyxl_parts import Chart, Formats, formats_of, set_formats
from .print_setup import set_print
from .style import (
    BODY_POINTS,
    BORDERS,
    FILLS,
    FONTS,
    INDENT,
    LINE_POINTS,
    NARROWEST,
    NUMBER_FORMATS,
    ROW_RULE,
    WIDEST,
    Look,
    alignment,
    lines_needed,
)
from .table import Formula, HandWritten, PlacedTable, SheetColumn, Value, written_over

CLOSE_POINTS = 11.5
"""Height of one line of body text where rows stand close, points."""

__all__ = [
    "Formula",
    "HandWritten",
    "Page",
    "PlacedTable",
    "SheetColumn",
    "Value",
    "rows_of_picture",
    "written_over",
]

SCREEN_DPI = 96
"""Pixels in an inch, as spreadsheets size pictures."""


@dataclass(frozen=True)
class Dress:
    """All that a cell's formats depend on."""

    look: Look
    kind: NumberKind
    textual: bool
    turned: bool
    indented: bool
    ruled: bool


def rows_of_picture(height_cm: float) -> int:
    """Return how many rows a chart or picture of this height takes, and one below it."""
    return math.ceil(height_cm / 2.54 * 72 / LINE_POINTS) + 1


class Page:
    """One sheet: texts, numbers, formulas and tables, laid out to be printed."""

    def __init__(
        self,
        sheet: Worksheet,
        stored: dict[str, float | str],
        hand: HandWritten | None = None,
        dressed: dict[Dress, Formats] | None = None,
        dated: str = "",
        *,
        plain: bool = False,
    ) -> None:
        """plain : only what its cells say is wanted, not how they look."""
        self._sheet = sheet
        self._plain = plain
        self._stored = stored
        self._needs: dict[int, float] = {}
        self._texts: list[tuple[int, int, int, str, Look]] = []
        self._fixed: dict[int, float] = {}
        self._heights: dict[int, float] = {}
        self._dressed = {} if dressed is None else dressed
        self._tables: list[tuple[PlacedTable, int]] = []
        self._hand = hand or {}
        self.title = ""
        """What stands in its first cell."""
        self.fields: set[tuple[int, int]] = set()
        """Row and column of every cell that a hand may write in."""
        self.lead = ""
        """The sentence below the title: what the sheet is about."""
        self.dated = dated
        """What is printed above it on the right; "": nothing."""

    @property
    def name(self) -> str:
        """The sheet's name."""
        return self._sheet.title

    def at(self, row: int, column: int) -> str:
        """Return a cell's address for a formula on this sheet."""
        return f"${get_column_letter(column)}${row}"

    def ref(self, row: int, column: int) -> str:
        """Return a cell's address for a formula on any sheet."""
        return f"{self._quoted}!{self.at(row, column)}"

    def span(self, first: int, last: int, column: int) -> str:
        """Return the rows `first` to `last` of a column, for a formula on any sheet."""
        return f"{self._quoted}!{self.at(first, column)}:{self.at(last, column)}"

    @property
    def _quoted(self) -> str:
        return "'" + self.name.replace("'", "''") + "'"

    def put(
        self,
        row: int,
        column: int,
        value: Value,
        kind: NumberKind = NumberKind.TEXT,
        look: Look = Look.BODY,
        *,
        across: int = 1,
        turned: bool = False,
        ruled: bool = False,
    ) -> None:
        """Write one cell; a text is always written as text, whatever it begins with.

        across : columns that a text may run over (they are merged). turned : written upwards.
        ruled : a fine rule below it, as in the rows of a table.
        """
        if look is Look.FIELD and not isinstance(value, Formula):
            self.fields.add((row, column))
            value = self.by_hand(row, column, value)
        if isinstance(value, float) and not math.isfinite(value):
            value = "not known" if math.isnan(value) else "no limit"
        textual = isinstance(value, str)
        cell = self._cell(row, column)
        if isinstance(value, Formula):
            cell.value = "=" + value.text
            self._stored[cell.coordinate] = value.value
        elif isinstance(value, str):
            value = clean(value)
            cell.value = value
            cell.data_type = "s"
        elif value is not None:
            cell.value = value
        if self._plain:
            return
        self._dress(cell, Dress(look, kind, textual, turned, column > 1 and across == 1, ruled))
        if isinstance(value, str):
            if value[:1] in tuple("=+-@"):
                cell.quotePrefix = True  # or editing the cell would turn it into a formula
            if turned:
                self._heights[row] = max(self._heights.get(row, 0.0), len(value) * 5.3 + 8.0)
            else:
                self._texts.append((row, column, across, value, look))
        if across == 1 and not turned:
            self._note_width(column, value, kind, look)
        if across > 1:
            for other in range(column + 1, column + across):
                if look in BORDERS:
                    self._cell(row, other).border = BORDERS[look]
                if look in FILLS:
                    self._cell(row, other).fill = FILLS[look]
            # Not by merge_cells(), which works out borders anew: they have just been set.
            self._sheet.merged_cells.add(CellRange(None, column, row, column + across - 1, row))

    def head(self, title: str, lead: str, across: int, *, of: str = "") -> None:
        """Write the title in row 1, and below it in row 2 what the sheet is about.

        lead : sentences, of which the first says it. of : the farm's name, said before them.
        """
        self.title = clean(title)
        self.put(1, 1, title, look=Look.TITLE, across=across)
        self.put(2, 1, f"{of}. {lead}" if of else lead, look=Look.LEAD, across=across)
        self.lead = lead

    def by_hand(self, row: int, column: int, value: Value) -> Value:
        """Return what a hand wrote into a field, else the value that it is written with."""
        return written_over(self._hand, self.title, row, column, value)

    def table(
        self,
        top: int,
        columns: Sequence[SheetColumn],
        rows: Iterable[Sequence[Value]],
        *,
        left: int = 1,
        looks: Sequence[Look] = (),
    ) -> PlacedTable:
        """Write headings at row `top` and the rows below; `looks` may set rows apart."""
        for offset, column in enumerate(columns):
            self.put(
                top,
                left + offset,
                column.heading,
                column.kind,
                Look.HEADING,
                turned=column.turned,
            )
        last = top
        for index, row in enumerate(rows):
            last = top + 1 + index
            look = looks[index] if index < len(looks) else Look.BODY
            for offset, (column, value) in enumerate(zip(columns, row, strict=True)):
                ruled = look is Look.BODY
                self.put(last, left + offset, value, column.kind, look, ruled=ruled)
        for offset, column in enumerate(columns):
            place = left + offset
            self._needs[place] = min(self._needs.get(place, NARROWEST), column.widest)
        table = PlacedTable(top, top + 1, last, left)
        self._tables.append((table, left + len(columns) - 1))
        return table

    def link(self, row: int, column: int, page: Page) -> None:
        """Write another sheet's name, as a link to it."""
        self.put(row, column, page.name, look=Look.LINK, ruled=True)
        cell = self._cell(row, column)
        cell.hyperlink = Hyperlink(
            ref=cell.coordinate, location=f"{page._quoted}!A1", display=page.name
        )

    def offer(self, row: int, column: int, source: str, error: str) -> None:
        """Let a cell be filled from the list of names at `source`; others are doubted."""
        rule = DataValidation("list", formula1=source, allow_blank=True, errorStyle="warning")
        rule.showErrorMessage, rule.error = True, error
        rule.add(self._cell(row, column).coordinate)
        self._sheet.add_data_validation(rule)

    def place_picture(
        self,
        png: Callable[[], bytes],
        row: int,
        column: int,
        width_cm: float,
        height_cm: float,
    ) -> int:
        """Lay a picture with its upper left corner on a cell; return the next free row."""
        if not self._plain:
            picture = Image(io.BytesIO(png()))
            picture.width, picture.height = (
                round(side / 2.54 * SCREEN_DPI) for side in (width_cm, height_cm)
            )
            self._sheet.add_image(picture, f"{get_column_letter(column)}{row}")
        return self._below(row, height_cm)

    def paragraphs(self, row: int, texts: Iterable[str], across: int, look: Look) -> int:
        """Write texts one below the other, each over `across` columns; return the next row."""
        for text in texts:
            self.put(row, 1, text, look=look, across=across)
            row += 1
        return row

    def place_chart(
        self, chart: Chart, row: int, column: int, width_cm: float, height_cm: float
    ) -> int:
        """Lay a native chart with its upper left corner on a cell; return the next free row."""
        for side, size in (("width", width_cm), ("height", height_cm)):
            setattr(chart, side, size)
        self._sheet.add_chart(chart, f"{get_column_letter(column)}{row}")
        return self._below(row, height_cm)

    def _below(self, row: int, height_cm: float) -> int:
        """Return the first row below what is laid on `row`."""
        rows = rows_of_picture(height_cm)
        for below in range(row, row + rows):  # programs differ in the height of a blank row
            self._heights.setdefault(below, LINE_POINTS)
        return row + rows

    def print_only(self, last_row: int, last_column: int) -> None:
        """Print only the cells up to a row and a column."""
        self._sheet.print_area = f"A1:{get_column_letter(last_column)}{last_row}"

    def break_before(self, row: int) -> int:
        """Begin a new printed page at a row; return the next, clear of the page's edge."""
        self._sheet.row_breaks.append(Break(id=row - 1))
        return row + 1

    def heights(self, first: int, last: int, points: float) -> None:
        """Let rows be at least so high."""
        for row in range(first, last + 1):
            self._heights[row] = max(self._heights.get(row, 0.0), points)

    def widths(self, widths: Sequence[float]) -> None:
        """Fix the widths of the first columns, in digits of the default font."""
        self._fixed = dict(enumerate(widths, start=1))

    def finish(
        self,
        footer: str,
        *,
        heading_row: int | None = None,
        freeze: bool = True,
        one_page: bool = False,
        filtered: bool = True,
        print_rows: int | None = None,
        close: bool = False,
    ) -> None:
        """Set widths, heights and print: A4 landscape, one page wide.

        heading_row : the row that every later page repeats, and that stays on screen.
        freeze : False where other tables stand above that row. filtered : whether the table under
        that row may be filtered and sorted. print_rows : the last row that is printed; the rest of
        a long sheet is for the screen. close : rows stand close, for a list that is long on paper.
        """
        if self._plain:
            return
        sheet = self._sheet
        widths = {**{c: w + 1.5 for c, w in self._needs.items()}, **self._fixed}
        for column, width in widths.items():
            sheet.column_dimensions[get_column_letter(column)].width = width
        for row, column, across, text, look in self._texts:
            room = sum(widths.get(c, 8.43) for c in range(column, column + across)) - 1.0
            room -= INDENT if column > 1 and across == 1 else 0.0
            points = float(FONTS[look].size or BODY_POINTS)
            line = CLOSE_POINTS if close else LINE_POINTS
            height = lines_needed(text, room, look) * line * points / BODY_POINTS
            self._heights[row] = max(self._heights.get(row, 0.0), height + (0.0 if close else 1.5))
        for row, height in self._heights.items():
            sheet.row_dimensions[row].height = min(height, 409.0)
        sheet.sheet_view.showGridLines = False
        set_print(sheet, clean(footer), dated=self.dated, one_page=one_page)
        if heading_row is not None:
            if freeze:
                sheet.freeze_panes = f"B{heading_row + 1}"
                if filtered:
                    self._make_filter(heading_row)
            sheet.print_title_rows = f"{heading_row}:{heading_row}"
        if print_rows is not None:
            sheet.print_area = f"A1:{get_column_letter(max(widths))}{print_rows}"

    def _make_filter(self, heading_row: int) -> None:
        """Make the table under a heading row one of the spreadsheet's own, with filters."""
        for table, right in self._tables:
            if table.heading_row == heading_row and table.last >= table.first:
                left, last = get_column_letter(table.left), get_column_letter(right)
                name = "List_" + re.sub("[^A-Za-z0-9]", "_", self.name)
                listed = ExcelTable(
                    displayName=name, ref=f"{left}{table.heading_row}:{last}{table.last}"
                )
                listed.tableStyleInfo = TableStyleInfo(showRowStripes=False)
                self._sheet.add_table(listed)

    def _dress(self, cell: Cell, dress: Dress) -> None:
        """Set a cell's formats; those of the book's first cell dressed so are copied, for speed."""
        if dress in self._dressed:
            set_formats(cell, self._dressed[dress])
            return
        look = dress.look
        cell.number_format = NUMBER_FORMATS[NumberKind.TEXT if dress.textual else dress.kind]
        cell.font = FONTS[look]
        cell.alignment = alignment(
            look,
            dress.kind,
            textual=dress.textual,
            turned=dress.turned,
            indented=dress.indented,
        )
        if dress.ruled:
            cell.border = ROW_RULE
        elif look in BORDERS:
            cell.border = BORDERS[look]
        if look in FILLS:
            cell.fill = FILLS[look]
        self._dressed[dress] = formats_of(cell)

    def _note_width(self, column: int, value: Value, kind: NumberKind, look: Look) -> None:
        """Remember what width a cell asks for; a heading asks for its longest word."""
        if look in (Look.TITLE, Look.LEAD, Look.SECTION):
            return
        text = shown(value.value if isinstance(value, Formula) else value, kind)
        if look is Look.HEADING:
            text = max(text.split(), key=len, default="") + " "
        spare = 1.0 if kind is NumberKind.TEXT else 0.0
        spare += INDENT if kind is NumberKind.TEXT and column > 1 else 0.0
        need = min(max(len(text) * 1.02 + spare, NARROWEST), WIDEST)
        self._needs[column] = max(self._needs.get(column, NARROWEST), need)

    def _cell(self, row: int, column: int) -> Cell:
        cell = self._sheet.cell(row=row, column=column)
        assert isinstance(cell, Cell), "a merged cell was written twice"
        return cell
