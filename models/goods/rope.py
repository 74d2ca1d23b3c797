"""Rope as a supplier sells it."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..constants import GRAVITY_M_S2, SEA_WATER_KG_M3
from ..fault import Source


@dataclass(frozen=True)
class Rope:
    """A rope of the catalogue; prices in the supplier's currency."""

    name: str
    supplier: str | None
    """None: only the suppliers of the Offers sheet."""
    diameter_mm: float
    mass_kg_per_m: float
    density_kg_m3: float
    breaking_load_kn: float
    price_per_m: float | None
    length_sold_m: float
    packed_volume_m3: float
    wet_strength_share: float = 1.0
    """Share of its breaking load that it keeps when wet."""
    available: int | None = None
    minimum_order: int = 0
    lead_time_days: int | None = None
    duty_share: float | None = None
    hs_heading: str = ""
    """Of the Harmonized System, for customs."""
    stood_in: frozenset[str] = field(default=frozenset(), compare=False, repr=False)
    """Fields that hold a stand-in for a fact that the workbook does not state."""
    source: Source | None = field(default=None, compare=False, repr=False)

    @property
    def packed_mass_kg(self) -> float:
        """Mass of one length as packed, kg."""
        return self.length_sold_m * self.mass_kg_per_m

    @property
    def submerged_weight_kn_m(self) -> float:
        """Weight of one metre in sea water, kN/m; negative for a rope that floats."""
        floats = 1 - SEA_WATER_KG_M3 / self.density_kg_m3
        return self.mass_kg_per_m * GRAVITY_M_S2 * floats / 1000.0
