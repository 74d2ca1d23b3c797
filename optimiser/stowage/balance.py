"""Balance along the length: the load is moved in slices until neither half is too heavy.

A slice lies between two planes across the container that cut no pack; slices stand on the floor
by themselves, so they may change places, be turned end for end, and be moved along together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...models.arrays import ROUNDING, Bools, Floats, Ints
from ...models.goods.load import MOST_IN_HALF, Box, Placement, mass_before

SHUFFLES = 200
"""Orders of the slices tried."""

_AIM = MOST_IN_HALF - ROUNDING


@dataclass(frozen=True)
class _Slices:
    """A load in slices, by arrays: its packs (P,), and the slices (S,) in their order."""

    slice_of: Ints
    """(P,): the slice that a pack is in."""
    at: Ints
    """(P,): where a pack begins in its slice, mm."""
    long: Ints
    """(P,): side along the container, mm."""
    mass: Floats
    """(P,): kg."""
    length: Ints
    """(S,): of each slice, mm."""

    @classmethod
    def of(cls, placements: Sequence[Placement]) -> _Slices:
        """Cut a load wherever a plane across the container cuts no pack."""
        x, long = (np.array([(p.x, p.dx) for p in placements], dtype=np.int64)).T
        order = np.argsort(x, kind="stable")
        reached = np.maximum.accumulate((x + long)[order])
        begins = np.append(True, x[order][1:] >= reached[:-1])
        slice_of = np.empty(len(x), dtype=np.int64)
        slice_of[order] = np.cumsum(begins) - 1
        first = x[order][begins]
        last = np.append(reached[np.flatnonzero(begins)[1:] - 1], reached[-1])
        mass = np.array([p.mass_kg for p in placements])
        return cls(slice_of, x - first[slice_of], long, mass, last - first)

    def set_out(self, order: Ints, turned: Bools) -> Ints:
        """Return (A, P) where the packs begin when the slices stand one against the other from the
        front wall, in A orders (A, S), some of them end for end (A, S)."""
        lengths = self.length[order]
        begins = np.empty_like(order)
        np.put_along_axis(begins, order, np.cumsum(lengths, axis=1) - lengths, axis=1)
        other_way = self.length[self.slice_of] - self.at - self.long
        at = np.where(turned[:, self.slice_of], other_way, self.at)
        return np.asarray(begins[:, self.slice_of] + at)

    def heaviest_amid(self) -> list[int]:
        """Return the order with the most mass a metre in the middle."""
        mass = np.bincount(self.slice_of, weights=self.mass, minlength=len(self.length))
        order: list[int] = []
        for place, part in enumerate(np.argsort(-mass / self.length, kind="stable").tolist()):
            order.insert(0 if place % 2 else len(order), part)
        return order

    def centred(self, x: Ints, box: Box) -> tuple[Ints, Floats]:
        """Return (A, P) the loads, from the front wall at first, moved along so that their halves
        are as equal as the room allows, and (A,) the share of the mass in the worse half."""
        whole = self.mass.sum()
        half = box.length_mm / 2

        def front(shift: Ints) -> Floats:
            share = np.clip((half - shift[:, None] - x) / self.long, 0.0, 1.0)
            return np.asarray(share @ self.mass)

        low = np.zeros(len(x), dtype=np.int64)
        high = np.maximum(box.length_mm - (x + self.long).max(axis=1), 0)
        while (high - low > 1).any():
            middle = (low + high) // 2
            heavy = front(middle) > whole / 2
            low, high = np.where(heavy, middle, low), np.where(heavy, high, middle)
        ends = np.array([low, high])
        worse = np.array([np.maximum(f, whole - f) / whole for f in map(front, ends)])
        better = worse.argmin(axis=0)
        each = np.arange(len(x))
        return x + ends[better, each][:, None], worse[better, each]


def balanced(placements: Sequence[Placement], box: Box) -> list[Placement] | None:
    """Return the load with no more than its share in either half, moved as little as need be.

    Returns None when no order of the slices that was tried has that balance.
    """
    if not placements or _worse_half(placements, box) <= _AIM:
        return list(placements)
    slices = _Slices.of(placements)
    number = len(slices.length)
    draw = np.random.default_rng(0)
    # As they stand, then the heaviest amid; of one slice there is no other order.
    orders = np.array([np.arange(number), slices.heaviest_amid()])
    turned = np.zeros(orders.shape, dtype=bool)
    for _ in range(1 if number == 1 else 2):
        x, worse = slices.centred(slices.set_out(orders, turned), box)
        kept = np.flatnonzero(worse <= _AIM)
        if kept.size:
            at = x[kept[0]].tolist()
            return [replace(p, x=begins) for p, begins in zip(placements, at, strict=True)]
        orders = draw.permuted(np.tile(np.arange(number), (SHUFFLES, 1)), axis=1)
        turned = draw.random(orders.shape) < 0.5
    return None


def _worse_half(placements: Sequence[Placement], box: Box) -> float:
    whole = sum(placed.mass_kg for placed in placements)
    front = mass_before(placements, box.length_mm / 2)
    return max(front, whole - front) / whole if whole > 0 else 0.5


def lightened(placements: Sequence[Placement], box: Box) -> tuple[list[Placement], list[Placement]]:
    """Return (a balanced part of the load, what was taken off), from the top of the heavy half."""
    kept, off = list(placements), list[Placement]()
    while kept:
        moved = balanced(kept, box)
        if moved is not None:
            return moved, off
        half = box.length_mm / 2
        whole = sum(placed.mass_kg for placed in kept)
        front = mass_before(kept, half)
        excess = (max(front, whole - front) - _AIM * whole) / (1 - _AIM)
        free = [
            placed
            for placed in kept
            if (placed.x + placed.dx / 2 < half) == (front * 2 > whole)
            and not covered(placed, kept)
        ] or kept[-1:]
        # The lightest that is enough by itself, else the heaviest.
        gone = min(free, key=lambda p: (p.mass_kg < excess, abs(p.mass_kg - excess)))
        off.append(gone)
        kept.remove(gone)
    return kept, off


def covered(placed: Placement, load: Sequence[Placement]) -> bool:
    """Tell whether anything of a load stands on a pack."""
    return any(
        other.z == placed.z + placed.dz
        and other.x < placed.x + placed.dx
        and placed.x < other.x + other.dx
        and other.y < placed.y + placed.dy
        and placed.y < other.y + other.dy
        for other in load
    )
