"""What the words of a quotation's layout stand for: by our own, by a map, or as proposed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ...models.fault import closest
from ...models.goods.supplier import LayoutWord
from ..layout.column import InputColumn
from ..layout.quotation import FROM, IGNORE, LINES, PRICE_FROM, TERMS, UNIT_PRICE, Told
from ..words.grammar import plain

PRICED_PER = str(Told.PRICED_PER)

COLUMNS: dict[str, InputColumn] = {c.heading.casefold(): c for c in (*LINES, FROM, *TERMS)}
"""Our headings and terms."""

_BREAK = re.compile(rf"{PRICE_FROM} (\d+)", re.IGNORECASE)
_UNIT = re.compile(r"(?:\bper\b|/)\s*(\d*\s*[a-zA-Z]+)\s*\)?$")
_BRACKETED = re.compile(r"[(\[]\s*([^()\[\]]+?)\s*[)\]]")

PATTERNS: tuple[tuple[str, str], ...] = (
    (IGNORE, r"\btotals?\b|amount|extended|extension|\bvalue\b|list price|\bvat\b|discount"),
    ("Valid until", r"\bvalid|validity|expires"),
    ("Delivery term", r"incoterm|delivery terms?|terms of delivery"),
    ("Payment terms", r"payment"),
    ("Quotation", r"^(our )?(quote|quotation|offer)( no| number| ref| reference)?\.?$|^our ref"),
    ("Supplier", r"^(supplier|seller|vendor|company)( name)?$"),
    ("Currency", r"^curr(ency)?\b"),
    ("From quantity", r"^from (qty|quantity)|^(qty|quantity) from|^break (qty|quantity)"),
    (PRICE_FROM, r"(?:from|over)\s*(\d+)|\b(\d+)\s*(?:\+|and more|or more|and up)"),
    ("Minimum order", r"\bmoq\b|\bmin(imum)?\b"),
    ("Order multiple", r"\bpack|multiple|lot size"),
    ("Available", r"avail|\bstock\b"),
    ("Lead time", r"\blead|deliver|\bready\b|\bweeks?\b|dispatch"),
    (PRICED_PER, r"^(uom|unit|per|price per|unit of measure|sold per)$"),
    ("Unit price", r"price|\brate\b|^(eur|usd|gbp|nok|dkk|€|\$|£)\s*(/|per)"),
    ("Item", r"^(item|article|product|material|part|your ref(erence)?|goods)( no| name)?\.?$"),
)
"""Ours → the usual other words of the trade for it, tried in turn (common practice, no source)."""


@dataclass(frozen=True)
class Meaning:
    """What a word of a layout stands for."""

    ours: str
    """A heading or term of a quotation, `Price from N`, `Price per`, an item, or `ignore`."""
    unit: str = ""
    """Theirs; "": ours."""

    @property
    def column(self) -> InputColumn | None:
        """The column whose cells it heads; None for what heads none."""
        if self.from_quantity is not None:
            return UNIT_PRICE
        return COLUMNS.get(self.ours.casefold())

    @property
    def from_quantity(self) -> int | None:
        """The quantity of the break whose prices it heads."""
        found = _BREAK.fullmatch(self.ours)
        return int(found[1]) if found else None


Meanings = Mapping[str, Meaning]
"""By their word as `folded` returns it."""


def folded(word: str) -> str:
    """Return a word as words are compared: no capitals, no spaces around, no colon or star."""
    return plain(word).rstrip("*: ").casefold()


def own_meanings() -> dict[str, Meaning]:
    """Return the words of the layout that we ask in."""
    words: dict[str, Meaning] = {}
    for column in COLUMNS.values():
        words[folded(column.heading)] = words[folded(column.title)] = Meaning(column.heading)
    for told in Told:
        words[folded(told)] = Meaning(PRICED_PER if told is Told.PRICED_PER else IGNORE)
    return words


def mapped_meanings(rows: Iterable[LayoutWord]) -> dict[str, Meaning]:
    """Return the words of a map."""
    return {folded(row.theirs): Meaning(plain(row.ours), plain(row.unit)) for row in rows}


def unknown_words(rows: Sequence[LayoutWord], items: Iterable[str]) -> list[tuple[LayoutWord, str]]:
    """Return the rows of a map whose own word is none of ours, each with what to say of it."""
    known = {item.casefold() for item in items} | set(COLUMNS)
    known |= {IGNORE, PRICED_PER.casefold()}
    spelt = [*(c.heading for c in COLUMNS.values()), *items]
    return [
        (row, f"'{row.ours}' is no heading of a quotation and no item{closest(row.ours, spelt)}")
        for row in rows
        if plain(row.ours).casefold() not in known and not _BREAK.fullmatch(plain(row.ours))
    ]


def proposed_meaning(word: str) -> Meaning | None:
    """Return what a word most likely stands for, by the trade's usual words; None: no idea."""
    text = folded(word)
    bracketed = _BRACKETED.search(text)
    bare = plain(_BRACKETED.sub("", text))
    for ours, pattern in PATTERNS:
        found = re.search(pattern, bare) or re.search(pattern, text)
        if not found:
            continue
        if ours == PRICE_FROM:
            quantity = next(group for group in found.groups() if group)
            ours = f"{PRICE_FROM} {quantity}" if int(quantity) > 1 else "Unit price"
        return Meaning(ours, _unit_of(ours, text, bracketed[1] if bracketed else ""))
    return None


def _unit_of(ours: str, text: str, bracketed: str) -> str:
    """Return the unit that a heading states for its numbers."""
    if ours == "Lead time":
        return "weeks" if "week" in text else ""
    if ours == "Unit price" or ours.startswith(PRICE_FROM):
        stated = _UNIT.search(bracketed) or _UNIT.search(text)
        return plain(stated[1]) if stated else ""
    return ""
