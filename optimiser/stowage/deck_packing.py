"""Deck packing: the fewest trips that carry loads which stay whole, by mass and by deck area.

It is bin packing in as many dimensions as a deck has limits. Loads are few and mostly alike: some
orders of first fit often meet the bound. Where none does, the limit that there is least to spare of
is packed by itself, like a cutting list, and the loads of a size are dealt out by the other limits;
then each trip in turn is filled as full as it need be; then a search of the places of the loads,
the largest first, settles it or gives up after so many steps.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ...models.arrays import ROUNDING, Floats, Ints, ceil_to_whole
from ..cutting.bound import price_sizes
from ..cutting.quick_lists import CutPatterns, round_down

MOST_STEPS = 4000
"""Loads that the search puts in their place before it gives up."""

MOST_FILLINGS = 2000
"""Steps that are spent on filling one trip."""

MOST_SEARCHED = 200
"""Loads; with more there is no search, and first fit in one order only."""

FEW, COMBS = 20, (25, 50)
"""Of more than `MOST_SEARCHED` loads, a limit that they take in more than so many amounts is
counted in such parts of a deck: alike loads are quicker to fill a deck with, and fill it better."""

MOST_PARTS, EXACT = 1000, 1e-6
"""Most whole parts of a deck in which the loads are counted by one limit, and how far from whole
they may be."""

MOST_SIZES = 40
"""Of more sizes a limit is not packed by itself."""

FILLED_BY = (1, 2, 3, 4)
"""The dual feasible functions that are tried, k of u(k)."""

Load = tuple[float, ...]
"""What a load takes of each limit of the deck, as a share of it."""

FULL = 1.0 + ROUNDING


@dataclass(frozen=True)
class DeckPacking:
    """Loads on trips, by their places among those given, and the fewest trips there can be."""

    trips: tuple[tuple[int, ...], ...]
    bound: int

    @property
    def exact(self) -> bool:
        """Whether it is known that no fewer trips do."""
        return len(self.trips) == self.bound


@lru_cache(maxsize=4096)
def pack_decks(loads: tuple[Load, ...], most_steps: int = MOST_STEPS) -> DeckPacking:
    """Return the fewest trips found for loads, each of which fits a deck by itself.

    Raises ValueError where one does not.
    """
    if not loads:
        return DeckPacking((), 0)
    if any(share > FULL for load in loads for share in load):
        raise ValueError("a load is more than a deck takes")
    bound = least_trips(loads)
    best: list[list[int]] | None = None
    many = len(loads) > MOST_SEARCHED
    for order in _orders(loads)[: 1 if many else None]:
        packed = first_fit(loads, order)
        if best is None or len(packed) < len(best):
            best = packed
        if len(best) == bound:
            break
    assert best is not None
    shortest = int(np.argmax(np.sum(loads, axis=0)))
    if len(best) > bound:
        found, bound = _by_one_limit(loads, shortest, bound)
        best = min([best, *found], key=len)
    combed = [_coarse(loads, parts) for parts in (COMBS if many else (0,))]
    for limit in (None, shortest):
        if len(best) > bound:
            best = min([best, *(fullest_first(one, bound, limit) for one in combed)], key=len)
    if len(best) > bound and not many:
        search = _Search(loads, most_steps)
        best = search.fewer_than(len(best), bound) or best
        if search.finished:
            bound = len(best)
    return DeckPacking(tuple(tuple(trip) for trip in best), bound)


def least_trips(loads: Sequence[Load]) -> int:
    """Return a bound below: in each limit the sum, and the sums of the shares `filled`."""
    shares = np.array(loads, dtype=float)
    sums = [shares.sum(axis=0), *(filled(shares, k).sum(axis=0) for k in FILLED_BY)]
    return max(1, *(ceil_to_whole(float(most)) for each in sums for most in each))


def filled(shares: Floats, k: int) -> Floats:
    """Return u(k) of shares of a deck, (...): those on one deck never come to more than 1.

    Source: S. Fekete and J. Schepers, New classes of fast lower bounds for bin packing problems,
    Mathematical Programming 91 (2001): u(k)(x) = x where (k + 1) x is whole, else
    floor((k + 1) x) ÷ k.
    """
    scaled = (k + 1) * shares
    nearest = np.rint(scaled)
    whole = np.abs(scaled - nearest) <= (k + 1) * ROUNDING
    return np.asarray(np.where(whole, nearest / (k + 1), np.floor(scaled) / k))


def first_fit(loads: Sequence[Load], order: Sequence[int]) -> list[list[int]]:
    """Return trips: each load in turn goes on the first that has room for it."""
    trips: list[list[int]] = []
    left: list[list[float]] = []
    for place in order:
        load = loads[place]
        rooms = (
            number
            for number, room in enumerate(left)
            if all(share <= free + ROUNDING for share, free in zip(load, room, strict=True))
        )
        number = next(rooms, len(trips))
        if number == len(trips):
            trips.append([])
            left.append([1.0] * len(load))
        trips[number].append(place)
        left[number] = [free - share for share, free in zip(load, left[number], strict=True)]
    return trips


def in_parts(shares: Floats) -> tuple[Ints, int]:
    """Return shares of a deck, none more than one, in whole parts of it, rounded down, and how many
    parts a deck has: as few as count them exactly, else `MOST_PARTS`.

    Loads on one deck are never more parts than it has: what they are above is less than one part.
    """
    counts = np.arange(1, MOST_PARTS + 1)
    scaled = np.outer(counts, np.unique(shares.round(12)))
    exact = np.flatnonzero(np.abs(scaled - np.rint(scaled)).max(axis=1, initial=0.0) <= EXACT)
    parts = int(counts[exact[0]]) if exact.size else MOST_PARTS
    return np.minimum(np.floor(shares * parts + EXACT), parts).astype(np.int64), parts


def _by_one_limit(
    loads: Sequence[Load], limit: int, bound: int
) -> tuple[list[list[list[int]]], int]:
    """Return trips, all that were found, by a packing in one limit alone of loads of few sizes, and
    a bound no lower than the one known: that of the linear programme over ways to fill a deck."""
    shares = np.array(loads, dtype=float)[:, limit]
    down, parts = in_parts(shares)
    up = np.maximum(np.ceil(shares * parts - EXACT), 1.0).astype(np.int64)
    kinds, kind, numbers = np.unique(up, return_inverse=True, return_counts=True)
    if len(kinds) > MOST_SIZES:
        return [], bound
    sizes, counts = kinds.tolist(), numbers.tolist()
    priced = price_sizes(sizes, counts, parts, {}, any_counts=False)
    if (down == up).all():
        bound = max(bound, priced.bound(counts))
    packings = round_down(priced, sizes, counts, parts, Counter())
    dealt = (_dealt(loads, kind, packing) for packing in packings)
    return [trips for trips in dealt if trips is not None], bound


def _dealt(loads: Sequence[Load], kind: Ints, packing: CutPatterns) -> list[list[int]] | None:
    """Return trips with as many loads of each kind as a packing says, each load in turn, the
    largest first, where most room is left; None where one does not fit.

    kind : of every load, its place in the patterns.
    """
    left = np.array([pattern for _, pattern in packing])
    room = np.ones((len(left), len(loads[0])))
    trips: list[list[int]] = [[] for _ in packing]
    for place in sorted(range(len(loads)), key=lambda at: -sum(loads[at])):
        there = np.flatnonzero(left[:, kind[place]])
        after = (room[there] - loads[place]).min(axis=1)
        at = int(np.argmax(after))
        if after[at] < -ROUNDING:
            return None
        number = int(there[at])
        left[number, kind[place]] -= 1
        room[number] -= loads[place]
        trips[number].append(place)
    return trips


def fullest_first(loads: Sequence[Load], trips: int, limit: int | None = None) -> list[list[int]]:
    """Return trips: each in turn takes the largest load that is left, and with it as full a deck
    as is found in so many steps, or as full as the trips that are left need it on average.

    limit : the one by which loads are large and decks full; None: all of them.

    Source: the minimum bin slack heuristic of J. Gupta and J. Ho, "A new heuristic algorithm for
    the one-dimensional bin-packing problem", Production Planning & Control 10 (1999). How full is
    weighed over the limits by what is left to carry of each.
    """
    places: dict[Load, list[int]] = {}
    for place, load in enumerate(loads):
        places.setdefault(load, []).append(place)
    kinds = sorted(places, key=lambda k: (-(max(k) if limit is None else k[limit]), k))
    packed: list[list[int]] = []
    while any(places.values()):
        there = [kind for kind in kinds if places[kind]]
        left = [len(places[kind]) for kind in there]
        need = [sum(n * k[at] for n, k in zip(left, there, strict=True))
                if limit in (None, at) else 0.0
                for at in range(len(there[0]))]  # fmt: skip
        size = [sum(n * share for n, share in zip(need, kind, strict=True)) for kind in there]
        all_left = sum(n * each for n, each in zip(left, size, strict=True))
        taken = _Fill(there, left, size, all_left / max(trips - len(packed), 1)).counts()
        packed.append([places[k].pop() for k, n in zip(there, taken, strict=True)
                       for _ in range(n)])  # fmt: skip
    return packed


class _Fill:
    """One deck filled with loads of some kinds, the first of them among those on it."""

    def __init__(
        self, kinds: Sequence[Load], left: Sequence[int], size: Sequence[float], wanted: float
    ) -> None:
        self.kinds, self.left, self.size, self.wanted = kinds, left, size, wanted
        self.steps = MOST_FILLINGS
        self.fullest, self.best = size[0], [1, *[0] * (len(kinds) - 1)]

    def counts(self) -> list[int]:
        """Return how many of each kind go on it."""
        room = tuple(1.0 - share for share in self.kinds[0])
        self._fill(0, room, self.size[0], [1, *[0] * (len(self.kinds) - 1)])
        return self.best

    def _fill(self, at: int, room: Load, full: float, taken: list[int]) -> None:
        """Try every number of the kinds from `at` on, the most first."""
        if full > self.fullest:
            self.fullest, self.best = full, list(taken)
        for one in range(at, len(self.kinds)):
            if self._enough:
                return
            self.steps -= 1
            kind, there = self.kinds[one], taken[one]
            most = self.left[one] - there
            for share, free in zip(kind, room, strict=True):
                if share > 0:
                    most = min(most, max(int((free + ROUNDING) / share), 0))
            for more in range(most, 0, -1):
                taken[one] = there + more
                rest = tuple(free - more * share for free, share in zip(room, kind, strict=True))
                self._fill(one + 1, rest, full + more * self.size[one], taken)
                if self._enough:
                    return
            taken[one] = there

    @property
    def _enough(self) -> bool:
        return self.fullest >= self.wanted or self.steps <= 0


def _coarse(loads: Sequence[Load], parts: int) -> Sequence[Load]:
    """Return loads rounded up to so many parts of a deck, in the limits where they are of many
    amounts; 0: as they are."""
    if not parts:
        return loads
    shares = np.array(loads, dtype=float)
    for at in range(shares.shape[1]):
        if len(np.unique(shares[:, at])) > FEW:
            up = np.ceil(shares[:, at] * parts - ROUNDING) / parts
            shares[:, at] = np.maximum(np.minimum(up, 1.0), shares[:, at])
    return [tuple(load) for load in shares.tolist()]


def next_fit(loads: Sequence[Load], order: Sequence[int]) -> list[list[int]]:
    """Return trips: loads stay in turn, and a trip ends where the next one has no room."""
    trips: list[list[int]] = []
    room = [0.0] * (len(loads[0]) if loads else 0)
    for place in order:
        load = loads[place]
        if not trips or any(s > free + ROUNDING for s, free in zip(load, room, strict=True)):
            trips.append([])
            room = [1.0] * len(load)
        trips[-1].append(place)
        room = [free - share for share, free in zip(load, room, strict=True)]
    return trips


def _orders(loads: Sequence[Load]) -> list[list[int]]:
    """Return orders of first fit: the largest first, by several measures of large."""
    places = range(len(loads))
    measures = [max, sum, *((lambda load, limit=n: load[limit]) for n in range(len(loads[0])))]
    return [sorted(places, key=lambda at, m=m: -m(loads[at])) for m in measures]  # type: ignore[misc]


class _Search:
    """A search of the places of the loads, the largest first; like loads and rooms once."""

    def __init__(self, loads: Sequence[Load], most_steps: int) -> None:
        self.loads = loads
        self.order = sorted(range(len(loads)), key=lambda at: (-max(loads[at]), loads[at]))
        self.left = most_steps
        self.finished = True
        """Whether everything was looked at."""
        self.best: list[list[int]] | None = None
        self.few = 0
        self.rest: list[tuple[float, ...]] = [(0.0,) * len(loads[0])]
        for place in reversed(self.order):
            later = self.rest[-1]
            self.rest.append(tuple(a + b for a, b in zip(later, loads[place], strict=True)))
        self.rest.reverse()

    def fewer_than(self, trips: int, bound: int) -> list[list[int]] | None:
        """Return the fewest trips that are fewer, down to the bound; None where it found none."""
        self.few, self.bound = trips, bound
        self._place(0, [], [])
        return self.best

    def _place(self, at: int, trips: list[list[int]], rooms: list[tuple[float, ...]]) -> None:
        """Try every place of the loads from `at` on."""
        if self.few <= self.bound or not self.finished:
            return
        if at == len(self.order):
            self.best, self.few = [list(trip) for trip in trips], len(trips)
            return
        more = max(
            need - sum(room[limit] for room in rooms) for limit, need in enumerate(self.rest[at])
        )
        if len(trips) + max(ceil_to_whole(more), 0) >= self.few:
            return
        if self.left <= 0:
            self.finished = False
            return
        self.left -= 1
        load = self.loads[self.order[at]]
        tried: set[tuple[float, ...]] = set()
        for number, room in enumerate(rooms):
            key = tuple(round(free, 9) for free in room)
            if key in tried or any(s > r + ROUNDING for s, r in zip(load, room, strict=True)):
                continue
            tried.add(key)
            rooms[number] = tuple(free - s for free, s in zip(room, load, strict=True))
            trips[number].append(self.order[at])
            self._place(at + 1, trips, rooms)
            trips[number].pop()
            rooms[number] = room
        if len(trips) + 1 < self.few:
            trips.append([self.order[at]])
            rooms.append(tuple(1.0 - s for s in load))
            self._place(at + 1, trips, rooms)
            trips.pop()
            rooms.pop()
