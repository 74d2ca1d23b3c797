"""A map proposed for a quotation in a layout that nobody has mapped yet: to be looked at."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from ...models.farm import Farm
from ...models.fault import closest
from ...models.goods.supplier import LayoutWord, Supplier
from ..layout.quotation import IGNORE, TERMS, UNIT_PRICE
from ..reading.table import InputTable
from ..words.grammar import plain
from .layout_words import Meaning, Meanings, folded, proposed_meaning
from .quoted_table import texts

TERM_NAMES = frozenset(term.heading for term in TERMS)


def proposed_meanings(tables: Sequence[InputTable], farm: Farm) -> dict[str, Meaning]:
    """Return what every word of the files most likely stands for, items by their likeness."""
    meanings: dict[str, Meaning] = {}
    for table in tables:
        for row in table.rows:
            for _, text in texts(row):
                meaning = proposed_meaning(text) or _labelled(text)
                if meaning is not None:
                    meanings.setdefault(folded(text), meaning)
    top = _likely_header(tables, meanings)
    if top is not None:
        _only_one_each(*top, meanings)
        _item_column(*top, meanings, farm)
    return meanings


def _labelled(text: str) -> Meaning | None:
    """Return what the label of a "label: value" cell stands for."""
    label, colon, value = text.partition(":")
    return proposed_meaning(label) if colon and plain(value) else None


def _likely_header(
    tables: Sequence[InputTable], meanings: Meanings
) -> tuple[InputTable, int] | None:
    """Return the row with the most words that head columns, a price among them."""
    best: tuple[int, InputTable, int] | None = None
    for table in tables:
        for at, row in enumerate(table.rows):
            heads = [meanings[folded(t)] for _, t in texts(row) if folded(t) in meanings]
            named = {m.ours for m in heads if m.ours not in (*TERM_NAMES, IGNORE)}
            priced = any(m.column is UNIT_PRICE for m in heads)
            if priced and (best is None or len(named) > best[0]):
                best = (len(named), table, at)
    return None if best is None else (best[1], best[2])


def _only_one_each(table: InputTable, top: int, meanings: dict[str, Meaning]) -> None:
    """Of several headings that could be the same, keep one: a net price before others."""
    by_ours: dict[str, list[str]] = {}
    for _, text in texts(table.rows[top]):
        meaning = meanings.get(folded(text))
        if meaning is not None and meaning.ours != IGNORE:
            by_ours.setdefault(meaning.ours, []).append(folded(text))
    for words in by_ours.values():
        kept = next((word for word in words if "net" in word), words[0])
        for word in words:
            if word != kept:
                meanings[word] = Meaning(IGNORE)


def _item_column(table: InputTable, top: int, meanings: dict[str, Meaning], farm: Farm) -> None:
    """Take for the items the column whose cells are most like the farm's, and name them."""
    items = {item.name.casefold(): item.name for item in farm.items}
    best: tuple[float, str, dict[str, Meaning]] = (0.0, "", {})
    for number, text in texts(table.rows[top]):
        alike: dict[str, Meaning] = {}
        score = 0.0
        for row in table.rows[top + 1 :]:
            cell = row.cells.get(number)
            if cell is None or not isinstance(cell.value, str):
                continue
            name = items.get(folded(cell.value)) or _closest_item(cell.value, items)
            if name is not None:
                score += 1.0 if folded(cell.value) == name.casefold() else 0.5
                alike[folded(cell.value)] = Meaning(name)
        if score > best[0]:
            best = (score, folded(text), alike)
    if not best[1]:
        return
    for word, meaning in list(meanings.items()):
        if meaning.ours == "Item":
            meanings[word] = Meaning(IGNORE)
    meanings.update(best[2])
    meanings[best[1]] = Meaning("Item")


def _closest_item(text: str, items: Mapping[str, str]) -> str | None:
    """Return the item most like a text: all its words in it, else the closest in letters."""
    words = set(re.findall(r"[a-z]+|\d+", text.casefold()))
    within = [name for fold, name in items.items() if set(re.findall(r"[a-z]+|\d+", fold)) <= words]
    if len(within) == 1:
        return within[0]
    told = closest(folded(text), items)
    named = re.search(r"'(.+)'", told)
    if named is None or len(within) > 1:
        return None
    digits = re.findall(r"\d+", named[1])
    # Chain 20 is not chain 22, however alike the words are.
    return items[named[1].casefold()] if digits == re.findall(r"\d+", text) else None


def as_map(
    table: InputTable, top: int, meanings: Meanings, seller: Supplier | None, name: str
) -> tuple[LayoutWord, ...]:
    """Return a proposal as rows of the Map sheet, for every heading, label and item met."""
    if seller is None:
        return ()
    stem, dot, ending = name.rpartition(".")
    pattern = re.sub(r"\d+", "*", stem) + dot + ending if dot else name
    words = {
        folded(text): plain(text).rstrip(":* ") for row in table.rows for _, text in texts(row)
    }
    for text in list(words.values()):
        label, colon, value = text.partition(":")
        if colon and plain(value) and folded(text) in meanings:
            words[folded(text)] = plain(label)
    headings = {folded(text) for _, text in texts(table.rows[top])}
    rows = []
    for word, spelt in words.items():
        meaning = meanings.get(word, Meaning(IGNORE) if word in headings else None)
        if meaning is not None:
            rows.append(LayoutWord(seller.name, spelt, meaning.ours, meaning.unit, pattern))
    return tuple(rows)
