"""Filling a box with blocks of like packs, each standing wholly on the floor or on level tops.

Because nothing overhangs, what is loaded is a height over each spot of the floor, and the places
for the next block are the largest rectangles of equal height. A block is nx × ny × nz packs of one
kind, all turned alike. One filling takes place after place, best block first, by a `Rule`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum, auto

import numpy as np
from numpy.typing import NDArray

from ...models.goods.load import Box, Pack
from .bearing import Bearing, Footprint
from .blocks import Block, BlockTable, turns
from .free_rectangles import Rectangle, joined, without

Place = tuple[int, Rectangle]
"""Height, and a free rectangle there."""

Reach = tuple[NDArray[np.int64], NDArray[np.int64]]
"""For every gap, along the floor and upwards: the most of it that sides of packs add up to."""

BEARING_TRIES = 30
"""Blocks looked at for a place on top of packs that state what they may carry."""


class PlaceOrder(Enum):
    """Which place is filled next."""

    FRONT = auto()
    """Nearest the front wall."""
    FLOOR = auto()
    """The lowest."""
    TIGHT = auto()
    """The smallest."""
    LIGHTER = auto()
    """Nearest the end that has less mass so far."""


@dataclass(frozen=True)
class FillingRule:
    """How one filling chooses: its place order, and how it weighs what a block spoils."""

    order: PlaceOrder = PlaceOrder.FRONT
    spoil: float = 1.0
    """Weight of the space beside a block that no pack can use."""


@dataclass
class Filling:
    """A box as it is being filled."""

    kinds: Sequence[Pack]
    box: Box
    table: BlockTable
    left: NDArray[np.int64]
    """Packs of each kind still to be placed."""
    payload_kg: float
    volume: float = 0.0
    """Of the packs in it, mm³."""
    blocks: list[Block] = field(default_factory=list)
    levels: dict[int, list[Rectangle]] = field(default_factory=dict)
    """Height → the largest free rectangles of that height."""
    useless: set[tuple[int, Rectangle]] = field(default_factory=set)
    rows: NDArray[np.int64] = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    """Blocks of the table that are not yet too many packs or too heavy."""
    from_both_ends: bool = False
    """Whether blocks go to the lighter end of their place, not always to the front."""
    front_kg: float = 0.0
    """Mass placed in the front half less mass in the other."""
    bearing: Bearing | None = None
    """Kept only where some pack states the most that it may carry."""

    @classmethod
    def empty(
        cls, kinds: Sequence[Pack], numbers: Sequence[int], box: Box, table: BlockTable
    ) -> Filling:
        """Return an empty box."""
        payload = float("inf") if box.payload_kg is None else box.payload_kg
        filling = cls(kinds, box, table, np.array(numbers, dtype=np.int64), payload)
        filling.levels[0] = [(0, 0, box.length_mm, box.width_mm)]
        filling.rows = np.flatnonzero(table.mass <= payload + 1e-6)
        if any(pack.most_on_top_kg is not None for pack in kinds):
            filling.bearing = Bearing()
        return filling

    def copy(self) -> Filling:
        """Return another that can be filled differently from here on."""
        return Filling(
            self.kinds,
            self.box,
            self.table,
            self.left.copy(),
            self.payload_kg,
            self.volume,
            list(self.blocks),
            dict(self.levels),
            set(self.useless),
            self.rows,
            self.from_both_ends,
            self.front_kg,
            None if self.bearing is None else self.bearing.copy(),
        )

    def fill(self, rule: FillingRule, reach: Reach) -> Filling:
        """Fill it as far as the rule goes; return it."""
        while True:
            found = self.choices(rule, reach, 1)
            if found is None:
                return self
            place, rows = found
            self.put(int(rows[0]), *place)

    def choices(
        self, rule: FillingRule, reach: Reach, most: int
    ) -> tuple[Place, NDArray[np.int64]] | None:
        """Return the next place that takes any block, and the best blocks for it; None if full."""
        while self.left.any():
            place = self._next_place(rule.order)
            if place is None:
                return None
            rows = self._best_blocks(place, rule, reach, most)
            if len(rows):
                return place, rows
            self.useless.add(place)
        return None

    def _next_place(self, order: PlaceOrder) -> Place | None:
        """Return the place to fill next, of those not yet found useless."""
        best: tuple[tuple[float, ...], int, Rectangle] | None = None
        for height, rectangles in self.levels.items():
            for rectangle in rectangles:
                if (height, rectangle) in self.useless:
                    continue
                x0, y0, x1, y1 = rectangle
                if order is PlaceOrder.FRONT:
                    key: tuple[float, ...] = (x0, height, y0, -(x1 - x0) * (y1 - y0))
                elif order is PlaceOrder.LIGHTER:
                    off = x0 if self.front_kg <= 0 else self.box.length_mm - x1
                    key = (off, height, y0, -(x1 - x0) * (y1 - y0))
                elif order is PlaceOrder.FLOOR:
                    key = (height, x0, y0, -(x1 - x0) * (y1 - y0))
                else:
                    key = ((x1 - x0) * (y1 - y0) * (self.box.height_mm - height), x0, height, y0)
                if best is None or key < best[0]:
                    best = (key, height, rectangle)
        return None if best is None else best[1:]

    def _best_blocks(
        self, place: Place, rule: FillingRule, reach: Reach, most: int
    ) -> NDArray[np.int64]:
        """Return the best blocks that a place can take, best first."""
        height, (x0, y0, x1, y1) = place
        room = np.array([x1 - x0, y1 - y0, self.box.height_mm - height])
        along, across, up = (self.table.extent[:, axis] for axis in range(3))
        fits: NDArray[np.int64] = self.rows[along[self.rows] <= room[0]]
        fits = fits[up[fits] <= room[2]]
        fits = fits[across[fits] <= room[1]]
        if not len(fits):
            return fits
        extent = self.table.extent[fits]
        gaps = room - extent
        spoilt = np.empty_like(gaps)
        spoilt[:, :2] = gaps[:, :2] - reach[0][gaps[:, :2]]
        spoilt[:, 2] = gaps[:, 2] - reach[1][gaps[:, 2]]
        volume = self.table.volume[fits]
        score = volume - rule.spoil * ((extent + spoilt).astype(float).prod(axis=1) - volume)
        if self.bearing is not None and height:
            ranked = fits[np.argsort(-score, kind="stable")[:BEARING_TRIES]]
            borne = [row for row in ranked if self._bears(int(row), place)]
            return np.array(borne[:most], dtype=np.int64)
        if most == 1:
            return fits[[np.argmax(score)]]
        return fits[np.argsort(-score, kind="stable")[:most]]

    def _corner(self, row: int, rectangle: Rectangle) -> tuple[int, int]:
        """Return where a block stands in a rectangle: at the front, at the nearer side wall."""
        x0, y0, x1, y1 = rectangle
        at_far_wall = y1 == self.box.width_mm and y0 > 0
        at_door = self.from_both_ends and self.front_kg > 0
        return (
            x1 - int(self.table.extent[row, 0]) if at_door else x0,
            y1 - int(self.table.extent[row, 1]) if at_far_wall else y0,
        )

    def _feet(self, row: int, rectangle: Rectangle) -> list[Footprint]:
        """Return the footprints of a block's columns."""
        x, y = self._corner(row, rectangle)
        a, b, _ = (int(side) for side in self.table.sides[row])
        nx, ny, _ = (int(count) for count in self.table.counts[row])
        return [
            (x + i * a, y + j * b, x + (i + 1) * a, y + (j + 1) * b)
            for i in range(nx)
            for j in range(ny)
        ]

    def _bears(self, row: int, place: Place) -> bool:
        """Tell whether what is below may carry a block."""
        assert self.bearing is not None
        height, rectangle = place
        column = self.kinds[int(self.table.kind[row])].mass_kg * int(self.table.counts[row, 2])
        return self.bearing.bears(self._feet(row, rectangle), height, column)

    def put(self, row: int, height: int, rectangle: Rectangle) -> None:
        """Put a block of the table into a place."""
        table = self.table
        dx, dy, dz = (int(side) for side in table.extent[row])
        x, y = self._corner(row, rectangle)
        kind = int(table.kind[row])
        pack = self.kinds[kind]
        a, b, c = (int(side) for side in table.sides[row])
        nx, ny, nz = (int(count) for count in table.counts[row])
        if self.bearing is not None:
            feet = self._feet(row, rectangle)
            self.bearing.add(feet, height, c, pack.mass_kg, nz, pack.most_on_top_kg)
        self.blocks.append(Block(kind, x, y, height, (a, b, c), (nx, ny, nz)))
        self.volume += float(table.volume[row])
        self.left[kind] -= int(table.packs[row])
        self.payload_kg -= float(table.mass[row])
        in_front = min(max(self.box.length_mm / 2 - x, 0.0), dx) / dx
        self.front_kg += float(table.mass[row]) * (2 * in_front - 1)
        active = (table.packs[self.rows] <= self.left[table.kind[self.rows]]) & (
            table.mass[self.rows] <= self.payload_kg + 1e-6
        )
        self.rows = self.rows[active]
        taken = (x, y, x + dx, y + dy)
        self.levels[height] = without(self.levels[height], taken)
        if pack.stackable and height + dz < self.box.height_mm:
            self.levels[height + dz] = joined(self.levels.get(height + dz, []), taken)


def usable(kinds: Sequence[Pack], box: Box) -> Reach:
    """Return, for every gap along the floor and upwards, the most of it that packs can use."""
    flat: set[int] = set()
    upright: set[int] = set()
    for pack in kinds:
        for a, b, c in turns(pack):
            flat |= {a, b}
            upright.add(c)
    longest = max(box.length_mm, box.width_mm, box.height_mm)
    answers = []
    for sides in (flat, upright):
        sums = 1
        mask = (1 << (longest + 1)) - 1
        for side in sides:
            shift = side
            while shift <= longest:
                sums |= (sums << shift) & mask
                shift *= 2
        bits = np.frombuffer(sums.to_bytes(longest // 8 + 1, "little"), dtype=np.uint8)
        reached = np.unpackbits(bits, bitorder="little")[: longest + 1].astype(bool)
        answers.append(np.maximum.accumulate(np.where(reached, np.arange(longest + 1), 0)))
    return answers[0], answers[1]


def search(start: Filling, rule: FillingRule, reach: Reach, width: int) -> Filling:
    """Return the fullest box found, `width` ways being followed side by side.

    Each way goes on with its best few blocks; each of those is filled to the end to see how good
    it is (a beam search with a greedy look ahead, after Araya and Riff, 2014).
    """
    best = start.copy().fill(rule, reach)
    ways = [start]
    while ways and best.left.any():
        ends: list[tuple[float, Filling]] = []
        for way in ways:
            found = way.choices(rule, reach, width)
            if found is None:
                continue
            place, rows = found
            for row in rows:
                step = way.copy()
                step.put(int(row), *place)
                end = step.copy().fill(rule, reach)
                ends.append((end.volume, step))
                if end.volume > best.volume:
                    best = end
        ends.sort(key=lambda end: -end[0])
        ways, seen = [], set[float]()
        for volume, step in ends:
            if volume not in seen and len(ways) < width:
                seen.add(volume)
                ways.append(step)
    return best
