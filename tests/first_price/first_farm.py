"""An invented farm of eight legs as a new user types it, and what comes in later."""

from __future__ import annotations

import copy
import random
from collections.abc import Iterator
from typing import Any

from moorledger.io.reading.workbook import farm_of
from moorledger.models.farm import Farm

from tests.farms.sample_cells import Grid, tables_of

ANCHORS = (
    ("plate 150", "folding plate", 150, 640, 6),
    ("plate 240", "folding plate", 240, 980, 6),
    ("fluke 180", "fixed fluke", 180, 560, 3),
    ("fluke 300", "fixed fluke", 300, 900, 3),
)
PEAKS_KN = {"plate 150": 100.0, "plate 240": 155.0, "fluke 180": 95.0, "fluke 300": 150.0}
SEABEDS = {"sand": 0.95, "mud": 0.62}


def readings() -> Iterator[list[Any]]:
    """Yield three tests of every anchor on both seabeds, three readings each."""
    number = 0
    for name, peak in PEAKS_KN.items():
        for seabed, share in SEABEDS.items():
            for scatter in (1.0, 1.06, 0.95):
                number += 1
                for drag, risen in ((1, 0.7), (2, 0.9), (3, 1.0)):
                    load = round(peak * share * scatter * risen, 1)
                    yield [f"T{number}", name, seabed, drag, load]


def first_grid(times: int = 1) -> Grid:
    """Return what is typed into the short template, cell by cell; times : lines a leg group."""
    legs = [
        *([f"corner {at}", 1, 40, 18, "sand", 3] for at in ("NW", "NE")),
        *([f"corner {at}", 1, 32, 22, "mud", 3] for at in ("SW", "SE")),
        ["side N", 2, 30, 18, "sand", 3],
        ["side S", 2, 20, 22, "mud", 3],
    ]
    return {
        "Seabeds": [["Seabed", "Chain friction"], ["mud", 0.6], ["sand", 0.7]],
        "Legs": [
            ["Leg", "Count", "Design tension (kN)", "Depth (m)", "Seabed", "Allowed drag (m)"],
            *([leg[0], times * leg[1], *leg[2:]] for leg in legs),
        ],
        "Anchors": [
            ["Anchor", "Family", "Mass (kg)", "Unit price", "Largest uplift (deg)"],
            *(list(row) for row in ANCHORS),
        ],
        "Pull tests": [["Test", "Anchor", "Seabed", "Drag (m)", "Load (kN)"], *readings()],
        "Chain": [
            ["Chain", "Diameter (mm)", "Mass (kg/m)", "Breaking load (kN)", "Price per m",
             "Length sold (m)"],
            ["chain 20", 20, 8.7, 251, 15.5, 27.5],
            ["chain 26", 26, 14.6, 432, 26, 27.5],
        ],
    }  # fmt: skip


FREIGHT = [
    ["Service", "Origin", "Basis", "Rate", "Currency", "Project currency per unit",
     "Cubic metres per tonne"],
    ["by measure", "Quay A", "measure", 260, "EUR", 1, 1],
]  # fmt: skip
VESSELS = [
    ["Vessel", "Day rate", "Mobilisation", "Working hours per day", "Crane limit (t)",
     "Deck load (t)", "Deck area (m²)", "Round trip (h)", "Shifting per leg (min)",
     "Fuel per trip"],
    ["workboat", 4200, 900, 10, 3, 20, 8, 3, 15, 150],
]  # fmt: skip


def fuller(grid: Grid, seed: int = 0) -> Grid:
    """Return a farm with freight and a vessel, but none of what they ask of the goods; each seed
    has rates and a deck of its own."""
    draw = random.Random(seed)
    grown = copy.deepcopy(grid)
    grown["Freight"] = copy.deepcopy(FREIGHT)
    grown["Vessels"] = copy.deepcopy(VESSELS)
    if seed:
        grown["Freight"][1][3] = draw.choice((60, 140, 260, 420))
        grown["Vessels"][1][1] = draw.choice((1500, 2800, 4200, 7000))
        grown["Vessels"][1][6] = draw.choice((6, 9, 12, 18))
        grown["Vessels"][1][9] = draw.choice((80, 300, 900))
    return grown


def farm_of_grid(grid: Grid, **how: Any) -> Farm:
    """Return the farm of some sheets."""
    return farm_of(tables_of(grid), **how)[0]
