"""A request for quotation: one workbook a supplier, to fill in and send back."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping, Sequence

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from ...models.answer.quantity_asked import QuantityAsked
from ...models.farm import Farm
from ...models.goods.item import Item, ItemKind
from ...models.goods.supplier import Supplier
from ..layout.column import CellKind, InputColumn, wanted
from ..layout.quotation import ITEM, LINES, SHEET, TERMS, Told
from ..paper.print_setup import set_print
from ..paper.style import LINE_POINTS, ROW_RULE, Look, lines_needed
from ..words.grammar import clean

FONT = "Arial"
_PLAIN = Font(name=FONT, size=9)
_BOLD = Font(name=FONT, size=9, bold=True)
_TITLE = Font(name=FONT, size=14, bold=True)
_FILL = PatternFill("solid", fgColor="00CFE2F3")
_HEAD = PatternFill("solid", fgColor="00EEEEEE")
_WRAPPED = Alignment(wrap_text=True, vertical="top")
_RIGHT = Alignment(horizontal="right", vertical="top")
_MIDDLE = Alignment(horizontal="center", vertical="top", wrap_text=True)
_NUMBERS = {CellKind.MONEY, CellKind.NUMBER, CellKind.COUNT}

TERM_LABEL, TERM_VALUE, TERM_NOTE = 1, 2, 4
TERMS_FROM = 5
PAGES_WIDE = 2
SPARE_ROWS = 5
"""Rows below the last item that the rules for filling in reach down to."""

HOW = (
    "Please fill in the cells on blue: the terms once, then a row for each item that you can "
    "supply; leave the price blank where you cannot. Prices without currency sign. Point at a "
    "heading to read what is meant. Please keep the headings and the names of the items, and send "
    "this workbook back."
)
WIDTHS = {"Item": 22, Told.DESCRIPTION: 34, Told.BREAKS: 16, Told.REMARKS: 30, Told.SOLD_AS: 15}


def file_name(farm: Farm, supplier: Supplier) -> str:
    """Return what the request to a supplier is called."""
    name = f"quotation {farm.project.name} {supplier.name}".strip()
    return re.sub(r'[\\/:*?"<>|\x00-\x1f]+', " ", name).strip(" .")[:120] + ".xlsx"


def items_asked(farm: Farm, supplier: str) -> tuple[Item, ...]:
    """Return the items that a supplier is asked for: those that it offers now."""
    return tuple(
        item for item in farm.items if any(offer.supplier == supplier for offer in item.offers)
    )


def request_workbook(
    farm: Farm, supplier: Supplier, asked: Mapping[str, QuantityAsked]
) -> bytes | None:
    """Return the workbook for one supplier to fill in; None where it is asked for nothing.

    It tells a supplier nothing of prices, of rivals, or of exchange rates.
    """
    items = [item for item in items_asked(farm, supplier.name) if item.name in asked]
    if not items:
        return None
    book = Workbook()
    page = book.active
    assert isinstance(page, Worksheet)
    page.title = SHEET
    columns = _columns()
    _head(page, farm, supplier)
    top = TERMS_FROM + len(TERMS) + 1
    _headings(page, columns, top)
    for row, item in enumerate(items, start=top + 1):
        _row(page, columns, row, farm, item, asked[item.name])
    _rules(page, columns, top + 1, top + len(items) + SPARE_ROWS)
    page.freeze_panes = f"B{top + 1}"
    page.print_title_rows = f"{top}:{top}"
    page.print_title_cols = "A:A"
    set_print(page, f"Request for quotation, {farm.project.name}", pages_wide=PAGES_WIDE)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _columns() -> list[InputColumn | Told]:
    """Return the columns from left to right: what is told, then what is asked."""
    told = [Told.DESCRIPTION, Told.SOLD_AS, Told.ASKED, Told.BREAKS, Told.PRICED_PER]
    return [ITEM, *told, *LINES[1:], Told.REMARKS]


def _head(page: Worksheet, farm: Farm, supplier: Supplier) -> None:
    """Write who asks whom for what, and the terms to fill in."""
    project = farm.project
    page.cell(1, 1, clean(f"Request for quotation: {supplier.name}")).font = _TITLE
    buyer = f" Buyer: {project.buyer}." if project.buyer else ""
    needed = f" Needed on site: {project.required_on_site}." if project.required_on_site else ""
    place = f" Delivery place: {project.delivery_place}." if project.delivery_place else ""
    lead = clean(f"For {project.name}.{buyer}{place}{needed}")
    for row, text in ((2, lead), (3, HOW)):
        page.cell(row, 1, text).font = _PLAIN
        page.cell(row, 1).alignment = _WRAPPED
        page.merge_cells(start_row=row, start_column=1, end_row=row, end_column=9)
        page.row_dimensions[row].height = 3 * LINE_POINTS
    given = {"supplier": supplier.name, "currency": supplier.currency}
    if project.delivery_term is not None:
        given["delivery_term"] = str(project.delivery_term)
    for row, term in enumerate(TERMS, start=TERMS_FROM):
        page.cell(row, TERM_LABEL, term.heading).font = _BOLD
        cell = page.cell(row, TERM_VALUE)
        cell.fill, cell.font, cell.border = _FILL, _PLAIN, ROW_RULE
        cell.alignment = Alignment(horizontal="left")
        if term.field in given:
            _text(page, row, TERM_VALUE, given[term.field])
        if term.kind is CellKind.DATE:
            cell.number_format = "yyyy-mm-dd"
        page.cell(row, TERM_NOTE, f"{term.help}.").font = _PLAIN
        _rule(page, term, f"{get_column_letter(TERM_VALUE)}{row}")


def _headings(page: Worksheet, columns: Sequence[InputColumn | Told], top: int) -> None:
    for number, column in enumerate(columns, start=1):
        asked = isinstance(column, InputColumn)
        title = column.title if isinstance(column, InputColumn) else str(column)
        cell = page.cell(top, number, title)
        cell.font, cell.alignment = _BOLD, _WRAPPED
        cell.fill = _FILL if asked and column is not ITEM else _HEAD
        cell.border = ROW_RULE
        if isinstance(column, InputColumn):
            note = f"{column.help}.\nWrite {wanted(column)}."
            cell.comment = Comment(note, "moorledger", width=300, height=110)
        page.column_dimensions[get_column_letter(number)].width = WIDTHS.get(title, 11)


def _row(
    page: Worksheet,
    columns: Sequence[InputColumn | Told],
    row: int,
    farm: Farm,
    item: Item,
    asked: QuantityAsked,
) -> None:
    told = {
        Told.DESCRIPTION: _described(farm, item),
        Told.SOLD_AS: item.sold_as,
        Told.ASKED: asked.least_plan or None,
        Told.BREAKS: ", ".join(f"{quantity:,}" for quantity in asked.breaks),
        Told.PRICED_PER: "m" if item.length_sold_m else "each",
    }
    if not asked.least_plan:
        told[Told.REMARKS] = "not in the order as it stands: price wanted for comparison"
    lines = 1
    for number, column in enumerate(columns, start=1):
        cell = page.cell(row, number)
        cell.font, cell.border, cell.alignment = _PLAIN, ROW_RULE, _WRAPPED
        if column is ITEM:
            _text(page, row, number, item.name)
        elif isinstance(column, InputColumn):
            cell.fill = _FILL
            cell.alignment = _RIGHT if column.kind in _NUMBERS else _WRAPPED
        else:
            value = told.get(column)
            if isinstance(value, str):
                _text(page, row, number, value)
                width = float(WIDTHS.get(column, 11)) - 1.0
                lines = max(lines, lines_needed(value, width, Look.BODY))
            else:
                cell.value = value
            if column in (Told.ASKED, Told.BREAKS, Told.PRICED_PER):
                cell.alignment = _MIDDLE
    page.row_dimensions[row].height = lines * LINE_POINTS + 2.0


def _text(page: Worksheet, row: int, column: int, text: str) -> None:
    """Write text that can never become a formula."""
    cell = page.cell(row, column)
    cell.value = clean(text)
    cell.data_type = "s"


def _described(farm: Farm, item: Item) -> str:
    """Return what a supplier must know to quote, besides the item's name."""
    if item.kind is ItemKind.ANCHOR:
        anchor = farm.anchor_by_name[item.name]
        return f"{anchor.family} anchor, {anchor.mass_kg:g} kg"
    if item.kind is ItemKind.FITTING:
        fitting = next(f for f in farm.fittings if f.name == item.name)
        return f"breaking load {fitting.breaking_load_kn:g} kN, {fitting.mass_kg:g} kg each"
    line = farm.chain_by_name.get(item.name) or farm.rope_by_name[item.name]
    return (
        f"{item.kind}, {line.diameter_mm:g} mm, {line.mass_kg_per_m:g} kg/m, breaking load "
        f"{line.breaking_load_kn:g} kN"
    )


def _rules(page: Worksheet, columns: Sequence[InputColumn | Told], first: int, last: int) -> None:
    for number, column in enumerate(columns, start=1):
        if isinstance(column, InputColumn) and column is not ITEM:
            letter = get_column_letter(number)
            _rule(page, column, f"{letter}{first}:{letter}{last}")


def _rule(page: Worksheet, column: InputColumn, cells: str) -> None:
    """Lay a list of what may be chosen, or the least, over some cells."""
    rule: DataValidation | None = None
    if column.choices is not None:
        rule = DataValidation("list", formula1=f'"{",".join(str(c) for c in column.choices)}"')
    elif column.kind is CellKind.DATE:
        rule = DataValidation("date", operator="greaterThan", formula1="36526")  # 2000-01-01
    elif column.kind in _NUMBERS:
        whole = column.kind is CellKind.COUNT
        rule = DataValidation(
            "whole" if whole else "decimal",
            operator="greaterThan" if column.range.above else "greaterThanOrEqual",
            formula1=f"{column.range.low:g}",
        )
    if rule is None:
        return
    rule.allow_blank, rule.showErrorMessage = True, True
    rule.errorTitle, rule.error = column.heading[:32], f"Write {wanted(column)}."
    rule.add(cells)
    page.add_data_validation(rule)


def requests(farm: Farm, asked: Sequence[QuantityAsked]) -> Iterator[tuple[Supplier, bytes, int]]:
    """Yield each supplier that is asked for anything, its workbook, and the number of items."""
    by_item = {one.item: one for one in asked}
    for supplier in farm.suppliers:
        content = request_workbook(farm, supplier, by_item)
        if content is not None:
            count = sum(item.name in by_item for item in items_asked(farm, supplier.name))
            yield supplier, content, count
