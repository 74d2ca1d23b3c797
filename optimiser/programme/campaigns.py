"""Installation in the programme: vessels, trips and whole days.

Where the days charged must be enough with a certain chance, they are no share of the hours any
more, but a table: D(n) for n days of work, whole and rising. A binary for each day of work then
says whether there are so many, in turn, and D(n) is the sum of its steps: the table exactly.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ...models.arrays import ROUNDING, Bools, Floats, Ints
from ...models.farm import Farm
from ...models.risk.charged_days import days_at, working_days_of
from ...models.site.vessel import Vessel
from ..choices.choices import Choices
from ..solvers.matrix import Programme
from ..stowage.deck_packing import FILLED_BY, filled
from .families import ColumnFamily, RowFamily


@dataclass(frozen=True)
class Sailing:
    """The columns and rows of one vessel; its choices add their terms to the rows."""

    vessel: Vessel
    used: int | None
    trips: int
    days: int
    mass_row: int
    area_row: int
    hours_row: int
    home_row: int
    """−1 for a vessel that need not go home every day."""


@dataclass(frozen=True)
class MostWork:
    """The most that one vessel can be given to do: the hungriest choice of every leg."""

    hours: float
    mass_t: float
    area_m2: float

    def working_days(self, vessel: Vessel) -> int:
        """Return the days of work that no campaign of the vessel needs more than."""
        by_home = self.hours / vessel.hours_per_trip if vessel.hours_per_trip > 0 else 0.0
        decks = (self.mass_t / vessel.deck_load_t, self.area_m2 / vessel.deck_area_m2)
        trips = max(math.ceil(max(*decks, by_home)), 1)
        return working_days_of(vessel, trips * vessel.round_trip_h + self.hours) + 1


def add_campaigns(farm: Farm, programme: Programme, most: Sequence[MostWork] = ()) -> list[Sailing]:
    """Add, for every vessel: trips × deck ≥ what its lines weigh and take up;
    days × hours per charged day ≥ trips × round trip + the lines' hours; and for a vessel that
    goes home every day trips × what a day leaves beside the round trip ≥ the lines' hours.

    most : of every vessel, where the days charged must be sure (`Project.charged_days_sure`)."""
    sailings = []
    for number, vessel in enumerate(farm.vessels):
        limit = float("inf") if vessel.most_days is None else vessel.most_days
        used: int | None = None
        days = programme.column(ColumnFamily.DAYS, high=limit, integer=True, cost=vessel.day_rate)
        trips = programme.column(ColumnFamily.TRIPS, integer=True, cost=vessel.fuel_per_trip)
        if vessel.mobilisation > 0:
            used = programme.column(
                ColumnFamily.VESSEL_USED, high=1, integer=True, cost=vessel.mobilisation
            )
        sure = farm.project.charged_days_sure
        if sure is None or vessel.workable_share == 1:
            worked = [(days, -vessel.hours_per_charged_day)]
        else:
            needed = most[number].working_days(vessel)
            worked = _sure_days(programme, vessel, days, needed, sure)
        hours = programme.row(
            RowFamily.VESSEL_HOURS, [(trips, vessel.round_trip_h), *worked], high=0
        )
        home = -1
        if vessel.home_every_day:
            home = programme.row(
                RowFamily.HOME_EVERY_DAY, [(trips, -vessel.hours_per_trip)], high=0
            )
        sailings.append(
            Sailing(
                vessel,
                used,
                trips,
                days,
                programme.row(RowFamily.DECK_LOAD, [(trips, -vessel.deck_load_t)], high=0),
                programme.row(RowFamily.DECK_AREA, [(trips, -vessel.deck_area_m2)], high=0),
                hours,
                home,
            )
        )
    return sailings


def whole_lines(
    farm: Farm, choices: Choices, sailings: list[Sailing], programme: Programme
) -> Iterator[tuple[Ints, Ints, Floats]]:
    """Add rows that hold because lines go whole on a trip, where they say more than the sums of
    mass and area do; yield (rows by vessel and kind, the kind of each choice, what one line has
    there by vessel and kind).

    They are dual feasible functions of each line's share of the deck: with k = 1, the lines of
    more than half a deck need a trip each.
    """
    vessel = choices.vessel
    own = sum(_own_trips(farm, choices, one.vessel, vessel == n) for n, one in enumerate(sailings))
    for amount, rooms in (
        (choices.mass_t, [sailing.vessel.deck_load_t for sailing in sailings]),
        (choices.area_m2, [sailing.vessel.deck_area_m2 for sailing in sailings]),
    ):
        share = amount / np.array(rooms)[vessel]
        for k in FILLED_BY:
            need = np.where(own > 0, own, filled(np.minimum(share, 1.0), k))
            says_more = np.unique(vessel[need > share * (1 + ROUNDING)]).tolist()
            if says_more:
                # Every need is whole, or so many k-ths or (k + 1)-ths.
                parts = k * (k + 1)
                kind = np.rint(need * parts).astype(np.int32)
                worth = np.tile(np.arange(kind.max() + 1) / parts, (len(sailings), 1))
                row_of = np.full(worth.shape, -1)
                for n in says_more:
                    trips = [(sailings[n].trips, -1.0)]
                    row_of[n, 1:] = programme.row(RowFamily.DECK_TRIPS, trips, high=0)
                yield row_of, kind.astype(np.int16) if kind.max() < 2**15 else kind, worth


def _own_trips(farm: Farm, choices: Choices, vessel: Vessel, mine: Bools) -> Floats:
    """Return (X,) the trips that a line of each choice takes by itself; 0: it fits a deck."""
    made = choices.make_ups
    over = mine & ((choices.mass_t > vessel.deck_load_t) | (choices.area_m2 > vessel.deck_area_m2))
    own = np.zeros(len(choices))
    for index in np.flatnonzero(over):
        anchor = farm.anchors[int(made.anchor[index])]
        own[index] = vessel.own_trips(
            float(choices.mass_t[index]),
            int(made.anchors[index]),
            anchor.mass_kg / 1000.0,
            anchor.deck_area_m2,
        )
    return own


def _sure_days(
    programme: Programme, vessel: Vessel, days: int, most: int, sure: float
) -> list[tuple[int, float]]:
    """Add a binary for each day of work, in turn, and days = Σ (D(n) − D(n − 1)) × the n-th.

    Return the terms of the hours that those days bring, less than nothing.
    """
    columns: list[int] = []
    steps: list[float] = []
    charged = 0
    for n in range(1, most + 1):
        more = days_at(n, vessel.workable_share, sure)
        if vessel.most_days is not None and more > vessel.most_days:
            break
        columns.append(programme.column(ColumnFamily.WORKING_DAY, high=1, integer=True))
        steps.append(float(more - charged))
        charged = more
        if n > 1:
            turn = [(columns[-1], 1.0), (columns[-2], -1.0)]
            programme.row(RowFamily.WORKING_DAYS_IN_TURN, turn, high=0)
    terms = [(column, -step) for column, step in zip(columns, steps, strict=True)]
    programme.row(RowFamily.DAYS_CHARGED, [(days, 1.0), *terms], low=0)
    return [(column, -vessel.working_hours_per_day) for column in columns]
