"""Trips loaded one by one: how many a vessel needs for its lines, and which lines go on which.

The number comes from deck packing. Which lines go together follows the farm, from each line to the
nearest that is left, as far as the number of trips allows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...models.answer.trip import DeckLine, Trip
from ...models.site.vessel import Vessel
from .deck_packing import FULL, Load, first_fit, next_fit, pack_decks

MOST_TOURS, MOST_PAIRS = 30, 7_500_000
"""Tours of the farm that are tried for a vessel, and the pairs of lines that they look at: of very
many lines there is one tour."""


def fewest_trips(lines: Sequence[DeckLine], vessel: Vessel) -> int:
    """Return the trips that carry these lines whole: the fewest, as far as the packing tells."""
    own = sum(line.own_trips for line in lines)
    loads = sorted(_load(line, vessel) for line in lines if not line.own_trips)
    return own + len(pack_decks(tuple(loads)).trips)


def loaded_trips(lines: Sequence[DeckLine], vessel: Vessel, trips: int) -> tuple[Trip, ...]:
    """Return at most so many trips with every line on them, near ones together.

    trips : no fewer than `fewest_trips`. A vessel that goes home every day is given no more on a
    trip than a day's work, where so many trips allow it.
    """
    whole = [line for line in lines if not line.own_trips]
    alone = [line for line in nearest_next(lines) if line.own_trips]
    found = [_trip([n], part, n.own_trips) for n in alone for part in range(1, n.own_trips + 1)]
    together = _together(whole, vessel, trips - len(found)) if whole else []
    return (*(_trip(nearest_next(group)) for group in together), *found)


def _together(lines: list[DeckLine], vessel: Vessel, trips: int) -> list[list[DeckLine]]:
    """Return which lines go together: as near as so many trips let them."""
    tours = [nearest_next(lines, start) for start in _starts(lines)]
    day = vessel.hours_per_trip
    kept_to_the_day = math.isfinite(day) and all(line.hours <= day * FULL for line in lines)
    for by_day in [True, False] if kept_to_the_day else [False]:
        for fit in (next_fit, first_fit):
            for tour in tours:
                loads = [_load(line, vessel, day if by_day else math.inf) for line in tour]
                packed = fit(loads, range(len(tour)))
                if len(packed) <= trips:
                    return [[tour[place] for place in trip] for trip in packed]
        # Sorted, as for the count: the same loads in the same order are packed the same way.
        tour = sorted(lines, key=lambda line: _load(line, vessel, day if by_day else math.inf))
        loads = [_load(line, vessel, day if by_day else math.inf) for line in tour]
        fewest = pack_decks(tuple(loads)).trips
        if len(fewest) <= trips:
            return [[tour[place] for place in trip] for trip in fewest]
    raise ValueError(f"{trips} trips do not carry the lines of {vessel.name}")


def _starts(lines: Sequence[DeckLine]) -> list[int]:
    """Return where tours of the farm begin: at the first line of every leg group, of some."""
    firsts = {line.leg: place for place, line in reversed(list(enumerate(lines)))}
    tours = max(min(MOST_TOURS, MOST_PAIRS // max(len(lines), 1) ** 2), 1)
    return sorted(firsts.values())[:tours]


def nearest_next(lines: Sequence[DeckLine], start: int = 0) -> list[DeckLine]:
    """Return the lines in the order of laying: from one on, each time the nearest that is left;
    those without a place last, as they come."""
    left = [line for line in lines if line.place is not None]
    ordered: list[DeckLine] = []
    at = lines[start].place if lines else None
    if at is None and left:
        at = left[0].place
    while left:
        assert at is not None
        here = at
        nearest = min(left, key=lambda line: math.dist(here, line.place or here))
        left.remove(nearest)
        ordered.append(nearest)
        at = nearest.place
    return ordered + [line for line in lines if line.place is None]


def _load(line: DeckLine, vessel: Vessel, day_h: float = math.inf) -> Load:
    """Return what a line takes of the deck, and of a day's hours where they count."""
    deck = (line.mass_t / vessel.deck_load_t, line.area_m2 / vessel.deck_area_m2)
    return deck if math.isinf(day_h) else (*deck, line.hours / day_h)


def _trip(lines: list[DeckLine], part: int = 1, parts: int = 1) -> Trip:
    return Trip(
        tuple((line.leg, line.line) for line in lines),
        sum(line.mass_t for line in lines) / parts,
        sum(line.area_m2 for line in lines) / parts,
        sum(line.hours for line in lines) / parts,
        part,
        parts,
    )
