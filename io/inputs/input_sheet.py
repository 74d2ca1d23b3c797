"""An input sheet written out: its headings explained, lists and limits laid over its cells.

The template is made of these, with example rows or with a farm's rows; so are the inputs that an
order workbook ends with.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation

from ...models.farm import Farm
from ..layout.column import CellKind, InputColumn, InputSheet, wanted
from ..layout.sheets import NAMED_BY, SHEETS
from ..paper.print_setup import set_print
from ..paper.style import INDENT, LINE_POINTS, ROW_RULE, Look, lines_needed

ROWS_READY = 1000
"""Rows of a template's sheet for which formats, lists and limits are laid out."""
ROWS_SPARE = 50
"""The same below a farm's own rows."""

PAGE_DIGITS = 180.0
"""Width that prints on one page in letters of a readable size."""
NARROWEST, WIDEST = 12.0, 42.0

FONT = "Arial"
_BOLD = Font(name=FONT, size=9, bold=True)
_PLAIN = Font(name=FONT, size=9)
_EXAMPLE = Font(name=FONT, size=9, italic=True, color="00666666")
_REQUIRED = PatternFill("solid", fgColor="00CFE2F3")
_OPTIONAL = PatternFill("solid", fgColor="00EEEEEE")
_WRAPPED = Alignment(wrap_text=True, vertical="top")
_TEXT = Alignment(horizontal="left", wrap_text=True, vertical="top", indent=1)
_NUMBER = Alignment(horizontal="right", vertical="top")
_OVER_NUMBERS = Alignment(horizontal="right", wrap_text=True, vertical="bottom")
_OVER_TEXT = Alignment(horizontal="left", wrap_text=True, vertical="bottom", indent=1)
_MUST = Border(bottom=Side(style="thick"))
_MAY = Border(bottom=Side(style="hair"))
_FORMATS = {CellKind.PERCENT: "0.00%", CellKind.DATE: "yyyy-mm-dd"}
_NUMBERS = (CellKind.NUMBER, CellKind.MONEY, CellKind.COUNT, CellKind.PERCENT, CellKind.SHARE)


@dataclass(frozen=True)
class SheetPlace:
    """Where an input sheet stands: how its workbook names such sheets, and the title it prints."""

    prefix: str = ""
    printed: str = "Moorings of a farm"

    def name(self, sheet: InputSheet) -> str:
        """Return what the sheet is called there."""
        return f"{self.prefix}{sheet.title}"


def is_stated(sheet: InputSheet, farm: Farm) -> bool:
    """Tell whether a farm states any row of a sheet: stand-ins are none."""
    return any(
        "name" not in getattr(record, "stood_in", ()) for record in getattr(farm, sheet.farm_field)
    )


def write_input_sheet(
    page: Any, sheet: InputSheet, farm: Farm | None, setting: SheetPlace | None = None
) -> None:
    """Write one input sheet on an empty page: a farm's rows, or without one an example."""
    setting = setting or SheetPlace()
    if sheet.settings:
        _settings_page(page, sheet, farm, setting)
    else:
        _rows_page(page, sheet, farm, setting)


def blank(sheet: InputSheet, column: InputColumn) -> str:
    """Return what a blank cell of an optional column stands for, in words."""
    default = sheet.default(column)
    if column.blank or default is None or default == "":
        return column.blank or "none"
    if column.kind is CellKind.PERCENT:
        return f"{default * 100:g} %"
    return str(_written(column, default))


def _heading(cell: Any, title: str, note: str, *, required: bool, numbers: bool = False) -> None:
    cell.value = title
    cell.font = _BOLD
    cell.fill = _REQUIRED if required else _OPTIONAL
    cell.border = _MUST if required else _MAY
    cell.alignment = _OVER_NUMBERS if numbers else _OVER_TEXT if cell.column > 1 else _WRAPPED
    if note:
        cell.comment = Comment(note, "moorledger", width=320, height=130)


def _note(sheet: InputSheet, column: InputColumn) -> str:
    """Return the comment of a heading: meaning, what to write, unit, and what a blank is."""
    lines = [f"{column.help}.", f"Write {wanted(column)}."]
    if column.unit:
        lines.append(f"Unit: {column.unit}.")
    lines.append("Must be filled." if sheet.needs(column) else f"Blank: {blank(sheet, column)}.")
    return "\n".join(lines)


def _rows_page(page: Any, sheet: InputSheet, farm: Farm | None, setting: SheetPlace) -> None:
    rows = list(_values(sheet, farm))
    ready = ROWS_READY if farm is None else len(rows) + ROWS_SPARE
    for number, column in enumerate(sheet.columns, start=1):
        needed = sheet.needs(column)
        numbers = column.kind in (*_NUMBERS, CellKind.DATE)
        note = _note(sheet, column)
        _heading(page.cell(1, number), column.title, note, required=needed, numbers=numbers)
        _prepare(page, column, f"{get_column_letter(number)}2", ready, sheet, setting)
        if column.kind in _FORMATS:
            # The whole column's: rows still to be typed take it, without a cell each.
            page.column_dimensions[get_column_letter(number)].number_format = _FORMATS[column.kind]
    for row, values in enumerate(rows, start=2):
        for number, (column, value) in enumerate(zip(sheet.columns, values, strict=True), start=1):
            cell = page.cell(row, number)
            if column.kind in _FORMATS:
                cell.number_format = _FORMATS[column.kind]
            put(cell, column, value)
            cell.font = _EXAMPLE if farm is None else _PLAIN
            textual = isinstance(cell.value, str)
            if textual or column.kind not in (*_NUMBERS, CellKind.DATE):
                cell.alignment = _TEXT if number > 1 else _WRAPPED
            else:
                cell.alignment = _NUMBER
            cell.border = ROW_RULE
    page.freeze_panes = "B2"
    across = _set_widths(page, sheet, rows)
    _set_heights(page)
    page.print_title_rows, page.print_title_cols = "1:1", "A:A"
    set_print(page, setting.printed, pages_wide=math.ceil(across / PAGE_DIGITS))


def _set_widths(page: Any, sheet: InputSheet, rows: list[list[Any]]) -> float:
    """Set the width of each column by what stands in it; return the width of all."""
    across = 0.0
    for number, column in enumerate(sheet.columns, start=1):
        words = [len(word) + 3.0 for word in column.title.split()]
        texts = [len(str(_written(column, row[number - 1]) or "")) * 1.05 + 2.0 for row in rows]
        width = min(max([NARROWEST, *words, *texts]), WIDEST)
        page.column_dimensions[get_column_letter(number)].width = width
        across += width
    return across


def _set_heights(page: Any) -> None:
    """Give every row the height of its texts; programs differ in whether they do so themselves."""
    for row in page.iter_rows():
        lines = 1
        for cell in row:
            if isinstance(cell.value, str):
                look = Look.HEADING if cell.row == 1 else Look.BODY
                width = page.column_dimensions[cell.column_letter].width - 1.0 - INDENT
                lines = max(lines, lines_needed(cell.value, width, look))
        if any(cell.value is not None for cell in row):
            page.row_dimensions[row[0].row].height = min(lines * LINE_POINTS + 1.5, 409.0)


def _values(sheet: InputSheet, farm: Farm | None) -> Iterator[list[Any]]:
    """Yield the rows to write: the farm's, or examples."""
    if farm is not None:
        for record in getattr(farm, sheet.farm_field):
            # A stand-in is no fact: its cell stays blank.
            unknown: frozenset[str] = getattr(record, "stood_in", frozenset())
            yield [
                None if column.field in unknown else getattr(record, column.field)
                for column in sheet.columns
            ]
        return
    for first, *others in ([column.example for column in sheet.columns], *sheet.more_examples):
        yield [f"Example: {first}", *others]


def _settings_page(page: Any, sheet: InputSheet, farm: Farm | None, setting: SheetPlace) -> None:
    page.freeze_panes = "A2"
    for number, (title, width) in enumerate((("Setting", 34), ("Value", 34), ("Note", 80)), 1):
        _heading(page.cell(1, number), title, "", required=number == 1)
        page.column_dimensions[get_column_letter(number)].width = width
    for row, column in enumerate(sheet.columns, start=2):
        page.cell(row, 1).value = column.title
        page.cell(row, 1).comment = Comment(_note(sheet, column), "moorledger", width=320)
        page.cell(row, 3).value = f"{column.help}. Blank: {blank(sheet, column)}."
        for number, setting_ in ((1, _WRAPPED), (2, _TEXT), (3, _TEXT)):
            page.cell(row, number).font = _PLAIN
            page.cell(row, number).alignment = setting_
            page.cell(row, number).border = ROW_RULE
        value = page.cell(row, 2)
        value.number_format = _FORMATS.get(column.kind, "General")
        _prepare(page, column, f"B{row}", row, sheet, setting)
        if farm is None:
            continue
        set_value = getattr(farm.project, column.field)
        if set_value is None and sheet.default(column) is not None:
            # No limit on make-ups, where a blank would be read as one: as many as there are lines.
            set_value = max((leg.count for leg in farm.legs), default=1)
        if column.field in farm.project.given or set_value != sheet.default(column):
            put(value, column, set_value)
    page.print_title_rows = "1:1"
    _set_heights(page)
    set_print(page, setting.printed)


def _prepare(
    page: Any, column: InputColumn, first: str, last: int, sheet: InputSheet, setting: SheetPlace
) -> None:
    """Lay a list of what may be chosen, or the least and most, over a column's cells."""
    letter = first.rstrip("0123456789")
    rule = _listed(column) or _named(column, sheet, setting) or _limited(column)
    if rule is None:
        return
    rule.allow_blank, rule.showErrorMessage = True, True
    rule.errorTitle = column.heading[:32]
    rule.error = rule.error or f"Write {wanted(column)}."
    rule.add(f"{first}:{letter}{last}" if f"{letter}{last}" != first else first)
    page.add_data_validation(rule)


def _listed(column: InputColumn) -> DataValidation | None:
    """Return the list of a few fixed words; none of words with a comma, which parts a list."""
    words: list[str] = []
    if column.choices is not None:
        words = [str(choice) for choice in column.choices if choice]
    elif column.kind is CellKind.YES_NO:
        words = ["yes", "no"]
    if not words or any("," in word for word in words):
        return None
    return DataValidation("list", formula1=f'"{",".join(words)}"')


def _named(column: InputColumn, sheet: InputSheet, setting: SheetPlace) -> DataValidation | None:
    """Return the list of the names on another sheet; a name that is not there yet is doubted."""
    places = NAMED_BY.get(column.names, ())
    if column.kind is not CellKind.NAME or len(places) != 1 or places[0][0] == sheet.title:
        return None
    ((title, heading),) = places
    other = next(each for each in SHEETS if each.title == title)
    number = [each.heading for each in other.columns].index(heading) + 1
    letter = get_column_letter(number)
    source = f"'{setting.name(other)}'!${letter}$2:${letter}${ROWS_READY}"
    rule = DataValidation("list", formula1=source, errorStyle="warning")
    rule.error = f"That name is not on the sheet {setting.name(other)} yet."
    return rule


def _limited(column: InputColumn) -> DataValidation | None:
    """Return the limits of a number or date, as far as they hold in any unit.

    A most that is only not to be believed, in one unit, is left to the reader.
    """
    if column.kind is CellKind.DATE:
        return DataValidation("date", operator="greaterThan", formula1="36526")  # 2000-01-01
    if column.kind not in _NUMBERS or math.isinf(column.range.low):
        return None
    kind: Literal["whole", "decimal"] = "whole" if column.kind is CellKind.COUNT else "decimal"
    bounds = column.range
    low = f"{bounds.low:g}"
    if bounds.closed and not bounds.above and column.kind is not CellKind.PERCENT:
        return DataValidation(kind, operator="between", formula1=low, formula2=f"{bounds.high:g}")
    if bounds.above:
        return DataValidation(kind, operator="greaterThan", formula1=low)
    return DataValidation(kind, operator="greaterThanOrEqual", formula1=low)


def _written(column: InputColumn, value: Any) -> str | float | date | None:
    """Return a value as its cell holds it, in the column's default unit."""
    if value is None or value == "":
        return None
    if column.kind is CellKind.YES_NO:
        return "yes" if value else "no"
    if column.kind is CellKind.NAMES:
        # A name that holds a comma or semicolon of its own is one name in quotes.
        return "; ".join(f'"{name}"' if set(name) & set(",;") else name for name in value)
    if column.kind is CellKind.NUMBERS:
        return (
            value[0] if len(value) == 1 else "; ".join(f"{n!r}".removesuffix(".0") for n in value)
        )
    if column.kind in (CellKind.NAME, CellKind.TEXT, CellKind.CHOICE):
        return str(value)
    return value  # type: ignore[no-any-return]


def put(cell: Any, column: InputColumn, value: Any) -> None:
    """Write a value into a cell, in its column's default unit; nothing where it is blank."""
    written = _written(column, value)
    if written is None or written == "":
        return
    cell.value = written
    if isinstance(written, str):
        cell.data_type = "s"  # text that starts with = is text, never a formula
        if written[:1] in tuple("=+-@"):
            cell.quotePrefix = True  # or editing the cell would turn it into a formula
