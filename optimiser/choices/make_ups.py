"""Every make-up worth having of every leg group, enumerated over numpy at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ...models.arrays import Bools, Floats, Ints
from ...models.farm import Farm
from ...models.goods.anchor import Anchor
from ...models.site.leg import Leg
from ...models.standing.catenary import LineState, line_states
from ...models.standing.holding import (
    DesignHolding,
    HoldingTable,
    anchors_share,
    deadweight_available_kn,
    kept_under_uplift,
)
from ...models.standing.make_up import MakeUp

SLACK = 1e-9
"""Relative slack in every comparison with a limit, for rounding alone."""


@dataclass(frozen=True)
class Lines:
    """Rope and chain combinations: (N,) rows of leg, chain, rope and rope length, and how each
    stands at every ground chain length: (N, L) arrays in `state`."""

    leg: Ints
    chain: Ints
    rope: Ints
    """−1 where the leg is all chain."""
    rope_m: Floats
    chain_m: Floats
    """(L,) every ground chain length, shortest first."""
    state: LineState

    def __len__(self) -> int:
        return len(self.leg)


@dataclass(frozen=True)
class MakeUps:
    """(M,) arrays, one element a make-up; indices refer to the farm's own order."""

    leg: Ints
    anchor: Ints
    anchors: Ints
    """Anchors on one line."""
    chain: Ints
    chain_m: Floats
    rope: Ints
    rope_m: Floats

    def __len__(self) -> int:
        return len(self.leg)

    def make_up(self, farm: Farm, index: int) -> MakeUp:
        """Return one make-up by its items' names."""
        rope = int(self.rope[index])
        return MakeUp(
            farm.anchors[int(self.anchor[index])].name,
            int(self.anchors[index]),
            farm.chains[int(self.chain[index])].name,
            float(self.chain_m[index]),
            farm.ropes[rope].name if rope >= 0 else None,
            float(self.rope_m[index]),
        )

    def take(self, chosen: Ints | Bools) -> MakeUps:
        """Return some of them."""
        return MakeUps(
            self.leg[chosen],
            self.anchor[chosen],
            self.anchors[chosen],
            self.chain[chosen],
            self.chain_m[chosen],
            self.rope[chosen],
            self.rope_m[chosen],
        )


def rope_lengths_m(farm: Farm, leg: Leg) -> tuple[float, ...]:
    """Return the rope lengths tried on a leg, m, to the millimetre."""
    return tuple(round(times * leg.depth_m, 3) for times in farm.project.rope_lengths_tried)


def strong_enough_chain(farm: Farm, leg: Leg) -> list[int]:
    """Return the chains that stand the leg's design tension, their fittings too."""
    needed = farm.project.chain_safety_factor * leg.design_tension_kn * (1 - SLACK)
    chosen = []
    for index, chain in enumerate(farm.chains):
        if leg.fixed_chain is not None and chain.name != leg.fixed_chain:
            continue
        fittings = (f for f in farm.fittings if f.applies_to(chain.name))
        weakest = min([chain.worn_breaking_load_kn(farm.project)]
                      + [f.breaking_load_kn for f in fittings])  # fmt: skip
        if weakest >= needed:
            chosen.append(index)
    return chosen


def strong_enough_rope(farm: Farm, leg: Leg) -> list[int]:
    """Return the ropes that stand the leg's design tension at their splices; [−1] without any."""
    if not farm.ropes:
        return [-1]
    needed = farm.project.rope_safety_factor * leg.design_tension_kn * (1 - SLACK)
    share = farm.project.rope_splice_share
    return [i for i, rope in enumerate(farm.ropes) if rope.breaking_load_kn * share >= needed]


def longest_piece_m(farm: Farm, item_name: str) -> float:
    """Return the longest piece that can be cut whole of an item: as sold, or on hand."""
    item = farm.item_by_name[item_name]
    orderable = item.largest_order is None or item.largest_order >= item.smallest_order
    return max([item.length_sold_m if orderable else 0.0, *item.on_hand])


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
    leg_index = np.array([row[0] for row in rows], dtype=np.int64)
    chain_index = np.array([row[1] for row in rows], dtype=np.int64)
    rope_index = np.array([row[2] for row in rows], dtype=np.int64)
    rope_m = np.array([row[3] for row in rows], dtype=np.float64)
    return lines_at(farm, leg_index, chain_index, rope_index, rope_m)


def lines_at(farm: Farm, leg: Ints, chain: Ints, rope: Ints, rope_m: Floats) -> Lines:
    """Return how the given combinations stand at every ground chain length."""
    tension = np.array([one.design_tension_kn for one in farm.legs])
    depth = np.array([one.depth_m for one in farm.legs])
    friction = np.array([farm.seabed_by_name[one.seabed].chain_friction for one in farm.legs])
    chain_w = np.array([one.submerged_weight_kn_m for one in farm.chains])
    rope_w = np.array([*(one.submerged_weight_kn_m for one in farm.ropes), 0.0])  # −1: no rope
    chain_m = np.array(farm.project.chain_lengths_m)
    state = line_states(
        tension[leg][:, None],
        depth[leg][:, None],
        chain_m[None, :],
        chain_w[chain][:, None],
        rope_m[:, None],
        rope_w[rope][:, None],
        friction[leg][:, None],
    )
    return Lines(leg, chain, rope, rope_m, chain_m, state)


def holds(
    farm: Farm,
    anchor: Anchor,
    anchors: int,
    holding: DesignHolding,
    uplift_deg: Floats,
    horizontal_kn: Floats,
    vertical_kn: Floats,
) -> Bools:
    """Tell where `anchors` of one model hold the forces at the anchor.

    Their holding is shared among several and lessened by uplift; a deadweight must not slide.
    """
    factor = anchor.safety_factor or farm.project.anchor_safety_factor
    share = anchors_share(farm, anchors)
    required = factor * np.hypot(horizontal_kn, vertical_kn) * (1 - SLACK)
    kept = kept_under_uplift(farm, anchor)(uplift_deg)
    ok = uplift_deg <= anchor.largest_uplift_deg + 1e-7
    ok &= required <= anchors * share * holding.holding_kn * kept
    ok &= required <= anchors * holding.structural_limit_kn
    if holding.friction is not None:
        available = deadweight_available_kn(
            holding.friction, anchor.submerged_weight_kn, anchors, share, factor, vertical_kn
        )
        ok &= factor * horizontal_kn * (1 - SLACK) <= available
    return np.asarray(ok)


def may_use(leg: Leg, anchor: Anchor) -> bool:
    """Tell whether a leg's own lists allow an anchor."""
    if leg.fixed_anchor is not None and leg.fixed_anchor != anchor.name:
        return False
    return not leg.allowed_families or anchor.family in leg.allowed_families


def enumerate_make_ups(farm: Farm, lines: Lines | None = None) -> MakeUps:
    """Return every admissible make-up that no other with the same items makes needless.

    For each anchor, number of anchors, chain, rope and rope length the least admissible chain
    length; of those, a longer rope only where it saves chain.
    """
    lines = lines_of(farm) if lines is None else lines
    found = list(_least_chains(farm, lines))
    if not found:
        none = np.zeros(0, dtype=np.int64)
        return MakeUps(none, none, none, none, none.astype(float), none, none.astype(float))
    rows, columns, anchor, anchors = (np.concatenate(part) for part in zip(*found, strict=True))
    made = MakeUps(
        lines.leg[rows],
        anchor,
        anchors,
        lines.chain[rows],
        lines.chain_m[columns],
        lines.rope[rows],
        lines.rope_m[rows],
    )
    return made.take(_undominated(made))


def _least_chains(farm: Farm, lines: Lines) -> Iterator[tuple[Ints, Ints, Ints, Ints]]:
    """Yield, for each anchor and number of anchors, the lines it suits and the least chain."""
    if not len(lines):
        return
    table = HoldingTable(farm)
    radius_limit = np.array([leg.longest_radius_m or np.inf for leg in farm.legs])
    state = lines.state
    usable = state.possible & may_be_cut(farm, lines.chain_m)[lines.chain]
    with np.errstate(invalid="ignore"):
        usable &= state.radius_m <= radius_limit[lines.leg][:, None] * (1 + SLACK)
    uplift = state.uplift_deg
    for a, anchor in enumerate(farm.anchors):
        known = [table.of(anchor, leg) for leg in farm.legs]
        allowed = np.array([
            may_use(leg, anchor) and holding.relied_on
            for leg, holding in zip(farm.legs, known, strict=True)
        ])  # fmt: skip
        for holding, members in _by_holding(known, allowed):
            rows = np.flatnonzero(np.isin(lines.leg, members))
            if not rows.size:
                continue
            part = (uplift[rows], state.anchor_horizontal_kn[rows], state.anchor_vertical_kn[rows])
            for k in range(1, farm.project.most_anchors_per_leg + 1):
                with np.errstate(invalid="ignore"):
                    ok = usable[rows] & holds(farm, anchor, k, holding, *part)
                any_length = ok.any(axis=1)
                at = rows[any_length]
                columns = ok.argmax(axis=1)[any_length]
                yield at, columns, np.full(at.size, a), np.full(at.size, k)


def _by_holding(
    known: list[DesignHolding], allowed: Bools
) -> Iterator[tuple[DesignHolding, list[int]]]:
    """Yield each distinct design holding of one anchor with the leg groups that have it."""
    groups: dict[tuple[str, float], list[int]] = {}
    for g, holding in enumerate(known):
        if allowed[g]:
            groups.setdefault((holding.seabed, holding.allowed_drag_m), []).append(g)
    for members in groups.values():
        yield known[members[0]], members


def _undominated(made: MakeUps) -> Ints:
    """Return the indices left when a longer rope that saves no chain is dropped."""
    order = np.lexsort(
        (made.chain_m, made.rope_m, made.rope, made.chain, made.anchors, made.anchor, made.leg)
    )
    keys = np.stack([made.leg, made.anchor, made.anchors, made.chain, made.rope])[:, order]
    new_run = np.ones(order.size, dtype=bool)
    new_run[1:] = (keys[:, 1:] != keys[:, :-1]).any(axis=0)
    # Within a run, by rope length: keep those whose chain is less than that of every shorter one.
    chain_m = made.chain_m[order]
    run = np.cumsum(new_run)
    offset = run * (chain_m.max(initial=0.0) + 1.0)
    least_so_far = np.minimum.accumulate(chain_m - offset) + offset
    before = np.empty_like(chain_m)
    before[1:] = least_so_far[:-1]
    before[new_run] = np.inf
    return np.sort(order[chain_m < before - 1e-9])
