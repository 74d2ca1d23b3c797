"""A column of an input sheet: its heading, what its cells may hold and what a blank means."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, field, fields
from enum import StrEnum
from functools import cached_property
from typing import Any


class CellKind(StrEnum):
    """What a cell holds."""

    NAME = "name"
    TEXT = "text"
    NAMES = "names"
    """Several names, separated by ; or ,"""
    NUMBER = "number"
    NUMBERS = "numbers"
    """Several numbers, separated by ; or spaces."""
    COUNT = "whole number"
    PERCENT = "percentage"
    """A share, written as a percentage: a plain 15 is 15 %."""
    SHARE = "share"
    """A share, written as a fraction: a plain 0.15 is 15 %."""
    MONEY = "money"
    CHOICE = "choice"
    YES_NO = "yes or no"
    DATE = "date"


@dataclass(frozen=True)
class Bounds:
    """The numbers that a cell may hold, in the column's default unit."""

    low: float = -math.inf
    high: float = math.inf
    above: bool = False
    """Whether `low` itself is too small."""
    closed: bool = False
    """Whether nothing above `high` has a meaning; else `high` is only the most to be believed."""

    def too_small(self, number: float) -> bool:
        """Tell whether a number lies below the range."""
        return number < self.low or (self.above and number == self.low)

    def words(self, scale: float = 1.0) -> str:
        """Return the lower bound in words, both bounds where both are part of the meaning."""
        low, high = self.low * scale, self.high * scale
        if math.isinf(low):
            return ""
        if self.closed:
            return f"more than {low:g}, at most {high:g}" if self.above else f"{low:g} to {high:g}"
        return f"more than {low:g}" if self.above else f"at least {low:g}"


def above(low: float, high: float) -> Bounds:
    """Return the numbers more than `low`; more than `high` is not to be believed."""
    return Bounds(low, high, above=True)


def between(low: float, high: float) -> Bounds:
    """Return the numbers from `low` to `high`, beyond which there is no meaning."""
    return Bounds(low, high, closed=True)


def share(*, of_nothing: bool = True) -> Bounds:
    """Return the shares from 0 to 1, 0 itself only where a share of nothing has a meaning."""
    return Bounds(0, 1, above=not of_nothing, closed=True)


@dataclass(frozen=True)
class StandIn:
    """What takes the place of a fact that nobody has found out yet; each use of it is said."""

    words: str
    """What is assumed, and on whose word."""
    of: Callable[[Mapping[str, Any]], Any]
    """The value, from the row's others by field, defaults in."""
    without: str = ""
    """The sheet that must be absent, or the fact is asked for after all; "": any may be there."""


@dataclass(frozen=True)
class InputColumn:
    """One column (or one setting of the Project sheet)."""

    heading: str
    """Without unit, as the specification of the workbook spells it."""
    field: str
    """The record's field; "" for a column that is read but not kept."""
    help: str
    kind: CellKind = CellKind.NUMBER
    unit: str = ""
    """The default unit, which is the unit of the record's field."""
    range: Bounds = Bounds()
    choices: type[StrEnum] | None = None
    names: str = ""
    """The kind of name that the cell refers to or defines: see `NAMED_BY` of the layout."""
    blank: str = ""
    """What a blank stands for, where it is not a plain value."""
    else_on: str = ""
    """The sheet that may say it instead: where that is there, the cell may be blank."""
    example: Any = None
    """A cell of the template's example row."""
    measure: str = ""
    """What a setting counts, said beside its value where `unit` does not: "of those laid"."""
    basis: str = ""
    """Where a setting's default comes from."""
    stand_in: StandIn | None = None
    """What a command that can do without the fact takes in its place."""

    @cached_property
    def unit_in_heading(self) -> bool:
        """Whether the unit is the end of the heading itself: "Price per m"."""
        return self.unit.startswith("per ") and self.heading.endswith(self.unit)

    @cached_property
    def title(self) -> str:
        """The heading as the template writes it, with its unit."""
        if self.unit and not self.unit_in_heading:
            return f"{self.heading} ({self.unit})"
        return self.heading


@dataclass(frozen=True)
class InputSheet:
    """One input sheet: each row is one record of the farm (Project: one setting)."""

    title: str
    help: str
    record: type[Any]
    farm_field: str
    columns: tuple[InputColumn, ...]
    required: bool = False
    settings: bool = False
    """Whether its columns are the settings of the Project sheet, one a row."""
    absent: str = ""
    """What it means where an optional sheet is not there."""
    more_examples: tuple[tuple[Any, ...], ...] = ()
    """Further example rows, where one alone could not be read."""
    defaults: dict[str, Any] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        values = {f.name: f.default for f in fields(self.record) if f.default is not MISSING}
        object.__setattr__(self, "defaults", values)

    def needs(self, column: InputColumn) -> bool:
        """Tell whether a cell must be filled: the record has no default for it."""
        return bool(column.field) and column.field not in self.defaults

    def default(self, column: InputColumn) -> Any:
        """Return what a blank cell is read as."""
        return self.defaults.get(column.field)

    @cached_property
    def by_field(self) -> dict[str, InputColumn]:
        """The columns by the field of the record."""
        return {column.field: column for column in self.columns if column.field}


def wanted(column: InputColumn) -> str:
    """Return what a cell of the column must hold, in words."""
    scale = 100.0 if column.kind is CellKind.PERCENT else 1.0
    bounds = column.range.words(scale)
    words = {
        CellKind.NAME: "a name",
        CellKind.TEXT: "text",
        CellKind.NAMES: "names separated by ;",
        CellKind.NUMBERS: f"numbers {bounds} separated by ;",
        CellKind.COUNT: f"a whole number, {bounds}",
        CellKind.PERCENT: f"a percentage, {bounds} %",
        CellKind.SHARE: f"a share, {bounds}",
        CellKind.MONEY: f"an amount, {bounds}",
        CellKind.YES_NO: "yes or no",
        CellKind.DATE: "a date such as 2027-03-31",
    }
    if column.choices is not None:
        names = [str(choice) for choice in column.choices if choice]
        return " or ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
    return words.get(column.kind, f"a number, {bounds}" if bounds else "a number")
