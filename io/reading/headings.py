"""Headings: which column a written heading stands for, and in which unit."""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from ...models.fault import closest
from ..figures.beside import Beside, beside, known_words, word_known
from ..figures.currency import is_currency
from ..figures.units import conversion, units_like
from ..layout.column import CellKind, InputColumn
from ..words.grammar import plain
from .other_words import OTHER_WORDS

_BRACKETS = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
_FIGURES = {CellKind.NUMBER, CellKind.COUNT, CellKind.PERCENT, CellKind.SHARE, CellKind.MONEY}
_LONGEST_UNIT = 4
"""Words of a unit that stands behind a heading without brackets: "kg per 10 m"."""


@dataclass(frozen=True)
class Match:
    """What a written heading stands for."""

    column: InputColumn
    scale: float = 1.0
    """What its numbers are multiplied by to be in the column's default unit."""
    problem: str = ""
    """Why its unit cannot be used, or ""."""
    unit: str = ""
    """The unit as its heading, or a row of units, writes it."""
    currency: str = ""
    """The currency that the heading names."""
    other_word: str = ""
    """The word that was taken for the column's own heading, or ""."""


@functools.lru_cache(maxsize=4096)
def _key(text: str) -> str:
    """Return a heading as headings are compared: capitals, points and such do not matter."""
    text = unicodedata.normalize("NFKC", plain(text)).casefold().replace("_", " ")
    text = text.replace(".", " ").replace("-", " ").rstrip(" *:").lstrip(" *")
    return " ".join(text.split())


def match(written: str, columns: Sequence[InputColumn]) -> Match | None:
    """Return the column that a heading stands for, or None where there is none.

    Capitals, spaces around it and a final * do not matter; a unit in brackets may be another of
    the same kind, and may stand without brackets. The trade's other words for it will do.
    """
    text = unicodedata.normalize("NFKC", plain(plain(written).rstrip("*")))
    units = tuple(plain(unit) for unit in _BRACKETS.findall(text))
    name = _key(_BRACKETS.sub(" ", text))
    whole = _key(text)
    for column in columns:
        if whole in (_key(column.title), _key(column.heading)):
            return Match(column, unit=column.unit if whole == _key(column.title) else "")
    if not name:
        return None
    for column in columns:
        found = _by_name(name, units, column, (column.heading,))
        if found is not None:
            return found
    headings = {_key(column.heading) for column in columns}
    for column in columns:
        others = (w for w in OTHER_WORDS.get(column.heading, ()) if _key(w) not in headings)
        found = _by_name(name, units, column, others)
        if found is not None:
            return replace(found, other_word=plain(written))
    return None


def _by_name(
    name: str, units: tuple[str, ...], column: InputColumn, words: Iterable[str]
) -> Match | None:
    """Return the match of a heading with the name `name`, its unit in brackets or behind it."""
    for word in map(_key, words):
        if name == word:
            return _in_units(column, units)
        if column.unit_in_heading:
            # "Price per ft": the end of the heading itself is its unit.
            stem = word.removesuffix(_key(column.unit)) if word.endswith(" per m") else None
            bare = " ".join((name.replace("/", " per "), *units)).replace("  ", " ")
            if stem is not None and bare.startswith((f"{stem}per ", f"{stem}/ per ")):
                return _converted(column, bare.removeprefix(stem))
            if stem is not None and name == stem.strip() and units:
                said = beside(" ".join(units), column)
                if said is not None and said.unit is not None:
                    return _said(column, said, " ".join(units))
        if not units and name.startswith(word):
            for unit in _behind(name.removeprefix(word)):
                if _is_unit(unit, column):
                    return _in_units(column, (unit,))
    return None


def _behind(rest: str) -> Iterator[str]:
    """Yield what may be a unit behind a heading: "Mass kg", "Mass, kg", "Depth in m"."""
    bare = rest.strip()
    if not bare or (rest[0] not in " ,/" and bare):
        return
    for start in (",", "/", "in "):
        if bare.startswith(start) and bare.removeprefix(start).strip():
            bare = bare.removeprefix(start).strip()
            break
    if len(bare.split()) <= _LONGEST_UNIT:
        yield bare


def _is_unit(unit: str, column: InputColumn) -> bool:
    """Tell whether words behind a heading, without brackets, can only be its unit."""
    if column.kind not in _FIGURES:
        return False
    if column.kind is CellKind.MONEY:
        return is_currency(unit.upper()) and len(unit) <= 3
    said = beside(unit, column)
    return said is not None or conversion(unit, unit) is not None


def closest_heading(written: str, columns: Sequence[InputColumn]) -> str:
    """Return "; did you mean 'x'?" for the heading most like `written`, or ""."""
    name = plain(_BRACKETS.sub(" ", plain(written)))
    return closest(name, [column.heading for column in columns])


def _converted(column: InputColumn, unit: str) -> Match:
    scale = conversion(unit, column.unit)
    if scale is None:
        return Match(
            column, problem=f"the unit '{unit}' will not do; use {units_like(column.unit)}"
        )
    return Match(column, scale, unit=unit)


def _in_units(column: InputColumn, units: tuple[str, ...]) -> Match:
    """Return the match of a heading whose name is right, with what stands in its brackets."""
    found = Match(column)
    for unit in units:
        if not unit:
            continue
        one = in_unit(column, unit)
        if one.problem:
            return one
        if found.unit and one.unit and one.scale != found.scale:
            return Match(column, problem=f"has two units, '{found.unit}' and '{one.unit}'")
        found = replace(
            one if one.unit else found,
            currency=one.currency or found.currency,
            column=one.column if one.unit else found.column,
        )
    return found


def in_unit(column: InputColumn, unit: str) -> Match:
    """Return the match of a column whose heading has `unit` in its brackets, or under it."""
    if column.kind not in _FIGURES:
        if word_known(unit, column):
            return Match(column)
        return Match(column, problem=f"'{unit}' is not known here; {known_words(column)}")
    said = beside(unit, column)
    return _problem(column, unit) if said is None else _said(column, said, unit)


def _said(column: InputColumn, said: Beside, unit: str) -> Match:
    if said.percent and column.kind is CellKind.SHARE:
        column = replace(column, kind=CellKind.PERCENT)
    scale = said.factor * (1.0 if said.unit is None else said.unit)
    return Match(column, scale, unit=unit, currency=said.currency)


def _problem(column: InputColumn, unit: str) -> Match:
    if column.unit and column.kind in (CellKind.NUMBER, CellKind.PERCENT):
        return Match(column, problem=f"the unit '{unit}' will not do; {known_words(column)}")
    if column.unit and column.kind is CellKind.COUNT and conversion("day", column.unit) is not None:
        return Match(column, problem=f"the unit '{unit}' will not do; {known_words(column)}")
    hint = known_words(column)
    own = f": write '{column.heading}'"
    known = "" if hint.startswith("write") else f"; {hint}"
    return Match(column, problem=f"takes no unit, but has '{unit}'{known}{own}")
