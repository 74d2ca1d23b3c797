"""The check of a load plan, by none of the code that made it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from ...models.goods.load import MOST_IN_HALF, Box, LoadPlan, Pack, Placement
from .tolerance import PHYSICAL

LEAST_SUPPORT = 0.70
"""Share of a pack's base that must rest on the floor or on tops at its height (common practice,
no source)."""

_KG = 1e-3


def violations(plan: LoadPlan, packs: Sequence[Pack]) -> list[str]:
    """Return everything that is wrong with a load plan of these packs; nothing when it is good."""
    by_name = {one.name: one for one in packs}
    found = _strangers(plan, packs)
    known = [placed for placed in plan.placements if placed.pack in by_name]
    for placed in known:
        found += _place_faults(placed, by_name[placed.pack], plan.box)
    found += _overlaps(known)
    found += _support_faults(known, by_name)
    mass = sum(placed.mass_kg for placed in known)
    if plan.box.payload_kg is not None and mass > plan.box.payload_kg + _KG:
        found.append(f"the load is {mass:g} kg; the payload is {plan.box.payload_kg:g} kg")
    found += _balance_faults(known, plan.box)
    return found


def _strangers(plan: LoadPlan, packs: Sequence[Pack]) -> list[str]:
    wanted = Counter(one.name for one in packs)
    there = Counter(placed.pack for placed in plan.placements)
    left = Counter(one.name for one in plan.left_out)
    return [
        f"{name}: {there[name]} placed and {left[name]} left out of {wanted[name]}"
        for name in sorted({*wanted, *there, *left})
        if there[name] + left[name] != wanted[name]
    ]


def _place_faults(placed: Placement, one: Pack, box: Box) -> list[str]:
    found = []
    where = f"{placed.pack} at ({placed.x}, {placed.y}, {placed.z})"
    sides = (one.length_mm, one.width_mm, one.height_mm)
    if sorted(sides) != sorted((placed.dx, placed.dy, placed.dz)):
        found.append(f"{where}: its sides are not those of the pack")
    if one.this_side_up and placed.dz != one.height_mm:
        found.append(f"{where}: not this side up")
    if abs(placed.mass_kg - one.mass_kg) > _KG:
        found.append(f"{where}: its mass is not that of the pack")
    ends = (placed.x + placed.dx, placed.y + placed.dy, placed.z + placed.dz)
    if min(placed.x, placed.y, placed.z) < 0 or any(
        end > inside
        for end, inside in zip(ends, (box.length_mm, box.width_mm, box.height_mm), strict=True)
    ):
        found.append(f"{where}: through a wall")
    wide = box.width_mm if box.door_width_mm is None else box.door_width_mm
    high = box.height_mm if box.door_height_mm is None else box.door_height_mm
    if one.this_side_up:
        upright = ((one.length_mm, one.width_mm), (one.width_mm, one.length_mm))
        through = any(
            along <= box.length_mm and across <= wide and one.height_mm <= high
            for along, across in upright
        )
    else:
        through = any(
            sides[i] <= box.length_mm
            and (
                (sides[i - 1] <= wide and sides[i - 2] <= high)
                or (sides[i - 2] <= wide and sides[i - 1] <= high)
            )
            for i in range(3)
        )
    if not through:
        found.append(f"{where}: does not go through the door")
    return found


def _shared(low: NDArray[np.int64], high: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return how far each two intervals overlap, n × n."""
    both: NDArray[np.int64] = np.minimum(high[:, None], high) - np.maximum(low[:, None], low)
    return both.clip(min=0)


def _columns(load: Sequence[Placement]) -> list[NDArray[np.int64]]:
    corners = [(p.x, p.y, p.z, p.x + p.dx, p.y + p.dy, p.z + p.dz) for p in load]
    return list(np.array(corners, dtype=np.int64).reshape(-1, 6).T)


def _overlaps(load: Sequence[Placement]) -> list[str]:
    x0, y0, z0, x1, y1, z1 = _columns(load)
    both = (_shared(x0, x1) > 0) & (_shared(y0, y1) > 0) & (_shared(z0, z1) > 0)
    return [
        f"{load[i].pack} at ({load[i].x}, {load[i].y}, {load[i].z}) and {load[j].pack} at "
        f"({load[j].x}, {load[j].y}, {load[j].z}) take the same space"
        for i, j in np.argwhere(np.triu(both, 1))
    ]


def _support_faults(load: Sequence[Placement], by_name: Mapping[str, Pack]) -> list[str]:
    """Return what hangs, what stands on packs that bear nothing, and what is overloaded."""
    if not load:
        return []
    found = []
    x0, y0, z0, x1, y1, z1 = _columns(load)
    contact = _shared(x0, x1) * _shared(y0, y1) * (z0[:, None] == z1[None, :])
    base = (x1 - x0) * (y1 - y0)
    resting = contact.sum(axis=1)
    carried = np.zeros(len(load))
    for i in np.argsort(-z0, kind="stable").tolist():
        placed = load[i]
        where = f"{placed.pack} at ({placed.x}, {placed.y}, {placed.z})"
        if z0[i] > 0 and resting[i] < LEAST_SUPPORT * base[i]:
            share = resting[i] / base[i]
            found.append(f"{where}: only {share:.0%} of its base is supported")
        one = by_name[placed.pack]
        if one.most_on_top_kg is not None and carried[i] > one.most_on_top_kg + _KG:
            found.append(
                f"{where}: carries {carried[i]:g} kg; the most on top is {one.most_on_top_kg:g} kg"
            )
        below = np.flatnonzero(contact[i])
        found += [
            f"{where}: stands on {load[j].pack}, which may not be stacked on"
            for j in below.tolist()
            if not by_name[load[j].pack].stackable
        ]
        if z0[i] > 0 and len(below):
            carried[below] += (placed.mass_kg + carried[i]) * contact[i, below] / resting[i]
    return found


def _balance_faults(load: Sequence[Placement], box: Box) -> list[str]:
    whole = sum(placed.mass_kg for placed in load)
    if whole <= 0:
        return []
    half = box.length_mm / 2
    front = 0.0
    for placed in load:
        before = min(max(half - placed.x, 0.0), float(placed.dx))
        front += placed.mass_kg * before / placed.dx
    share = max(front, whole - front) / whole
    if share > MOST_IN_HALF + PHYSICAL:
        where = "front" if front > whole - front else "door"
        return [f"{share:.0%} of the mass is in the half nearer the {where}"]
    return []
