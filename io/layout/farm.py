"""What the buyer says of the farm: its settings, its legs and the seabeds under them."""

from __future__ import annotations

from ...models.site.delivery_term import DeliveryTerm
from ...models.site.lease import LeaseCorner
from ...models.site.leg import Leg
from ...models.site.load_case import CaseTension, LoadCase
from ...models.site.project import DutyOn, FactorActsOn, Project
from ...models.site.seabed import Seabed
from .column import Bounds, InputSheet, above, between
from .shared_columns import (
    CHARGE,
    COUNT,
    DAYS,
    FACTOR,
    FORCE,
    METRES,
    MINUTES,
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
          "Default of UFC 4-159-03 Table 3-7: 1.5 is for stockless and balanced-fluke anchors; 2.0 "
          "for high-efficiency drag anchors and 3.0 for plates go on Anchors", range=FACTOR,
          basis=UFC),
        C("Chain safety factor", "chain_safety_factor",
          "On the design tension; default of UFC 4-159-03 Table 3-7", range=FACTOR,
          basis=UFC),
        C("Rope safety factor", "rope_safety_factor",
          "On the design tension; default of UFC 4-159-03 Table 3-7", range=FACTOR,
          basis=UFC),
        C("Safety factor acts on", "safety_factor_acts_on", "The anchor safety factor: on the "
          "tension before the statics, or on the load that they bring to the anchor (the "
          "working-load practice)", K.CHOICE, choices=FactorActsOn),
        C("Pull test scatter", "pull_test_scatter",
          "Coefficient of variation of holding between like tests, such as 0.2", K.SHARE,
          range=SOME, blank="not stated: one or two tests are not relied on",
          measure="of the holding"),
        C("Least pull test scatter", "least_pull_test_scatter",
          "The scatter of tests is not taken below it (EN 1990:2002 D.7.1, from memory)", K.SHARE,
          range=SHARE, measure="of the holding", basis="EN 1990:2002 D.7.1, from memory"),
        C("Most anchors per leg", "most_anchors_per_leg", "Anchors that may share one leg",
          K.COUNT, range=between(1, 10)),
        C("Second anchor share", "second_anchor_share",
          "Share of its lone holding that each of several anchors keeps (common practice, "
          "no source)", K.SHARE, range=SOME, basis=COMMON),
        C("Make-ups per leg group", "make_ups_per_leg_group",
          "Make-ups, each laid by one vessel, that the lines of a group may have; 1: all built "
          "alike by one vessel", K.COUNT, range=COUNT),
        C("Rope lengths tried", "rope_lengths_tried", "Multiples of the depth, such as 1.5; 2; 3",
          K.NUMBERS, "× depth", range=above(0, 50)),
        C("Rope in each eye", "rope_in_each_eye_m", "Rope that one eye takes; a piece has two "
          "(common practice, no source)", unit="m", range=Bounds(0, 100), basis=COMMON),
        C("Shortest chain", "shortest_chain_m", "The shortest ground chain considered (common "
          "practice, no source)", unit="m", range=Bounds(0, 5000), basis=COMMON),
        C("Longest chain", "longest_chain_m", "The longest ground chain considered", unit="m",
          range=METRES),
        C("Chain kept on the seabed", "chain_on_seabed_m", "In every load case, where an anchor "
          "stands no uplift", unit="m", range=Bounds(0, 5000)),
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
        C("Setting pull held", "setting_pull_held_min", "How long the setting pull is held, its "
          "reading settled", unit="min", range=MINUTES, basis="NAVFAC MO-124, Appendix E"),
        C("Spare anchors", "spare_anchor_share", "Bought beyond those laid", K.PERCENT, "%",
          range=SHARE, measure="of those laid"),
        C("Container stowage", "container_stowage_share",
          "Share of a container's volume that packs fill", K.PERCENT, "%", range=SOME,
          measure="of inside volume"),
        C("Duty on", "duty_on", "What duty is a percentage of", K.CHOICE, choices=DutyOn),
        C("Insurance", "insurance_share", "On goods and freight", K.PERCENT, "%", range=SHARE,
          measure="of goods and freight"),
        C("Contingency", "contingency_share", "Shown on the total", K.PERCENT, "%", range=SHARE,
          measure="of the whole cost"),
        C("Most anchor models", "most_anchor_models", "Anchor models in one farm", K.COUNT,
          range=Bounds(1, 1000), blank=NO_LIMIT),
        C("Most chains", "most_chains", "Chains in one farm", K.COUNT, range=Bounds(1, 1000),
          blank=NO_LIMIT),
        C("Most ropes", "most_ropes", "Ropes in one farm", K.COUNT, range=Bounds(1, 1000),
          blank=NO_LIMIT),
        C("Most suppliers", "most_suppliers", "Suppliers ordered from", K.COUNT,
          range=Bounds(1, 1000), blank=NO_LIMIT),
        C("Order date", "order_date", "The day the order goes out", K.DATE,
          blank="delivery times are not checked"),
        C("Required on site", "required_on_site", "The day the goods are needed", K.DATE,
          blank="delivery times are not checked"),
        C("Delivery margin", "delivery_margin_days", "Days before that by which the goods are "
          "to be there", K.COUNT, "days", range=DAYS),
        C("Buyer", "buyer", "Who orders; a name, an address and a contact for the orders", K.TEXT,
          blank=TO_FILL_IN),
        C("Delivery place", "delivery_place", "Where the goods are to go", K.TEXT,
          blank=TO_FILL_IN),
        C("Delivery term", "delivery_term", "The Incoterms 2020 rule of the orders. Freight is "
          "priced from the suppliers' origins, so EXW, FCA, FAS or FOB agree with it", K.CHOICE,
          choices=DeliveryTerm, blank=TO_FILL_IN, measure="Incoterms 2020"),
        C("Payment terms", "payment_terms", "On the purchase orders", K.TEXT, blank=TO_FILL_IN),
        C("Approved by", "approved_by", "Who signs the Summary and the orders", K.TEXT,
          blank=TO_FILL_IN),
        C("Cost of changing a line", "change_cost", "After an earlier order: a leg group is built "
          "otherwise only where that saves more than so much a line; weighed group by group, no "
          "part of the cost", K.MONEY, range=CHARGE),
        C("Price of a pull test", "pull_test_price", "One more test, all in", K.MONEY,
          range=CHARGE, blank="by vessel hours"),
        C("Charged days sure", "charged_days_sure", "The chance with which each vessel's charged "
          "days are to be enough", K.PERCENT, "%", range=Bounds(0, 0.999, above=True, closed=True),
          blank="the mean is charged"),
        C("Replacement horizon", "replacement_horizon_years", "Years over which replacements of "
          "worn chain are counted", unit="years", range=Bounds(0, 100)),
        C("Discount rate", "discount_rate", "A year's interest on what replacements cost",
          K.PERCENT, "%", range=Bounds(0, 1), measure="a year"),
        C("Setting pull raises holding", "setting_pull_counts", "Whether an anchor alone on its "
          "line is relied on for more once it has stood its setting pull; for the licensed "
          "engineer to decide, not of clay that sets up after the pull nor against cyclic load",
          K.YES_NO, basis=OURS),
    ),
    absent="every setting is its default", settings=True,
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
        C("Line-lost tension", "line_lost_tension_kn",
          "Tension that the line must stand when a neighbour is lost, before safety factors",
          unit="kN", range=FORCE, blank="not given"),
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
        C("Easting", "easting_m", "Of the attachment of its first line", unit="m",
          range=Bounds(-1e8, 1e8), example=1500),
        C("Northing", "northing_m", "Of the attachment of its first line", unit="m",
          range=Bounds(-1e8, 1e8), example=3000),
        C("Bearing", "bearing_deg", "From an attachment to its anchor, clockwise from grid north",
          unit="deg", range=between(0, 360), example=0),
        C("Spacing", "spacing_m", "From the attachment of one line to the next", unit="m",
          range=Bounds(0, 10_000), example=20),
        C("Row bearing", "row_bearing_deg",
          "Where the next line's attachment lies, clockwise from grid north", unit="deg",
          range=between(0, 360), example=90),
        C("Note", "note", "Yours", K.TEXT),
    ),
    required=True,
)

LOAD_CASES = InputSheet(
    "Load cases", "A row for each load case in which every limit must hold: the engineer's own.",
    LoadCase, "load_cases",
    (
        C("Case", "name", "A name of its own", K.NAME, names="case", example="intact"),
        C("Tension", "tension", "Which of a leg's tensions", K.CHOICE, choices=CaseTension,
          example="design"),
        C("Load factor", "load_factor", "On the tension, before the statics",
          range=above(0, 20), example=1.5),
        C("Anchor factor", "anchor_factor", "On what the statics bring to the anchor",
          range=above(0, 20), example=1.0),
        C("Chain factor", "chain_factor", "On load factor × tension", range=above(0, 20),
          example=2.0),
        C("Rope factor", "rope_factor", "On load factor × tension", range=above(0, 20),
          example=2.0),
        C("Extra depth", "extra_depth_m", "Water above the leg's depth", unit="m",
          range=Bounds(-100, 100)),
        C("Legs", "legs", "Leg or group names that it is for; separate by ;", K.NAMES,
          names="leg or group", blank="all"),
    ),
    absent="one case, with the safety factors of Project",
)

LEASE = InputSheet(
    "Lease", "A row for each corner, in order, of the ground within which every anchor must lie.",
    LeaseCorner, "lease",
    (
        C("Easting", "easting_m", "Of the corner", unit="m", range=Bounds(-1e8, 1e8),
          example=1000),
        C("Northing", "northing_m", "Of the corner", unit="m", range=Bounds(-1e8, 1e8),
          example=2000),
    ),
    absent="anchors may lie anywhere",
    more_examples=((3000, 2000), (3000, 4000), (1000, 4000)),
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
