"""A trip: what a vessel carries out and lays before it comes home; lines stay whole."""

from __future__ import annotations

from dataclasses import dataclass

from ..standing.positions import Point


@dataclass(frozen=True)
class DeckLine:
    """One line as its vessel carries it."""

    leg: str
    line: int
    """Which of the group's lines, from 1."""
    mass_t: float
    """Anchors, chain, rope and fittings."""
    area_m2: float
    """Of its anchors."""
    hours: float
    """Of work on it."""
    own_trips: int = 0
    """Trips that it takes by itself, where it is more than a deck takes; 0: it fits a deck."""
    place: Point | None = None
    """Where it is attached, m; None: not stated."""


@dataclass(frozen=True)
class Trip:
    """The lines that are carried and laid on one trip, in the order in which they are laid."""

    lines: tuple[tuple[str, int], ...]
    """Leg and line."""
    mass_t: float
    area_m2: float
    hours: float
    """Of work, the round trip not in it."""
    part: int = 1
    parts: int = 1
    """Part of the trips of a line that is more than a deck takes."""
