"""Balance along the length: the load is moved in slices until neither half is too heavy.

A slice lies between two planes across the container that cut no pack; slices stand on the floor
by themselves, so they may change places, be turned end for end, and be moved along together.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

from ..models.load import MOST_IN_HALF, Box, Placement, mass_before

SHUFFLES = 200
"""Orders of the slices tried."""

_AIM = MOST_IN_HALF - 1e-9


def balanced(placements: Sequence[Placement], box: Box) -> list[Placement] | None:
    """Return the load with no more than its share in either half, moved as little as need be.

    Returns None when no order of the slices that was tried has that balance.
    """
    if not placements or _worse_half(placements, box) <= _AIM:
        return list(placements)
    slices = _slices(placements)
    draw = random.Random(0)
    for attempt in range(SHUFFLES):
        moved = _centred(_set_out(slices), box)
        if _worse_half(moved, box) <= _AIM:
            return moved
        if attempt == 0:
            slices = _heaviest_amid(slices)
        elif len(slices) == 1:
            break
        else:
            draw.shuffle(slices)
            slices = [_turned(part) if draw.random() < 0.5 else part for part in slices]
    return None


def _worse_half(placements: Sequence[Placement], box: Box) -> float:
    whole = sum(placed.mass_kg for placed in placements)
    front = mass_before(placements, box.length_mm / 2)
    return max(front, whole - front) / whole if whole > 0 else 0.5


def _slices(placements: Sequence[Placement]) -> list[list[Placement]]:
    slices: list[list[Placement]] = []
    reached = -1
    for placed in sorted(placements, key=lambda placed: placed.x):
        if not slices or placed.x >= reached:
            slices.append([])
        slices[-1].append(placed)
        reached = max(reached, placed.x + placed.dx)
    return slices


def _extent(part: Sequence[Placement]) -> tuple[int, int]:
    return min(placed.x for placed in part), max(placed.x + placed.dx for placed in part)


def _set_out(slices: Sequence[Sequence[Placement]]) -> list[Placement]:
    """Return the slices one against the other from the front wall."""
    out: list[Placement] = []
    at = 0
    for part in slices:
        start, end = _extent(part)
        out += [replace(placed, x=placed.x - start + at) for placed in part]
        at += end - start
    return out


def _centred(placements: Sequence[Placement], box: Box) -> list[Placement]:
    """Return the load moved along so that its halves are as equal as the room allows."""
    whole = sum(placed.mass_kg for placed in placements)
    low, high = 0, box.length_mm - _extent(placements)[1]
    while high - low > 1:
        middle = (low + high) // 2
        if mass_before(placements, box.length_mm / 2 - middle) > whole / 2:
            low = middle
        else:
            high = middle
    ends = ([replace(p, x=p.x + shift) for p in placements] for shift in {low, high})
    return min(ends, key=lambda moved: _worse_half(moved, box))


def _turned(part: Sequence[Placement]) -> list[Placement]:
    """Return a slice end for end."""
    start, end = _extent(part)
    return [replace(placed, x=start + end - placed.x - placed.dx) for placed in part]


def _heaviest_amid(slices: Sequence[list[Placement]]) -> list[list[Placement]]:
    """Return the slices with the most mass a metre in the middle."""

    def dense(part: Sequence[Placement]) -> float:
        start, end = _extent(part)
        return sum(placed.mass_kg for placed in part) / (end - start)

    order: list[list[Placement]] = []
    for place, part in enumerate(sorted(slices, key=dense, reverse=True)):
        order.insert(0 if place % 2 else len(order), part)
    return order


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
            and not _covered(placed, kept)
        ] or kept[-1:]
        # The lightest that is enough by itself, else the heaviest.
        gone = min(free, key=lambda p: (p.mass_kg < excess, abs(p.mass_kg - excess)))
        off.append(gone)
        kept.remove(gone)
    return kept, off


def _covered(placed: Placement, load: Sequence[Placement]) -> bool:
    return any(
        other.z == placed.z + placed.dz
        and other.x < placed.x + placed.dx
        and placed.x < other.x + other.dx
        and other.y < placed.y + placed.dy
        and placed.y < other.y + other.dy
        for other in load
    )
