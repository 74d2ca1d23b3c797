"""Why a leg has no make-up: the make-up that came nearest, and the limit that it missed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from ...models.arrays import Floats
from ...models.farm import Farm
from ...models.fault import FarmError, Fault
from ...models.goods.anchor import Anchor
from ...models.goods.chain import Chain
from ...models.site.leg import Leg
from ...models.standing.holding import (
    HoldingTable,
    anchors_share,
    deadweight_available_kn,
    kept_under_uplift,
)
from ...models.standing.limits import standing_of, vessel_limits
from ...models.standing.make_up import Limit, LimitName, MakeUp
from .choices import obtainable
from .make_ups import Lines, lines_at, longest_piece_m, may_be_cut, may_use, rope_lengths_m

DEGREES_PAST = 10.0
"""Degrees past an anchor's largest uplift that count as badly as a limit missed by its whole;
angles do not compare by ratio where the largest uplift is 0°."""


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
    if not lines.state.possible.any():
        return NearestMiss(
            leg,
            None,
            None,
            "no line of the ropes and chains listed hangs right: every one is too short for the "
            "depth, too heavy for the tension, or lies with its rope on the bottom",
        )
    made = _least_missing(farm, leg, lines, anchors)
    standing = standing_of(farm, leg, made)
    assert standing is not None, "a possible line stands"
    by_vessel = (_worst(vessel_limits(farm, leg, made, vessel)) for vessel in farm.vessels)
    least_by_vessel = min(by_vessel, key=_severity)
    return NearestMiss(leg, made, _worst((*standing.limits, least_by_vessel)))


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
    return lines_at(farm, leg_index, chain_index, rope_index, rope_m)


def _least_missing(farm: Farm, leg: Leg, lines: Lines, anchors: list[Anchor]) -> MakeUp:
    """Return the make-up over all the lines and anchors whose worst limit is missed by least."""
    table = HoldingTable(farm)
    state = lines.state
    uplift, tension = state.uplift_deg, state.anchor_tension_kn
    by_line = _line_severity(farm, leg, lines)
    best: tuple[float, MakeUp] | None = None
    for anchor in anchors:
        holding = table.of(anchor, leg)
        factor = anchor.safety_factor or farm.project.anchor_safety_factor
        kept = kept_under_uplift(farm, anchor)(uplift)
        past = 1.0 + (uplift - anchor.largest_uplift_deg) / DEGREES_PAST
        trial = MakeUp(anchor.name, 1, "", 0.0, None, 0.0)
        vessels = (_worst(vessel_limits(farm, leg, trial, vessel)) for vessel in farm.vessels)
        by_vessel = min(_severity(limit) for limit in vessels)
        for k in range(1, farm.project.most_anchors_per_leg + 1):
            share = anchors_share(farm, k)
            with np.errstate(divide="ignore", invalid="ignore"):
                held = factor * tension / (k * share * holding.holding_kn * kept)
                strong = factor * tension / (k * holding.structural_limit_kn)
                severity = np.fmax(np.fmax(held, strong), np.fmax(past, by_line))
                if holding.friction is not None:
                    weight = deadweight_available_kn(
                        holding.friction,
                        anchor.submerged_weight_kn,
                        k,
                        share,
                        factor,
                        state.anchor_vertical_kn,
                    )
                    pull = factor * state.anchor_horizontal_kn
                    severity = np.fmax(severity, np.where(weight > 0, pull / weight, np.inf))
            severity = np.where(state.possible, np.fmax(severity, by_vessel), np.inf)
            row, column = np.unravel_index(int(np.argmin(severity)), severity.shape)
            worst = float(severity[row, column])
            if best is None or worst < best[0]:
                rope = int(lines.rope[row])
                made = MakeUp(
                    anchor.name,
                    k,
                    farm.chains[int(lines.chain[row])].name,
                    float(lines.chain_m[column]),
                    farm.ropes[rope].name if rope >= 0 else None,
                    float(lines.rope_m[row]),
                )
                best = (worst, made)
    assert best is not None, "there is an anchor"
    return best[1]


def _line_severity(farm: Farm, leg: Leg, lines: Lines) -> Floats:
    """Return (N, L): the worst of strength, radius and length as sold, whatever the anchor."""
    project = farm.project
    chain_needed = project.chain_safety_factor * leg.design_tension_kn
    rope_needed = project.rope_safety_factor * leg.design_tension_kn
    chain = np.array([
        chain_needed
        / max(
            min(
                [c.worn_breaking_load_kn(project)]
                + [f.breaking_load_kn for f in farm.fittings if f.applies_to(c.name)]
            ),
            1e-9,
        )
        for c in farm.chains
    ])  # fmt: skip
    rope = np.array([
        *(rope_needed / (r.breaking_load_kn * project.rope_splice_share) for r in farm.ropes),
        0.0,
    ])  # fmt: skip
    severity = np.fmax(chain[lines.chain], rope[lines.rope])[:, None]
    severity = np.where(may_be_cut(farm, lines.chain_m)[lines.chain], severity, np.inf)
    if leg.longest_radius_m is not None:
        severity = np.fmax(severity, lines.state.radius_m / leg.longest_radius_m)
    return np.asarray(severity)


def _worst(limits: tuple[Limit, ...]) -> Limit:
    """Return the limit missed worst."""
    return max(limits, key=_severity)


def _severity(limit: Limit) -> float:
    """Return a utilisation that compares across limits; angles by degrees past, not by ratio."""
    if limit.name is LimitName.UPLIFT:
        return 1.0 + (limit.required - limit.available) / DEGREES_PAST
    return limit.utilisation
