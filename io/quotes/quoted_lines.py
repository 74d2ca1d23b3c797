"""The lines of a quotation: its rows as what is quoted for each item, in our units."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from openpyxl.utils import get_column_letter

from ...models.fault import closest
from ...models.goods.item import Item
from ...models.goods.price import Scheme
from ..figures.currency import may_be
from ..figures.units import conversion
from ..layout.column import InputColumn
from ..layout.quotation import BREAKS, FROM, IGNORE, TERMS, UNIT_PRICE
from ..reading.cells import Cell, RefusedError, currency_shown, value_of
from ..reading.table import InputTable, Row
from ..words.grammar import as_found, plain, price_text
from .layout_words import PRICED_PER, Meaning, Meanings, folded
from .quotation import QuotedLine
from .quoted_table import Reading, texts

FAR_OFF = 2.0
"""Times the farm's own price of an item, or its reciprocal, beyond which a price is asked about."""

EACH = {"", "each", "ea", "pc", "pcs", "piece", "pieces", "unit", "units", "no", "nos"}
LENGTH = {"length", "lengths", "coil", "coils", "shot", "shots"}
_MANY = re.compile(r"(\d+)\s*(.*)")
_TOTAL = re.compile(r"(sub)?-?\s*(total|sum)\b")
TERM_NAMES = frozenset(term.heading for term in TERMS)


class UnsureError(ValueError):
    """Raised for a unit that cannot be converted to ours."""


def quoted_lines(
    read: Reading, table: InputTable, top: int, meanings: Meanings
) -> tuple[list[QuotedLine], list[str]]:
    """Return what is quoted, and which items are named without a price."""
    heads: dict[int, Meaning] = {}
    seen: dict[str, str] = {}
    for number, text in texts(table.rows[top]):
        meaning, first = meanings.get(folded(text)), table.rows[top].number
        at = f"{get_column_letter(number)}{first}"
        if meaning is None:
            message = f"the column {as_found(text)} is not read: it is not on the Map sheet"
            read.say(table.title, first, at, "", message, error=False)
        elif meaning.ours != IGNORE and meaning.ours in seen:
            message = f"{as_found(text)} and {as_found(seen[meaning.ours])} are both {meaning.ours}"
            read.say(table.title, first, at, meaning.ours, message)
        else:
            seen[meaning.ours] = text
            heads[number] = meaning
    rows: dict[str, list[_Line]] = {}
    not_quoted: list[str] = []
    for row in table.rows[top + 1 :]:
        line = _line(read, table, row, heads, meanings)
        if line is None:
            continue
        if line.price is None:
            if line.item.name not in not_quoted:
                not_quoted.append(line.item.name)
            continue
        rows.setdefault(line.item.name, []).append(line)
    lines = [_gathered(read, table, of_item) for of_item in rows.values()]
    return lines, [name for name in not_quoted if name not in rows]


@dataclass
class _Line:
    """One row under way: values by field, in our units."""

    item: Item
    row: int
    price: float | None
    place: str
    values: dict[str, Any]
    breaks: list[tuple[int, float]]


def _line(
    read: Reading, table: InputTable, row: Row, heads: Mapping[int, Meaning], meanings: Meanings
) -> _Line | None:
    """Return one row's item and what is said of it; None where it is no row of an item."""
    named = next((n for n, m in heads.items() if m.ours == "Item"), 0)
    cell = row.cells.get(named)
    priced = [n for n, m in heads.items() if m.column is UNIT_PRICE and n in row.cells]
    if cell is None or cell.is_blank:
        if priced:
            at = row.cells[priced[0]].address
            read.say(table.title, row.number, at, "Item", "a price without an item: name it")
        return None
    text = str(cell.value)
    meaning = meanings.get(folded(text))
    items = {item.name.casefold(): item for item in read.farm.items}
    item = items.get(folded(text)) or (items.get(meaning.ours.casefold()) if meaning else None)
    if item is None:
        if _TOTAL.match(folded(text)) or (meaning is not None and meaning.ours in TERM_NAMES):
            return None
        near = closest(text, read.farm.item_by_name)
        message = f"{as_found(text)} is no item of the farm{near}"
        if priced:
            message += "; say on the Map sheet which it is, or 'ignore'"
        if meaning is None or meaning.ours != IGNORE:
            read.say(table.title, row.number, cell.address, "Item", message, error=bool(priced))
        return None
    per = next((row.cells.get(n) for n, m in heads.items() if m.ours == PRICED_PER), None)
    own_unit = plain(str(per.value)) if per is not None and not per.is_blank else ""
    line = _Line(item, row.number, None, "", {}, [])
    for number, head in heads.items():
        there, column = row.cells.get(number), head.column
        if there is None or there.is_blank or column is None or head.ours == "Item":
            continue
        unit = head.unit or (own_unit if _is_price(column) else "")
        try:
            value = _value(there, column, item, unit)
            _refuse_other_currency(read, there, column)
        except (RefusedError, UnsureError) as refused:
            read.say(table.title, row.number, there.address, head.ours, str(refused))
            continue
        if head.from_quantity is not None:
            line.breaks.append((head.from_quantity, value))
        elif column is UNIT_PRICE:
            line.price, line.place = value, f"{table.title}!{there.address}".lstrip("!")
            _ask_about(read, table, row, there, item, value)
        else:
            line.values[column.field] = value
    if line.price is None and (line.breaks or "price_1" in line.values):
        message = "breaks without a price below the first: fill the unit price"
        read.say(table.title, row.number, cell.address, "Unit price", message)
    return line


def _is_price(column: InputColumn) -> bool:
    return column is UNIT_PRICE or column.field.startswith("price_")


def _value(cell: Cell, column: InputColumn, item: Item, unit: str) -> Any:
    """Return a cell's value in our unit. Raises RefusedError, and UnsureError for the unit."""
    if _is_price(column):
        return value_of(cell, column, 1.0)[0] * _price_scale(item, unit)
    if not unit:
        return value_of(cell, column)[0]
    if column.unit:
        scale = conversion(unit, column.unit)
        if scale is None:
            raise UnsureError(f"the unit '{unit}' is not one of {column.unit}: say it in the Map")
        return value_of(cell, column, scale)[0]
    metres = conversion(unit, "m")
    if metres is None or not item.length_sold_m:
        if unit.casefold() in EACH | LENGTH:
            return value_of(cell, column)[0]
        raise UnsureError(f"'{unit}' does not count '{item.name}', sold as {item.sold_as}")
    number = value_of(cell, InputColumn(column.heading, column.field, column.help))[0]
    lengths = number * metres / item.length_sold_m
    rounded: Callable[[float], int] = math.floor if column.field == "available" else math.ceil
    return rounded(round(lengths, 9))


def _refuse_other_currency(read: Reading, cell: Cell, column: InputColumn) -> None:
    """Raise RefusedError where a price shows another currency than the seller's."""
    shown = currency_shown(cell, column)
    if shown and read.currency and not may_be(shown, read.currency):
        raise RefusedError(
            f"the cell shows {shown}, but Suppliers has the seller in {read.currency}: change it "
            "there, or ask again"
        )


def _price_scale(item: Item, unit: str) -> float:
    """Return what a price for so much of an item is multiplied by to be ours: each, or per m."""
    many = _MANY.fullmatch(unit.casefold())
    number, name = (float(many[1]), many[2].strip()) if many else (1.0, unit.casefold())
    if not number:
        raise UnsureError(f"'{unit}' is no unit of a price")
    if not item.length_sold_m:
        if name not in EACH:
            raise UnsureError(f"'{unit}' does not count '{item.name}', which is sold each")
        return 1.0 / number
    if name in LENGTH:
        return 1.0 / (number * item.length_sold_m)
    metres = conversion(name, "m") if name else 1.0
    if metres is None:
        raise UnsureError(f"'{unit}' does not measure '{item.name}': needs m, ft or length")
    return 1.0 / (number * metres)


def _ask_about(
    read: Reading, table: InputTable, row: Row, cell: Cell, item: Item, price: float
) -> None:
    """Ask about a price far off what the farm has for the item: is it for another unit?"""
    per_unit = (item.length_sold_m or 1.0) * read.exchange_rate
    known = [o.prices.brackets[0].price * o.exchange_rate / per_unit for o in item.offers]
    if not known or min(known) / FAR_OFF <= price <= max(known) * FAR_OFF:
        return
    each = "per m" if item.length_sold_m else "each"
    ours = f"{read.currency} {price_text(min(known))}".strip()
    message = (
        f"{price_text(price)} {each} is far off the farm's {ours}: is it for another unit, or in "
        "another currency?"
    )
    read.say(table.title, row.number, cell.address, "Unit price", message, error=False)


def _gathered(read: Reading, table: InputTable, rows: list[_Line]) -> QuotedLine:
    """Return the rows of one item as one line: one row, or one for each break."""
    first = min(rows, key=lambda line: line.values.get(FROM.field, 0))
    breaks = list(first.breaks)
    for other in rows:
        if other is first:
            continue
        start = other.values.get(FROM.field)
        if start is None or FROM.field not in first.values:
            message = f"'{first.item.name}' is quoted twice (first in row {first.row}); keep one"
            read.say(table.title, other.row, other.place.rpartition("!")[2], "Item", message)
            continue
        assert other.price is not None
        breaks.append((start, other.price))
    for number in range(1, BREAKS + 1):
        start, price = first.values.get(f"from_{number}"), first.values.get(f"price_{number}")
        if (start is None) != (price is None):
            what = "price" if price is None else "quantity"
            message = f"break {number} has no {what}"
            read.say(table.title, first.row, "", f"Break {number} {what}", message)
        elif start is not None and price is not None:
            breaks.append((start, price))
    assert first.price is not None
    own = first.values
    return QuotedLine(
        first.item.name,
        first.price,
        first.place,
        own.get("minimum_order", 0),
        own.get("order_multiple", 1),
        own.get("available"),
        own.get("lead_time_days"),
        tuple(sorted(breaks)),
        own.get("scheme", Scheme.ALL_UNITS),
    )
