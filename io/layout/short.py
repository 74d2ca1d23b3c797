"""The short template: the fewest sheets and columns that price a farm."""

from __future__ import annotations

from dataclasses import replace

from .column import InputSheet
from .farm import LEGS, SEABEDS
from .goods import ANCHORS, CHAIN
from .holding import PULL_TESTS


def _with(sheet: InputSheet, *headings: str) -> InputSheet:
    """Return a sheet with these of its columns."""
    there = {column.heading: column for column in sheet.columns}
    return replace(sheet, columns=tuple(there[heading] for heading in headings), more_examples=())


SHORT = (
    _with(SEABEDS, "Seabed", "Chain friction"),
    _with(LEGS, "Leg", "Count", "Design tension", "Depth", "Seabed", "Allowed drag"),
    _with(ANCHORS, "Anchor", "Family", "Mass", "Unit price", "Largest uplift"),
    _with(PULL_TESTS, "Test", "Anchor", "Seabed", "Drag", "Load", "Event"),
    _with(CHAIN, "Chain", "Diameter", "Mass", "Breaking load", "Price per m", "Length sold"),
)  # fmt: skip
"""In the order in which they are filled in."""
