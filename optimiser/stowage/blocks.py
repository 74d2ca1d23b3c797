"""Blocks: like packs in a grid, all turned alike."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...models.arrays import ROUNDING, floor_to_whole
from ...models.goods.load import Box, Pack

BLOCKS_MOST = 20_000
"""Kinds of block looked at; of more, the smaller of two that differ in one count are left."""


@dataclass(frozen=True)
class Block:
    """Like packs in a grid, in their place."""

    kind: int
    x: int
    y: int
    z: int
    sides: tuple[int, int, int]
    """Of one pack, along x, y, z."""
    counts: tuple[int, int, int]

    @property
    def extent(self) -> tuple[int, int, int]:
        """Of the whole block, along x, y, z."""
        return (
            self.sides[0] * self.counts[0],
            self.sides[1] * self.counts[1],
            self.sides[2] * self.counts[2],
        )

    @property
    def packs(self) -> int:
        """How many packs it is of."""
        return self.counts[0] * self.counts[1] * self.counts[2]


def turns(pack: Pack) -> list[tuple[int, int, int]]:
    """Return the different ways that a pack may stand: its sides along x, y, z."""
    a, b, c = pack.length_mm, pack.width_mm, pack.height_mm
    upright = [(a, b, c), (b, a, c)]
    if not pack.this_side_up:
        upright += [(a, c, b), (c, a, b), (b, c, a), (c, b, a)]
    return list(dict.fromkeys(upright))


def passes_door(pack: Pack, box: Box) -> bool:
    """Tell whether it goes through the door some way up that it may be carried, and lies inside."""
    wide = box.door_width_mm or box.width_mm
    high = box.door_height_mm or box.height_mm
    return any(
        along <= box.length_mm and across <= wide and up <= high
        for along, across, up in turns(pack)
    )


@dataclass(frozen=True)
class BlockTable:
    """Every block that the packs can make, a row each."""

    kind: NDArray[np.int64]
    sides: NDArray[np.int64]
    counts: NDArray[np.int64]
    extent: NDArray[np.int64]
    packs: NDArray[np.int64]
    mass: NDArray[np.float64]
    volume: NDArray[np.float64]

    @classmethod
    def of(cls, kinds: Sequence[Pack], numbers: Sequence[int], box: Box) -> BlockTable:
        """Make the table for so many packs of each kind in a box."""
        inside = (box.length_mm, box.width_mm, box.height_mm)
        rows: list[tuple[int, ...]] = []
        thin = 1
        while True:
            rows.clear()
            for kind, (pack, number) in enumerate(zip(kinds, numbers, strict=True)):
                for sides in turns(pack):
                    rows += [
                        (kind, *sides, *counts)
                        for counts in _grids(pack, number, sides, inside, thin)
                    ]
            if len(rows) <= BLOCKS_MOST or thin > 64:
                break
            thin *= 2
        table = np.array(rows, dtype=np.int64).reshape(-1, 7)
        side, count = table[:, 1:4], table[:, 4:7]
        extent = side * count
        packs = count.prod(axis=1)
        mass = np.array([pack.mass_kg for pack in kinds])[table[:, 0]] * packs
        volume = extent.prod(axis=1).astype(float)
        return cls(table[:, 0], side, count, extent, packs, mass, volume)


def _grids(
    pack: Pack,
    number: int,
    sides: tuple[int, int, int],
    inside: tuple[int, int, int],
    thin: int,
) -> Iterator[tuple[int, int, int]]:
    """Yield the counts along x, y, z that fit; with `thin` > 1 not every count."""
    most_x, most_y, most_z = (room // side for room, side in zip(inside, sides, strict=True))
    if not pack.stackable:
        most_z = min(most_z, 1)
    elif pack.most_on_top_kg is not None and pack.mass_kg > 0:
        most_z = min(most_z, 1 + floor_to_whole(pack.most_on_top_kg / pack.mass_kg, ROUNDING))
    for z in range(1, min(most_z, number) + 1):
        if thin > 1 and z not in (1, most_z) and z % thin:
            continue
        for y in range(1, min(most_y, number // z) + 1):
            if thin > 1 and y not in (1, most_y) and y % thin:
                continue
            last = min(most_x, number // (z * y))
            for x in range(1, last + 1):
                if thin == 1 or x in (1, last) or not x % thin:
                    yield x, y, z
