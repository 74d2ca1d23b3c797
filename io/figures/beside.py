"""Words beside a figure, in a heading's brackets or in a cell: what they make of its number."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from ..layout.column import CellKind, InputColumn
from ..words.grammar import plain
from .currency import is_currency
from .units import conversion, units_like


@dataclass(frozen=True)
class Beside:
    """What the words beside a figure say."""

    factor: float = 1.0
    """What the number is multiplied by: 1000 for "k", 12 for "dozen"."""
    unit: float | None = None
    """What it is multiplied by to be in the column's unit; None where no unit is said."""
    percent: bool = False
    currency: str = ""
    """A currency's sign or code."""


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


EACH = _words(
    "each ea pc pcs pce pces piece pieces no nos number unit units off item items stk "
    "stück count qty -"
)
_TIMES = {
    1000.0: "k thousand thousands tsd 000 000s",
    1e6: "mio mn million millions",
    12.0: "dozen dozens doz dz",
    100.0: "hundred hundreds",
    2.0: "pair pairs",
}
_FACTORS = {word: factor for factor, words in _TIMES.items() for word in words.split()}
_OF_MONEY = {1000.0, 1e6}
"""Factors that stand beside amounts; a price by the dozen is another price."""
_PERCENT = frozenset(("%", "percent", "per cent", "pct", "p.c"))
_PER_MILLE = frozenset(("‰", "per mille", "permille", "per mil", "promille"))
_OF_WHAT = {
    "% of price", "% of value", "% ad valorem", "% of goods", "% of goods and freight", "% of days",
    "% kept", "% of breaking load", "% of holding", "% of volume", "% of anchors", "% of total",
    "% of the total", "% of time", "% of mbl",
}  # fmt: skip
_SHARES = _words("share fraction ratio - 0-1 0..1") | {"0 to 1", "cov", "coefficient"}
_BARE = _words("- – — none ratio factor x × unitless dimensionless")
_ONE_BY_ONE = re.compile(r"(?:/|per |a |pr )\s*(\S+)")
_TIME_WORDS = re.compile("[dmyjat]{1,4}(?:[-/. ][dmyjat]{1,4}){0,2}|date|iso|iso 8601")
_YES_NO = re.compile("(?:y|yes|true|1|x|j)\\s*(?:/|or|,|;)\\s*(?:n|no|false|0|blank)")

_WORDED = {CellKind.NAME, CellKind.TEXT, CellKind.NAMES}


def beside(words: str, column: InputColumn) -> Beside | None:
    """Return what words say of a figure of the column; None where they are not known there."""
    said = unicodedata.normalize("NFKC", plain(words))
    small = said.casefold().rstrip(".'").lstrip("'’")
    if not small:
        return Beside()
    if column.kind in (CellKind.PERCENT, CellKind.SHARE):
        return _percent(small, column)
    if column.kind is CellKind.MONEY:
        return _money(said, column)
    if column.unit:
        scale = conversion(said, column.unit)
        if scale is None and _FACTORS.get(small) == 1000.0 and column.kind is CellKind.NUMBER:
            return Beside(1000.0)
        if scale is not None:
            return Beside(unit=scale)
    if column.kind is CellKind.COUNT:
        if small in EACH and not column.unit:
            return Beside()
        if small in _FACTORS and conversion("length", column.unit or "each") is not None:
            return Beside(_FACTORS[small])
        return None
    if column.kind is CellKind.NUMBER and not column.unit and small in _BARE:
        return Beside()
    return None


def _percent(small: str, column: InputColumn) -> Beside | None:
    if small in _PERCENT:
        return Beside(percent=True)
    if small in _PER_MILLE:
        return Beside(0.1, percent=True)
    own = column.unit.casefold()
    if small == own or (own in ("%", "") and small in _OF_WHAT):
        return Beside(percent=True)
    if column.kind is CellKind.SHARE and small in _SHARES:
        return Beside()
    return None


def _money(said: str, column: InputColumn) -> Beside | None:
    """Return what stands beside an amount: a currency, thousands, or what it is the price of."""
    factor, currency, rest = 1.0, "", []
    for word in re.sub("/", " / ", said).split():
        small = word.casefold()
        if not currency and is_currency(word):
            currency = word
        elif not currency and small.startswith("k") and is_currency(word[1:]):
            factor, currency = 1000.0, word[1:]
        elif _FACTORS.get(small.strip("'’.")) in _OF_MONEY and factor == 1.0:
            factor = _FACTORS[small.strip("'’.")]
        else:
            rest.append(small)
    left = " ".join(rest).replace(" 's", "'s")
    if left in ("", "supplier's currency", "suppliers' currency", "currency", "its currency",
                "service's currency", "local currency"):  # fmt: skip
        return Beside(factor, currency=currency)
    if column.unit:
        scale = conversion(left.replace("/ ", "per "), column.unit)
        return None if scale is None else Beside(factor, scale, currency=currency)
    one = _ONE_BY_ONE.fullmatch(left)
    piece = one[1] if one else left
    if column.heading == "Unit price" and piece in EACH | {"anchor", "fitting"}:
        return Beside(factor, currency=currency)
    return None


def word_known(words: str, column: InputColumn) -> bool:
    """Tell whether a bracket under a heading that holds no figure may say `words`."""
    small = unicodedata.normalize("NFKC", plain(words)).casefold()
    if column.kind in _WORDED:
        measure = conversion(small, small)
        return measure is None or small in EACH or conversion(small, "each") is not None
    if column.kind is CellKind.DATE:
        return _TIME_WORDS.fullmatch(small) is not None
    if column.kind is CellKind.YES_NO:
        return _YES_NO.fullmatch(small) is not None
    if column.kind is CellKind.NUMBERS:
        return small in ("", "x", "×", "x depth", "× depth", "times depth", "times the depth")
    assert column.choices is not None
    return any(choice and choice.casefold() in small for choice in column.choices)


def known_words(column: InputColumn) -> str:
    """Return what may stand in the brackets of a column's heading, as a hint."""
    match column.kind:
        case CellKind.PERCENT:
            return "use %" if column.unit in ("", "%") else f"use {column.unit}"
        case CellKind.SHARE:
            return "use share or %"
        case CellKind.MONEY:
            each = column.unit or ("each" if column.heading == "Unit price" else "")
            return "known are a currency, '000" + (f" and {each}" if each else "")
        case CellKind.COUNT if conversion("length", column.unit or "each") is not None:
            return f"known are {column.unit or 'each'}, pcs, dozen and '000".replace(
                "lengths, pcs", "lengths"
            )
        case CellKind.YES_NO:
            return "use yes/no"
        case CellKind.DATE:
            return "use yyyy-mm-dd"
        case CellKind.NUMBERS:
            return f"use {column.unit}" if column.unit else "write none"
        case CellKind.CHOICE:
            assert column.choices is not None
            return f"known are {', '.join(str(choice) for choice in column.choices if choice)}"
    return f"use {units_like(column.unit)}" if column.unit else f"write '{column.heading}'"
