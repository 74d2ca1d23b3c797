"""What decided a leg's make-up: for each of its sizes the limit that a smaller one would miss."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from ...models.answer.plan import Assignment, Plan
from ...models.arrays import ROUNDING, Bools
from ...models.asked.reasons import Why
from ...models.farm import Farm
from ...models.site.leg import Leg
from ...models.standing.limits import standing_of, vessel_limits
from ...models.standing.make_up import Limit, LimitName, MakeUp
from ..choices.choices import Choices
from ..choices.rope_and_chain import SLACK

COST = "the cost of the whole farm"
"""Said where no limit bars the smaller one: it was there to be chosen, and is not least."""

LEVEL_DEG = 1e-7
"""An uplift that is no more than this above another is the same, degrees."""

OF_VESSEL = {
    LimitName.CRANE: "crane",
    LimitName.BOLLARD: "bollard pull",
    LimitName.DECK: "deck",
}
"""The limits of a vessel, said with its name."""


def whys_of(plan: Plan, choices: Choices) -> tuple[Why, ...]:
    """Return what decided each row of a plan's leg schedule; `choices` are all of the farm's."""
    return tuple(_why(plan.farm, row, choices) for row in plan.assignments)


def _why(farm: Farm, row: Assignment, choices: Choices) -> Why:
    leg = farm.leg_by_name[row.leg]
    of_leg = choices.make_ups.leg == farm.legs.index(leg)
    return Why(
        row.leg,
        row.count,
        row.make_up,
        row.vessel,
        _anchor(farm, leg, row.make_up, choices, of_leg),
        _chain_length(farm, leg, row.make_up),
        _chain(farm, leg, row.make_up, choices, of_leg),
        _rope(farm, leg, row.make_up, choices, of_leg),
        _vessel(farm, leg, row),
    )


def _chain_length(farm: Farm, leg: Leg, made: MakeUp) -> str:
    """The least length is the only one worth having: say what one cutting step less would miss."""
    step, shortest = farm.project.cutting_step_m, farm.project.chain_lengths_m[0]
    shorter = made.chain_m - step
    if shorter < shortest - ROUNDING:
        if shortest > step + ROUNDING:
            return "the project's shortest chain"
        return "one cutting step, the least there is"
    missed = _missed(farm, leg, replace(made, chain_m=shorter))
    return f"set by {missed}" if missed else "the least with which the line hangs right"


def _anchor(farm: Farm, leg: Leg, made: MakeUp, choices: Choices, of_leg: Bools) -> str:
    chosen = farm.anchor_by_name[made.anchor]
    smaller = [a for a in farm.anchors if a.family == chosen.family and a.mass_kg < chosen.mass_kg]
    if not smaller:
        return "the smallest of its family"
    nearest = max(smaller, key=lambda a: a.mass_kg)
    place = farm.anchors.index(nearest)
    same = of_leg & (choices.make_ups.anchor == place) & (choices.make_ups.anchors == made.anchors)
    if same.any():
        return COST
    longest = farm.project.chain_lengths_m[-1]
    missed = _missed(farm, leg, replace(made, anchor=nearest.name, chain_m=longest))
    return f"set by {missed}" if missed else f"{nearest.name} cannot be had or used there"


def _chain(farm: Farm, leg: Leg, made: MakeUp, choices: Choices, of_leg: Bools) -> str:
    if leg.fixed_chain is not None:
        return "fixed in Legs"
    strength = {c.name: c.worn_breaking_load_kn(farm.project) for c in farm.chains}
    weaker = [c.name for c in farm.chains if strength[c.name] < strength[made.chain]]
    if not weaker:
        return "the weakest there is"
    nearest = max(weaker, key=lambda name: strength[name])
    place = [c.name for c in farm.chains].index(nearest)
    if (of_leg & (choices.make_ups.chain == place)).any():
        return COST
    missed = _missed(farm, leg, replace(made, chain=nearest), (LimitName.CHAIN, LimitName.FITTING))
    return f"set by {missed}" if missed else COST


def _rope(farm: Farm, leg: Leg, made: MakeUp, choices: Choices, of_leg: Bools) -> str:
    if made.rope is None:
        return "none"
    strength = {r.name: r.breaking_load_kn for r in farm.ropes}
    weaker = [r.name for r in farm.ropes if strength[r.name] < strength[made.rope]]
    if not weaker:
        return "the weakest there is"
    nearest = max(weaker, key=lambda name: strength[name])
    place = [r.name for r in farm.ropes].index(nearest)
    if (of_leg & (choices.make_ups.rope == place)).any():
        return COST
    missed = _missed(farm, leg, replace(made, rope=nearest), (LimitName.ROPE,))
    return f"set by {missed}" if missed else COST


def _vessel(farm: Farm, leg: Leg, row: Assignment) -> str:
    if not farm.laying_priced:
        return "the laying is not priced"
    chosen = farm.vessel_by_name[row.vessel]
    cheaper = [v for v in farm.vessels if v.day_rate < chosen.day_rate]
    if not cheaper:
        return "the least day rate"
    missed: list[str] = []
    for vessel in cheaper:
        limits = _past(vessel_limits(farm, leg, row.make_up, vessel))
        if not limits:
            return COST
        missed.append(f"{OF_VESSEL[limits[0].name]} of {vessel.name}")
    return f"set by {' and '.join(missed)}"


def _missed(
    farm: Farm, leg: Leg, made: MakeUp, names: Sequence[LimitName] = tuple(LimitName)
) -> str:
    """Return the limits that a make-up misses, by name; "" where none, or it cannot hang."""
    standing = standing_of(farm, leg, made)
    if standing is None:
        return ""
    past = [limit for limit in _past(standing.limits) if limit.name in names]
    return " and ".join(dict.fromkeys(str(limit.name) for limit in past))


def _past(limits: Iterable[Limit]) -> list[Limit]:
    """Return the limits that are passed; angles by degrees, the rest by ratio."""
    return [
        limit
        for limit in limits
        if limit.required
        > limit.available * (1 + SLACK) + (LEVEL_DEG if limit.name is LimitName.UPLIFT else 0.0)
    ]


def pairs_of(choices: Choices, chosen: Sequence[int]) -> Bools:
    """Return (X,): which choices put on their leg an anchor that some of the chosen do."""
    made = choices.make_ups
    pairs = {(int(made.leg[place]), int(made.anchor[place])) for place in chosen}
    hit = np.zeros(len(choices), dtype=bool)
    for leg, anchor in pairs:
        hit |= (made.leg == leg) & (made.anchor == anchor)
    return hit
