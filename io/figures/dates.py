"""Dates written as text, read where they can be read in one way only."""

from __future__ import annotations

import re
from datetime import date

from ..words.grammar import plain

_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_TIME = re.compile(r"(?:T|,? +)\d{1,2}:\d{2}(?::\d{2})?(?: ?[ap]m)?$", re.IGNORECASE)
"""The time of day behind a date, as on a laying plan filled in on board."""
_DAY_FIRST = re.compile(r"(\d{1,2})(?P<mark>[./-])(\d{1,2})(?P=mark)(\d{4})")
_WORDED = re.compile(
    r"(?:(?P<day>\d{1,2})[. -]*(?P<month>[A-Za-z]{3,9})"
    r"|(?P<month2>[A-Za-z]{3,9}) (?P<day2>\d{1,2}))"
    r"[., -]*(?P<year>\d{4})"
)
_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september",
    "october", "november", "december",
)  # fmt: skip


class DateError(ValueError):
    """Raised for a text that may mean two dates; its text gives both."""


def date_of(text: str) -> date | None:
    """Return the date that text stands for, or None where it stands for none.

    ISO 8601; day, month and year with points, as no country writes them in another order; and with
    English names of months. A time of day behind it is left out. Raises DateError where two dates
    may be meant, as by "03/04/2027".
    """
    written = _TIME.sub("", plain(text))
    iso = _ISO.fullmatch(written)
    if iso is not None:
        return _date(int(iso[1]), int(iso[2]), int(iso[3]))
    worded = _WORDED.fullmatch(written)
    if worded is not None:
        name = (worded["month"] or worded["month2"]).casefold()
        months = [n for n, month in enumerate(_MONTHS, 1) if month.startswith(name)]
        if len(months) != 1:
            return None
        return _date(int(worded["year"]), months[0], int(worded["day"] or worded["day2"]))
    found = _DAY_FIRST.fullmatch(written)
    if found is None:
        return None
    first, second, year = int(found[1]), int(found[3]), int(found[4])
    day_first = _date(year, second, first)
    if found["mark"] == "." or first == second:
        return day_first
    month_first = _date(year, first, second)
    if day_first is not None and month_first is not None:
        raise DateError(f"'{written}' may mean {day_first} or {month_first}; write one of them")
    return day_first or month_first


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None  # such as 30 February
