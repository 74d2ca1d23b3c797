"""The catalogues: anchors, chain, rope and fittings that can be bought."""

from __future__ import annotations

from ..models.anchor import Anchor, HoldsBy, TransportForm
from ..models.chain import Chain
from ..models.fitting import Fitting, UsedPer
from ..models.rope import Rope
from .column import InputSheet, Range, above
from .shared_columns import (
    AREA,
    CHARGE,
    COUNT,
    DIAMETER,
    FACTOR,
    FORCE,
    MASS,
    METRES,
    MINUTES,
    NO_LIMIT,
    PRICE,
    SIDE,
    UPLIFT,
    VOLUME,
    C,
    K,
    available_column,
    duty_column,
    lead_time_column,
    minimum_order_column,
    supplier_column,
)

# fmt: off
ANCHORS = InputSheet(
    "Anchors", "A row for each anchor model that can be bought.", Anchor, "anchors",
    (
        C("Anchor", "name", "A name of its own", K.NAME, names="anchor", example="plate 250"),
        supplier_column("Supplier A"),
        C("Family", "family", "Its kind; options, allowed families and laws go by it", K.NAME,
          names="family", example="folding plate"),
        C("Transport form", "transport_form", "How it travels", K.CHOICE, choices=TransportForm,
          example="folding"),
        C("Mass", "mass_kg", "Mass of one anchor in air", unit="kg", range=MASS, example=250),
        C("Unit price", "unit_price", "In the supplier's currency", K.MONEY, range=PRICE,
          example=1000),
        C("Largest uplift", "largest_uplift_deg",
          "The largest angle of the line above the seabed at which it is relied on", unit="deg",
          range=UPLIFT),
        C("Structural limit", "structural_limit_kn", "The most that its own steel carries",
          unit="kN", range=FORCE, blank=NO_LIMIT),
        C("Safety factor", "safety_factor", "Its own anchor safety factor", range=FACTOR,
          blank="the project's"),
        C("Submerged volume", "stated_volume_m3", "Water that it displaces", unit="m³",
          range=VOLUME, blank="mass ÷ 7.85 t/m³"),
        C("Holds by", "holds_by", "Burying itself, or lying heavy", K.CHOICE, choices=HoldsBy),
        C("Pack quantity", "pack_quantity", "Anchors in one pack", K.COUNT, range=COUNT,
          example=10),
        C("Pack length", "pack_length_mm", "Outside, of one pack", unit="mm", range=SIDE,
          example=2000),
        C("Pack width", "pack_width_mm", "Outside, of one pack", unit="mm", range=SIDE,
          example=1000),
        C("Pack height", "pack_height_mm", "Outside, of one pack", unit="mm", range=SIDE,
          example=1000),
        C("Pack mass", "stated_pack_mass_kg", "Of one full pack", unit="kg", range=MASS,
          blank="pack quantity × mass"),
        C("Deck area", "deck_area_m2", "On the vessel, of one anchor ready to lay", unit="m²",
          range=AREA, example=2),
        C("Assembly", "assembly_min", "On board, each", unit="min", range=MINUTES),
        C("Lowering", "lowering_min", "Each", unit="min", range=MINUTES, example=30),
        C("Setting", "setting_min", "Each", unit="min", range=MINUTES, example=45),
        minimum_order_column(),
        C("Order multiple", "order_multiple", "An order is a whole number of these", K.COUNT,
          range=COUNT),
        available_column(""), lead_time_column(), duty_column(),
    ),
    required=True,
)

CHAIN = InputSheet(
    "Chain", "A row for each ground chain that can be bought.", Chain, "chains",
    (
        C("Chain", "name", "A name of its own", K.NAME, names="chain", example="chain 26"),
        supplier_column("Supplier A"),
        C("Diameter", "diameter_mm", "Of the bar, new", unit="mm", range=DIAMETER, example=26),
        C("Mass", "mass_kg_per_m", "In air", unit="kg/m", range=above(0, 5000), example=14.6),
        C("Breaking load", "breaking_load_kn", "Of the new chain", unit="kN", range=FORCE,
          example=540),
        C("Price per m", "price_per_m", "In the supplier's currency", K.MONEY, "per m",
          range=PRICE, example=40),
        C("Length sold", "length_sold_m", "Of one length", unit="m", range=METRES, example=27.5),
        C("Joinable", "joinable", "Whether lengths may be joined", K.YES_NO),
        C("Join cost", "join_cost", "Of one connector, in the supplier's currency", K.MONEY,
          range=CHARGE),
        C("Packed volume", "packed_volume_m3", "Of one length as packed", unit="m³ per length",
          range=VOLUME, example=0.3),
        C("Packed mass", "stated_packed_mass_kg", "Of one length as packed",
          unit="kg per length", range=MASS, blank="length × mass"),
        C("Handling", "handling_min_per_10_m", "On board", unit="min per 10 m",
          range=Range(0, 1000)),
        available_column("lengths"), minimum_order_column(), lead_time_column(), duty_column(),
    ),
    required=True,
)

ROPE = InputSheet(
    "Rope", "A row for each rope that can be bought; without this sheet legs are all chain.",
    Rope, "ropes",
    (
        C("Rope", "name", "A name of its own", K.NAME, names="rope", example="rope 48"),
        supplier_column("Supplier A"),
        C("Diameter", "diameter_mm", "New", unit="mm", range=DIAMETER, example=48),
        C("Mass", "mass_kg_per_m", "In air", unit="kg/m", range=above(0, 1000), example=1.1),
        C("Density", "density_kg_m3", "Of the fibre: less than sea water floats", unit="kg/m³",
          range=above(0, 20_000), example=1140),
        C("Breaking load", "breaking_load_kn", "Of the new rope", unit="kN", range=FORCE,
          example=400),
        C("Price per m", "price_per_m", "In the supplier's currency", K.MONEY, "per m",
          range=PRICE, example=8),
        C("Length sold", "length_sold_m", "Of one coil", unit="m", range=METRES, example=220),
        C("Packed volume", "packed_volume_m3", "Of one coil as packed", unit="m³ per length",
          range=VOLUME, example=1.2),
        available_column("lengths"), minimum_order_column(), lead_time_column(), duty_column(),
    ),
    absent="legs are all chain",
)

FITTINGS = InputSheet(
    "Fittings", "A row for each fitting that every leg, or every anchor, needs.", Fitting,
    "fittings",
    (
        C("Fitting", "name", "A name of its own", K.NAME, names="fitting", example="shackle 32"),
        supplier_column("Supplier A"),
        C("Used per", "used_per", "What the quantity is counted for", K.CHOICE, choices=UsedPer,
          example="leg"),
        C("Quantity", "quantity", "For each leg or anchor", K.COUNT, range=COUNT, example=2),
        C("For chain", "for_chain", "The chain that it belongs to", K.NAME, names="chain",
          blank="any"),
        C("Breaking load", "breaking_load_kn", "Of one", unit="kN", range=FORCE, example=600),
        C("Unit price", "unit_price", "In the supplier's currency", K.MONEY, range=PRICE,
          example=25),
        C("Mass", "mass_kg", "Of one", unit="kg", range=MASS, example=5),
        C("Packed volume", "packed_volume_m3", "Of one as packed", unit="m³", range=VOLUME,
          example=0.01),
        duty_column(), available_column(""),
    ),
    absent="no fittings are bought",
)
# fmt: on
