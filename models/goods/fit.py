"""A fit: how many of one anchor model go into a container, as found by load plans."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from .load import Binding


@dataclass(frozen=True)
class Fit:
    """How many of one anchor model were found to fit into a container of one service."""

    anchor: str
    service: str
    packs: int
    """With nothing else in it, by load plan: space, door, stacking, payload and balance."""
    anchors: int
    fill_by_volume: float
    """Share of the inside volume that those packs take up."""
    limited_by: Binding
    bare: int | None
    """Anchors out of their packs, as they are laid; None: their sides are not stated."""


Fits = Mapping[tuple[str, str], Fit]
"""By anchor and service."""
