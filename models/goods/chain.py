"""Ground chain as a supplier sells it."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..constants import GRAVITY_M_S2, SEA_WATER_KG_M3, STEEL_KG_M3
from ..fault import Source
from ..site.project import Project


@dataclass(frozen=True)
class Chain:
    """A chain of the catalogue; prices in the supplier's currency."""

    name: str
    supplier: str | None
    """None: only the suppliers of the Offers sheet."""
    diameter_mm: float
    mass_kg_per_m: float
    breaking_load_kn: float
    price_per_m: float | None
    length_sold_m: float
    packed_volume_m3: float
    joinable: bool = True
    join_cost: float = 0.0
    connector_breaking_load_kn: float | None = None
    """Of what joins two lengths; None: the chain's."""
    stated_packed_mass_kg: float | None = None
    handling_min_per_10_m: float = 5.0
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
        """Mass of one length as packed, kg: as stated, else that of its metres."""
        if self.stated_packed_mass_kg is not None:
            return self.stated_packed_mass_kg
        return self.length_sold_m * self.mass_kg_per_m

    @property
    def submerged_weight_kn_m(self) -> float:
        """Weight of one metre in sea water, kN/m."""
        return self.mass_kg_per_m * GRAVITY_M_S2 * (1 - SEA_WATER_KG_M3 / STEEL_KG_M3) / 1000.0

    def worn_breaking_load_kn(self, project: Project) -> float:
        """Return the breaking load at the end of the service life, kN.

        The load falls with the square of the diameter left: breaking load × ((d − wear) / d)².
        Worn through: zero.
        """
        return self.breaking_load_kn * self.share_after_wear(project)

    def share_after_wear(self, project: Project) -> float:
        """Return the share of section, so of weight and strength, left at the end of the service
        life: ((d − wear) / d)²; worn through: zero."""
        return (max(self.diameter_mm - project.wear_mm, 0.0) / self.diameter_mm) ** 2
