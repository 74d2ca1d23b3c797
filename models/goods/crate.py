"""Crates: how goods stow whose packs state a volume and no sides (chain, rope, fittings).

An assumption, and it is shown on the sheet: whoever ships them puts several packs of one item
into a crate or drum of about cubic shape, made to stand two abreast in the container.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from ..arrays import ROUNDING, ceil_to_whole, floor_to_whole
from ..constants import MM3_PER_M3
from .load import Box, Pack

if TYPE_CHECKING:
    from .item import Item

CRATE_M3 = 1.0
CRATE_KG = 1000.0
"""What is gathered into one crate at most, unless one pack is more (common practice, no source)."""


def packs_to_stow(packs: Mapping[str, int], items: Mapping[str, Item], box: Box) -> list[Pack]:
    """Return what is stowed when so many packs of each item are carried; equal packs are alike.

    packs : by item. items : by name.
    """
    stowed: list[Pack] = []
    for name, count in packs.items():
        item = items[name]
        if item.pack_sides_mm is not None:
            stowed += [pack_of(item)] * count
        else:
            stowed += crates(item, count, box)
    return stowed


def pack_of(item: Item) -> Pack:
    """Return one pack of an item that states its sides, in whole mm upwards."""
    assert item.pack_sides_mm is not None, f"{item.name} states no sides"
    length, width, height = (ceil_to_whole(side) for side in item.pack_sides_mm)
    return Pack(
        item.name,
        length,
        width,
        height,
        item.pack_kg,
        item.this_side_up,
        item.stackable,
        item.most_on_top_kg,
        item=item.name,
    )


def crates(item: Item, count: int, box: Box) -> Iterator[Pack]:
    """Yield the crates that so many packs of an item go into: full ones, and one of the rest."""
    full = units_in_crate(item)
    for units in [full] * (count // full) + [count % full] * bool(count % full):
        length, width, height = crate_sides(units * item.pack_m3 * MM3_PER_M3, box)
        yield Pack(
            item.name if units == 1 else f"{units} × {item.name}",
            length,
            width,
            height,
            units * item.pack_kg,
            this_side_up=True,
            item=item.name,
            units=units,
        )


def units_in_crate(item: Item) -> int:
    """Return how many packs of an item are gathered into a full crate."""
    by_mass = CRATE_KG / item.pack_kg if item.pack_kg > 0 else math.inf
    return max(1, floor_to_whole(min(CRATE_M3 / item.pack_m3, by_mass), ROUNDING))


def crate_sides(volume_mm3: float, box: Box) -> tuple[int, int, int]:
    """Return length, width and height of a crate, whole mm: not less than the volume.

    Its base is made of squares a quarter as wide as the door, one, two by one, two by two or four
    by two of them, whichever makes it most like a cube; a small one is a cube; one too large for
    these fills the door and is as long as it must be.
    """
    wide = box.door_width_mm or box.width_mm
    high = box.door_height_mm or box.height_mm
    square = wide // 4
    edge = ceil_to_whole(volume_mm3 ** (1 / 3))
    if edge <= square:
        return edge, edge, edge
    made = []
    for along, across in ((1, 1), (2, 1), (2, 2), (4, 2)):
        length, width = along * square, across * square
        sides = (length, width, ceil_to_whole(volume_mm3 / (length * width)))
        if sides[2] <= high and length <= box.length_mm:
            made.append(sides)
    if made:
        return min(made, key=lambda sides: max(sides) / min(sides))
    return ceil_to_whole(volume_mm3 / (wide * high)), wide, high
