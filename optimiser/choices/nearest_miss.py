"""Why a leg has no make-up: the make-up that came nearest, and the limit that it missed."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...models.answer.left_out import Cause
from ...models.arrays import Floats
from ...models.farm import Farm
from ...models.fault import FarmError, Fault
from ...models.goods.anchor import Anchor
from ...models.goods.chain import Chain
from ...models.site.leg import Leg
from ...models.standing.holding import HoldingTable
from ...models.standing.limits import (
    Need,
    anchor_needs,
    line_limits,
    place_needs,
    standing_of,
    vessel_limits,
)
from ...models.standing.load_cases import LegCase, leg_cases, own_factor
from ...models.standing.make_up import Limit, LimitName, MakeUp
from .choices import choices_of, obtainable, rough_cost
from .make_ups import enumerate_make_ups, may_use
from .rope_and_chain import (
    Lines,
    case_states,
    laid_states,
    longest_piece_m,
    may_be_cut,
    rope_lengths_m,
)
from .undelivered import undelivered

DEGREES_PAST = 10.0
"""Degrees past an anchor's largest uplift that count as badly as a limit missed by its whole;
angles do not compare by ratio where the largest uplift is 0°."""

MOST_DATED = 500
"""Choices of a leg, the cheapest, of which the one that is least late is told."""

WORST = 1e9
"""How badly a limit is missed of which there is nothing at all."""


@dataclass(frozen=True)
class NearestMiss:
    """The make-up of a leg whose worst limit is missed by least."""

    leg: Leg
    make_up: MakeUp | None
    missed: Limit | None
    why: str = ""
    """Said instead where there is no make-up to name."""

    def __str__(self) -> str:
        if self.make_up is None or self.missed is None:
            return f"leg '{self.leg.name}' cannot be moored: {self.why}"
        limit = self.missed
        short = limit.required - limit.available
        return (
            f"leg '{self.leg.name}' cannot be moored; the nearest make-up is {self.make_up}, "
            f"which misses its {limit.name}: {limit.required:.4g} {limit.unit} required, "
            f"{limit.available:.4g} {limit.unit} available, {short:.3g} {limit.unit} short"
        )


class UnmoorableError(FarmError):
    """Raised when some legs have no admissible make-up; says the nearest miss of each."""

    def __init__(self, misses: tuple[NearestMiss, ...], others: Sequence[Leg] = ()) -> None:
        """others : legs without a make-up whose nearest miss is not worked out."""
        self.misses = misses
        more = (NearestMiss(leg, None, None, "its nearest miss is left out") for leg in others)
        super().__init__(Fault.at(miss.leg.source, "Leg", str(miss)) for miss in (*misses, *more))


def nearest_miss(farm: Farm, leg: Leg) -> NearestMiss:
    """Return the make-up of a leg that comes nearest to keeping every limit."""
    late = _too_late(farm, leg)
    if late:
        return NearestMiss(leg, None, None, late)
    table = HoldingTable(farm)
    to_be_had = obtainable(farm)

    def had(name: str) -> bool:
        return to_be_had[name] or farm.item_by_name[name].on_hand_total > 0

    listed = [a for a in farm.anchors if may_use(leg, a)]
    anchors = [a for a in listed if table.of(a, leg).relied_on and had(a.name)]
    if not anchors:
        reasons = sorted({table.of(a, leg).refusal or "cannot be delivered" for a in listed})
        return NearestMiss(
            leg, None, None, "no anchor may be relied on there: " + "; ".join(reasons[:4])
        )
    for catalogue, goods in (("chain", _chains_of(farm, leg)), ("rope", farm.ropes)):
        if goods and not any(had(item.name) for item in goods):
            return NearestMiss(leg, None, None, f"no {catalogue} that it may use can be delivered")
    lines = _trial_lines(farm, leg, had)
    best = [_least_missing(farm, leg, lines, anchor) for anchor in anchors] if len(lines) else []
    severity, made = min(best, key=lambda one: one[0], default=(math.inf, None))
    if made is None or math.isinf(severity):
        return NearestMiss(
            leg,
            None,
            None,
            "no line of the ropes and chains listed hangs right: every one is too short for the "
            "depth, too heavy for the tension, or lies with its rope on the bottom",
        )
    standing = standing_of(farm, leg, made)
    assert standing is not None, "a possible line stands"
    least = _least_by_vessel(farm, leg, made)
    return NearestMiss(leg, made, _worst((*standing.limits, *least)))


def _too_late(farm: Farm, leg: Leg) -> str:
    """Return which goods come too late where the leg could be moored if dates did not matter, or
    "": then the dates are the cause, whatever else what is left misses."""
    if farm.project.days_to_deliver is None:
        return ""
    undated = replace(farm.project, required_on_site=None)
    one = replace(farm, legs=(leg,), project=undated)
    choices = choices_of(one, enumerate_make_ups(one))
    if not len(choices):
        return ""
    to_be_had = obtainable(farm)
    late = {
        item.name: why
        for item in farm.items
        if not to_be_had[item.name]
        and item.on_hand_total <= 0
        and (why := undelivered(farm, item)) is not None
        and why[0] is Cause.DATES
    }

    def days_short(index: int) -> float:
        made = choices.make_ups.make_up(one, index)
        names = (made.anchor, made.chain, *([made.rope] if made.rope else []))
        return max((late[n][2] or 0.0 for n in names if n in late), default=0.0)

    cheap = np.argsort(rough_cost(one, choices), kind="stable")[:MOST_DATED].tolist()
    made = choices.make_ups.make_up(one, min(cheap, key=days_short))
    told = [
        f"'{name}': {late[name][1]}"
        for name in (made.anchor, made.chain, made.rope)
        if name in late
    ]
    return f"{made} would hold but comes too late: {'; '.join(told)}" if told else ""


def _chains_of(farm: Farm, leg: Leg) -> tuple[Chain, ...]:
    """Return the chains that a leg may use."""
    return tuple(c for c in farm.chains if leg.fixed_chain in (None, c.name))


def _trial_lines(farm: Farm, leg: Leg, had: Callable[[str], bool]) -> Lines:
    """Return every rope and chain combination of a leg, strong enough or not."""
    rows: list[tuple[int, int, float]] = []
    usable = _chains_of(farm, leg)
    for c, chain in enumerate(farm.chains):
        if chain not in usable or not had(chain.name):
            continue
        if not farm.ropes:
            rows.append((c, -1, 0.0))
        for r, rope in enumerate(farm.ropes):
            longest = longest_piece_m(farm, rope.name) - farm.project.eyes_m + 1e-6
            if had(rope.name):
                rows.extend((c, r, m) for m in rope_lengths_m(farm, leg) if m <= longest)
    leg_index = np.full(len(rows), farm.legs.index(leg))
    chain_index = np.array([row[0] for row in rows], dtype=np.int64)
    rope_index = np.array([row[1] for row in rows], dtype=np.int64)
    rope_m = np.array([row[2] for row in rows], dtype=np.float64)
    chain_m = np.array(farm.project.chain_lengths_m)
    return Lines(leg_index, chain_index, rope_index, rope_m, chain_m)


def _least_missing(
    farm: Farm, leg: Leg, lines: Lines, anchor: Anchor
) -> tuple[float, MakeUp | None]:
    """Return the make-up with one anchor model whose worst limit, over all load cases, is missed
    by least, and its severity: infinite where no line hangs right in all of them."""
    table = HoldingTable(farm)
    factor = own_factor(farm, anchor)
    by_line = _line_severity(farm, leg, lines, leg_cases(farm, leg, factor))
    trial = MakeUp(anchor.name, 1, "", 0.0, None, 0.0)
    for limit in _least_by_vessel(farm, leg, trial):
        by_line = np.fmax(by_line, _severity(limit))
    numbers = range(1, farm.project.most_anchors_per_leg + 1)
    worst = {k: by_line.copy() for k in numbers}
    for case in case_states(farm, lines, factor):
        for k in numbers:
            holding = table.of(anchor, leg, k)
            for need in anchor_needs(farm, anchor, k, holding, case.anchor_factor, case.state):
                worst[k] = np.fmax(worst[k], _need_severity(need))
            worst[k][~case.state.possible] = np.inf
    best: tuple[float, MakeUp | None] = (math.inf, None)
    for k, severity in worst.items():
        row, column = np.unravel_index(int(np.argmin(severity)), severity.shape)
        if severity[row, column] < best[0]:
            rope = int(lines.rope[row])
            made = MakeUp(
                anchor.name,
                k,
                farm.chains[int(lines.chain[row])].name,
                float(lines.chain_m[column]),
                farm.ropes[rope].name if rope >= 0 else None,
                float(lines.rope_m[row]),
            )
            best = (float(severity[row, column]), made)
    return best


def _line_severity(farm: Farm, leg: Leg, lines: Lines, cases: Sequence[LegCase]) -> Floats:
    """Return (N, L): the worst of strength, place and length as sold, whatever the anchor."""
    ropes = (*farm.ropes, None)  # the last answers index −1
    strength = {
        pair: max(
            _severity(limit)
            for case in cases
            for limit in line_limits(farm, case, farm.chains[pair[0]], ropes[pair[1]])
        )
        for pair in set(zip(lines.chain.tolist(), lines.rope.tolist(), strict=True))
    }
    pairs = zip(lines.chain.tolist(), lines.rope.tolist(), strict=True)
    severity = np.array([strength[pair] for pair in pairs])[:, None]
    severity = np.where(may_be_cut(farm, lines.chain_m)[lines.chain], severity, np.inf)
    laid = laid_states(farm, lines)
    for need in place_needs(farm, leg, laid.radius_m):
        severity = np.fmax(severity, _need_severity(need))
    return np.where(laid.possible, severity, np.inf)


def _need_severity(need: Need) -> Floats:
    """Return (N, L) what `_severity` returns of one limit."""
    if need.name is LimitName.UPLIFT:
        return np.asarray(1.0 + (need.required - need.available) / DEGREES_PAST)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(need.available > 0, need.required / need.available, np.inf)
    return np.asarray(np.where(need.required > 0, np.minimum(ratio, WORST), 0.0))


def _least_by_vessel(farm: Farm, leg: Leg, make_up: MakeUp) -> tuple[Limit, ...]:
    """Return the worst limit of the vessel that misses least; none where no vessel is looked at."""
    limits = (vessel_limits(farm, leg, make_up, vessel) for vessel in farm.vessels)
    worst = [_worst(each) for each in limits if each]
    return (min(worst, key=_severity),) if worst else ()


def _worst(limits: tuple[Limit, ...]) -> Limit:
    """Return the limit missed worst."""
    return max(limits, key=_severity)


def _severity(limit: Limit) -> float:
    """Return a utilisation that compares across limits; angles by degrees past, not by ratio."""
    if limit.name is LimitName.UPLIFT:
        return 1.0 + (limit.required - limit.available) / DEGREES_PAST
    return min(limit.utilisation, WORST)
