"""What anchors are relied on to hold: declared, by law, or by pull test."""

from __future__ import annotations

from ...models.goods.anchor import UpliftLoss
from ...models.site.declared_holding import DeclaredHolding, HoldingLaw
from ...models.site.pull_test import Event, Reading
from .column import Bounds, InputSheet, above
from .shared_columns import FORCE, MASS, SHARE, SOME, UPLIFT, C, K, seabed_column

# fmt: off
UPLIFT_LOSS = InputSheet(
    "Uplift loss", "Points of the share of holding kept when the line pulls up at the anchor.",
    UpliftLoss, "uplift_losses",
    (
        C("Anchor or family", "anchor_or_family", "A name or a family on Anchors", K.NAME,
          names="anchor or family", example="folding plate"),
        C("Uplift", "uplift_deg", "Angle of the line above the seabed", unit="deg", range=UPLIFT,
          example=5),
        C("Holding kept", "holding_kept", "Share of the holding at no uplift", K.PERCENT, "%",
          range=SHARE, example=0.9),
    ),
    absent="all holding is kept up to an anchor's largest uplift",
)

HOLDING = InputSheet(
    "Holding", "Holding that the engineer or the supplier answers for; own tests come first.",
    DeclaredHolding, "declared_holdings",
    (
        C("Anchor", "anchor", "A name on Anchors", K.NAME, names="anchor", example="plate 250"),
        seabed_column(),
        C("Holding", "holding_kn", "Design holding before the safety factor", unit="kN",
          range=FORCE, example=35),
        C("Source", "reference", "Who answers for it, and where", K.TEXT,
          example="engineer's letter of 3 May"),
        C("Overrides tests", "overrides_tests", "Whether it counts though the anchor's own tests "
          "there support less", K.YES_NO),
    ),
    absent="pull tests and laws are relied on",
)

HOLDING_LAWS = InputSheet(
    "Holding laws", "A family's holding against mass: reference holding × (mass ÷ reference "
    "mass) to the exponent.", HoldingLaw, "holding_laws",
    (
        C("Family", "family", "A family on Anchors", K.NAME, names="family", example="stockless"),
        seabed_column(),
        C("Reference mass", "reference_mass_kg", "Of the anchor that the holding is for",
          unit="kg", range=MASS, example=4536),
        C("Reference holding", "reference_holding_kn", "Of the anchor of the reference mass",
          unit="kN", range=FORCE, example=311),
        C("Exponent", "exponent", "Of the mass", range=above(0, 3), example=0.8),
        C("Scatter", "scatter", "Of holding about a mean law, such as 25 %", K.PERCENT, "%",
          range=SOME, blank="the law gives a lower value already"),
        C("Source", "reference", "Where the law comes from", K.TEXT, example="handbook, table 2"),
    ),
    absent="no law is relied on",
)

PULL_TESTS = InputSheet(
    "Pull tests", "A row for each reading of a test, in order of drag.", Reading, "readings",
    (
        C("Test", "test", "A name for each test", K.NAME, names="test", example="T1"),
        C("Anchor", "anchor", "A name on Anchors", K.NAME, names="anchor", example="plate 250"),
        seabed_column(),
        C("Drag", "drag_m", "How far the anchor has moved", unit="m", range=Bounds(0, 1000),
          example=1.5),
        C("Load", "load_kn", "On the line at the anchor", unit="kN", range=Bounds(0, 1e5),
          example=40),
        C("Event", "event", "What happened at this reading", K.CHOICE, choices=Event,
          blank="nothing"),
        C("Penetration", "penetration_mm", "How deep the anchor lies buried", unit="mm",
          range=Bounds(0, 50_000), blank="not recorded"),
        C("Soil disturbance note", "soil_note", "How the soil was left", K.TEXT),
    ),
    absent="holding is declared, or by law",
)
# fmt: on
