"""The layout of the input workbook: every sheet and column, once, for reader, template and docs.

Which columns must be filled, and the plain default of the others, are those of the records.
"""

from __future__ import annotations

from .farm import LEASE, LEGS, LOAD_CASES, PROJECT, SEABEDS
from .goods import ANCHORS, CHAIN, FITTINGS, ROPE
from .holding import HOLDING, HOLDING_LAWS, PULL_TESTS, UPLIFT_LOSS
from .laid import LAID
from .offers import FREIGHT, MAP, OFFERS, ON_HAND, PRICE_BREAKS, SUPPLIERS, VESSELS
from .options import OPTIONS, UNCERTAINTY

INSTRUCTIONS = "Instructions"
"""The template's sheet of instructions, which the reader leaves alone."""

INPUT_PREFIX = "Input "
"""What the names of input sheets begin with where an order workbook holds them."""

FAULTS = "Faults found"
"""The sheet that a checked copy has in front, which the reader leaves alone too."""

QUOTATIONS_TAKEN = "Quotations taken"
"""The sheet of what quotations changed, which the reader leaves alone as well."""

NOT_INPUT = frozenset({INSTRUCTIONS.casefold(), FAULTS.casefold(), QUOTATIONS_TAKEN.casefold()})

SHEETS = (
    PROJECT,
    LEGS,
    LOAD_CASES,
    LEASE,
    SEABEDS,
    ANCHORS,
    UPLIFT_LOSS,
    HOLDING,
    HOLDING_LAWS,
    PULL_TESTS,
    CHAIN,
    ROPE,
    FITTINGS,
    OFFERS,
    PRICE_BREAKS,
    SUPPLIERS,
    MAP,
    ON_HAND,
    LAID,
    FREIGHT,
    VESSELS,
    OPTIONS,
    UNCERTAINTY,
)
"""Every input sheet, in the order that the template writes them."""

NAMED_BY: dict[str, tuple[tuple[str, str], ...]] = {
    "leg": (("Legs", "Leg"),),
    "leg or group": (("Legs", "Leg"), ("Legs", "Group")),
    "case": (("Load cases", "Case"),),
    "seabed": (("Seabeds", "Seabed"),),
    "anchor": (("Anchors", "Anchor"),),
    "family": (("Anchors", "Family"),),
    "anchor or family": (("Anchors", "Anchor"), ("Anchors", "Family")),
    "test": (("Pull tests", "Test"),),
    "chain": (("Chain", "Chain"),),
    "rope": (("Rope", "Rope"),),
    "fitting": (("Fittings", "Fitting"),),
    "item": (
        ("Anchors", "Anchor"),
        ("Chain", "Chain"),
        ("Rope", "Rope"),
        ("Fittings", "Fitting"),
    ),
    "supplier": (("Suppliers", "Supplier"),),
    "origin": (("Freight", "Origin"),),
    "service": (("Freight", "Service"),),
    "vessel": (("Vessels", "Vessel"),),
    "restricted": (
        ("Anchors", "Anchor"),
        ("Anchors", "Family"),
        ("Anchors", "Transport form"),
        ("Chain", "Chain"),
        ("Rope", "Rope"),
        ("Vessels", "Vessel"),
        ("Suppliers", "Supplier"),
        ("Freight", "Service"),
    ),
    "uncertain": (
        ("Freight", "Service"),
        ("Suppliers", "Currency"),
        ("Freight", "Currency"),
        ("Suppliers", "Supplier"),
        ("Anchors", "Anchor"),
        ("Chain", "Chain"),
        ("Rope", "Rope"),
        ("Fittings", "Fitting"),
        ("Vessels", "Vessel"),
    ),
    "currency": (("Project", "Currency"), ("Suppliers", "Currency"), ("Freight", "Currency")),
}
"""Kind of name → the sheets and headings that define names of that kind."""
