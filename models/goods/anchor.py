"""An anchor of the catalogue, and what uplift costs it."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from ..constants import GRAVITY_M_S2, M3_PER_MM3, SEA_WATER_KG_M3, STEEL_KG_M3
from ..fault import Source

PACK_SIDES = ("pack_length_mm", "pack_width_mm", "pack_height_mm")
"""Fields of an anchor."""


class TransportForm(StrEnum):
    """How an anchor travels."""

    FOLDING = "folding"
    SOLID = "solid"


class HoldsBy(StrEnum):
    """What makes an anchor hold: burying itself, or lying heavy."""

    EMBEDDING = "embedding"
    WEIGHT = "weight"


@dataclass(frozen=True)
class Anchor:
    """An anchor model as a supplier sells it; prices in the supplier's currency."""

    name: str
    supplier: str | None
    """None: only the suppliers of the Offers sheet."""
    family: str
    transport_form: TransportForm
    mass_kg: float
    unit_price: float | None
    lowering_min: float
    setting_min: float
    deck_area_m2: float
    pack_length_mm: float
    pack_width_mm: float
    pack_height_mm: float
    pack_quantity: int = 1
    this_side_up: bool = False
    """Whether the pack's height must stay upright."""
    stackable: bool = True
    """Whether anything may stand on its pack."""
    most_on_top_kg: float | None = None
    """Most that its pack may carry; None: no limit stated."""
    bare_length_mm: float | None = None
    bare_width_mm: float | None = None
    bare_height_mm: float | None = None
    """Of one anchor as it is laid, out of its pack; None: not stated."""
    stated_pack_mass_kg: float | None = None
    assembly_min: float = 0.0
    largest_uplift_deg: float = 0.0
    structural_limit_kn: float | None = None
    safety_factor: float | None = None
    """Its own anchor safety factor; None: the project's."""
    stated_volume_m3: float | None = None
    stated_density_kg_m3: float | None = None
    """Mass ÷ the water it displaces; where neither it nor the volume is stated, steel's."""
    holds_by: HoldsBy = HoldsBy.EMBEDDING
    minimum_order: int = 0
    order_multiple: int = 1
    available: int | None = None
    lead_time_days: int | None = None
    duty_share: float | None = None
    hs_heading: str = ""
    """Of the Harmonized System, for customs."""
    stood_in: frozenset[str] = field(default=frozenset(), compare=False, repr=False)
    """Fields that hold a stand-in for a fact that the workbook does not state."""
    source: Source | None = field(default=None, compare=False, repr=False)

    @property
    def pack_mass_kg(self) -> float:
        """Mass of one full pack, kg: as stated, else quantity × mass."""
        if self.stated_pack_mass_kg is not None:
            return self.stated_pack_mass_kg
        return self.pack_quantity * self.mass_kg

    @property
    def pack_volume_m3(self) -> float:
        """Outside volume of one pack, m³."""
        return self.pack_length_mm * self.pack_width_mm * self.pack_height_mm * M3_PER_MM3

    @property
    def displaced_m3(self) -> float:
        """Volume of water that one anchor displaces, m³: as stated, else by its density, else
        that of solid steel (never relied on for a deadweight: see `farm_faults`)."""
        if self.stated_volume_m3 is not None:
            return self.stated_volume_m3
        return self.mass_kg / (self.stated_density_kg_m3 or STEEL_KG_M3)

    @property
    def submerged_weight_kn(self) -> float:
        """Weight of one anchor in sea water, kN."""
        return (self.mass_kg - SEA_WATER_KG_M3 * self.displaced_m3) * GRAVITY_M_S2 / 1000.0

    @property
    def weight_kn(self) -> float:
        """Weight of one anchor in air, kN."""
        return self.mass_kg * GRAVITY_M_S2 / 1000.0


@dataclass(frozen=True)
class UpliftLoss:
    """One point of the share of holding that an anchor (or a family) keeps under uplift."""

    anchor_or_family: str
    uplift_deg: float
    holding_kept: float
    """Share of the holding kept, 0 to 1."""
    source: Source | None = field(default=None, compare=False, repr=False)
