"""Ground chain: how much of it a leg needs, against the uplift that its anchor tolerates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..answer.plan import Assignment
from ..farm import Farm
from ..goods.anchor import HoldsBy
from ..goods.chain import Chain
from ..goods.rope import Rope
from ..site.leg import Leg
from ..standing.catenary import line_states
from ..standing.limits import LEAST_LEFT, line_limits, rope_strength_kn
from ..standing.load_cases import leg_cases

LEVEL_DEG = 1e-6
"""An uplift below this is none: the root search's rounding."""

LEAST_DEG, MOST_DEG = 4.0, 15.0
"""The largest angle looked at lies between these."""


@dataclass(frozen=True)
class ChainNeed:
    """One leg with one chain and rope: the least chain length at each uplift tolerated."""

    leg: Leg
    chain: Chain
    rope: Rope | None
    rope_m: float
    uplifts_deg: tuple[float, ...]
    lengths_m: tuple[float | None, ...]
    """None where no chain up to the project's longest is enough."""


def chain_need(
    farm: Farm,
    leg: Leg,
    chain: Chain,
    rope: Rope | None,
    rope_m: float,
    uplifts_deg: Sequence[float],
) -> ChainNeed:
    """Return the least cut length of chain with which a leg's uplift stays within each angle in
    every load case, by the project's anchor safety factor."""
    lengths = np.array(farm.project.chain_lengths_m)
    uplift = np.zeros_like(lengths)
    for case in leg_cases(farm, leg, farm.project.anchor_safety_factor):
        left = max(chain.share_after_wear(farm.project), LEAST_LEFT) if case.worn else 1.0
        state = line_states(
            case.tension_kn,
            case.depth_m,
            lengths,
            chain.submerged_weight_kn_m * left,
            rope_m,
            rope.submerged_weight_kn_m if rope else 0.0,
            farm.seabed_by_name[leg.seabed].chain_friction,
        )
        uplift = np.maximum(uplift, np.where(state.possible, state.uplift_deg, np.inf))
    needed: list[float | None] = []
    for tolerated in uplifts_deg:
        enough = np.flatnonzero(uplift <= tolerated + LEVEL_DEG)
        needed.append(float(lengths[enough[0]]) if enough.size else None)
    return ChainNeed(leg, chain, rope, rope_m, tuple(uplifts_deg), tuple(needed))


def typical_legs(farm: Farm, most: int = 5) -> tuple[Leg, ...]:
    """Return up to `most` legs that stand for the farm, least tension first.

    The lines are put in order of design tension; the legs taken are those of the lines at equal
    steps from the least to the most.
    """
    legs = sorted(farm.legs, key=lambda leg: leg.design_tension_kn)
    lines = [leg for leg in legs for _ in range(leg.count)]
    places = np.linspace(0, len(lines) - 1, max(most, 2)).round().astype(int)
    return tuple({lines[at].name: lines[at] for at in places}.values()) if lines else ()


def typical_needs(
    farm: Farm, assignments: Sequence[Assignment] = (), most: int = 5
) -> tuple[ChainNeed, ...]:
    """Return the chain needs of the farm's typical legs, for whole degrees of uplift.

    With a plan each leg has the chain and rope chosen for it; before there is one, the lightest
    chain and rope strong enough, and the middle of the rope lengths tried. Legs for which
    nothing is strong enough are left out. The angles run to the largest that any anchor that
    embeds may stand, within LEAST_DEG and MOST_DEG.
    """
    stood = [a.largest_uplift_deg for a in farm.anchors if a.holds_by is HoldsBy.EMBEDDING]
    largest = min(max([LEAST_DEG, *stood]), MOST_DEG)
    angles = tuple(float(angle) for angle in range(int(largest) + 1))
    chosen = {row.leg: row.make_up for row in assignments}
    needs = []
    for leg in typical_legs(farm, most):
        if "chain_friction" in farm.seabed_by_name[leg.seabed].stood_in:
            continue
        if leg.name in chosen:
            make_up = chosen[leg.name]
            chain: Chain | None = farm.chain_by_name[make_up.chain]
            rope = farm.rope_by_name[make_up.rope] if make_up.rope else None
            rope_m = make_up.rope_m
        else:
            chain, rope = _lightest_chain(farm, leg), _lightest_rope(farm, leg)
            tried = sorted(farm.project.rope_lengths_tried)
            rope_m = tried[len(tried) // 2] * leg.depth_m if rope else 0.0
            if rope is None and farm.ropes:
                continue
        if chain is not None:
            needs.append(chain_need(farm, leg, chain, rope, rope_m, angles))
    return tuple(needs)


def _lightest_chain(farm: Farm, leg: Leg) -> Chain | None:
    """Return the lightest chain strong enough in every load case, or the one fixed."""
    cases = leg_cases(farm, leg, farm.project.anchor_safety_factor)
    able = [
        chain
        for chain in farm.chains
        if leg.fixed_chain in (None, chain.name)
        and all(
            limit.required <= limit.available
            for case in cases
            for limit in line_limits(farm, case, chain)
        )
    ]
    return min(able, key=lambda chain: chain.mass_kg_per_m, default=None)


def _lightest_rope(farm: Farm, leg: Leg) -> Rope | None:
    """Return the lightest rope strong enough in every load case."""
    cases = leg_cases(farm, leg, farm.project.anchor_safety_factor)
    required = max(case.rope_required_kn for case in cases)
    able = [rope for rope in farm.ropes if rope_strength_kn(farm, rope) >= required]
    return min(able, key=lambda rope: rope.mass_kg_per_m, default=None)
