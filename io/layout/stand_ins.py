"""Stand-ins: what takes the place of facts that a first price can do without.

Each is common practice without a source. Whatever is priced with one is listed with it, and
`check` ranks them by the money that finding out may be worth.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ...models.constants import STEEL_KG_M3
from ...models.goods.anchor import TransportForm
from .column import StandIn

THE_SUPPLIER = "the supplier"
"""Who sells what names no supplier."""
THE_QUAY = "delivered"
"""Where goods come from whose freight is not priced."""

DECK_M2_PER_KG = 0.05
"""Deck area = this × mass^⅔, as for bodies of one shape (common practice, no source)."""
CHAIN_KG_M3, ROPE_KG_M3, FITTING_KG_M3 = 1600.0, 300.0, 2000.0
"""Mass of a pack ÷ its volume (common practice, no source)."""

_COMMON = "common practice, no source"


def _steel_edge_mm(values: Mapping[str, Any]) -> float:
    """Return the side of a cube of solid steel as heavy as one pack, whole mm upwards."""
    kg = values.get("stated_pack_mass_kg") or values["mass_kg"] * values["pack_quantity"]
    return float(-(-((kg / STEEL_KG_M3) ** (1 / 3) * 1000.0) // 1))


def _deck_area_m2(values: Mapping[str, Any]) -> float:
    return float(f"{DECK_M2_PER_KG * values['mass_kg'] ** (2 / 3):.2g}")


def _line_m3(values: Mapping[str, Any], kg_m3: float) -> float:
    return float(f"{values['mass_kg_per_m'] * values['length_sold_m'] / kg_m3:.2g}")


SOLID = StandIn("solid", lambda _: TransportForm.SOLID)
NO_PRICE = StandIn("not priced", lambda _: 0.0)
ONE_SUPPLIER = StandIn("one supplier of everything", lambda _: THE_SUPPLIER, "Suppliers")
DELIVERED = StandIn("goods as delivered", lambda _: THE_QUAY, "Freight")
BY_MASS = StandIn(
    "goes by mass alone: a pack takes the room of its steel, so containers may be too few",
    _steel_edge_mm,
)
DECK_AREA = StandIn(f"{DECK_M2_PER_KG:g} × mass^⅔ ({_COMMON})", _deck_area_m2)
LOWERING = StandIn(f"15 min ({_COMMON})", lambda _: 15.0)
SETTING = StandIn(f"20 min ({_COMMON})", lambda _: 20.0)
CHAIN_VOLUME = StandIn(
    f"{CHAIN_KG_M3:g} kg/m³ as packed ({_COMMON})", lambda row: _line_m3(row, CHAIN_KG_M3)
)
ROPE_VOLUME = StandIn(
    f"{ROPE_KG_M3:g} kg/m³ as packed ({_COMMON})", lambda row: _line_m3(row, ROPE_KG_M3)
)
FITTING_VOLUME = StandIn(
    f"{FITTING_KG_M3:g} kg/m³ as packed ({_COMMON})",
    lambda row: float(f"{row['mass_kg'] / FITTING_KG_M3:.2g}"),
)
