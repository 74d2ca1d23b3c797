"""One cell of the input: what its value says, or why it says nothing that can be used."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any

from ...models.arrays import ROUNDING
from ...models.fault import closest
from ..layout.column import CellKind, InputColumn, wanted
from ..words.grammar import as_found, plain


class RefusedError(ValueError):
    """Raised for a cell that cannot be used; its text says what was found and what would do."""


@dataclass(frozen=True)
class Cell:
    """A cell as it was read, with its real address."""

    address: str
    value: Any = None
    """None, text, a number, a truth value, a date or a time."""
    percent: bool = False
    """Whether the cell is formatted as a percentage: 0.15 shows as 15 %."""
    error: bool = False
    """Whether its value is a spreadsheet error such as #N/A."""
    no_result: bool = False
    """Whether it holds a formula whose result was never stored."""
    formula: bool = False
    """Whether its value is the stored result of a formula."""
    point_is_decimal: bool = False
    """Whether "1.234" can only be a decimal: a text file, where all numbers are text."""

    @property
    def is_blank(self) -> bool:
        """Whether there is nothing in it; a formula without a result is not nothing."""
        return not self.no_result and (
            self.value is None or (isinstance(self.value, str) and not plain(self.value))
        )


NO_RESULT = (
    "the formula has no stored result; open the workbook in a spreadsheet program, "
    "let it calculate, and save it"
)

STORED_ZERO = (
    "0 is the stored result of a formula, and some programs store 0 for want of calculating; "
    "open the workbook in a spreadsheet program and save it, unless 0 is right"
)

MOST_LETTERS = 1000
"""Characters of a name or text."""

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
_DECIMAL_COMMA = re.compile(r"[+-]?\d*,\d+")
_EITHER = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")
_SPACED = re.compile(r"[+-]?\d{1,3}([ '’]\d{3})+([.,]\d+)?")
_COMMA_GROUPS = re.compile(r"[+-]?\d{1,3}(,\d{3})+(\.\d+)?")
_POINT_GROUPS = re.compile(r"[+-]?\d{1,3}(\.\d{3})+(,\d+)?")
_WITH_CODE = re.compile(r"[A-Za-z]{3} ?[\d.,' ]+|[\d.,' ]+ ?(?!day|min)[A-Z]{3}")
_WITH_UNIT = re.compile(r"[+-]?[\d.,' ]+ ?[A-Za-z°²³/ ]+")

_ISO_DATE = re.compile(r"(\d{4}-\d\d-\d\d)([T ]00:00(:00)?)?")

_NUMERIC = {CellKind.NUMBER, CellKind.MONEY, CellKind.COUNT, CellKind.PERCENT, CellKind.SHARE}

_YES = {"yes", "y", "true", "1"}
_NO = {"no", "n", "false", "0"}


def value_of(cell: Cell, column: InputColumn, scale: float = 1.0) -> tuple[Any, str]:
    """Return a cell's value in the column's own unit, and a warning or "".

    scale : what a number is multiplied by to be in the column's default unit. A blank cell is
    (None, ""). Raises RefusedError, saying what was found and what would do.
    """
    if cell.no_result:
        raise RefusedError(NO_RESULT)
    if cell.error:
        raise RefusedError(f"the cell shows the error {cell.value}; needs {wanted(column)}")
    if cell.is_blank:
        return None, ""
    if cell.formula and cell.value == 0 and column.kind in _NUMERIC:
        try:
            return _read(cell, column, scale)[0], STORED_ZERO
        except RefusedError as refused:
            raise RefusedError(f"{refused}; {STORED_ZERO}") from None
    return _read(cell, column, scale)


def _read(cell: Cell, column: InputColumn, scale: float) -> tuple[Any, str]:
    if column.kind in (CellKind.PERCENT, CellKind.SHARE):
        return _share(cell, column)
    if column.kind in (CellKind.NUMBER, CellKind.MONEY, CellKind.COUNT):
        return _number(cell, column, scale), ""
    return _READERS[column.kind](cell, column), ""


def number_of(text: str, *, point_is_decimal: bool = False) -> float | None:
    """Return the number that text stands for, or None where it stands for none.

    Decimal comma and thousands separators are understood.
    point_is_decimal : whether "1.234" can only be a decimal.

    Raises RefusedError where two numbers may be meant, as by "1,234".
    """
    written = plain(text)
    if _EITHER.fullmatch(written) and not (point_is_decimal and "." in written):
        digits, decimals = re.split("[.,]", written)
        raise RefusedError(
            f"'{written}' may mean {digits}{decimals} or {digits}.{decimals}; "
            f"write {digits}{decimals}, or {digits}.{decimals}0"
        )
    number = math.inf
    if _NUMBER.fullmatch(written):
        number = float(written)
    elif _DECIMAL_COMMA.fullmatch(written):
        number = float(written.replace(",", "."))
    elif _SPACED.fullmatch(written):
        number = float(re.sub("[ '’]", "", written).replace(",", "."))
    elif _COMMA_GROUPS.fullmatch(written):
        number = float(written.replace(",", ""))
    elif _POINT_GROUPS.fullmatch(written):
        number = float(written.replace(".", "").replace(",", "."))
    return number if math.isfinite(number) else None


def _refuse(cell: Cell, column: InputColumn, hint: str = "") -> RefusedError:
    return RefusedError(f"found {as_found(cell.value)}; needs {wanted(column)}{hint}")


def _refuse_number(number: float, cell: Cell, column: InputColumn) -> RefusedError:
    """Refuse a number that was converted to the column's unit, if it was, by what it became."""
    if isinstance(cell.value, int | float) and float(cell.value) != number and column.unit:
        became = f"found {as_found(cell.value)}, which is {number:g} {column.unit}"
        return RefusedError(f"{became}; needs {wanted(column)}")
    return _refuse(cell, column)


def _raw_number(cell: Cell, column: InputColumn) -> float:
    """Return a cell's number as it stands, before units and range."""
    value = cell.value
    if isinstance(value, bool):
        raise _refuse(cell, column)
    if isinstance(value, int | float):
        if not math.isfinite(value):
            raise _refuse(cell, column)
        return float(value)
    if isinstance(value, datetime | date | time | timedelta):
        hint = ": the spreadsheet has made a date of it; format the cell as a number and retype it"
        raise _refuse(cell, column, hint)
    written = plain(value)
    number = number_of(written, point_is_decimal=cell.point_is_decimal)
    if number is not None:
        return number
    if any(unicodedata.category(letter) == "Sc" for letter in written) or (
        column.kind is CellKind.MONEY and _WITH_CODE.fullmatch(written)
    ):
        raise _refuse(cell, column, ": leave out the currency sign and write the number alone")
    if _WITH_UNIT.fullmatch(written):
        hint = ": write the number alone"
        if column.unit:
            hint += f"; its unit belongs in the heading, such as '{column.title}'"
        raise _refuse(cell, column, hint)
    raise _refuse(cell, column)


def _kept(number: float) -> float:
    """Return a number to 15 significant digits, all that spreadsheets keep: 2.7 % is 0.027."""
    return float(f"{number:.15g}")


def _in_range(number: float, cell: Cell, column: InputColumn) -> float:
    bounds = column.range
    if bounds.too_small(number) or (bounds.closed and number > bounds.high):
        if column.kind in (CellKind.PERCENT, CellKind.SHARE):
            raise _refuse(cell, column)
        raise _refuse_number(number, cell, column)
    if number > bounds.high:
        most = bounds.high * (100 if column.kind is CellKind.PERCENT else 1)
        unit = f" {column.unit}" if column.unit and not column.unit_in_heading else ""
        raise RefusedError(
            f"found {as_found(cell.value)}; more than {most:.15g}{unit} is not to be believed: "
            "check the number and the unit of its heading"
        )
    return number


def _number(cell: Cell, column: InputColumn, scale: float) -> float | int:
    number = _kept(_raw_number(cell, column) * scale)
    if column.kind is not CellKind.COUNT:
        return _in_range(number, cell, column)
    if abs(number - round(number)) > ROUNDING * max(1.0, abs(number)):
        raise _refuse_number(number, cell, column)
    return round(_in_range(round(number), cell, column))


def _share(cell: Cell, column: InputColumn) -> tuple[float, str]:
    """Return a share; text may end in %, and a number may be formatted as a percentage."""
    by_percent = column.kind is CellKind.PERCENT
    signed = isinstance(cell.value, str) and plain(cell.value).endswith("%")
    bare = cell
    if signed:
        bare = replace(cell, value=plain(cell.value).removesuffix("%"))
    number = _raw_number(bare, column)
    in_percent = signed or (by_percent and not cell.percent)
    share = _kept(number / 100 if in_percent else number)
    if not by_percent and not in_percent and not cell.percent and column.range.high < number <= 100:
        raise _refuse(cell, column, f"; for {number:g} % write {number / 100:g} or '{number:g} %'")
    share = _in_range(share, cell, column)
    if by_percent and in_percent and not signed and 0 < number <= 1:
        return share, (
            f"{number:g} is read as {number:g} %; if {number * 100:g} % is meant write "
            f"{number * 100:g}, and if not write '{number:g} %'"
        )
    return share, ""


def _text(cell: Cell, column: InputColumn) -> str:
    value = cell.value
    if isinstance(value, datetime | date | time | timedelta) and column.kind is not CellKind.TEXT:
        hint = ": the spreadsheet has made a date of it; format the cell as text and retype it"
        raise _refuse(cell, column, hint)
    text = plain(value) if isinstance(value, str) else as_found(value).strip("'")
    if any(unicodedata.category(letter) == "Cc" for letter in text):
        raise RefusedError(
            f"found {as_found(text)}, which holds a control character; retype the text"
        )
    if len(text) > MOST_LETTERS:
        raise RefusedError(
            f"found {as_found(text)}, {len(text)} characters; {MOST_LETTERS} at most"
        )
    return text


def _names(cell: Cell, column: InputColumn) -> tuple[str, ...]:
    parts = (plain(part) for part in re.split("[;,]", _text(cell, column)))
    return tuple(dict.fromkeys(part for part in parts if part))


def _numbers(cell: Cell, column: InputColumn) -> tuple[float, ...]:
    if not isinstance(cell.value, str):
        return (_in_range(_kept(_raw_number(cell, column)), cell, column),)
    numbers = []
    for part in re.split(r"[;\s]+", plain(cell.value)):
        if not part.strip(","):
            continue
        number = number_of(part.strip(","), point_is_decimal=True)
        if number is None:
            raise _refuse(cell, column)
        numbers.append(_in_range(_kept(number), cell, column))
    return tuple(dict.fromkeys(numbers))


def _choice(cell: Cell, column: InputColumn) -> Any:
    assert column.choices is not None
    text = plain(_text(cell, column)).casefold().replace("_", " ").replace("-", " ")
    for choice in column.choices:
        if text == choice.casefold():
            return choice
    raise _refuse(cell, column, closest(text, [str(c) for c in column.choices if c]))


def _yes_no(cell: Cell, column: InputColumn) -> bool:
    word = as_found(cell.value).strip("'").casefold()
    if word not in _YES | _NO:
        raise _refuse(cell, column)
    return word in _YES


def _date(cell: Cell, column: InputColumn) -> date:
    value = cell.value
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    written = _ISO_DATE.fullmatch(plain(value)) if isinstance(value, str) else None
    if written is not None:
        try:
            return date.fromisoformat(written[1])
        except ValueError:
            pass  # such as 30 February: refused below like any other
    raise _refuse(cell, column)


_READERS: dict[CellKind, Callable[[Cell, InputColumn], Any]] = {
    CellKind.NAME: _text,
    CellKind.TEXT: _text,
    CellKind.NAMES: _names,
    CellKind.NUMBERS: _numbers,
    CellKind.CHOICE: _choice,
    CellKind.YES_NO: _yes_no,
    CellKind.DATE: _date,
}
