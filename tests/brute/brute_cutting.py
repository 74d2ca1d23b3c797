"""Fewest lengths and fewest joins for a set of pieces, by trying every way to share them out.

Pieces that share lengths, however indirectly, form a bunch. A bunch of metres S over b lengths
that hold at least S can be cut with b − 1 joins: lay the lengths end to end and cut in order; and
with no fewer, as each length beyond the first must share a piece with another, or it would be a
bunch of its own. So joins = lengths used − bunches, and trying every set of bunches is exact.
"""

from __future__ import annotations

import itertools
import math
from functools import cache

Pieces = tuple[float, ...]
"""Lengths, longest first, m."""

Ways = frozenset[tuple[int, int]]
"""(lengths bought, joins) of which none is better in one and no worse in the other."""


@cache
def cuttings(pieces: Pieces, hand: Pieces, sold_m: float, whole: bool) -> Ways:
    """Return the ways to cut `pieces` from lengths of `sold_m` and the pieces on hand, m.

    whole : every piece out of one length, so no joins. Empty where there is no way.
    """
    if not pieces:
        return frozenset({(0, 0)})
    first, rest = pieces[0], pieces[1:]
    found: set[tuple[int, int]] = set()
    for with_first in _subsets(rest):
        bunch = first + math.fsum(with_first)
        left = _without(rest, with_first)
        for taken in _subsets(hand):
            missing = max(bunch - math.fsum(taken), 0.0)
            bought = math.ceil(missing / sold_m - 1e-9)
            joins = len(taken) + bought - 1
            if joins < 0 or (whole and joins > 0):
                continue
            for more_bought, more_joins in cuttings(left, _without(hand, taken), sold_m, whole):
                found.add((bought + more_bought, joins + more_joins))
    return frozenset(
        way
        for way in found
        if not any(n <= way[0] and joins <= way[1] and (n, joins) != way for n, joins in found)
    )


def _subsets(of: Pieces) -> set[Pieces]:
    """Return the different subsets, each in the order of `of`."""
    return {s for size in range(len(of) + 1) for s in itertools.combinations(of, size)}


def _without(of: Pieces, gone: Pieces) -> Pieces:
    left = list(of)
    for piece in gone:
        left.remove(piece)
    return tuple(left)
