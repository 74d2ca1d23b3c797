"""The farm's workbook with quotations taken: its Offers filled, the old prices beside."""

from __future__ import annotations

import io
from collections.abc import Sequence

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter

from ...models.farm import Farm
from ..inputs.template import farm_book
from ..layout.sheets import INSTRUCTIONS, QUOTATIONS_TAKEN
from ..paper.print_setup import set_print
from ..paper.style import LINE_POINTS, ROW_RULE, Look, lines_needed
from ..words.grammar import clean
from .quotation import Quotation
from .taken import Taken

_PLAIN, _BOLD = Font(name="Arial", size=9), Font(name="Arial", size=9, bold=True)
_HEAD = PatternFill("solid", fgColor="00EEEEEE")
_WRAPPED = Alignment(wrap_text=True, vertical="top")
_INDENTED = Alignment(wrap_text=True, vertical="top", indent=1)
HEADINGS: tuple[tuple[str, float, str], ...] = (
    ("Item", 22, "@"),
    ("Supplier", 20, "@"),
    ("Quotation", 14, "@"),
    ("Currency", 9, "@"),
    ("Old price", 11, "#,##0.00##"),
    ("New price", 11, "#,##0.00##"),
    ("Change", 9, "+0.0%;-0.0%;0.0%"),
    ("What else changed", 44, "@"),
    ("File", 30, "@"),
    ("Cell", 16, "@"),
)
LEAD = (
    "What the quotations changed on Offers and Price breaks. This sheet is not read; the others "
    "are, and can be priced as they are."
)


def taken_workbook(farm: Farm, taken: Sequence[Taken], quotations: Sequence[Quotation]) -> bytes:
    """Return the farm's workbook written anew, with what was taken on a sheet in front of its
    inputs."""
    book = farm_book(farm)
    write_taken(book, farm.project.name, taken, quotations)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def write_taken(
    book: Workbook, project: str, taken: Sequence[Taken], quotations: Sequence[Quotation]
) -> None:
    """Write what was taken on a sheet of its own, in front of the inputs."""
    if QUOTATIONS_TAKEN in book.sheetnames:
        del book[QUOTATIONS_TAKEN]  # of quotations that were taken before
    page = book.create_sheet(QUOTATIONS_TAKEN, int(INSTRUCTIONS in book.sheetnames[:1]))
    page.cell(1, 1, QUOTATIONS_TAKEN).font = Font(name="Arial", size=14, bold=True)
    page.cell(2, 1, LEAD).font = _PLAIN
    for number, (heading, width, _) in enumerate(HEADINGS, start=1):
        cell = page.cell(4, number, heading)
        cell.font, cell.fill, cell.alignment, cell.border = _BOLD, _HEAD, _WRAPPED, ROW_RULE
        page.column_dimensions[get_column_letter(number)].width = width
    row = 4
    for row, one in enumerate(taken, start=5):
        values = (
            one.line.item,
            one.supplier,
            one.reference,
            one.currency,
            one.old_price,
            one.line.unit_price,
            one.change,
            "; ".join(one.changes),
            one.file,
            one.line.place,
        )
        lines = 1
        for number, (value, (_, width, shown)) in enumerate(
            zip(values, HEADINGS, strict=True), start=1
        ):
            cell = page.cell(row, number)
            cell.font, cell.border, cell.alignment = _PLAIN, ROW_RULE, _WRAPPED
            if isinstance(value, str):
                cell.value = clean(value)
                cell.data_type = "s"
                cell.alignment = _INDENTED if number > 1 else _WRAPPED
                lines = max(lines, lines_needed(value, width - 1.0, Look.BODY))
            else:
                cell.value, cell.number_format = value, shown
        page.row_dimensions[row].height = lines * LINE_POINTS + 1.5
    row += 2
    for quotation in quotations:
        if quotation.not_quoted:
            told = f"{quotation.file}: no price for {', '.join(quotation.not_quoted)}; as before."
            page.cell(row, 1, clean(told)).font = _PLAIN
            row += 1
    page.freeze_panes = "B5"
    page.print_title_rows = "4:4"
    set_print(page, f"Quotations taken, {project}", pages_wide=1)
