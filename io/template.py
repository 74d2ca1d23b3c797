"""The template: a workbook with every input sheet, to fill in; or a farm written back as one."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation

from ..models.farm import Farm
from .cells import wanted
from .column import Column, InputSheet, Kind
from .layout import INSTRUCTIONS, SHEETS
from .whole_file import write_whole

ROWS_READY = 1000
"""Rows of a sheet for which formats and drop-down lists are laid out."""

_BOLD = Font(bold=True)
_EXAMPLE = Font(italic=True, color="00666666")
_REQUIRED = PatternFill("solid", fgColor="00CFE2F3")
_OPTIONAL = PatternFill("solid", fgColor="00EEEEEE")
_WRAPPED = Alignment(wrap_text=True, vertical="top")
_FORMATS = {Kind.PERCENT: "0.00%", Kind.DATE: "yyyy-mm-dd"}

_ADVICE = (
    "Fill in one row for each thing, below the headings. Rows whose first cell starts with "
    "'Example:' are left out: type over them, or leave them.",
    "Headings on blue must be filled in every row; those on grey may be blank. Point at a heading "
    "to read what it means, its unit and what a blank stands for.",
    "The unit in brackets may be replaced by another of the same kind, and all numbers below are "
    "then read in that unit: m, ft, mm, in; kg, lb, t; kN, kgf, tf, lbf; m³, ft³; min, h, days.",
    "Prices carry no currency sign: they are in the currency of their supplier or service, and "
    "those of Vessels in the project's.",
    "Under a heading with % a plain 15 is 15 %.",
    "Names (of seabeds, suppliers, anchors ...) must be the same wherever they appear; capitals do "
    "not matter.",
    "Sheets that are not needed may be deleted, columns of your own may be added.",
)

_CAUTION = (
    "Design tensions, seabeds, holdings and safety factors are for the licensed engineer of the "
    "farm to state, by the code that holds there. A price made from this workbook is no design "
    "approval, and no plan for lifting or setting: those are for the crew and their own codes."
)


def write_template(path: str | Path, farm: Farm | None = None, *, overwrite: bool = False) -> None:
    """Write a workbook with every input sheet; with a farm, hold its rows instead of examples.

    The file is written whole or not at all. Raises TargetError where it cannot be, and where
    there is a file already and `overwrite` is not asked for.
    """
    book = Workbook()
    _instructions(book.active)
    for sheet in SHEETS:
        page = book.create_sheet(sheet.title)
        if sheet.settings:
            _settings_page(page, sheet, farm)
        else:
            _rows_page(page, sheet, farm)
    stream = io.BytesIO()
    book.save(stream)
    write_whole(path, stream.getvalue(), overwrite=overwrite)


def _instructions(page: Any) -> None:
    page.title = INSTRUCTIONS
    page.column_dimensions["A"].width = 18
    page.column_dimensions["B"].width = 100
    page.append(["Moorings of a farm: what to fill in"])
    page["A1"].font = Font(bold=True, size=14)
    page.append([])
    for number, advice in enumerate(_ADVICE, start=1):
        page.append([number, advice])
    page.append(["Caution", _CAUTION])
    page.append([])
    page.append(["Sheet", "What it holds"])
    for cell in page[page.max_row]:
        cell.font = _BOLD
    for sheet in SHEETS:
        page.append([sheet.title, f"{sheet.help} {_presence(sheet)}"])
    for row in page.iter_rows(min_row=2):
        for cell in row:
            cell.alignment = _WRAPPED


def _presence(sheet: InputSheet) -> str:
    return "Required." if sheet.required else f"Optional; without it {sheet.absent}."


def _heading(cell: Any, title: str, note: str, *, required: bool) -> None:
    cell.value = title
    cell.font = _BOLD
    cell.fill = _REQUIRED if required else _OPTIONAL
    cell.alignment = _WRAPPED
    if note:
        cell.comment = Comment(note, "moorledger", width=320, height=130)


def _note(sheet: InputSheet, column: Column) -> str:
    """Return the comment of a heading: meaning, what to write, unit, and what a blank is."""
    lines = [f"{column.help}.", f"Write {wanted(column)}."]
    if column.unit:
        lines.append(f"Unit: {column.unit}.")
    lines.append("Must be filled." if sheet.needs(column) else f"Blank: {blank(sheet, column)}.")
    return "\n".join(lines)


def blank(sheet: InputSheet, column: Column) -> str:
    """Return what a blank cell of an optional column stands for, in words."""
    default = sheet.default(column)
    if column.blank or default is None or default == "":
        return column.blank or "none"
    if column.kind is Kind.PERCENT:
        return f"{default * 100:g} %"
    return str(_written(column, default))


def _rows_page(page: Any, sheet: InputSheet, farm: Farm | None) -> None:
    page.freeze_panes = "B2"
    for number, column in enumerate(sheet.columns, start=1):
        needed = sheet.needs(column)
        _heading(page.cell(1, number), column.title, _note(sheet, column), required=needed)
        letter = get_column_letter(number)
        page.column_dimensions[letter].width = max(12, min(24, len(column.title) + 2))
        _prepare(page, column, f"{letter}2:{letter}{ROWS_READY}")
        if column.kind in _FORMATS:
            for row in range(2, ROWS_READY + 1):
                page.cell(row, number).number_format = _FORMATS[column.kind]
    for row, values in enumerate(_values(sheet, farm), start=2):
        for number, (column, value) in enumerate(zip(sheet.columns, values, strict=True), start=1):
            _put(page.cell(row, number), column, value)
            if farm is None:
                page.cell(row, number).font = _EXAMPLE


def _values(sheet: InputSheet, farm: Farm | None) -> Iterator[list[Any]]:
    """Yield the rows to write: the farm's, or one example."""
    if farm is not None:
        for record in getattr(farm, sheet.farm_field):
            yield [getattr(record, column.field) for column in sheet.columns]
        return
    first, *others = (column.example for column in sheet.columns)
    yield [f"Example: {first}", *others]


def _settings_page(page: Any, sheet: InputSheet, farm: Farm | None) -> None:
    page.freeze_panes = "A2"
    for number, (title, width) in enumerate((("Setting", 34), ("Value", 24), ("Note", 80)), 1):
        _heading(page.cell(1, number), title, "", required=number == 1)
        page.column_dimensions[get_column_letter(number)].width = width
    for row, column in enumerate(sheet.columns, start=2):
        page.cell(row, 1).value = column.title
        page.cell(row, 1).comment = Comment(_note(sheet, column), "moorledger", width=320)
        page.cell(row, 3).value = f"{column.help}. Blank: {blank(sheet, column)}."
        value = page.cell(row, 2)
        value.number_format = _FORMATS.get(column.kind, "General")
        _prepare(page, column, f"B{row}")
        if farm is None:
            continue
        set_value = getattr(farm.project, column.field)
        if column.field in farm.project.given or set_value != sheet.default(column):
            _put(value, column, set_value)


def _prepare(page: Any, column: Column, cells: str) -> None:
    """Lay a drop-down list over cells that hold one of a few words."""
    words: list[str] = []
    if column.choices is not None:
        words = [str(choice) for choice in column.choices if choice]
    elif column.kind is Kind.YES_NO:
        words = ["yes", "no"]
    if not words:
        return
    rule = DataValidation("list", formula1=f'"{",".join(words)}"', allow_blank=True)
    rule.showErrorMessage = True
    rule.errorTitle, rule.error = column.heading, f"Write {wanted(column)}."
    rule.add(cells)
    page.add_data_validation(rule)


def _written(column: Column, value: Any) -> str | float | date | None:
    """Return a value as its cell holds it, in the column's default unit."""
    if value is None or value == "":
        return None
    if column.kind is Kind.YES_NO:
        return "yes" if value else "no"
    if column.kind is Kind.NAMES:
        return "; ".join(value)
    if column.kind is Kind.NUMBERS:
        return (
            value[0] if len(value) == 1 else "; ".join(f"{n!r}".removesuffix(".0") for n in value)
        )
    if column.kind in (Kind.NAME, Kind.TEXT, Kind.CHOICE):
        return str(value)
    return value  # type: ignore[no-any-return]


def _put(cell: Any, column: Column, value: Any) -> None:
    written = _written(column, value)
    if written is None or written == "":
        return
    cell.value = written
    if isinstance(written, str):
        cell.data_type = "s"  # text that starts with = is text, never a formula
