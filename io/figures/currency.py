"""Currencies as cells show them: a code of ISO 4217, or a sign that one or several have."""

from __future__ import annotations

import re
import unicodedata

_SIGNS: dict[str, str] = {
    "€": "EUR",
    "£": "GBP FKP GIP SHP EGP LBP",
    "$": "USD AUD CAD NZD SGD HKD FJD NAD BND BBD BSD JMD TTD XCD TWD MXN CLP COP ARS",
    "us$": "USD",
    "a$": "AUD",
    "au$": "AUD",
    "c$": "CAD",
    "ca$": "CAD",
    "nz$": "NZD",
    "s$": "SGD",
    "hk$": "HKD",
    "kr": "NOK SEK DKK ISK",
    "kr.": "NOK SEK DKK ISK",
    "¥": "JPY CNY",
    "₩": "KRW",
    "₹": "INR",
    "₺": "TRY",
    "zł": "PLN",
    "r$": "BRL",
}
"""Sign, in small letters → the codes that it may stand for (ISO 4217; signs from memory)."""

_CODE = re.compile("[A-Z]{3}")


def is_currency(word: str) -> bool:
    """Tell whether a word beside an amount is a currency: a sign, or three capitals."""
    return (
        word.casefold() in _SIGNS
        or _CODE.fullmatch(word) is not None
        or (len(word) == 1 and unicodedata.category(word) == "Sc")
    )


_KNOWN = frozenset(code for codes in _SIGNS.values() for code in codes.split())
_APART = re.compile(r"[\s/()\[\],;:*]+")


def currencies_in(text: str) -> list[str]:
    """Return the signs and codes of currencies among the words of a text: of "USD/m", USD."""
    return [w for w in _APART.split(text) if w in _KNOWN or w.casefold() in _SIGNS]


def may_be(word: str, code: str) -> bool:
    """Tell whether the sign or code that is shown may stand for the currency `code`."""
    sign, name = word.casefold(), code.casefold()
    return sign == name or name in _SIGNS.get(sign, "").casefold().split()
