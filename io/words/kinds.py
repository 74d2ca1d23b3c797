"""Kinds of number, and how each is shown on sheet, page and terminal alike."""

from __future__ import annotations

import math
from datetime import date
from enum import StrEnum


class NumberKind(StrEnum):
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


SHOWN: dict[NumberKind, str] = {
    NumberKind.MONEY: ",.2f",
    NumberKind.PRICE: ",.4f",
    NumberKind.EXCHANGE: ".6f",
    NumberKind.SHARE: ".1%",
    NumberKind.SHARE_FINE: ".2%",
    NumberKind.FORCE_KN: ",.1f",
    NumberKind.LENGTH_M: ",.1f",
    NumberKind.MASS_T: ",.2f",
    NumberKind.VOLUME_M3: ",.2f",
    NumberKind.AREA_M2: ",.1f",
    NumberKind.ANGLE_DEG: ".1f",
    NumberKind.HOURS: ",.1f",
    NumberKind.FACTOR: ".2f",
    NumberKind.EFFICIENCY: ".1f",
    NumberKind.FINE: ".3f",
    NumberKind.PLAIN: "g",
}
"""How wide a number comes out, as Python would write it; the other kinds as whole numbers."""


def shown(value: object, kind: NumberKind) -> str:
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
