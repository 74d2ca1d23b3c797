"""The template: a workbook with every input sheet, to fill in; or a farm written back as one."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font

from ...models.farm import Farm
from ..layout.column import InputSheet
from ..layout.sheets import INSTRUCTIONS, SHEETS
from ..paper.print_setup import set_print
from ..paper.style import LINE_POINTS, Look, lines_needed
from ..whole_file import write_whole
from .input_sheet import FONT, is_stated, write_input_sheet

_BOLD = Font(name=FONT, size=9, bold=True)
_PLAIN = Font(name=FONT, size=9)
_WRAPPED = Alignment(wrap_text=True, vertical="top")
_WIDTHS = (18.0, 100.0)
"""Of the columns of the instructions, in digits."""

_ADVICE = (
    "Fill in one row for each thing, below the headings. Rows whose first cell starts with "
    "'Example:' are left out: type over them, or leave them.",
    "Headings on blue with a thick line below must be filled in every row; those on grey may be "
    "blank. Point at a heading to read what it means, its unit and what a blank stands for.",
    "The unit in brackets may be replaced by another of the same kind, and all numbers below are "
    "then read in that unit: m, ft, mm, in; kg, lb, t; kN, kgf, tf, lbf; m³, ft³; min, h, days.",
    "Prices carry no currency sign: they are in the currency of their supplier or service, and "
    "those of Vessels in the project's.",
    "Under a heading with % a plain 15 is 15 %.",
    "What a cell shows counts: 250 kg in a cell under a heading in t is 0.25 t. What may mean two "
    "numbers, such as 1.550 beside decimal commas, is asked about, by cell.",
    "moorledger check FILE --reading lists every column, what it was taken for, and its first "
    "value; what is hardly meant is doubted by cell, and the order's Summary repeats it.",
    "Names (of seabeds, suppliers, anchors ...) must be the same wherever they appear; capitals do "
    "not matter. Cells that refer to another sheet offer its names as a list: fill in Suppliers, "
    "Freight, Seabeds and Chain first.",
    "Sheets that are not needed may be deleted, columns of your own may be added.",
)

_SHORT_ADVICE = (
    "Fill in one row for each thing, below the grey example rows, which are left out. Point at a "
    "heading to read what it means. A unit in brackets may be replaced by another of its kind.",
    "A first price takes no more than this: the cost of the goods, as delivered. Freight, vessels, "
    "rope and fittings are not in it, and prices are in EUR; the first line of the answer says so.",
    "Then: moorledger check THIS.xlsx, and moorledger price THIS.xlsx. To go on, carry it over "
    "into the full template: moorledger template FULL.xlsx --from THIS.xlsx.",
)

_CAUTION = (
    "Design tensions, seabeds, holdings and safety factors are for the licensed engineer of the "
    "farm to state, by the code that holds there. A price made from this workbook is no design "
    "approval, and no plan for lifting or setting: those are for the crew and their own codes."
)


def write_template(
    path: str | Path,
    farm: Farm | None = None,
    *,
    sheets: tuple[InputSheet, ...] = SHEETS,
    overwrite: bool = False,
) -> None:
    """Write a workbook with every input sheet; with a farm, hold its rows instead of examples.

    sheets : those to write, such as the short template's.
    The file is written whole or not at all. Raises TargetError where it cannot be, and where
    there is a file already and `overwrite` is not asked for.
    """
    stream = io.BytesIO()
    farm_book(farm, sheets).save(stream)
    write_whole(path, stream.getvalue(), overwrite=overwrite)


def farm_book(farm: Farm | None, sheets: tuple[InputSheet, ...] = SHEETS) -> Workbook:
    """Return a workbook with some input sheets, of a farm's rows or of examples."""
    book = Workbook()
    _instructions(book.active, sheets)
    for sheet in sheets:
        stated = farm if farm and (sheet.settings or is_stated(sheet, farm)) else None
        write_input_sheet(book.create_sheet(sheet.title), sheet, stated)
    return book


def sample_folder() -> Path:
    """Return the folder of the sample farm: installed with the package, or in a clone of it."""
    installed = Path(__file__).parents[2] / "sample_farm"
    if installed.is_dir():
        return installed
    return Path(__file__).resolve().parents[2] / "sample_inputs" / "heron_sound"


def _instructions(page: Any, sheets: tuple[InputSheet, ...]) -> None:
    page.title = INSTRUCTIONS
    for column, width in zip("AB", _WIDTHS, strict=True):
        page.column_dimensions[column].width = width
    page.append(["Moorings of a farm: what to fill in"])
    page.append([])
    advised = _ADVICE if sheets is SHEETS else _SHORT_ADVICE
    for number, advice in enumerate(advised, start=1):
        page.append([number, advice])
    page.append(["Caution", _CAUTION])
    page.append([])
    page.append(["Sheet", "What it holds"])
    heading = page.max_row
    for sheet in sheets:
        page.append([sheet.title, f"{sheet.help} {_presence(sheet)}"])
    for row in page.iter_rows(min_row=2):
        for cell in row:
            cell.font = _BOLD if cell.row == heading else _PLAIN
            cell.alignment = _WRAPPED
        # A program does not widen a row for a text that it did not lay out itself.
        lines = max(
            lines_needed(str(cell.value or ""), width - 1.0, Look.BODY)
            for cell, width in zip(row, _WIDTHS, strict=True)
        )
        page.row_dimensions[row[0].row].height = lines * LINE_POINTS + 1.5
    page.merge_cells("A1:B1")
    page["A1"].font = Font(name=FONT, bold=True, size=14)
    set_print(page, "Moorings of a farm")


def _presence(sheet: InputSheet) -> str:
    return "Required." if sheet.required else f"Optional; without it {sheet.absent}."
