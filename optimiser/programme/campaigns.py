"""Installation in the programme: vessels, trips and whole days."""

from __future__ import annotations

from dataclasses import dataclass

from ...models.farm import Farm
from ...models.site.vessel import Vessel
from ..solvers.matrix import Programme
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


def add_campaigns(farm: Farm, programme: Programme) -> list[Sailing]:
    """Add, for every vessel: trips × deck ≥ what its lines weigh and take up;
    days × hours per charged day ≥ trips × round trip + the lines' hours; and for a vessel that
    goes home every day trips × what a day leaves beside the round trip ≥ the lines' hours."""
    sailings = []
    for vessel in farm.vessels:
        limit = float("inf") if vessel.most_days is None else vessel.most_days
        used: int | None = None
        days = programme.column(ColumnFamily.DAYS, high=limit, integer=True, cost=vessel.day_rate)
        trips = programme.column(ColumnFamily.TRIPS, integer=True, cost=vessel.fuel_per_trip)
        if vessel.mobilisation > 0:
            used = programme.column(
                ColumnFamily.VESSEL_USED, high=1, integer=True, cost=vessel.mobilisation
            )
        hours = programme.row(
            RowFamily.VESSEL_HOURS,
            [(trips, vessel.round_trip_h), (days, -vessel.hours_per_charged_day)],
            high=0,
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
