"""Kinds of number, and how each is shown on sheet, page and terminal alike."""

from __future__ import annotations

import math
from datetime import date
from enum import StrEnum


class Kind(StrEnum):
    """What a number is; its number format follows."""

    TEXT = "text"
    COUNT = "count"
    MONEY = "money"
    MONEY_WHOLE = "money, whole units"
    PRICE = "price"
    EXCHANGE = "exchange rate"
    SHARE = "share"
    SHARE_FINE = "share, fine"
    FORCE_KN = "kN"
    LENGTH_M = "m"
    MASS_KG = "kg"
    MASS_T = "t"
    VOLUME_M3 = "m³"
    AREA_M2 = "m²"
    ANGLE_DEG = "deg"
    HOURS = "h"
    FACTOR = "factor"
    EFFICIENCY = "efficiency"
    FINE = "fine"
    DATE = "date"
    PLAIN = "plain"


SHOWN: dict[Kind, str] = {
    Kind.MONEY: ",.2f",
    Kind.PRICE: ",.4f",
    Kind.EXCHANGE: ".6f",
    Kind.SHARE: ".1%",
    Kind.SHARE_FINE: ".2%",
    Kind.FORCE_KN: ",.1f",
    Kind.LENGTH_M: ",.1f",
    Kind.MASS_T: ",.2f",
    Kind.VOLUME_M3: ",.2f",
    Kind.AREA_M2: ",.1f",
    Kind.ANGLE_DEG: ".1f",
    Kind.HOURS: ",.1f",
    Kind.FACTOR: ".2f",
    Kind.EFFICIENCY: ".1f",
    Kind.FINE: ".3f",
    Kind.PLAIN: "g",
}
"""How wide a number comes out, as Python would write it; the other kinds as whole numbers."""


def shown(value: object, kind: Kind) -> str:
    """Return about what a cell shows, for the width that it needs."""
    if value is None:
        return ""
    if isinstance(value, date):
        return "2000-01-01"
    if isinstance(value, int | float) and not isinstance(value, bool):
        if not math.isfinite(value):
            return "none"
        return format(value, SHOWN.get(kind, ",.0f"))
    return str(value)
