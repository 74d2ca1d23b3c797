"""One cell of the input: what its value says, or why it says nothing that can be used."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from ...models.arrays import ROUNDING
from ...models.fault import closest
from ..figures.beside import Beside, beside
from ..figures.dates import DateError, date_of
from ..figures.decimals import NO_MARKS, DecimalMarks, EitherError, number_of
from ..figures.number_format import PLAIN, Shown
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
    shown: Shown = PLAIN
    """What its number format makes of a number."""
    marks: DecimalMarks = NO_MARKS
    """How the whole file writes decimals, where numbers are text."""
    struck: bool = False
    """Whether it is struck out."""

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

_WITH_CODE = re.compile(r"[A-Za-z]{3} ?[\d.,' ]+|[\d.,' ]+ ?(?!day|min)[A-Z]{3}")
_WITH_UNIT = re.compile(r"[+-]?[\d.,' ]+ ?[A-Za-z°²³/ ]+")
_WORDED = re.compile(
    r"(?P<before>[^\d.,+-]*?) ?(?P<figure>[+-]?[\d.,](?:[\d.,'’ ]*\d)?(?:[eE][+-]?\d+)?)"
    r" ?(?P<after>[^\d].*)?"
)
"""A number with words before or behind it."""

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
        return _share(cell, column, scale)
    if column.kind in (CellKind.NUMBER, CellKind.MONEY, CellKind.COUNT):
        return _number(cell, column, scale)
    return _READERS[column.kind](cell, column), ""


def _refuse(cell: Cell, column: InputColumn, hint: str = "") -> RefusedError:
    return RefusedError(f"found {as_found(cell.value)}; needs {wanted(column)}{hint}")


def _refuse_number(number: float, cell: Cell, column: InputColumn) -> RefusedError:
    """Refuse a number that was converted to the column's unit, if it was, by what it became."""
    if isinstance(cell.value, int | float) and float(cell.value) != number and column.unit:
        became = f"found {as_found(cell.value)}, which is {number:g} {column.unit}"
        return RefusedError(f"{became}; needs {wanted(column)}")
    return _refuse(cell, column)


def _figure(cell: Cell, column: InputColumn) -> tuple[float, Beside]:
    """Return the number that a cell shows, and what the words beside it say."""
    value = cell.value
    if isinstance(value, bool):
        raise _refuse(cell, column)
    if isinstance(value, int | float):
        if not math.isfinite(value):
            raise _refuse(cell, column)
        return _shown(float(value), cell, column)
    if isinstance(value, datetime | date | time | timedelta):
        hint = ": the spreadsheet has made a date of it; format the cell as a number and retype it"
        raise _refuse(cell, column, hint)
    written = plain(value)
    number = _number_of(written, cell)
    if number is not None:
        return number, Beside()
    parts = _WORDED.fullmatch(written)
    if parts is not None:
        words = f"{parts['before']} {parts['after'] or ''}".strip()
        said = beside(words, column)
        number = None if said is None else _number_of(parts["figure"], cell)
        if said is not None and number is not None:
            return number, said
    raise _refuse_text(written, cell, column)


def _number_of(text: str, cell: Cell) -> float | None:
    try:
        return number_of(text, cell.marks)
    except EitherError as either:
        raise RefusedError(str(either)) from None


def _refuse_text(written: str, cell: Cell, column: InputColumn) -> RefusedError:
    """Refuse text that is no number, with what may be wrong with it."""
    if any(unicodedata.category(letter) == "Sc" for letter in written) or (
        column.kind is CellKind.MONEY and _WITH_CODE.fullmatch(written)
    ):
        return _refuse(cell, column, ": leave out the currency sign and write the number alone")
    if _WITH_UNIT.fullmatch(written):
        hint = ": write the number alone"
        if column.unit:
            hint += f"; its unit belongs in the heading, such as '{column.title}'"
        return _refuse(cell, column, hint)
    return _refuse(cell, column)


def _shown(value: float, cell: Cell, column: InputColumn) -> tuple[float, Beside]:
    """Return a number as its format shows it, where that is certain; raises RefusedError."""
    shown = cell.shown
    if shown == PLAIN:
        return value, Beside()
    text = shown.text(value)
    if not shown.number and not (value == 0 and shown.words in _DASHES):
        seen = f"shows '{text}'" if text else "shows nothing"
        raise RefusedError(f"the cell {seen} and holds {value:.15g}; {_RETYPE}")
    if shown.unsigned and value < 0:
        raise RefusedError(f"the cell shows '{text}' and holds {value:.15g}; {_RETYPE}")
    words = shown.words if shown.number else ""
    said = beside(words, column)
    if any(letter.isdigit() for letter in words) or said is None:
        raise RefusedError(
            f"the cell shows '{text}' and holds {value:.15g}: '{words}' is not known here; "
            f"needs {wanted(column)}{f' in {column.unit}' if column.unit else ''}"
        )
    if shown.thousands and said.unit is None and said.factor == 1:
        raise RefusedError(f"the cell shows '{text}' and holds {value:.15g}; {_RETYPE}")
    in_percent = column.kind in (CellKind.PERCENT, CellKind.SHARE)
    if shown.percent and not in_percent and (column.unit or column.kind is not CellKind.NUMBER):
        raise RefusedError(f"the cell shows '{text}'; needs {wanted(column)}, not a percentage")
    return value / 1000**shown.thousands, said


_DASHES = ("", "-", "–", "—")
_RETYPE = "format it as a plain number and type what is meant"


def currency_shown(cell: Cell, column: InputColumn) -> str:
    """Return the currency that a cell shows beside its amount, or ""."""
    if column.kind is not CellKind.MONEY:
        return ""
    words = cell.shown.words
    if isinstance(cell.value, str):
        parts = _WORDED.fullmatch(plain(cell.value))
        words = f"{parts['before']} {parts['after'] or ''}" if parts is not None else ""
    said = beside(words, column) if words else None
    return said.currency if said is not None else ""


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


def _number(cell: Cell, column: InputColumn, scale: float) -> tuple[float | int, str]:
    figure, said = _figure(cell, column)
    number = _kept(figure * said.factor * (scale if said.unit is None else said.unit))
    if column.kind is not CellKind.COUNT:
        return _in_range(number, cell, column), _coarse(cell)
    if abs(number - round(number)) > ROUNDING * max(1.0, abs(number)):
        raise _refuse_number(number, cell, column)
    return round(_in_range(round(number), cell, column)), _coarse(cell)


def _coarse(cell: Cell) -> str:
    """Return a doubt where a cell rounds its number to quite another one, or ""."""
    value = cell.value
    if isinstance(value, str) or not cell.shown.coarse(value):
        return ""
    return f"the cell shows '{cell.shown.text(value)}' and holds {value:.15g}, which is read"


def _share(cell: Cell, column: InputColumn, scale: float) -> tuple[float, str]:
    """Return a share; text may end in %, and a number may be formatted as a percentage."""
    by_percent = column.kind is CellKind.PERCENT
    figure, said = _figure(cell, column)
    percent = cell.percent or cell.shown.percent
    signed = said.percent
    in_percent = signed or (by_percent and not percent)
    number = figure * said.factor * (1 if signed or percent else scale)
    share = _kept(number / 100 if in_percent else number)
    if not by_percent and not in_percent and not percent and column.range.high < number <= 100:
        raise _refuse(cell, column, f"; for {number:g} % write {number / 100:g} or '{number:g} %'")
    share = _in_range(share, cell, column)
    if by_percent and in_percent and not signed and 0 < number <= 1 and scale == 1:
        return share, (
            f"{number:g} is read as {number:g} %; if {number * 100:g} % is meant write "
            f"{number * 100:g}, and if not write '{number:g} %'"
        )
    return share, _coarse(cell)


def _text(cell: Cell, column: InputColumn) -> str:
    value = cell.value
    if isinstance(value, datetime | date | time | timedelta) and column.kind is not CellKind.TEXT:
        hint = ": the spreadsheet has made a date of it; format the cell as text and retype it"
        raise _refuse(cell, column, hint)
    text = plain(value) if isinstance(value, str) else as_found(value).strip("'")
    if isinstance(value, int | float) and (cell.shown.words or cell.shown.width > 1):
        text = cell.shown.text(value)  # a number that is shown as "plate 250", or as 0901
    if any(unicodedata.category(letter) == "Cc" for letter in text):
        raise RefusedError(
            f"found {as_found(text)}, which holds a control character; retype the text"
        )
    if len(text) > MOST_LETTERS:
        raise RefusedError(
            f"found {as_found(text)}, {len(text)} characters; {MOST_LETTERS} at most"
        )
    return text


_LISTED = re.compile(r'\s*(?:["“”„]([^"“”„]*)["“”„]|([^;,]*))\s*(?:[;,]|$)')
"""One of several names; those that hold a comma or semicolon stand in quotes."""


def _names(cell: Cell, column: InputColumn) -> tuple[str, ...]:
    parts = (plain(quoted or bare or "") for quoted, bare in _LISTED.findall(_text(cell, column)))
    return tuple(dict.fromkeys(part for part in parts if part))


def _numbers(cell: Cell, column: InputColumn) -> tuple[float, ...]:
    if not isinstance(cell.value, str):
        figure, said = _figure(cell, column)
        return (_in_range(_kept(figure * said.factor), cell, column),)
    numbers = []
    for part in re.split(r"[;\s]+", plain(cell.value)):
        if not part.strip(","):
            continue
        # Thousands of these are not to be believed: three digits after a point are decimals.
        number = number_of(part.strip(","), DecimalMarks(point="."))
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
    try:
        written = date_of(value) if isinstance(value, str) else None
    except DateError as either:
        raise RefusedError(str(either)) from None
    if written is None:
        raise _refuse(cell, column)
    return written


_READERS: dict[CellKind, Callable[[Cell, InputColumn], Any]] = {
    CellKind.NAME: _text,
    CellKind.TEXT: _text,
    CellKind.NAMES: _names,
    CellKind.NUMBERS: _numbers,
    CellKind.CHOICE: _choice,
    CellKind.YES_NO: _yes_no,
    CellKind.DATE: _date,
}
