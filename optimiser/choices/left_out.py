"""What no plan can use: each anchor, chain, rope, service and vessel without a choice, and why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from ...models.answer.left_out import Cause, LeftOut
from ...models.farm import Farm
from ...models.goods.anchor import Anchor
from ...models.goods.chain import Chain
from ...models.goods.fitting import Fitting
from ...models.goods.freight import FreightService
from ...models.goods.rope import Rope
from ...models.site.leg import Leg
from ...models.site.vessel import Vessel
from ...models.standing.holding import HoldingTable
from ...models.standing.limits import line_limits, rope_strength_kn
from ...models.standing.load_cases import leg_cases
from ...models.standing.make_up import Limit
from .choices import Choices, can_lift, can_set
from .make_ups import may_use
from .nearest_miss import nearest_miss
from .rope_and_chain import longest_piece_m, rope_lengths_m
from .undelivered import Why, days_needed, offer_undelivered, undelivered

Good = Anchor | Chain | Rope | Fitting | FreightService | Vessel

MOST_LEGS = 12
"""Legs on which the nearest miss of an anchor or a line is worked out: those that ask least."""


def left_out(farm: Farm, choices: Choices) -> tuple[LeftOut, ...]:
    """Return a row for everything in the catalogues that no choice of the farm uses."""
    return (
        *_anchors(farm, choices),
        *_chains(farm, choices),
        *_ropes(farm, choices),
        *_fittings(farm),
        *_offers(farm),
        *_price_breaks(farm),
        *_services(farm),
        *_vessels(farm, choices),
    )


def _row(what: str, row: Good, why: Why) -> LeftOut:
    cause, told, required, available, unit = why
    return LeftOut(what, row.name, cause, told, required, available, unit, row.source)


def _not_had(farm: Farm, name: str) -> Why | None:
    """Return why an item is neither delivered nor on hand."""
    item = farm.item_by_name[name]
    return None if item.on_hand_total > 0 else undelivered(farm, item)


def _easiest(legs: list[Leg]) -> list[Leg]:
    """Return the legs that ask least, one of each tension, depth and seabed."""
    unlike = {(g.design_tension_kn, g.depth_m, g.seabed, g.allowed_drag_m): g for g in legs}
    return sorted(unlike.values(), key=lambda g: g.design_tension_kn)[:MOST_LEGS]


# --- goods --------------------------------------------------------------------------------------


def _anchors(farm: Farm, choices: Choices) -> Iterator[LeftOut]:
    used = set(np.unique(choices.make_ups.anchor).tolist())
    table = HoldingTable(farm)
    for index, anchor in enumerate(farm.anchors):
        if index not in used:
            yield _row("anchor", anchor, _why_no_anchor(farm, table, anchor))


def _why_no_anchor(farm: Farm, table: HoldingTable, anchor: Anchor) -> Why:
    why = _not_had(farm, anchor.name)
    if why is not None:
        return why
    allowed = [leg for leg in farm.legs if may_use(leg, anchor)]
    if not allowed:
        said = "every leg is fixed to another anchor, or allows other families"
        return Cause.NOT_ALLOWED, said, None, None, ""
    relied = [leg for leg in allowed if table.of(anchor, leg).relied_on]
    if not relied:
        refusals = dict.fromkeys(table.of(anchor, leg).refusal for leg in allowed)
        return Cause.EVIDENCE, "; ".join(list(refusals)[:4]), None, None, ""
    if not any(can_lift(farm, vessel, anchor) for vessel in farm.vessels):
        return _too_heavy(farm, anchor)
    alone = replace(farm, anchors=(anchor,))
    return _nearest(alone, relied)


def _too_heavy(farm: Farm, anchor: Anchor) -> Why:
    """Return which limit of the vessel that comes nearest to lifting an anchor it misses."""
    mass_t = anchor.mass_kg / 1000.0
    lift_t = mass_t * farm.project.lift_factor
    best: tuple[float, Why] | None = None
    for vessel in farm.vessels:
        named = f"of '{vessel.name}', the vessel that comes nearest"
        crane = f"{anchor.mass_kg:g} kg × lift factor {farm.project.lift_factor:g} = {lift_t:.4g} t"
        whys: tuple[tuple[float, float, Cause, str, str], ...] = (
            (lift_t, vessel.crane_limit_t, Cause.CRANE, f"{crane}; crane limit {named}", "t"),
            (mass_t, vessel.deck_load_t, Cause.DECK, f"{mass_t:.4g} t; deck load {named}", "t"),
            (
                anchor.deck_area_m2,
                vessel.deck_area_m2,
                Cause.DECK,
                f"{anchor.deck_area_m2:g} m²; deck area {named}",
                "m²",
            ),
        )
        required, available, cause, said, unit = max(whys, key=lambda w: w[0] / max(w[1], 1e-9))
        ratio = required / max(available, 1e-9)
        if best is None or ratio < best[0]:
            said = f"{said}: {available:g} {unit}"
            best = ratio, (cause, said, required, available, unit)
    assert best is not None, "a farm has a vessel"
    return best[1]


def _chains(farm: Farm, choices: Choices) -> Iterator[LeftOut]:
    used = set(np.unique(choices.make_ups.chain).tolist())
    for index, chain in enumerate(farm.chains):
        if index not in used:
            yield _row("chain", chain, _why_no_chain(farm, chain))


def _why_no_chain(farm: Farm, chain: Chain) -> Why:
    why = _not_had(farm, chain.name)
    if why is not None:
        return why
    allowed = [leg for leg in farm.legs if leg.fixed_chain in (None, chain.name)]
    if not allowed:
        return Cause.NOT_ALLOWED, "every leg is fixed to another chain", None, None, ""
    factor = farm.project.anchor_safety_factor
    worst = {
        leg.name: max(
            (x for case in leg_cases(farm, leg, factor) for x in line_limits(farm, case, chain)),
            key=lambda limit: limit.utilisation,
        )
        for leg in allowed
    }
    leg = min(allowed, key=lambda each: worst[each.name].utilisation)
    limit = worst[leg.name]
    if limit.required > limit.available * (1 + 1e-9):
        return _weak(leg, limit)
    return _nearest(replace(farm, chains=(chain,)), allowed)


def _weak(leg: Leg, limit: Limit) -> Why:
    said = (
        f"{limit.name}: leg '{leg.name}', which asks least, needs {limit.required:.4g} "
        f"{limit.unit}; there are {limit.available:.4g} {limit.unit}"
    )
    return Cause.WEAK, said, limit.required, limit.available, limit.unit


def _ropes(farm: Farm, choices: Choices) -> Iterator[LeftOut]:
    used = set(np.unique(choices.make_ups.rope).tolist())
    for index, rope in enumerate(farm.ropes):
        if index not in used:
            yield _row("rope", rope, _why_no_rope(farm, rope))


def _why_no_rope(farm: Farm, rope: Rope) -> Why:
    why = _not_had(farm, rope.name)
    if why is not None:
        return why
    factor = farm.project.anchor_safety_factor
    needed = {
        leg.name: max(case.rope_required_kn for case in leg_cases(farm, leg, factor))
        for leg in farm.legs
    }
    leg = min(farm.legs, key=lambda each: needed[each.name])
    strength = rope_strength_kn(farm, rope)
    if needed[leg.name] > strength * (1 + 1e-9):
        said = (
            f"rope strength, wet and at its splices: leg '{leg.name}', which asks least, needs "
            f"{needed[leg.name]:.4g} kN; there are {strength:.4g} kN"
        )
        return Cause.WEAK, said, needed[leg.name], strength, "kN"
    eyes = farm.project.eyes_m
    shortest = min(rope_lengths_m(farm, each)[0] for each in farm.legs) + eyes
    longest = longest_piece_m(farm, rope.name)
    if shortest > longest + 1e-6:
        said = f"the shortest piece that any leg takes is {shortest:g} m, of {longest:g} m sold"
        return Cause.LENGTH, said, shortest, longest, "m"
    return _nearest(replace(farm, ropes=(rope,)), list(farm.legs))


def _nearest(alone: Farm, legs: list[Leg]) -> Why:
    """Return which limit is missed by least, of a farm where something is all there is."""
    misses = [nearest_miss(alone, leg) for leg in _easiest(legs)]
    told = [miss for miss in misses if miss.missed is not None]
    if not told:
        return Cause.LIMIT, misses[0].why, None, None, ""
    miss = min(told, key=lambda one: one.missed.utilisation if one.missed else 0.0)
    limit = miss.missed
    assert limit is not None, "those without were left out"
    said = (
        f"nearest on leg '{miss.leg.name}' as {miss.make_up}: {limit.name} {limit.required:.4g} "
        f"{limit.unit} required, {limit.available:.4g} {limit.unit} available"
    )
    weak = limit.unit == "kN"
    return (
        Cause.WEAK if weak else Cause.LIMIT,
        said,
        limit.required,
        limit.available,
        limit.unit,
    )


def _fittings(farm: Farm) -> Iterator[LeftOut]:
    """Yield the fittings that cannot be had, or that belong to no line that is laid."""
    for fitting in farm.fittings:
        why = _not_had(farm, fitting.name)
        if why is not None:
            yield _row("fitting", fitting, why)


def _offers(farm: Farm) -> Iterator[LeftOut]:
    """Yield the offers that cannot be ordered in time of items that others deliver."""
    sources = {(row.item, row.supplier): row.source for row in farm.offers}
    for item in farm.items:
        if undelivered(farm, item) is not None:
            continue
        for offer in item.offers:
            why = offer_undelivered(farm, item, offer)
            if why is not None:
                name = f"{item.name} of {offer.supplier}"
                yield LeftOut("offer", name, *why, source=sources.get(offer.key))


def _price_breaks(farm: Farm) -> Iterator[LeftOut]:
    """Yield the price breaks from more than can be had."""
    for row in farm.price_breaks:
        item = farm.item_by_name[row.item]
        able = [o.largest_order for o in item.offers if row.supplier in (None, o.supplier)]
        bounded = [most for most in able if most is not None]
        if not able or len(bounded) < len(able) or row.from_quantity <= max(bounded):
            continue
        most = max(bounded)
        said = f"from {row.from_quantity}, but only {most} can be ordered"
        yield LeftOut(
            "price break",
            f"{row.item} from {row.from_quantity}",
            Cause.LEAST_ORDER,
            said,
            row.from_quantity,
            most,
            "units as sold",
            row.source,
        )


# --- carriage and vessels -----------------------------------------------------------------------


def _services(farm: Farm) -> Iterator[LeftOut]:
    """Yield the services that can carry nothing of their origin."""
    days = farm.project.days_to_deliver
    for service in farm.services:
        goods = [
            (item, offer)
            for item in farm.items
            for offer in item.offers
            if offer.origin == service.origin
        ]
        goes = any(item.travels_by(service, offer, days) for item, offer in goods)
        if goes and service.available != 0:
            continue
        late = [offer for item, offer in goods if not item.barred_from(service, offer, None)]
        if not goods:
            why: Why = (Cause.NOTHING, f"nothing is sold from '{service.origin}'", None, None, "")
        elif service.available == 0:
            why = (Cause.LEAST_ORDER, "no container of it can be had", 1, 0, "containers")
        elif late and days is not None:
            first = min(late, key=lambda offer: days_needed(offer, service))
            needed = days_needed(first, service)
            said = (
                f"'{first.item}', the first that could go, would be on site {needed} days after "
                f"the order; there are {days}"
            )
            why = (Cause.DATES, said, needed, days, "days")
        else:
            said = f"none of the {len(goods)} goods from '{service.origin}' goes into it"
            why = (Cause.DOOR, said, None, None, "")
        yield _row("service", service, why)


def _vessels(farm: Farm, choices: Choices) -> Iterator[LeftOut]:
    used = set(np.unique(choices.vessel).tolist())
    for index, vessel in enumerate(farm.vessels):
        mine = choices.vessel == index
        if index not in used:
            yield _row("vessel", vessel, _why_no_vessel(farm, vessel))
            continue
        hours = float(choices.hours[mine].min())
        mass_t = float(choices.mass_t[mine].min())
        if hours > vessel.hours_per_trip * (1 + 1e-9):
            said = (
                f"it goes home every day, and its trip leaves {vessel.hours_per_trip:.3g} h; the "
                f"quickest line takes {hours:.3g} h"
            )
            why: Why = (Cause.DAY, said, hours, vessel.hours_per_trip, "h")
            yield _row("vessel", vessel, why)
        elif mass_t > vessel.deck_load_t * (1 + 1e-9):
            said = f"the lightest line weighs {mass_t:.3g} t; its deck bears {vessel.deck_load_t:g}"
            yield _row("vessel", vessel, (Cause.DECK, said, mass_t, vessel.deck_load_t, "t"))


def _why_no_vessel(farm: Farm, vessel: Vessel) -> Why:
    lifted = [anchor for anchor in farm.anchors if can_lift(farm, vessel, anchor)]
    if not lifted:
        return min(
            (_too_heavy(replace(farm, vessels=(vessel,)), anchor) for anchor in farm.anchors),
            key=lambda why: (why[2] or 0.0) / max(why[3] or 0.0, 1e-9),
        )
    if not any(can_set(farm, vessel, leg) for leg in farm.legs):
        leg = min(farm.legs, key=lambda each: each.design_tension_kn)
        pull = leg.design_tension_kn * farm.project.setting_pull_share
        there = vessel.bollard_pull_kn or 0.0
        said = f"leg '{leg.name}', which asks least, is set by {pull:.4g} kN; it pulls {there:g} kN"
        return Cause.PULL, said, pull, there, "kN"
    names = ", ".join(f"'{anchor.name}'" for anchor in lifted[:4])
    said = f"of the anchors that it can lift ({names}) none is laid on a leg that it can set"
    return Cause.LIMIT, said, None, None, ""
