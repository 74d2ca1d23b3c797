"""Rows of whole lines on trips hold for every set of lines, against every way to share them out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from moorledger.models.farm import Farm
from moorledger.optimiser.choices.choices import Choices
from moorledger.optimiser.price import moorable_choices
from moorledger.optimiser.programme.cutting_rows import TripRow, link_of, worth_of
from moorledger.optimiser.programme.order_programme import OrderProgramme
from moorledger.optimiser.search.separation import rows_broken

from tests.brute.brute_trips import Line, fewest_trips
from tests.farms.random_farms import random_farm
from tests.quick_run import mostly_long

AT_ONCE, MOST_LINES = 10, 7
"""Choices that a row is made for, and lines of a set that it is tried on."""


def tight_farm(seed: int) -> Farm:
    """Return a small farm whose decks take some three lines of middling mass and area."""
    farm = random_farm(seed)
    choices = moorable_choices(farm)
    mass, area = float(np.median(choices.mass_t)), float(np.median(choices.area_m2))
    draw = np.random.default_rng(seed)
    vessels = tuple(
        replace(
            vessel,
            deck_load_t=round(mass * draw.uniform(2.0, 4.5), 2),
            deck_area_m2=round(area * draw.uniform(2.0, 4.5), 1),
        )
        for vessel in farm.vessels
    )
    return replace(farm, vessels=vessels)


def as_brute(farm: Farm, choices: Choices, place: int) -> Line:
    """Return a line of a choice as the brute force knows it."""
    anchor = farm.anchors[int(choices.make_ups.anchor[place])]
    anchors = float(choices.make_ups.anchors[place])
    return float(choices.mass_t[place]), anchors, anchor.mass_kg / 1000.0, anchor.deck_area_m2


@mostly_long("seed", range(12), quick=[2], most=1)
def test_no_set_of_lines_breaks_a_row_of_trips(seed: int) -> None:
    """Tests rows made for some choices on random sets of lines of any choice of the vessel: what
    they are worth is never more than the fewest trips; and a row says more than sums do, often."""
    farm = tight_farm(seed)
    choices = moorable_choices(farm)
    built = OrderProgramme(farm, choices)
    draw = np.random.default_rng(seed)
    rows = 0
    for _ in range(6):
        lines = np.zeros(len(choices))
        some = draw.choice(len(choices), min(AT_ONCE, len(choices)), replace=False)
        lines[some] = draw.integers(1, 24, len(some)) / 4
        for row in rows_broken(built, lines, np.zeros(built.programme.column_count)):
            if not isinstance(row, TripRow):
                continue
            rows += 1
            link = link_of(built, row)
            worth = np.append(worth_of(row, link), 0.0)[link.place]
            vessel = next(one for one in farm.vessels if one.name == row.item)
            mine = np.flatnonzero(link.place >= 0)
            for _ in range(12):
                drawn = draw.choice(mine, int(draw.integers(1, MOST_LINES + 1)))
                brute = tuple(sorted(as_brute(farm, choices, int(place)) for place in drawn))
                trips = fewest_trips(brute, vessel.deck_load_t, vessel.deck_area_m2)
                assert float(worth[drawn].sum()) <= trips + 1e-6, (row, brute)
    assert rows > 0


def test_a_row_of_trips_by_hand() -> None:
    """Tests one deck and lines of 0.4 of its area: two go on a trip, so each is worth a half, and
    five need 2.5 trips, where their sum says 2; a larger line is worth no less."""
    farm = tight_farm(0)
    choices = moorable_choices(farm)
    first = int(np.flatnonzero(choices.vessel == 0)[0])
    area = float(choices.area_m2[first])
    wide = replace(farm.vessels[0], deck_area_m2=area / 0.4, deck_load_t=1e6)
    farm = replace(farm, vessels=(wide, *farm.vessels[1:]))
    built = OrderProgramme(farm, choices)
    lines = np.zeros(len(choices))
    lines[first] = 5.0
    values = np.zeros(built.programme.column_count)
    values[built.sailings[0].trips] = 2.0
    (row,) = (one for one in rows_broken(built, lines, values) if isinstance(one, TripRow))
    assert row.by_area
    link = link_of(built, row)
    worth = np.append(worth_of(row, link), 0.0)[link.place]
    assert worth[first] == pytest.approx(0.5)
    larger = (choices.vessel == 0) & (choices.area_m2 > area)
    assert (worth[larger] >= 0.5 - 1e-9).all()
