"""The book: the output workbook while its sheets are being written."""

from __future__ import annotations

import io
import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from ...models.answer.plan import Part, Plan
from ...models.goods.item import OfferKey
from ..words.grammar import clean
from ..words.orders import Line
from .openpyxl_parts import Formats, set_normal_font
from .page import Dress, Formula, HandWritten, Page, SheetColumn, Value, written_over
from .stored_values import with_stored_values
from .style import FONTS, Look

DATA_ROWS_PRINTED = 30
"""Of a sheet that holds what charts draw."""

AS_PRICED = "as priced"
"""What a flag says while nothing that it looks at was edited."""

LONGEST_SHEET_NAME = 31
"""Characters (Excel specifications and limits)."""


class Book:
    """A workbook being written: its pages, in order."""

    def __init__(
        self, title: str, hand: HandWritten | None = None, dated: str = "", *, plain: bool = False
    ) -> None:
        """hand : what a hand has written into fields, by the titles of their sheets. dated : what
        every page says of the date, above on the right. plain : only what its cells say is
        wanted, not how they look: it is quicker, and none to be sent."""
        self.title = title
        self._dated = dated
        self._plain = plain
        self._hand = hand or {}
        self._workbook = Workbook()
        self._workbook.remove(self._workbook.worksheets[0])
        # Column widths count in digits of the Normal style's font: it must be the body's.
        set_normal_font(self._workbook, FONTS[Look.BODY])
        self._stored: list[dict[str, float | str]] = []
        self._dressed: dict[Dress, Formats] = {}
        self.pages: list[Page] = []
        """The sheets begun so far, in order."""

    def page(self, name: str) -> Page:
        """Return a new, empty sheet at the end; its name is made lawful and unique."""
        taken = {sheet.title.casefold() for sheet in self._workbook.worksheets}
        sheet = self._workbook.create_sheet(sheet_name(name, taken))
        self._stored.append({})
        self.pages.append(
            Page(sheet, self._stored[-1], self._hand, self._dressed, self._dated, plain=self._plain)
        )
        return self.pages[-1]

    def by_hand(self, title: str, row: int, column: int, value: Value) -> Value:
        """Return what a hand wrote into a field of a sheet, else the value that it began with."""
        return written_over(self._hand, title, row, column, value)

    def plain_sheet(self, name: str, about: str) -> Worksheet:
        """Return a new sheet at the end that is not written as a page; `about` says what it is."""
        page = self.page(name)
        page.lead = about
        return self._workbook[page.name]

    def data_sheet(self, name: str, headings: Sequence[str]) -> Worksheet:
        """Return a new sheet at the end for what charts draw: plain cells under headings."""
        page = self.page(name)
        page.table(1, [SheetColumn(heading, widest=40) for heading in headings], ())
        page.widths([96.0, 60.0, *[22.0] * (len(headings) - 2)])
        page.lead = "What the charts draw. For the screen: only its first rows are printed."
        page.finish(self.title, heading_row=1, print_rows=DATA_ROWS_PRINTED)
        return self._workbook[page.name]

    @property
    def sheets(self) -> list[Worksheet]:
        """Its sheets, in order."""
        return [self._workbook[page.name] for page in self.pages]

    def content(self) -> bytes:
        """Return the finished workbook as bytes; it is calculated afresh when opened."""
        workbook = self._workbook
        workbook.properties.creator = "moorledger"
        workbook.properties.title = clean(self.title)[:200]
        if workbook.calculation is not None:
            workbook.calculation.fullCalcOnLoad = True
        file = io.BytesIO()
        workbook.save(file)
        return with_stored_values(file.getvalue(), self._stored)


@dataclass(frozen=True)
class OrderedLine:
    """One line of an order, and the cells of its quantity and of what it comes to."""

    supplier: str
    line: Line
    quantity: str
    extended: str


@dataclass(frozen=True)
class Carried:
    """The cells of the packs of an item, their gross mass (kg) and their volume (m³)."""

    packs: str
    kg: str
    m3: str


class PlanBook(Book):
    """A plan's workbook, and where each part of the cost is summed.

    A sheet's module takes a page, writes it, and tells the book which of its cells make up which
    part of the cost; the Summary, written last, adds those cells up by live formulas.
    """

    def __init__(self, plan: Plan, hand: HandWritten | None = None, *, plain: bool = False) -> None:
        ordered = plan.farm.project.order_date
        dated = f"Plan of order date {ordered}" if ordered else ""
        super().__init__(plan.farm.project.name, hand, dated, plain=plain)
        self.plan = plan
        self.part_terms: dict[Part, list[str]] = defaultdict(list)
        """For each part, the terms of its formula, in the project's currency."""
        self.supplier_totals: dict[str, tuple[Formula, Formula]] = {}
        """Supplier → its order's total in its own and in the project's currency."""
        self.supplier_pages: dict[str, Page] = {}
        self.ordered: list[OrderedLine] = []
        """Every line of every order, and where its figures stand."""
        self.number_cells: dict[str, str] = {}
        """Supplier → the cell of its order's number."""
        self.charges: dict[str, str] = {}
        """Supplier → the cell of its order charge, in its currency."""
        self.booking_flags: dict[str, str] = {}
        """Service → the cell that says AS_PRICED, until the orders that it carries are edited."""
        self.carried: dict[OfferKey, Carried] = {}
        """Item and supplier → where what is carried of it stands."""
        self.settings: dict[str, str] = {}
        """Field of Project → the cell that holds its value."""
        self.p80_cell = ""
        """The cell of the cost that is enough four times in five; "": no sheet Risk."""
        self.term_cells: list[tuple[Page, int, int]] = []
        """Where orders name their delivery term: page, row, column."""


def unchanged(flags: Sequence[str], changed: str) -> Formula | None:
    """Return a live flag: `changed` once any of the flags no longer says AS_PRICED, else blank;
    None where there is no flag to look at."""
    if not flags:
        return None
    same = ",".join(f'{flag}="{AS_PRICED}"' for flag in flags)
    return Formula(f'IF(AND({same}),"","{changed}")', "")


def sheet_name(wanted: str, taken: set[str]) -> str:
    """Return a lawful sheet name near `wanted` and not in `taken` (casefolded names).

    At most 31 characters, none of []:*?/\\, no apostrophe at either end, and not "History".
    """
    name = re.sub(r"[\[\]:*?/\\]", " ", clean(wanted).replace("\n", " ").replace("\t", " "))
    name = re.sub(" +", " ", name).strip(" '")[:LONGEST_SHEET_NAME].strip(" '") or "Sheet"
    if name.casefold() == "history":
        name += " sheet"
    number, unique = 1, name
    while unique.casefold() in taken:
        number += 1
        ending = f" {number}"
        unique = name[: LONGEST_SHEET_NAME - len(ending)].rstrip(" '") + ending
    return unique
