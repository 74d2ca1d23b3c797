"""Rope and chain combinations that are strong enough for a leg, and how they stand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ...models.arrays import Bools, Floats, Ints
from ...models.farm import Farm
from ...models.site.leg import Leg
from ...models.standing.catenary import LineState, line_states
from ...models.standing.limits import LEAST_LEFT, line_limits, rope_strength_kn
from ...models.standing.load_cases import leg_cases
from ...models.standing.make_up import Limit

SLACK = 1e-9
"""Relative slack in every comparison with a limit, for rounding alone."""


@dataclass(frozen=True)
class Lines:
    """Rope and chain combinations: (N,) rows of leg, chain, rope and rope length; each may have
    any of the (L,) ground chain lengths."""

    leg: Ints
    chain: Ints
    rope: Ints
    """−1 where the leg is all chain."""
    rope_m: Floats
    chain_m: Floats
    """(L,) every ground chain length, shortest first."""

    def __len__(self) -> int:
        return len(self.leg)

    def take(self, rows: Ints) -> Lines:
        """Return some of the combinations."""
        return Lines(
            self.leg[rows], self.chain[rows], self.rope[rows], self.rope_m[rows], self.chain_m
        )


@dataclass(frozen=True)
class CaseStates:
    """How some of the lines stand in one load case: (R, L) arrays in `state`."""

    rows: Ints
    """(R,) which of the lines."""
    anchor_factor: Floats
    """(R, 1) on what the state brings to the anchor."""
    state: LineState


def rope_lengths_m(farm: Farm, leg: Leg) -> tuple[float, ...]:
    """Return the rope lengths tried on a leg, m, to the millimetre."""
    return tuple(round(times * leg.depth_m, 3) for times in farm.project.rope_lengths_tried)


def strong_enough_chain(farm: Farm, leg: Leg, anchors: int = 1) -> list[int]:
    """Return the chains that stand every load case of a leg, fittings and connectors too."""
    cases = leg_cases(farm, leg, farm.project.anchor_safety_factor)
    return [
        index
        for index, chain in enumerate(farm.chains)
        if leg.fixed_chain in (None, chain.name)
        and all(_kept(x) for case in cases for x in line_limits(farm, case, chain, None, anchors))
    ]


def _kept(limit: Limit) -> bool:
    return limit.required * (1 - SLACK) <= limit.available


def strong_enough_rope(farm: Farm, leg: Leg) -> list[int]:
    """Return the ropes that stand every load case of a leg, wet, at their splices; [−1] without
    any."""
    if not farm.ropes:
        return [-1]
    cases = leg_cases(farm, leg, farm.project.anchor_safety_factor)
    needed = max(case.rope_required_kn for case in cases) * (1 - SLACK)
    return [i for i, rope in enumerate(farm.ropes) if rope_strength_kn(farm, rope) >= needed]


def longest_piece_m(farm: Farm, item_name: str) -> float:
    """Return the longest piece that can be cut whole of an item: as sold, or on hand."""
    item = farm.item_by_name[item_name]
    return max([item.length_sold_m if item.can_be_ordered else 0.0, *item.on_hand])


def may_be_cut(farm: Farm, chain_m: Floats) -> Bools:
    """Return whether a piece of each chain (rows) and length (columns) can be made: in one, or
    with no more joins than it may have."""
    allowed = np.array([farm.project.most_joins(length) for length in chain_m.tolist()])
    rows = []
    for chain in farm.chains:
        longest = longest_piece_m(farm, chain.name)
        if not longest:
            rows.append(np.zeros(len(chain_m), dtype=bool))
            continue
        joins = np.ceil(chain_m / longest - 1e-6) - 1.0
        rows.append(joins <= (allowed if chain.joinable else 0.0))
    return np.array(rows)


def lines_of(farm: Farm, legs: Ints | None = None) -> Lines:
    """Return every rope and chain combination strong enough, at every chain length.

    legs : indices of the leg groups wanted; None: all.
    """
    rows: list[tuple[int, int, int, float]] = []
    for g in range(len(farm.legs)) if legs is None else legs.tolist():
        leg = farm.legs[g]
        for c in strong_enough_chain(farm, leg):
            for r in strong_enough_rope(farm, leg):
                lengths = rope_lengths_m(farm, leg) if r >= 0 else (0.0,)
                longest = longest_piece_m(farm, farm.ropes[r].name) if r >= 0 else 0.0
                eyes = farm.project.eyes_m if r >= 0 else 0.0
                rows.extend((g, c, r, m) for m in lengths if m + eyes <= longest + 1e-6)
    return Lines(
        np.array([row[0] for row in rows], dtype=np.int64),
        np.array([row[1] for row in rows], dtype=np.int64),
        np.array([row[2] for row in rows], dtype=np.int64),
        np.array([row[3] for row in rows], dtype=np.float64),
        np.array(farm.project.chain_lengths_m),
    )


def laid_states(farm: Farm, lines: Lines) -> LineState:
    """Return (N, L) how the lines lie at design tension, with chain as new."""
    tension = np.array([leg.design_tension_kn for leg in farm.legs])
    depth = np.array([leg.depth_m for leg in farm.legs])
    return _states(farm, lines, tension[lines.leg], depth[lines.leg], np.ones(len(lines)))


def case_states(farm: Farm, lines: Lines, anchor_safety_factor: float) -> Iterator[CaseStates]:
    """Yield how the lines stand in each load case, for anchors of one safety factor.

    Legs may have different cases: the first of each leg comes first, then the second, and so on.
    """
    cases = [leg_cases(farm, leg, anchor_safety_factor) for leg in farm.legs]
    left = np.array([chain.share_after_wear(farm.project) for chain in farm.chains])
    for turn in range(max((len(of_leg) for of_leg in cases), default=0)):
        with_it = np.array([turn < len(of_leg) for of_leg in cases])
        rows = np.flatnonzero(with_it[lines.leg])
        if not rows.size:
            continue
        of_leg = [one[min(turn, len(one) - 1)] if one else None for one in cases]
        tension = np.array([case.tension_kn if case else 0.0 for case in of_leg])
        depth = np.array([case.depth_m if case else 0.0 for case in of_leg])
        factor = np.array([case.anchor_factor if case else 0.0 for case in of_leg])
        worn = np.array([case is not None and case.worn for case in of_leg])
        part = lines.take(rows)
        weight = np.where(worn[part.leg], np.maximum(left[part.chain], LEAST_LEFT), 1.0)
        state = _states(farm, part, tension[part.leg], depth[part.leg], weight)
        yield CaseStates(rows, factor[part.leg][:, None], state)


def _states(
    farm: Farm, lines: Lines, tension_kn: Floats, depth_m: Floats, chain_left: Floats
) -> LineState:
    """Return (N, L) how lines stand under (N,) tensions and depths, chain so much of its weight."""
    friction = np.array([farm.seabed_by_name[one.seabed].chain_friction for one in farm.legs])
    chain_w = np.array([one.submerged_weight_kn_m for one in farm.chains])
    rope_w = np.array([*(one.submerged_weight_kn_m for one in farm.ropes), 0.0])  # −1: no rope
    return line_states(
        tension_kn[:, None],
        depth_m[:, None],
        lines.chain_m[None, :],
        (chain_w[lines.chain] * chain_left)[:, None],
        lines.rope_m[:, None],
        rope_w[lines.rope][:, None],
        friction[lines.leg][:, None],
    )
