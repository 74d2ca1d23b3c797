"""Shackles, swivels, thimbles: what joins a leg's parts."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from ..arrays import floor_to_whole
from ..fault import Source

BOX_KG = 25.0
"""Of fittings in one box where none is stated: what one person may lift (common practice, no
source)."""


class UsedPer(StrEnum):
    """What a fitting's quantity is counted for."""

    LEG = "leg"
    ANCHOR = "anchor"
    EXTRA_ANCHOR = "extra anchor"
    """The second and further anchors of a leg: a bridle, a connecting chain as sold."""


@dataclass(frozen=True)
class Fitting:
    """A fitting that every leg (or every anchor) of the farm needs; supplier's currency."""

    name: str
    supplier: str | None
    """None: only the suppliers of the Offers sheet."""
    used_per: UsedPer
    quantity: int
    breaking_load_kn: float
    unit_price: float | None
    mass_kg: float
    packed_volume_m3: float
    wears_with_chain: bool = False
    """Whether it loses strength at the rate of the chain that it is used with."""
    for_chain: str | None = None
    """The chain it belongs to; None: any."""
    duty_share: float | None = None
    hs_heading: str = ""
    """Of the Harmonized System, for customs."""
    available: int | None = None
    """The most that can be had; None: no limit."""
    box_quantity: int | None = None
    """How many go in one box; None: as many as `pieces_a_box` takes."""
    stood_in: frozenset[str] = field(default=frozenset(), compare=False, repr=False)
    """Fields that hold a stand-in for a fact that the workbook does not state."""
    source: Source | None = field(default=None, compare=False, repr=False)

    @property
    def pieces_a_box(self) -> int:
        """How many go in one box: as stated, else what one person may lift."""
        return self.box_quantity or max(1, floor_to_whole(BOX_KG / self.mass_kg))

    def applies_to(self, chain: str) -> bool:
        """Tell whether a leg with this chain needs the fitting."""
        return self.for_chain is None or self.for_chain == chain

    def needed(self, anchors_per_leg: int) -> int:
        """Return how many one leg needs."""
        match self.used_per:
            case UsedPer.LEG:
                return self.quantity
            case UsedPer.ANCHOR:
                return self.quantity * anchors_per_leg
            case UsedPer.EXTRA_ANCHOR:
                return self.quantity * max(anchors_per_leg - 1, 0)
