"""Farms of any number of leg groups, no two alike, with the catalogues of the sample. Invented."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

from moorledger.io.reading.workbook import read_farm
from moorledger.models.farm import Farm

SAMPLE = Path(__file__).resolve().parent.parent / "sample_inputs" / "heron_sound"

LESS_TENSION, LESS_DEPTH = 0.15, 0.1
"""By what share a group's tension and depth may lie below those of the sample's."""


def farm_of_groups(groups: int, seed: int = 1) -> Farm:
    """Return the sample with so many leg groups of one leg, no two alike; the same at every call.

    Each is one of the sample's, its tension and depth drawn nearby. Nothing runs short.
    """
    sample, draw = read_farm(SAMPLE), random.Random(seed)
    legs = []
    for n in range(groups):
        like = sample.legs[n % len(sample.legs)]
        legs.append(
            replace(
                like,
                name=f"leg {n + 1}",
                count=1,
                design_tension_kn=like.design_tension_kn * (1 - draw.uniform(0, LESS_TENSION)),
                depth_m=round(like.depth_m * (1 - draw.uniform(0, LESS_DEPTH)), 2),
            )
        )
    return replace(
        sample,
        legs=tuple(legs),
        restrictions=(),
        anchors=tuple(replace(anchor, available=None) for anchor in sample.anchors),
        chains=tuple(replace(chain, available=None) for chain in sample.chains),
        ropes=tuple(replace(rope, available=None) for rope in sample.ropes),
        services=tuple(replace(service, available=None) for service in sample.services),
        vessels=tuple(replace(vessel, most_days=None) for vessel in sample.vessels),
    )
