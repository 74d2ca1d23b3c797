"""Decimal marks: numbers written as text, and which mark a whole file writes them with."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from ..words.grammar import plain

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
_DECIMAL_COMMA = re.compile(r"[+-]?\d*,\d+")
_EITHER = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")
_SPACED = re.compile(r"[+-]?\d{1,3}([ '’]\d{3})+([.,]\d+)?")
_COMMA_GROUPS = re.compile(r"[+-]?\d{1,3}(,\d{3})+(\.\d+)?")
_POINT_GROUPS = re.compile(r"[+-]?\d{1,3}(\.\d{3})+(,\d+)?")
_FIGURE = re.compile(r"[^\d.,+-]{0,4}([+-]?[\d.,][\d.,'’ ]*(?:[eE][+-]?\d+)?)(?:\s?[^\d.,]+)?")
"""A number, with a sign before it or a word behind it."""


EITHER = " may mean "
"""In the text of a figure that may mean two numbers."""


class EitherError(ValueError):
    """Raised for a text that may mean two numbers; its text gives both."""


@dataclass(frozen=True)
class DecimalMarks:
    """What the figures of a whole file show for certain of how it writes decimals."""

    comma: str = ""
    """A figure that shows a decimal comma, where it stands and what it is; or ""."""
    point: str = ""
    """The same of a decimal point."""
    decides: bool = True
    """Whether one figure can decide for all: in text files, where one program wrote all numbers;
    a workbook holds numbers as such, and its texts may come from anywhere."""

    @property
    def mark(self) -> str:
        """The decimal mark, or "" where there is none to see, or both."""
        if not self.decides or (self.comma and self.point):
            return ""
        return "," if self.comma else "." if self.point else ""


NO_MARKS = DecimalMarks()
"""Nothing is known of how decimals are written."""


def marks_in(figures: Iterable[tuple[str, str]], *, decides: bool = True) -> DecimalMarks:
    """Return the decimal marks that some figures show: where each stands, and its text."""
    comma = point = ""
    for where, text in figures:
        found = _FIGURE.fullmatch(plain(text))
        mark = _certain(found[1].strip()) if found is not None else ""
        if mark == "," and not comma:
            comma = f"'{plain(text)}' in {where}"
        elif mark == "." and not point:
            point = f"'{plain(text)}' in {where}"
    return DecimalMarks(comma, point, decides)


def _certain(written: str) -> str:
    """Return the decimal mark that a number shows for certain, or ""."""
    if _EITHER.fullmatch(written):
        return ""
    if _DECIMAL_COMMA.fullmatch(written):
        return ","
    if _NUMBER.fullmatch(written):
        return "." if "." in written else ""
    for pattern in (_SPACED, _COMMA_GROUPS, _POINT_GROUPS):
        if pattern.fullmatch(written):
            last = re.search(r"[.,](\d+)$", written)
            groups = "," if pattern is _COMMA_GROUPS else "." if pattern is _POINT_GROUPS else " "
            if last is not None and last[0][0] != groups:
                return last[0][0]
            # Only thousands: the other mark must be the decimal one, once they come twice.
            return {",": ".", ".": ",", " ": ""}[groups]
    return ""


def number_of(text: str, marks: DecimalMarks = NO_MARKS) -> float | None:
    """Return the number that text stands for, or None where it stands for none.

    Decimal comma and thousands separators are understood. marks : those of the whole file, which
    say what "1,234" is; a point is asked about wherever there are decimal commas.

    Raises EitherError where two numbers may be meant, as by "1,234".
    """
    written = plain(text)
    if _EITHER.fullmatch(written):
        digits, decimals = re.split("[.,]", written)
        if marks.mark == "." or (marks.mark == "," and "," in written):
            is_decimal = marks.mark in written
            return float(f"{digits}.{decimals}" if is_decimal else f"{digits}{decimals}")
        elsewhere = f": decimal commas stand elsewhere, as {marks.comma}" if marks.comma else ""
        raise EitherError(
            f"'{written}'{EITHER}{digits}{decimals} or {digits}.{decimals}{elsewhere}; "
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
