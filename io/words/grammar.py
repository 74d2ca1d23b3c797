"""Grammar: the small wording that sheets, page and terminal share."""

from __future__ import annotations

import re
import unicodedata
from datetime import date, datetime
from typing import Any

from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

from ...models.arrays import ceil_to_whole


def percent(share: float) -> str:
    """Return a share as a percentage with no needless digits: never less than it is."""
    return f"{ceil_to_whole(share * 1e4) / 100:g} %"


def as_asked(share: float) -> str:
    """Return a share as a percentage as it was asked for, to its last digit: 0.005 %."""
    return f"{100 * share:.10g} %"


def counted(count: int, noun: str) -> str:
    """Return "1 day", "2 days"."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def price_text(price: float) -> str:
    """Return a price with two to four decimals, no needless ones: "1,250.00", "0.0875"."""
    whole, decimals = f"{price:,.4f}".split(".")
    return f"{whole}.{decimals.rstrip('0'):0<2}"


def listed(names: list[str]) -> str:
    """Return "a", "a and b", "a, b and c"."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


LONGEST_TEXT = 32_767
"""Characters that a cell can hold (Excel specifications and limits)."""


UNWRITABLE = re.compile("[\ud800-\udfff\ufffe\uffff]")
"""Lone surrogates and non-characters: no XML file can hold them."""


def clean(text: str) -> str:
    """Return a text as a cell can hold it: no control characters, not too long."""
    text = ILLEGAL_CHARACTERS_RE.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
    return UNWRITABLE.sub("", text)[:LONGEST_TEXT]


_SPACES: dict[int, str | None] = {0xA0: " ", 0x2009: " ", 0x202F: " ", 0x2212: "-"}
_UNSEEN = (0xAD, 0x200B, 0x200C, 0x200D, 0x200E, 0x200F, 0x2060, 0xFEFF)
"""Soft hyphen, zero-width spaces, joiners and marks of direction: two names that differ by them
alone look the same."""
_PLAIN = _SPACES | dict.fromkeys(_UNSEEN)


def plain(text: str) -> str:
    """Return text as names are compared: composed (NFC), no marks unseen, single spaces."""
    if text.isascii():
        return " ".join(text.split())
    return " ".join(unicodedata.normalize("NFC", text.translate(_PLAIN)).split())


def as_found(value: Any) -> str:
    """Return a value as a message quotes it: text in quotes, numbers and dates bare."""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int | float):
        return f"{value:.15g}"
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, str):
        text = plain(value)
        return f"'{text if len(text) <= 60 else text[:57] + '...'}'"
    return f"'{value}'"
