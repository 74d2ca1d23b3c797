"""An earlier plan in a farm's choices: where a search starts, and what may be held."""

from __future__ import annotations

import time
from collections import Counter, defaultdict
from dataclasses import fields

import numpy as np

from ...models.answer.plan import Plan
from ...models.farm import Farm
from ...models.site.leg import Leg
from ...models.standing.limits import standing_of
from ...models.standing.make_up import MakeUp
from ..choices.choices import Choices, choices_of
from ..choices.make_ups import MakeUps, may_use
from ..choices.rope_and_chain import SLACK, may_be_cut
from ..search.settlement import Settlement, settle

FOR_NOTHING = 1e-9
"""Share of the cost that rounding may make of nothing."""


def with_earlier(farm: Farm, choices: Choices, old: Plan) -> Choices:
    """Return the choices and, beside them, the make-ups of an earlier plan that still stand."""
    index = {leg.name: n for n, leg in enumerate(farm.legs)}
    known = {
        (int(choices.make_ups.leg[at]), made) for at, made in _as_before(farm, choices, old).items()
    }
    more = {
        (index[row.leg], row.make_up)
        for row in old.assignments
        if row.leg in index
        and (index[row.leg], row.make_up) not in known
        and _stands(farm, farm.legs[index[row.leg]], row.make_up)
    }
    if not more:
        return choices
    return _joined(choices, choices_of(farm, _arrays(farm, sorted(more))))


def _stands(farm: Farm, leg: Leg, made: MakeUp) -> bool:
    """Tell whether a make-up may be laid on a leg today."""
    anchor, chain = farm.anchor_by_name.get(made.anchor), farm.chain_by_name.get(made.chain)
    project = farm.project
    if anchor is None or chain is None or not may_use(leg, anchor):
        return False
    if leg.fixed_chain not in (None, made.chain) or made.anchors > project.most_anchors_per_leg:
        return False
    if (made.rope is None) == bool(farm.ropes) or (
        made.rope and made.rope not in farm.rope_by_name
    ):
        return False
    lengths = [factor * leg.depth_m for factor in project.rope_lengths_tried]
    if made.rope and not any(abs(m - made.rope_m) <= SLACK * m for m in lengths):
        return False
    steps = made.chain_m / project.cutting_step_m
    if abs(steps - round(steps)) > SLACK * steps or made.chain_m < project.shortest_chain_m:
        return False
    if made.chain_m > project.longest_chain_m:
        return False
    cut = may_be_cut(farm, np.array([made.chain_m]))[farm.chains.index(chain), 0]
    standing = standing_of(farm, leg, made)
    if standing is None or not cut or not standing.holding.relied_on:
        return False
    return all(limit.utilisation <= 1 + SLACK for limit in standing.limits)


def _arrays(farm: Farm, made: list[tuple[int, MakeUp]]) -> MakeUps:
    anchors = {anchor.name: n for n, anchor in enumerate(farm.anchors)}
    chains = {chain.name: n for n, chain in enumerate(farm.chains)}
    ropes = {rope.name: n for n, rope in enumerate(farm.ropes)}
    return MakeUps(
        np.array([n for n, _ in made]),
        np.array([anchors[m.anchor] for _, m in made]),
        np.array([m.anchors for _, m in made]),
        np.array([chains[m.chain] for _, m in made]),
        np.array([m.chain_m for _, m in made]),
        np.array([ropes[m.rope] if m.rope else -1 for _, m in made]),
        np.array([m.rope_m for _, m in made]),
    )


def _joined(one: Choices, other: Choices) -> Choices:
    def both(first: object, second: object, names: list[str]) -> dict[str, np.ndarray]:
        return {n: np.concatenate([getattr(first, n), getattr(second, n)]) for n in names}

    made = MakeUps(**both(one.make_ups, other.make_ups, [f.name for f in fields(MakeUps)]))
    names = ["vessel", "hours", "mass_t", "area_m2"]
    vessel, hours, mass_t, area_m2 = both(one, other, names).values()
    return Choices(made, vessel, hours, mass_t, area_m2)


def held(farm: Farm, choices: Choices, old: Plan) -> Choices:
    """Return the choices with every leg group that can be as it was held so: its make-ups are
    those of the earlier plan alone."""
    there: dict[int, set[MakeUp]] = defaultdict(set)
    as_before = _as_before(farm, choices, old)
    for at, made in as_before.items():
        there[int(choices.make_ups.leg[at])].add(made)
    built = _built(old)
    fixed = [n for n, made in there.items() if made == built[farm.legs[n].name]]
    keep = ~np.isin(choices.make_ups.leg, fixed)
    keep[list(as_before)] = True
    return choices.take(keep)


def _built(plan: Plan) -> dict[str, set[MakeUp]]:
    """Return the make-ups of every leg group of a plan."""
    built: dict[str, set[MakeUp]] = defaultdict(set)
    for row in plan.assignments:
        built[row.leg].add(row.make_up)
    return built


def _as_before(farm: Farm, choices: Choices, old: Plan) -> dict[int, MakeUp]:
    """Return the choices that build a leg as an earlier plan does, by place."""
    built = _built(old)
    made = choices.make_ups
    anchors = [anchor.name for anchor in farm.anchors]
    near = np.array(
        [
            [any(one.anchor == name for one in built.get(leg.name, ())) for name in anchors]
            for leg in farm.legs
        ]
    )
    places = np.flatnonzero(near[made.leg, made.anchor]).tolist()
    named = ((at, made.make_up(farm, at)) for at in places)
    return {at: one for at, one in named if one in built[farm.legs[int(made.leg[at])].name]}


def settled_like(
    farm: Farm, choices: Choices, old: Plan, solver: str, seconds: float
) -> Settlement | None:
    """Return a settlement whose lines are an earlier plan's; None where some cannot be.

    seconds : after which none is looked for any more; the first that is found will do.
    """
    until = time.monotonic() + seconds
    rows: dict[str, Counter[tuple[MakeUp, str]]] = defaultdict(Counter)
    for row in old.assignments:
        rows[row.leg][row.make_up, row.vessel] += row.count
    places = _places(farm, choices, old)
    counts: Counter[int] = Counter()
    for leg in farm.legs:
        left = leg.count
        mine = [
            (places[leg.name, made, vessel], number)
            for (made, vessel), number in rows[leg.name].items()
            if (leg.name, made, vessel) in places
        ]
        if not mine:
            return None
        for at, number in mine:
            counts[at] += min(number, left)
            left -= min(number, left)
        counts[mine[0][0]] += left
    return _settled(farm, choices, counts, solver, until)


def lines_changed(farm: Farm, found: Settlement, old: Plan) -> int:
    """Return how many lines a settlement builds otherwise than an earlier plan does; of a leg
    that has more lines now, those count too."""
    had: Counter[tuple[str, MakeUp]] = Counter()
    for row in old.assignments:
        had[row.leg, row.make_up] += row.count
    now: Counter[tuple[str, MakeUp]] = Counter()
    for at, number in enumerate(found.counts.tolist()):
        leg = farm.legs[int(found.choices.make_ups.leg[at])].name
        now[leg, found.choices.make_ups.make_up(farm, at)] += number
    return (now - had).total()


def changed_back(
    farm: Farm,
    choices: Choices,
    found: Settlement,
    old: Plan,
    solver: str,
    seconds: float,
    change_cost: float = 0.0,
) -> Settlement:
    """Return a settlement with every leg group back as an earlier plan builds it, where the change
    saves no more than it costs.

    seconds : within which groups are tried; those that are left stay as found. change_cost : of
    one line, project currency; 0: a change must save more than its own costs.
    """
    until = time.monotonic() + seconds
    wanted = _built(old)
    places = _places(farm, choices, old)
    vessels = [vessel.name for vessel in farm.vessels]
    for n, leg in enumerate(farm.legs):
        if len(wanted[leg.name]) != 1 or time.monotonic() > until:
            continue
        (made,) = wanted[leg.name]
        counts: Counter[int] = Counter()
        for at, number in zip(found.chosen.tolist(), found.counts.tolist(), strict=True):
            if int(choices.make_ups.leg[at]) == n:
                by = vessels[int(choices.vessel[at])]
                at = places.get((leg.name, made, by), at)
            counts[at] += number
        if set(counts) == set(found.chosen.tolist()):
            continue
        back = _settled(farm, choices, counts, solver, until)
        if back is None:
            continue
        worth = change_cost * (lines_changed(farm, found, old) - lines_changed(farm, back, old))
        if back.cost <= found.cost + worth + FOR_NOTHING * max(found.cost, 1.0):
            found = back
    return found


def _places(farm: Farm, choices: Choices, old: Plan) -> dict[tuple[str, MakeUp, str], int]:
    """Return where among the choices each make-up that an earlier plan gives a leg stands, by the
    vessel that lays it."""
    legs, vessels = choices.make_ups.leg, choices.vessel
    return {
        (farm.legs[int(legs[at])].name, made, farm.vessels[int(vessels[at])].name): at
        for at, made in _as_before(farm, choices, old).items()
    }


def _settled(
    farm: Farm, choices: Choices, counts: Counter[int], solver: str, until: float
) -> Settlement | None:
    chosen = np.array(sorted(at for at, number in counts.items() if number))
    numbers = np.array([counts[int(at)] for at in chosen])
    return settle(
        farm,
        choices,
        chosen,
        numbers,
        solver,
        quick=True,
        stopped=lambda: time.monotonic() > until,
    )
