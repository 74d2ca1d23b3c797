"""A quotation read from a supplier's file: every fault by file and cell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

from ...models.farm import Farm
from ...models.fault import FarmError, Fault, closest
from ...models.goods.supplier import LayoutWord, Supplier
from ..figures.currency import currencies_in, may_be
from ..layout.quotation import SHEET, TERMS, UNIT_PRICE, Told
from ..reading.cells import Cell, RefusedError, value_of
from ..reading.table import InputTable
from ..words.grammar import as_found, plain
from .layout_words import Meanings, folded, mapped_meanings, own_meanings, unknown_words
from .proposal import as_map, proposed_meanings
from .quotation import Quotation
from .quoted_files import tables_of
from .quoted_lines import quoted_lines
from .quoted_table import Reading, header, texts, with_marks

BESIDE = 2
"""Columns to the right of a label in which its value may stand: farther off is something else."""

TERM_FIELDS = {term.heading: term.field for term in TERMS}


def read_quotation(path: Path, farm: Farm) -> Quotation:
    """Return what a file quotes; whatever is wrong with it is in its faults.

    It is read in our own layout, else by the rows of the Map sheet for its supplier, else by a map
    that is proposed from its headings, and is then returned with it.
    """
    read = Reading(farm, path.name)
    try:
        tables = tables_of(path)
    except FarmError as error:
        return Quotation(path.name, "", faults=error.faults)
    supplier, rows = _mapped(path.name, farm)
    if _is_ours(tables):
        meanings, proposed = own_meanings(), False
    elif rows:
        meanings, proposed = mapped_meanings(rows), False
        for row, why in unknown_words(rows, farm.item_by_name):
            read.faults.append(Fault.at(row.source, "Our word", why))
    else:
        meanings, proposed = proposed_meanings(tables, farm), True
    found = header(tables, meanings)
    if found is None:
        message = "no row holds the headings of an item and of a price"
        told = (
            "; by the Map sheet"
            if rows and not proposed
            else ": say on the Map sheet which words stand for them in files of that name; if "
            "it is no quotation, move it elsewhere"
        )
        read.faults.append(Fault(path.name, 0, "", "", message + told))
        return Quotation(path.name, supplier or "", faults=tuple(read.faults))
    table, top = with_marks(found[0], found[1], meanings), found[1]
    read.faults += (replace(said, sheet=read.place(table.title)) for said in table.warnings)
    terms = _terms(read, table, top, meanings)
    seller = _seller(read, supplier, terms, path.name)
    _check_currency(read, table, top, meanings, terms, seller)
    _check_validity(read, table, terms)
    lines, not_quoted = quoted_lines(read, table, top, meanings)
    return Quotation(
        path.name,
        seller.name if seller else "",
        () if read.failed else tuple(lines),
        tuple(not_quoted),
        str(terms.get("quotation", ("", ""))[0]),
        terms.get("valid_until", (None, ""))[0],
        terms.get("delivery_term", (None, ""))[0],
        str(terms.get("payment_terms", ("", ""))[0]),
        tuple(read.faults),
        as_map(table, top, meanings, seller, path.name) if proposed and seller else (),
    )


def _mapped(name: str, farm: Farm) -> tuple[str | None, list[LayoutWord]]:
    """Return the supplier whose map fits a file's name, and its rows for that name: a supplier may
    have several layouts, each with its pattern."""
    for supplier in farm.suppliers:
        rows = [row for row in farm.layout_words if row.supplier == supplier.name]
        fits = [r for r in rows if r.file and fnmatch(name.casefold(), r.file.casefold())]
        general = [row for row in rows if not row.file]
        if fits or (general and _squeezed(supplier.name) in _squeezed(name)):
            return supplier.name, [*general, *fits]
    return None, []


def _squeezed(text: str) -> str:
    """Return the letters and digits of a text, no capitals."""
    return "".join(letter for letter in text.casefold() if letter.isalnum())


def _is_ours(tables: Sequence[InputTable]) -> bool:
    """Tell whether a file is a request of ours: its sheet, and no heading but ours; or a text of
    such a sheet, by headings that no other layout has."""
    ours = [
        table for table in tables if table.is_text or table.title.casefold() == SHEET.casefold()
    ]
    meanings = own_meanings()
    found = header(ours, meanings)
    if found is None:
        return False
    words = {folded(text) for _, text in texts(found[0].rows[found[1]])}
    asked = {folded(told) for told in (Told.SOLD_AS, Told.BREAKS, Told.PRICED_PER)}
    return words <= meanings.keys() and (not found[0].is_text or asked <= words)


def _check_validity(read: Reading, table: InputTable, terms: Terms) -> None:
    """Say where a quotation is no longer valid on the day of the order: once, not by line."""
    until, at = terms.get("valid_until", (None, ""))
    ordered = read.farm.project.order_date
    if until is not None and ordered is not None and until < ordered:
        message = f"{until} is before the order date, {ordered}: ask for the quotation again"
        read.say(table.title, 0, at, "Valid until", message)


Terms = dict[str, tuple[Any, str]]
"""Field → value and the address of its cell."""


def _terms(read: Reading, table: InputTable, top: int, meanings: Meanings) -> Terms:
    """Return the terms above and below the rows: the cell right of a label, or behind its colon."""
    found: Terms = {}
    for at, row in enumerate(table.rows):
        if at == top:
            continue
        cells = sorted(row.cells.items())
        for number, text in texts(row):
            label, _, behind = text.partition(":")
            meaning = meanings.get(folded(text)) or meanings.get(folded(label))
            name = TERM_FIELDS.get(meaning.ours) if meaning else None
            if name is None or name in found:
                continue
            near = (c for n, c in cells if number < n <= number + BESIDE and not c.is_blank)
            value = next(near, None)
            if plain(behind):
                value = Cell(row.cells[number].address, plain(behind))
            if value is None:
                continue
            term = next(each for each in TERMS if each.field == name)
            try:
                found[name] = (value_of(value, term)[0], value.address)
            except RefusedError as refused:
                read.say(table.title, row.number, value.address, term.heading, str(refused))
    return found


def _seller(read: Reading, mapped: str | None, terms: Terms, name: str) -> Supplier | None:
    """Return who quotes: as the map, the file itself, or its name says."""
    by_fold = {supplier.name.casefold(): supplier for supplier in read.farm.suppliers}
    stated, at = terms.get("supplier", ("", ""))
    if mapped is not None:
        return by_fold[mapped.casefold()]
    if stated:
        seller = by_fold.get(folded(str(stated)))
        if seller is None:
            near = closest(str(stated), [one.name for one in by_fold.values()])
            message = f"'{stated}' is not in Suppliers{near}"
            read.faults.append(Fault(read.file, 0, at, "Supplier", message))
        return seller
    within = [s for s in read.farm.suppliers if _squeezed(s.name) in _squeezed(name)]
    if len(within) == 1:
        return within[0]
    message = (
        "whose quotation is it? Neither its cells nor its name say: put the supplier's name into "
        "the file's name, or its pattern on the Map sheet"
    )
    read.faults.append(Fault(read.file, 0, "", "Supplier", message))
    return None


def _check_currency(
    read: Reading,
    table: InputTable,
    top: int,
    meanings: Meanings,
    terms: Terms,
    seller: Supplier | None,
) -> None:
    """Hold the currency that a quotation states, or its headings of prices, against the seller's:
    its cells are held against that where they are read."""
    if seller is None:
        return
    read.currency, read.exchange_rate = seller.currency, seller.exchange_rate
    wrong = f"but Suppliers has '{seller.name}' in {seller.currency}: change it there, or ask again"
    stated, at = terms.get("currency", ("", ""))
    if stated and folded(str(stated)) != seller.currency.casefold():
        read.say(table.title, 0, at, "Currency", f"found {as_found(stated)}, {wrong}")
    headed = False
    for number, text in texts(table.rows[top]):
        meaning = meanings.get(folded(text))
        if meaning is None or meaning.column is not UNIT_PRICE:
            continue
        for word in currencies_in(text):
            headed = True
            if not may_be(word, seller.currency):
                address = table.rows[top].cells[number].address
                message = f"the heading {as_found(text)} says {word}, {wrong}"
                read.say(table.title, table.rows[top].number, address, "Currency", message)
    if not stated and not headed:
        message = f"no currency is stated: taken for {seller.currency}, as on Suppliers"
        read.say(table.title, 0, "", "Currency", message, error=False)
