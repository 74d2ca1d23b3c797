"""A choice: one make-up laid by one vessel. The programme counts lines of each choice."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from ...models.arrays import Bools, Floats, Ints
from ...models.farm import Farm
from ...models.goods.anchor import Anchor
from ...models.site.leg import Leg
from ...models.site.vessel import Vessel
from .make_ups import MakeUps, enumerate_make_ups
from .rope_and_chain import SLACK

LEGS_AT_ONCE = 25
"""Leg groups whose make-ups are enumerated together: arrays that a processor keeps at hand."""


def can_lift(farm: Farm, vessel: Vessel, anchor: Anchor) -> bool:
    """Tell whether a vessel's crane takes an anchor with the lift factor, and its deck holds it."""
    mass_t = anchor.mass_kg / 1000.0
    return (
        mass_t * farm.project.lift_factor <= vessel.crane_limit_t * (1 + SLACK)
        and mass_t <= vessel.deck_load_t * (1 + SLACK)
        and anchor.deck_area_m2 <= vessel.deck_area_m2 * (1 + SLACK)
    )


def can_set(farm: Farm, vessel: Vessel, leg: Leg) -> bool:
    """Tell whether a vessel pulls hard enough to set a leg's anchor; no bollard pull stated: 0."""
    needed = leg.design_tension_kn * farm.project.setting_pull_share
    return needed <= (vessel.bollard_pull_kn or 0.0) * (1 + SLACK)


def serviceable(farm: Farm) -> Bools:
    """Return (legs, anchors, vessels): which vessel can lay which anchor on which leg."""
    lift = np.array([[can_lift(farm, v, a) for v in farm.vessels] for a in farm.anchors])
    pull = np.array([[can_set(farm, v, g) for v in farm.vessels] for g in farm.legs])
    return np.asarray(lift[None, :, :] & pull[:, None, :])


def obtainable(farm: Farm) -> dict[str, bool]:
    """Return, by item, whether an order of it can reach the site at all: some service of an
    offer's origin takes its packs in time, and that offer's least order is available."""
    days = farm.project.days_to_deliver
    return {
        item.name: any(
            offer.can_be_ordered and item.travels_by(service, offer, days)
            for offer in item.offers
            for service in farm.services
        )
        for item in farm.items
    }


def legs_without(farm: Farm, leg: Ints) -> list[Leg]:
    """Return the legs that have no choice; leg : (X,) of every choice there is."""
    served = set(np.unique(leg).tolist())
    return [leg for index, leg in enumerate(farm.legs) if index not in served]


def least_of_each_leg(leg: Ints, worth: Floats, each: int) -> Ints:
    """Return the places of the least `worth` of every leg, so many of each, in order of leg.

    leg, worth : (X,) arrays, of choices.
    """
    order = np.lexsort((worth, leg))
    of_leg = leg[order]
    rank = np.arange(of_leg.size) - np.searchsorted(of_leg, of_leg)
    return np.asarray(order[rank < each])


@dataclass(frozen=True)
class Choices:
    """(X,) arrays, one element a choice; `made` is aligned with them."""

    make_ups: MakeUps
    vessel: Ints
    hours: Floats
    """Vessel time of one line, round trips apart, h."""
    mass_t: Floats
    """What one line weighs on deck: anchors, chain, rope, fittings."""
    area_m2: Floats
    """The deck that one line's anchors take."""
    unlike: tuple[Bools, ...] = ()
    """(X,) each: choices of which a plan must not be made up whole; at least one line is other."""

    def __len__(self) -> int:
        return len(self.vessel)

    def take(self, chosen: Ints | Bools) -> Choices:
        """Return some of them."""
        return Choices(
            self.make_ups.take(chosen),
            self.vessel[chosen],
            self.hours[chosen],
            self.mass_t[chosen],
            self.area_m2[chosen],
            tuple(same[chosen] for same in self.unlike),
        )


def choices_of(farm: Farm, made: MakeUps) -> Choices:
    """Return every choice: the make-ups whose items can be had, with each vessel that can lay
    them."""
    to_be_had = obtainable(farm)

    def stocked(names: list[str]) -> Bools:
        items = [farm.item_by_name[name] for name in names]
        return np.array(
            [to_be_had[item.name] or item.on_hand_total > 0 for item in items] + [True]
        )  # the last answers index −1, no rope

    usable = (
        stocked([a.name for a in farm.anchors])[made.anchor]
        & stocked([c.name for c in farm.chains])[made.chain]
        & stocked([r.name for r in farm.ropes])[made.rope]
    )
    able = serviceable(farm)[made.leg, made.anchor] & usable[:, None]
    index, vessel = np.nonzero(able)
    chosen = made.take(index)
    return Choices(
        chosen.small(),
        vessel.astype(np.int16),
        *_work(farm, chosen, vessel),
        _area_m2(farm, chosen),
    )


def choices_with(farm: Farm, made: MakeUps, vessel: Ints) -> Choices | None:
    """Return make-ups, each laid by a given vessel; None where one of these cannot lay its own.

    vessel : aligned with `made`.
    """
    if not serviceable(farm)[made.leg, made.anchor, vessel].all():
        return None
    return Choices(made, vessel, *_work(farm, made, vessel), _area_m2(farm, made))


def choices_by_batch(farm: Farm) -> Iterator[Choices]:
    """Yield every choice of the farm, so many leg groups at a time that memory stays small.

    Enumerating takes some 1 MB a leg group while it lasts; the choices that are left take little.
    """
    for first in range(0, len(farm.legs), LEGS_AT_ONCE):
        part = replace(farm, legs=farm.legs[first : first + LEGS_AT_ONCE])
        choices = choices_of(part, enumerate_make_ups(part))
        yield replace(choices, make_ups=replace(choices.make_ups, leg=choices.make_ups.leg + first))


def all_in_one(batches: Sequence[Choices]) -> Choices:
    """Return the choices of some batches, in their order."""
    if len(batches) == 1:
        return batches[0]
    made = [batch.make_ups for batch in batches]

    def joined(parts: Sequence[Any], record: type[Any]) -> dict[str, Any]:
        names = [part.name for part in fields(record) if part.name != "make_ups"]
        return {name: np.concatenate([getattr(part, name) for part in parts]) for name in names}

    return Choices(make_ups=MakeUps(**joined(made, MakeUps)), **joined(batches, Choices))


def _area_m2(farm: Farm, made: MakeUps) -> Floats:
    area = np.array([anchor.deck_area_m2 for anchor in farm.anchors])
    return area[made.anchor] * made.anchors


def _work(farm: Farm, made: MakeUps, vessel: Ints) -> tuple[Floats, Floats]:
    """Return hours and tonnes of one line of each choice."""
    per_anchor = np.array([a.assembly_min + a.lowering_min + a.setting_min for a in farm.anchors])
    shifting = np.array([one.shifting_min_per_leg for one in farm.vessels])
    handling = np.array([chain.handling_min_per_10_m for chain in farm.chains])
    minutes = (
        shifting[vessel]
        + made.anchors * per_anchor[made.anchor]
        + made.chain_m / 10.0 * handling[made.chain]
    )
    anchor_kg = np.array([anchor.mass_kg for anchor in farm.anchors])
    chain_kg = np.array([chain.mass_kg_per_m for chain in farm.chains])
    rope_kg = np.array([*(rope.mass_kg_per_m for rope in farm.ropes), 0.0])
    kg = (
        made.anchors * anchor_kg[made.anchor]
        + made.chain_m * chain_kg[made.chain]
        + rope_pieces_m(farm, made) * rope_kg[made.rope]
    )
    for fitting, needed in fittings_needed(farm, made):
        kg = kg + needed * farm.fittings[fitting].mass_kg
    return minutes / 60.0, kg / 1000.0


def rope_pieces_m(farm: Farm, made: MakeUps) -> Floats:
    """Return the rope cut for one line of each make-up, m: its eyes in it; 0 without rope."""
    return np.where(made.rope >= 0, made.rope_m + farm.project.eyes_m, 0.0)


def fittings_needed(farm: Farm, made: MakeUps) -> Iterator[tuple[int, Floats]]:
    """Yield, for each fitting, how many one line of each make-up needs."""
    for index, table in fittings_tables(farm, made):
        yield index, table[made.chain, made.anchors]


def fittings_tables(farm: Farm, made: MakeUps) -> Iterator[tuple[int, Floats]]:
    """Yield, for each fitting, how many one line needs, by its chain and number of anchors."""
    most = int(made.anchors.max(initial=1))
    for index, fitting in enumerate(farm.fittings):
        applies = np.array([fitting.applies_to(chain.name) for chain in farm.chains], dtype=float)
        per_line = np.array([float(fitting.needed(k)) for k in range(most + 1)])
        yield index, np.multiply.outer(applies, per_line)


def rough_cost(farm: Farm, choices: Choices) -> Floats:
    """Return what one line of each choice costs by list prices and vessel hours."""
    anchor = np.array([farm.item_by_name[a.name].list_price for a in farm.anchors])
    chain = np.array([farm.item_by_name[c.name].list_price / c.length_sold_m for c in farm.chains])
    rope = np.array(
        [*(farm.item_by_name[r.name].list_price / r.length_sold_m for r in farm.ropes), 0.0]
    )
    hour = np.array([v.day_rate / v.hours_per_charged_day for v in farm.vessels])
    made = choices.make_ups
    return np.asarray(
        anchor[made.anchor] * made.anchors
        + chain[made.chain] * made.chain_m
        + rope[made.rope] * rope_pieces_m(farm, made)
        + hour[choices.vessel] * choices.hours
    )


def first_active(farm: Farm, choices: Choices, each: int) -> Ints:
    """Return, for every leg, the choices that look cheapest by list prices and vessel hours."""
    return np.sort(least_of_each_leg(choices.make_ups.leg, rough_cost(farm, choices), each))
