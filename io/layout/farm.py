"""What the buyer says of the farm: its settings, its legs and the seabeds under them."""

from __future__ import annotations

from ...models.site.delivery_term import DeliveryTerm
from ...models.site.leg import Leg
from ...models.site.project import Project
from ...models.site.seabed import Seabed
from .column import Bounds, InputSheet, above, between
from .shared_columns import (
    COUNT,
    FACTOR,
    FORCE,
    METRES,
    NO_LIMIT,
    SHARE,
    SOME,
    TO_FILL_IN,
    C,
    K,
    seabed_column,
)

UFC = "UFC 4-159-03 (2005), Table 3-7"
COMMON = "common practice, no source"
OURS = "Ours, no source"
"""Where defaults come from."""

# fmt: off
PROJECT = InputSheet(
    "Project", "Settings of the whole farm; a blank value is the default.", Project, "project",
    (
        C("Project name", "name", "What the plan is titled", K.TEXT),
        C("Currency", "currency", "The currency that the plan is priced in", K.NAME,
          names="currency"),
        C("Anchor safety factor", "anchor_safety_factor",
          "On the tension at the anchor; default of UFC 4-159-03 Table 3-7", range=FACTOR,
          basis=UFC),
        C("Chain safety factor", "chain_safety_factor",
          "On the design tension; default of UFC 4-159-03 Table 3-7", range=FACTOR,
          basis=UFC),
        C("Rope safety factor", "rope_safety_factor",
          "On the design tension; default of UFC 4-159-03 Table 3-7", range=FACTOR,
          basis=UFC),
        C("Pull test scatter", "pull_test_scatter",
          "Coefficient of variation of holding between like tests, such as 0.2", K.SHARE,
          range=SOME, blank="not stated: one or two tests are not relied on",
          measure="of the holding"),
        C("Most anchors per leg", "most_anchors_per_leg", "Anchors that may share one leg",
          K.COUNT, range=between(1, 10)),
        C("Second anchor share", "second_anchor_share",
          "Share of its lone holding that each of several anchors keeps (common practice, "
          "no source)", K.SHARE, range=SOME, basis=COMMON),
        C("Rope lengths tried", "rope_lengths_tried", "Multiples of the depth, such as 1.5; 2; 3",
          K.NUMBERS, "× depth", range=above(0, 50)),
        C("Longest chain", "longest_chain_m", "The longest ground chain considered", unit="m",
          range=METRES),
        C("Cutting step", "cutting_step_m", "Ground chain is cut in whole steps", unit="m",
          range=above(0, 100)),
        C("Chain metres between joins", "chain_between_joins_m",
          "A piece of chain has at most one join for so many of its metres", range=METRES,
          blank=NO_LIMIT, measure="m"),
        C("Shortest offcut kept", "shortest_offcut_m", "Listed as worth keeping", unit="m",
          range=Bounds(0, 5000), basis=OURS),
        C("Service life", "service_life_years", "Years that the chain wears", unit="years",
          range=Bounds(0, 100)),
        C("Chain wear", "chain_wear_mm_per_year", "Diameter lost in a year", unit="mm/year",
          range=Bounds(0, 20)),
        C("Rope strength kept at splices", "rope_splice_share",
          "Share of its breaking load that a rope keeps", K.PERCENT, "%", range=SOME),
        C("Lift factor", "lift_factor", "On an anchor's mass, against the crane limit",
          range=FACTOR, measure="× anchor mass"),
        C("Setting pull", "setting_pull_share", "Pull that sets an anchor", K.PERCENT,
          "% of design tension", range=Bounds(0, 3), measure="of design tension"),
        C("Spare anchors", "spare_anchor_share", "Bought beyond those laid", K.PERCENT, "%",
          range=SHARE, measure="of those laid"),
        C("Container stowage", "container_stowage_share",
          "Share of a container's volume that packs fill", K.PERCENT, "%", range=SOME,
          measure="of inside volume"),
        C("Insurance", "insurance_share", "On goods and freight", K.PERCENT, "%", range=SHARE,
          measure="of goods and freight"),
        C("Contingency", "contingency_share", "Shown on the total", K.PERCENT, "%", range=SHARE,
          measure="of the installed cost"),
        C("Most anchor models", "most_anchor_models", "Anchor models in one farm", K.COUNT,
          range=Bounds(1, 1000), blank=NO_LIMIT),
        C("Most suppliers", "most_suppliers", "Suppliers ordered from", K.COUNT,
          range=Bounds(1, 1000), blank=NO_LIMIT),
        C("Order date", "order_date", "The day the order goes out", K.DATE,
          blank="delivery times are not checked"),
        C("Required on site", "required_on_site", "The day the goods are needed", K.DATE,
          blank="delivery times are not checked"),
        C("Buyer", "buyer", "Who orders; a name and an address for the purchase orders", K.TEXT,
          blank=TO_FILL_IN),
        C("Delivery place", "delivery_place", "Where the goods are to go", K.TEXT,
          blank=TO_FILL_IN),
        C("Delivery term", "delivery_term", "The Incoterms 2020 rule of the orders. Freight is "
          "priced from the suppliers' origins, so EXW, FCA, FAS or FOB agree with it", K.CHOICE,
          choices=DeliveryTerm, blank=TO_FILL_IN, measure="Incoterms 2020"),
        C("Approved by", "approved_by", "Who signs the Summary and the orders", K.TEXT,
          blank=TO_FILL_IN),
    ),
    required=True, settings=True,
)

LEGS = InputSheet(
    "Legs", "A row for each mooring line, or for each group of lines that are alike.", Leg, "legs",
    (
        C("Leg", "name", "A name of its own", K.NAME, names="leg", example="north corner"),
        C("Group", "group", "A word to sort by", K.TEXT, example="corners"),
        C("Count", "count", "Lines that are alike", K.COUNT, range=COUNT, example=4),
        C("Design tension", "design_tension_kn",
          "Tension at the attachment that the line must stand, before safety factors", unit="kN",
          range=FORCE, example=80),
        C("Depth", "depth_m", "From the seabed to the attachment at highest water", unit="m",
          range=above(0, 2000), example=30),
        seabed_column(),
        C("Allowed drag", "allowed_drag_m", "How far the anchor may drag before it holds",
          unit="m", range=Bounds(0, 500), example=5),
        C("Longest radius", "longest_radius_m", "From the attachment to the anchor, on the flat",
          unit="m", range=above(0, 10_000), blank=NO_LIMIT, example=150),
        C("Allowed families", "allowed_families", "Anchor families that may be used; separate by ;",
          K.NAMES, names="family", blank="any"),
        C("Fixed anchor", "fixed_anchor", "The one anchor that may be used", K.NAME,
          names="anchor", blank="any"),
        C("Fixed chain", "fixed_chain", "The one chain that may be used", K.NAME, names="chain",
          blank="any"),
        C("Easting", "easting_m", "Position of the anchor", unit="m", range=Bounds(-1e8, 1e8)),
        C("Northing", "northing_m", "Position of the anchor", unit="m", range=Bounds(-1e8, 1e8)),
        C("Note", "note", "Yours", K.TEXT),
    ),
    required=True,
)

SEABEDS = InputSheet(
    "Seabeds", "A row for each kind of seabed under the legs.", Seabed, "seabeds",
    (
        C("Seabed", "name", "A name of its own", K.NAME, names="seabed", example="sand"),
        C("Chain friction", "chain_friction", "Friction of chain lying on it", range=between(0, 3),
          example=0.7),
        C("Deadweight friction", "deadweight_friction", "Friction of a deadweight lying on it",
          range=between(0, 3), blank="deadweights are not relied on there", example=0.5),
        C("Source", "reference", "Where the frictions come from", K.TEXT,
          example="site survey, page 4"),
    ),
    required=True,
)
# fmt: on
