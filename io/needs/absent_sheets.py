"""Absent sheets: what stands in for a whole sheet that a command can do without.

Such rows cost nothing and limit nothing. Every field of theirs is marked as stood in, so that
whoever writes of the farm can say what is not priced and what nobody looked at.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from ...models.goods.freight import Basis
from ..layout.column import InputSheet
from ..layout.farm import LEGS, SEABEDS
from ..layout.goods import ANCHORS, CHAIN, FITTINGS, ROPE
from ..layout.holding import HOLDING, HOLDING_LAWS, PULL_TESTS
from ..layout.offers import FREIGHT, OFFERS, SUPPLIERS, VESSELS
from ..layout.stand_ins import THE_QUAY
from .needs import Needs

NO_VESSEL = "no vessel named"
"""The name of the vessel that stands in where the laying is not priced."""

MOST = 100_000.0
"""Of anything that limits a vessel: more than any farm asks for."""

SELLING = (ANCHORS, CHAIN, ROPE, FITTINGS, OFFERS)
LYING = (LEGS, HOLDING, HOLDING_LAWS, PULL_TESTS)

Rows = list[dict[str, Any]]
Given = dict[str, Rows]
"""Sheet title → the values of its rows by field; sheets that are there, and no others."""


def absent_sheets(given: Given, needs: Needs, currency: str) -> Iterator[tuple[InputSheet, Rows]]:
    """Yield the rows that stand in for each sheet that is absent and that a command can do without.

    currency : the project's.
    """
    priced = {"currency": currency, "exchange_rate": 1.0}
    suppliers = given.get(SUPPLIERS.title)
    if suppliers is None:
        sellers = _named(given, SELLING, "supplier")
        quays = _named(given, (FREIGHT,), "origin") or [THE_QUAY]  # several: said as a fault
        suppliers = [{"name": name, "origin": quays[0], **priced} for name in sellers]
        yield SUPPLIERS, suppliers
    if FREIGHT.title not in given:
        origins = _distinct(row.get("origin") for row in suppliers)
        free = {"basis": Basis.MEASURE, "rate": 0.0, **priced}
        yield (
            FREIGHT,
            [
                {"name": _as_delivered(origin, origins), "origin": origin, **free}
                for origin in origins
            ],
        )
    if VESSELS.title not in given and needs.reads(VESSELS):
        nothing = dict.fromkeys(("day_rate", "round_trip_h", "shifting_min_per_leg"), 0.0)
        limits = ("crane_limit_t", "deck_load_t", "deck_area_m2", "bollard_pull_kn")
        without_end = dict.fromkeys(limits, MOST)
        boat = {"name": NO_VESSEL, "working_hours_per_day": 24.0, **nothing, **without_end}
        yield VESSELS, [boat]
    if SEABEDS.title not in given and SEABEDS not in needs.sheets:
        # Without friction, so that no chain is ever relied on for what it rubs on.
        seabeds = _named(given, LYING, "seabed")
        yield SEABEDS, [{"name": name, "chain_friction": 0.0} for name in seabeds]


def _as_delivered(origin: str, origins: list[str]) -> str:
    return "as delivered" if len(origins) == 1 else f"as delivered from {origin}"


def _named(given: Given, sheets: Iterable[InputSheet], field: str) -> list[str]:
    return _distinct(row.get(field) for s in sheets for row in given.get(s.title, ()))


def _distinct(names: Iterable[str | None]) -> list[str]:
    """Return names each once, whatever their capitals, in order."""
    known: dict[str, str] = {}
    for name in names:
        if name is not None:
            known.setdefault(name.casefold(), name)
    return list(known.values())
