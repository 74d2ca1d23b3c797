"""Headings: which column a written heading stands for, and in which unit."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...models.fault import closest
from ..layout.column import CellKind, InputColumn
from ..words.grammar import plain
from .units import conversion, units_like

_BRACKETS = re.compile(r"(.*?)\s*[(\[]([^()\[\]]*)[)\]]")
_PLAIN_KINDS = {
    CellKind.NAME,
    CellKind.TEXT,
    CellKind.NAMES,
    CellKind.NUMBERS,
    CellKind.CHOICE,
    CellKind.YES_NO,
    CellKind.DATE,
}


@dataclass(frozen=True)
class Match:
    """What a written heading stands for."""

    column: InputColumn
    scale: float = 1.0
    """What its numbers are multiplied by to be in the column's default unit."""
    problem: str = ""
    """Why its unit cannot be used, or ""."""


def match(written: str, columns: Sequence[InputColumn]) -> Match | None:
    """Return the column that a heading stands for, or None where there is none.

    Capitals, spaces around it and a final * do not matter; a unit in brackets may be another of
    the same kind.
    """
    text = plain(plain(written).rstrip("*"))
    bracketed = _BRACKETS.fullmatch(text)
    name, unit = (bracketed[1], bracketed[2]) if bracketed else (text, "")
    for column in columns:
        heading = column.heading.casefold()
        if text.casefold() == heading:
            return Match(column)
        if column.unit_in_heading:
            stem = heading.removesuffix(column.unit.casefold())
            bare = f"{name} {unit}" if unit else name
            if bare.casefold().startswith(f"{stem}per "):
                return _converted(column, bare[len(stem) :])
        if name.casefold() == heading:
            return _in_unit(column, plain(unit))
    return None


def closest_heading(written: str, columns: Sequence[InputColumn]) -> str:
    """Return "; did you mean 'x'?" for the heading most like `written`, or ""."""
    bracketed = _BRACKETS.fullmatch(plain(written))
    name = bracketed[1] if bracketed else plain(written)
    return closest(name, [column.heading for column in columns])


def _converted(column: InputColumn, unit: str) -> Match:
    scale = conversion(unit, column.unit)
    if scale is None:
        return Match(
            column, problem=f"the unit '{unit}' will not do; use {units_like(column.unit)}"
        )
    return Match(column, scale)


def _in_unit(column: InputColumn, unit: str) -> Match:
    """Return the match of a heading whose name is right, with the unit in its brackets."""
    percent = unit.startswith("%") or unit.casefold() in ("percent", "per cent")
    if column.kind in _PLAIN_KINDS or not unit:
        return Match(column)
    if column.kind is CellKind.PERCENT:
        return Match(column, problem="" if percent else f"the unit '{unit}' will not do; use %")
    if column.kind is CellKind.SHARE:
        return Match(replace(column, kind=CellKind.PERCENT) if percent else column)
    if column.unit:
        return _converted(column, unit)
    if column.kind is CellKind.MONEY and "currency" not in unit.casefold():
        problem = (
            f"takes no unit, but has '{unit}'; the currency is that of its supplier or service"
        )
        return Match(column, problem=f"{problem}: write '{column.heading}'")
    if column.kind is not CellKind.MONEY and (percent or _measures(unit)):
        return Match(column, problem=f"takes no unit, but has '{unit}': write '{column.heading}'")
    return Match(column)


def _measures(unit: str) -> bool:
    """Tell whether a word in brackets is a unit of anything but pieces."""
    return conversion(unit, unit) is not None and conversion(unit, "each") is None
