"""What no container can hold, by arithmetic alone: rows that bound the containers of a booking.

Each pack is given a weight such that the packs of any one container weigh at most 1 together,
however they are stowed; so the weights of all packs are at most the number of containers. The
weight is the product, over the three axes, of a dual feasible function of the pack's side there,
for the way of turning it that makes the product least (Fekete and Schepers, "A general framework
for bounds for higher-dimensional orthogonal packing problems", 2004). With a function that counts
how many sides lie one after the other, packs that do not stand two abreast weigh as much as the
width that they waste. Mass against payload is one more axis.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from ...models.arrays import ROUNDING, Floats, ceil_to_whole, floor_to_whole
from ...models.goods.load import Box, Pack

MOST_IN_A_ROW = 12
"""Beyond so many sides one after the other, counting them gains little over their lengths."""


def space_weights(packs: Sequence[Pack], box: Box) -> list[Floats]:
    """Return rows of weights, one a pack: those of one container add up to 1 at most.

    Every pack has, in some row, the largest weight that these functions give it. A pack's plain
    share of volume is not among them: it is a row of its own, for all goods.
    """
    found: dict[bytes, Floats] = {}
    for weights in (_by_space(packs, box), _by_mass(packs, box)):
        if not len(weights):
            continue
        for pack in range(len(packs)):
            largest = weights[:, pack].max()
            rows = weights[weights[:, pack] >= largest - ROUNDING]
            row = rows[rows.sum(axis=1).argmax()]
            if largest > 0:
                found.setdefault(row.tobytes(), row)
    return list(found.values())


def _by_space(packs: Sequence[Pack], box: Box) -> Floats:
    """Return the weights of the packs under every three functions, a row each."""
    inside = (box.length_mm, box.width_mm, box.height_mm)
    sides = np.array([_ways(pack) for pack in packs], dtype=np.int64)  # (pack, way, axis)
    by_axis = []
    for axis, room in enumerate(inside):
        along = sides[:, :, axis]
        counts = sorted({room // int(side) for side in np.unique(along) if side <= room})
        functions = [_length(room)] + [
            _counting(count, room) for count in counts if count <= MOST_IN_A_ROW
        ]
        by_axis.append([function(along) for function in functions])
    # A way that does not fit at all is no way to be stowed.
    fits = (sides <= np.array(inside)).all(axis=2)
    rows = [
        np.where(fits, along * across * up, np.inf).min(axis=1)
        for along in by_axis[0]
        for across in by_axis[1]
        for up in by_axis[2]
    ]
    weights: Floats = np.nan_to_num(np.array(rows), posinf=0.0)
    return weights


def _by_mass(packs: Sequence[Pack], box: Box) -> Floats:
    """Return the weights of the packs by counting masses in the payload, a row each."""
    if box.payload_kg is None:
        return np.zeros((0, len(packs)))
    grams = np.array([[max(round(pack.mass_kg * 1000), 1)] for pack in packs], dtype=np.int64)
    payload = round(box.payload_kg * 1000)
    counts = sorted({payload // int(mass) for mass in grams[:, 0] if mass <= payload})
    rows = [
        _counting(count, payload)(grams)[:, 0] for count in counts if 0 < count <= MOST_IN_A_ROW
    ]
    return np.array(rows).reshape(len(rows), len(packs))


def _ways(pack: Pack) -> list[tuple[int, int, int]]:
    """Return the six ways of turning a pack, some of them twice where it must stay upright."""
    a, b, c = pack.length_mm, pack.width_mm, pack.height_mm
    if pack.this_side_up:
        return [(a, b, c), (b, a, c)] * 3
    return [(a, b, c), (b, a, c), (a, c, b), (c, a, b), (b, c, a), (c, b, a)]


def _length(room: int) -> Callable[[NDArray[np.int64]], Floats]:
    """Return the function that takes a side for what it is: its share of the room."""
    return lambda sides: sides / room


def _counting(count: int, room: int) -> Callable[[NDArray[np.int64]], Floats]:
    """Return the dual feasible function u(k) of Lueker, k = count: of a side x (a share of the
    room), ⌊(k + 1) x⌋ ÷ k, or x itself where (k + 1) x is whole."""

    def function(sides: NDArray[np.int64]) -> Floats:
        whole, rest = np.divmod((count + 1) * sides, room)
        return np.where(rest == 0, sides / room, whole / count)

    return function


def least_containers(packs: Sequence[Pack], box: Box) -> int:
    """Return a number of containers that these packs need at least, by volume, mass and weights."""
    if not packs:
        return 0
    numbers = Counter(packs)
    kinds = list(numbers)
    counts = np.array([numbers[kind] for kind in kinds])
    needs = [sum(one.volume_mm3 for one in packs) / box.volume_mm3]
    if box.payload_kg is not None:
        needs.append(sum(one.mass_kg for one in packs) / box.payload_kg)
    needs += [float(weights @ counts) for weights in space_weights(kinds, box)]
    return ceil_to_whole(max(needs))


def grid_count(pack: Pack, box: Box) -> int:
    """Return how many like packs stand in a plain grid, at least 1: never more than fit."""
    most = 1
    for along, across, up in _ways(pack):
        layers = box.height_mm // up
        if not pack.stackable:
            layers = min(layers, 1)
        elif pack.most_on_top_kg is not None and pack.mass_kg > 0:
            layers = min(layers, 1 + int(pack.most_on_top_kg / pack.mass_kg))
        most = max(most, (box.length_mm // along) * (box.width_mm // across) * layers)
    if box.payload_kg is not None and pack.mass_kg > 0:
        most = min(most, max(1, floor_to_whole(box.payload_kg / pack.mass_kg, ROUNDING)))
    return most
