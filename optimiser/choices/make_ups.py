"""Every make-up worth having of every leg group, enumerated over numpy at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from ...models.arrays import Bools, Floats, Ints
from ...models.farm import Farm
from ...models.goods.anchor import Anchor
from ...models.site.leg import Leg
from ...models.standing.catenary import LineState
from ...models.standing.holding import DesignHolding, HoldingTable
from ...models.standing.limits import Need, anchor_needs, place_needs
from ...models.standing.load_cases import own_factor
from ...models.standing.make_up import LimitName, MakeUp
from .rope_and_chain import (
    SLACK,
    CaseStates,
    Lines,
    case_states,
    laid_states,
    lines_of,
    may_be_cut,
    strong_enough_chain,
)


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

    def small(self) -> MakeUps:
        """Return them in as little room as their numbers need."""
        return replace(
            self,
            leg=self.leg.astype(np.int32),
            anchor=self.anchor.astype(np.int16),
            anchors=self.anchors.astype(np.int16),
            chain=self.chain.astype(np.int16),
            rope=self.rope.astype(np.int16),
        )


def may_use(leg: Leg, anchor: Anchor) -> bool:
    """Tell whether a leg's own lists allow an anchor."""
    if leg.fixed_anchor is not None and leg.fixed_anchor != anchor.name:
        return False
    return not leg.allowed_families or anchor.family in leg.allowed_families


def enumerate_make_ups(farm: Farm) -> MakeUps:
    """Return every admissible make-up that no other with the same items makes needless.

    For each anchor, number of anchors, chain, rope and rope length the least chain length at
    which every limit holds in every load case; of those, a longer rope only where it saves chain.
    """
    lines = lines_of(farm)
    found = list(_least_chains(farm, lines)) if len(lines) else []
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
    usable = _placed(farm, lines)
    several = _stand_with_several(farm)[lines.leg, lines.chain]
    by_factor: dict[float, list[int]] = {}
    for a, anchor in enumerate(farm.anchors):
        by_factor.setdefault(own_factor(farm, anchor), []).append(a)
    for factor, anchors in by_factor.items():
        trials = [trial for a in anchors for trial in _trials(farm, lines, a, several)]
        kept = [usable[trial.rows] for trial in trials]
        for case in case_states(farm, lines, factor):
            place = np.full(len(lines), -1)
            place[case.rows] = np.arange(case.rows.size)
            parts: dict[bytes, tuple[Bools, CaseStates]] = {}
            for number, trial in enumerate(trials):
                alike = trial.rows.tobytes()
                if alike not in parts:
                    at = place[trial.rows]
                    in_case = at >= 0
                    part = CaseStates(
                        trial.rows[in_case],
                        case.anchor_factor[at[in_case]],
                        _of_rows(case.state, at[in_case]),
                    )
                    parts[alike] = in_case, part
                in_case, part = parts[alike]
                kept[number][in_case] &= _holds(farm, trial, part)
        for trial, ok in zip(trials, kept, strict=True):
            any_length = ok.any(axis=1)
            rows = trial.rows[any_length]
            columns = ok.argmax(axis=1)[any_length]
            yield (
                rows,
                columns,
                np.full(rows.size, trial.anchor),
                np.full(rows.size, trial.anchors),
            )


@dataclass(frozen=True)
class _Trial:
    """So many anchors of one model, on the lines of the legs that rely on it alike."""

    anchor: int
    anchors: int
    holding: DesignHolding
    rows: Ints


def _stand_with_several(farm: Farm) -> Bools:
    """Return (legs, chains) where the fittings that further anchors bring are strong enough."""
    if farm.project.most_anchors_per_leg == 1:
        return np.ones((len(farm.legs), len(farm.chains)), dtype=bool)
    strong = [strong_enough_chain(farm, leg, 2) for leg in farm.legs]
    return np.array([[c in ok for c in range(len(farm.chains))] for ok in strong])


def _trials(farm: Farm, lines: Lines, a: int, several: Bools) -> Iterator[_Trial]:
    """Yield the trials of one anchor model: by design holding, and by number on a leg.

    several : (N,) which lines may have more than one anchor.
    """
    table = HoldingTable(farm)
    anchor = farm.anchors[a]
    trials: list[tuple[int, _Trial]] = []
    for k in range(1, farm.project.most_anchors_per_leg + 1):
        known = [table.of(anchor, leg, k) for leg in farm.legs]
        allowed = np.array([
            may_use(leg, anchor) and holding.relied_on
            for leg, holding in zip(farm.legs, known, strict=True)
        ])  # fmt: skip
        for holding, members in _by_holding(known, allowed):
            rows = np.flatnonzero(np.isin(lines.leg, members))
            if rows.size:
                rows = rows if k == 1 else rows[several[rows]]
                trials.append((members[0], _Trial(a, k, holding, rows)))
    for _, trial in sorted(trials, key=lambda one: (one[0], one[1].anchors)):
        yield trial


def _holds(farm: Farm, trial: _Trial, case: CaseStates) -> Bools:
    """Tell where a trial's anchors keep every limit of theirs in one load case."""
    ok = case.state.possible.copy()
    anchor = farm.anchors[trial.anchor]
    with np.errstate(invalid="ignore"):
        for need in anchor_needs(
            farm, anchor, trial.anchors, trial.holding, case.anchor_factor, case.state
        ):
            ok &= need_kept(need)
    return ok


def need_kept(need: Need) -> Bools:
    """Tell where a need is met, but for rounding."""
    if need.name is LimitName.UPLIFT:
        return np.asarray(need.required <= need.available + 1e-7)
    return np.asarray(need.required * (1 - SLACK) <= need.available)


def _of_rows(state: LineState, rows: Ints) -> LineState:
    """Return how some of the lines stand."""
    return LineState(
        state.possible[rows],
        state.anchor_vertical_kn[rows],
        state.anchor_horizontal_kn[rows],
        state.grounded_m[rows],
        state.radius_m[rows],
    )


def _placed(farm: Farm, lines: Lines) -> Bools:
    """Return (N, L) where a line can be cut, and lies where it may at design tension."""
    state = laid_states(farm, lines)
    ok = state.possible & may_be_cut(farm, lines.chain_m)[lines.chain]
    for g in np.unique(lines.leg).tolist():
        rows = np.flatnonzero(lines.leg == g)
        with np.errstate(invalid="ignore"):
            for need in place_needs(farm, farm.legs[g], state.radius_m[rows]):
                ok[rows] &= need_kept(need)
    return ok


def _by_holding(
    known: list[DesignHolding], allowed: Bools
) -> Iterator[tuple[DesignHolding, list[int]]]:
    """Yield each distinct design holding of one anchor with the leg groups that have it."""
    groups: dict[tuple[str, float, float], list[int]] = {}
    for g, holding in enumerate(known):
        if allowed[g]:
            alike = (holding.seabed, holding.allowed_drag_m, holding.holding_kn)
            groups.setdefault(alike, []).append(g)
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
