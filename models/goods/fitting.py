"""Shackles, swivels, thimbles: what joins a leg's parts."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from ..fault import Source


class UsedPer(StrEnum):
    """What a fitting's quantity is counted for."""

    LEG = "leg"
    ANCHOR = "anchor"


@dataclass(frozen=True)
class Fitting:
    """A fitting that every leg (or every anchor) of the farm needs; supplier's currency."""

    name: str
    supplier: str
    used_per: UsedPer
    quantity: int
    breaking_load_kn: float
    unit_price: float
    mass_kg: float
    packed_volume_m3: float
    for_chain: str | None = None
    """The chain it belongs to; None: any."""
    duty_share: float | None = None
    hs_heading: str = ""
    """Of the Harmonized System, for customs."""
    available: int | None = None
    """The most that can be had; None: no limit."""
    source: Source | None = field(default=None, compare=False, repr=False)

    def applies_to(self, chain: str) -> bool:
        """Tell whether a leg with this chain needs the fitting."""
        return self.for_chain is None or self.for_chain == chain

    def needed(self, anchors_per_leg: int) -> int:
        """Return how many one leg needs."""
        return self.quantity * (anchors_per_leg if self.used_per is UsedPer.ANCHOR else 1)
