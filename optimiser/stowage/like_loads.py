"""Very many containers of one booking: few loads that differ, each of them many times.

What one container was found to take is a load. Every kind of pack alone and two and two are loaded
first; then more beside the loads in use. A small programme in whole
numbers says how often each is wanted, so that all packs go in as few containers as these loads
need (set covering over loads, as cutting lists over patterns: Gilmore and Gomory, 1961).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from ...models.goods.load import Box, LoadPlan, Pack
from ..solvers.matrix import Programme
from ..solvers.report import SolveOptions
from ..solvers.solve import solve
from .balance import balanced, covered
from .load_planner import QUICK, USUAL, loading_order, pack, pack_into

ROUNDS = 3
"""Times that more is loaded beside the loads in use."""

PAIRED = 6
"""Kinds, the bulkiest first, that are loaded two and two."""

FEWER = 4
"""Of a kind as many as go in alone, and down to so many fewer, are loaded with another kind."""

SOLVE_S = 2.0
"""Longest that the programme of one round is solved for; it needs no proof."""

Counts = tuple[tuple[Pack, int], ...]
"""Packs of each kind in one container, as they were met."""


class _Loads:
    """Loads of one container that were found, by what is in them."""

    def __init__(self, numbers: Mapping[Pack, int], box: Box) -> None:
        self.numbers, self.box = numbers, box
        self.kinds = tuple(numbers)
        self.found: dict[Counts, LoadPlan] = {}

    def look(self, offered: Mapping[Pack, int]) -> bool:
        """Load one container with as much as goes of what is offered; tell whether all went in."""
        offered = {kind: number for kind, number in offered.items() if number}
        packs = [kind for kind, number in offered.items() for _ in range(number)]
        plan = pack(packs, self.box, QUICK)
        inside = Counter(one.pack for one in plan.placements)
        counts = tuple((kind, inside[kind.name]) for kind in offered if inside[kind.name])
        if counts:
            self.found.setdefault(counts, plan)
        return not plan.left_out

    def beside(self, inside: Mapping[Pack, int], kind: Pack) -> None:
        """Load, beside what is inside, as many more of a kind as were found to go in with it."""
        there = inside.get(kind, 0)
        low, high = 0, self.enough(kind) - there
        while low < high:
            middle = (low + high + 1) // 2 if low else min(2, high)
            if self.look({**inside, kind: there + middle}):
                low = middle
            elif middle == 2:
                self.look({**inside, kind: there + 1})
                break
            else:
                high = middle - 1

    def enough(self, kind: Pack) -> int:
        """Return a number of packs of a kind that is all there are, or more than a box takes."""
        most = self.box.volume_mm3 // kind.volume_mm3
        if self.box.payload_kg is not None and kind.mass_kg > 0:
            most = min(most, int(self.box.payload_kg / kind.mass_kg) + 1)
        return min(self.numbers[kind], most)

    def most_alone(self, kind: Pack) -> int:
        """Return the most packs of a kind that a container was found to take alone."""
        return max((counts[0][1] for counts in self.found
                    if len(counts) == 1 and counts[0][0] == kind), default=0)  # fmt: skip

    def uses(self) -> list[tuple[Counts, int]]:
        """Return the loads that hold all packs in the fewest containers, and how often each."""
        programme = Programme()
        loads = list(self.found)
        columns = programme.columns("loads", len(loads), integer=True, cost=1.0)
        place = {kind: n for n, kind in enumerate(self.kinds)}
        rows = programme.rows("packs", len(place), low=[self.numbers[kind] for kind in place])
        for column, counts in zip(columns.tolist(), loads, strict=True):
            at = np.array([rows[place[kind]] for kind, _ in counts])
            inside = np.array([float(number) for _, number in counts])
            programme.terms(at, np.full(len(at), column), inside)
        report = solve(programme.matrix(), SolveOptions("", 1e-3, SOLVE_S))
        if report.values is None:
            return []
        used = np.rint(report.values).astype(int).tolist()
        return [(counts, number) for counts, number in zip(loads, used, strict=True) if number]


def like_loads(packs: Sequence[Pack], box: Box) -> tuple[LoadPlan, ...] | None:
    """Return load plans of all packs in as few containers as were found, most of them alike; None:
    none were found."""
    by_bulk = sorted(Counter(packs).items(), key=lambda of: (-of[0].volume_mm3 * of[1], of[0].name))
    loads = _Loads(dict(by_bulk), box)
    for kind in loads.kinds:
        loads.look({kind: loads.enough(kind)})
    for one, other in combinations(loads.kinds[:PAIRED], 2):
        for few, many in ((one, other), (other, one)):
            alone = loads.most_alone(few)
            for number in range(alone, max(alone - FEWER, 1) - 1, -1):
                loads.beside({few: number}, many)
    uses = loads.uses()
    for _ in range(ROUNDS):
        for counts, _number in uses:
            for kind in loads.kinds:
                loads.beside(dict(counts), kind)
        before, uses = uses, loads.uses()
        if _containers(uses) >= _containers(before):
            break
    return _of_all(loads, uses) if uses else None


def _containers(uses: Sequence[tuple[Counts, int]]) -> int:
    return sum(number for _, number in uses)


def _without(plan: LoadPlan, wanted: Mapping[Pack, int], box: Box) -> LoadPlan:
    """Return a load plan of fewer packs: one with the others taken away, from above, where the
    rest is then balanced and nothing stood on them; else a new one of what goes in."""
    more = Counter(one.pack for one in plan.placements)
    more.subtract({kind.name: number for kind, number in wanted.items()})
    kept = list(plan.placements)
    for one in sorted(plan.placements, key=lambda one: -(one.z + one.dz)):
        if more[one.pack] > 0 and not covered(one, kept):
            kept.remove(one)
            more[one.pack] -= 1
    moved = None if any(number > 0 for number in more.values()) else balanced(kept, box)
    if moved is not None:
        return replace(plan, placements=tuple(loading_order(moved)))
    return pack([kind for kind, each in wanted.items() for _ in range(each)], box, USUAL)


def _of_all(loads: _Loads, uses: Sequence[tuple[Counts, int]]) -> tuple[LoadPlan, ...] | None:
    """Return the load plans of so many of each load, no pack in two; what is left over at the end
    goes in further containers."""
    left = dict(loads.numbers)
    plans: list[LoadPlan] = []
    for counts, number in sorted(uses, key=lambda use: -use[1]):
        for _ in range(number):
            inside = {kind: min(each, left[kind]) for kind, each in counts if left[kind]}
            if not inside:
                continue
            plan = loads.found[counts]
            if inside != dict(counts):
                plan = _without(plan, inside, loads.box)
                placed = Counter(one.pack for one in plan.placements)
                inside = {kind: placed[kind.name] for kind in inside}
            for kind, each in inside.items():
                left[kind] -= each
            if plan.placements:
                plans.append(replace(plan, left_out=()))
    over = [kind for kind, each in left.items() for _ in range(each)]
    more = 0 if not over else 1
    rest = pack_into(over, loads.box, more, QUICK)
    while rest is None and more < len(over):
        more += 1
        rest = pack_into(over, loads.box, more, QUICK)
    return None if rest is None else (*plans, *rest)
