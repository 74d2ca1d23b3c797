"""The least installed cost of a small farm by trying everything, apart from the optimiser.

Every line of every group gets every make-up (a group's lines are alike, so as multisets; of no
more make-ups and vessels than the project lets a group have), every line every vessel, every item
every order worth having, every pack every service. What keeps it quick is that a floor under the
cost of every combination is worked out first, in bulk; they are then priced exactly in order of
their floors, until the floor of the next one is above the best.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from moorledger.models.farm import Farm
from moorledger.models.goods.item import Item, ItemKind
from moorledger.models.site.leg import Leg
from moorledger.models.site.vessel import Vessel
from moorledger.models.standing.make_up import MakeUp
from numpy.typing import NDArray
from scipy import stats

from tests.brute.brute_buying import Buying, Need
from tests.brute.brute_make_ups import Choices
from tests.brute.brute_trips import Line, fewest_trips

Floats = NDArray[np.float64]

BLOCK = 1_500_000
"""Combinations whose floors are worked out at once."""

MOST_TRIPS = 50
"""More than any small farm needs."""

BATCH = 2_000
"""Combinations whose campaigns are priced at once."""


def least_cost(farm: Farm, make_ups_by_leg: Mapping[str, Choices]) -> float:
    """Return the least installed cost, project currency; infinite where nothing is feasible."""
    groups = [_Group(farm, leg, make_ups_by_leg[leg.name]) for leg in farm.legs]
    if any(not group.choices for group in groups):
        return math.inf
    buying = Buying(farm)
    best = math.inf
    others = math.prod(len(group.ways) for group in groups[1:])
    step = max(BLOCK // others, 1)
    for start in range(0, len(groups[0].ways), step):
        block = [groups[0].part(start, start + step), *groups[1:]]
        best = _least_of_block(farm, buying, block, best)
    return best


class _Group:
    """The make-ups of one leg group, and every multiset of them for its lines."""

    def __init__(self, farm: Farm, leg: Leg, choices: Choices) -> None:
        self.leg = leg
        self.choices = [(m, vessels) for m, vessels in choices if vessels]
        pick = itertools.combinations_with_replacement(range(len(self.choices)), leg.count)
        self.most = farm.project.make_ups_per_leg_group or leg.count
        """Pairs of a make-up and a vessel that the group may have."""
        few = [way for way in pick if len(set(way)) <= self.most]
        self.ways = np.array(few, dtype=np.int64).reshape(-1, leg.count)
        per_line = [_uses(farm, m) for m, _ in self.choices]
        self.uses = np.array([[u.get(i.name, 0.0) for i in farm.items] for u in per_line])
        jobs = [_job(farm, m) for m, _ in self.choices]
        self.jobs = np.array(jobs).reshape(-1, 3)
        """Mass t, deck area m², minutes without shifting; a row a make-up."""
        decks = [_on_deck(farm, m, job[0]) for (m, _), job in zip(self.choices, jobs, strict=True)]
        self.decks = np.array(decks).reshape(-1, 4)
        """What a trip takes of one line, as `brute_trips` has it; a row a make-up."""
        self.can = np.array([[v.name in ok for v in farm.vessels] for _, ok in self.choices])

    def part(self, start: int, stop: int) -> _Group:
        """Return the group with only some of its multisets."""
        part = object.__new__(_Group)
        part.__dict__ = {**self.__dict__, "ways": self.ways[start:stop]}
        return part

    def total(self, per_make_up: Floats) -> Floats:
        """Return the sum over the group's lines of a figure of each make-up, per multiset."""
        return np.asarray(per_make_up[self.ways].sum(axis=1), dtype=np.float64)


def _uses(farm: Farm, make_up: MakeUp) -> dict[str, float]:
    """Return what one line of a make-up takes: item → each, or metres."""
    uses = {make_up.anchor: float(make_up.anchors), make_up.chain: make_up.chain_m}
    if make_up.rope is not None:
        uses[make_up.rope] = _rope_cut_m(farm, make_up)
    for fitting in farm.fittings:
        if fitting.applies_to(make_up.chain):
            uses[fitting.name] = float(fitting.needed(make_up.anchors))
    return uses


def _rope_cut_m(farm: Farm, make_up: MakeUp) -> float:
    """Return the rope that one line takes: between its eyes, and in both of them."""
    return make_up.rope_m + 2 * farm.project.rope_in_each_eye_m


def _job(farm: Farm, make_up: MakeUp) -> tuple[float, float, float]:
    """Return mass (t), deck area (m²) and minutes of laying one line, shifting not in it."""
    anchor = farm.anchor_by_name[make_up.anchor]
    chain = farm.chain_by_name[make_up.chain]
    kg = make_up.anchors * anchor.mass_kg + make_up.chain_m * chain.mass_kg_per_m
    if make_up.rope is not None:
        kg += _rope_cut_m(farm, make_up) * farm.rope_by_name[make_up.rope].mass_kg_per_m
    for fitting in farm.fittings:
        if fitting.applies_to(make_up.chain):
            kg += fitting.needed(make_up.anchors) * fitting.mass_kg
    minutes = make_up.anchors * (anchor.assembly_min + anchor.lowering_min + anchor.setting_min)
    minutes += make_up.chain_m / 10 * chain.handling_min_per_10_m
    return kg / 1000, make_up.anchors * anchor.deck_area_m2, minutes


def _on_deck(farm: Farm, make_up: MakeUp, mass_t: float) -> Line:
    """Return what a trip takes of one line."""
    anchor = farm.anchor_by_name[make_up.anchor]
    return mass_t, float(make_up.anchors), anchor.mass_kg / 1000, anchor.deck_area_m2


def _outer(groups: list[_Group], per_make_up: list[Floats]) -> Floats:
    """Return the sum over all lines of a figure of each make-up, for every combination."""
    total = np.zeros(1)
    for group, figures in zip(groups, per_make_up, strict=True):
        total = np.add.outer(total, group.total(figures)).reshape(-1)
    return total


def _least_of_block(farm: Farm, buying: Buying, groups: list[_Group], best: float) -> float:
    """Return the least of `best` and the cost of every combination of these multisets."""
    buying_floor = _buying_floor(farm, buying, groups)
    floor = buying_floor + _campaign_floor(farm, groups)
    shape = tuple(len(group.ways) for group in groups)
    hopeful = np.flatnonzero(floor < best)
    hopeful = hopeful[np.argsort(floor[hopeful], kind="stable")]
    for start in range(0, len(hopeful), BATCH):
        rows = hopeful[start : start + BATCH]
        if floor[rows[0]] >= best:
            break
        picks = np.unravel_index(rows, shape)
        ways = [group.ways[pick] for group, pick in zip(groups, picks, strict=True)]
        campaigns = _campaigns(farm, groups, ways)
        nearer = buying_floor[rows] + campaigns
        for at in np.argsort(nearer, kind="stable").tolist():
            if nearer[at] >= best:
                break
            need = _need(farm, groups, [way[at] for way in ways])
            best = min(best, buying.least(need) + float(campaigns[at]))
    return best


def _need(farm: Farm, groups: list[_Group], ways: list[NDArray[np.int64]]) -> Need:
    """Return what one combination needs."""
    each: dict[str, float] = {}
    pieces: dict[str, list[float]] = {}
    kinds = {item.name: item.kind for item in farm.items}
    for group, way in zip(groups, ways, strict=True):
        for choice in way.tolist():
            for name, amount in _uses(farm, group.choices[choice][0]).items():
                if kinds[name] in (ItemKind.CHAIN, ItemKind.ROPE):
                    pieces.setdefault(name, []).append(amount)
                else:
                    each[name] = each.get(name, 0.0) + amount
    need: Need = {name: tuple(sorted(cut, reverse=True)) for name, cut in pieces.items()}
    for name, amount in each.items():
        need[name] = _with_spares(farm, kinds[name], amount)
    return need


def _with_spares(farm: Farm, kind: ItemKind, amount: float) -> int:
    spare = farm.project.spare_anchor_share if kind is ItemKind.ANCHOR else 0.0
    return math.ceil(amount * (1 + spare) - 1e-9)


def _campaigns(farm: Farm, groups: list[_Group], ways: list[NDArray[np.int64]]) -> Floats:
    """Return the least that laying each combination costs, trying every vessel for every line."""
    jobs = np.concatenate([g.jobs[way] for g, way in zip(groups, ways, strict=True)], axis=1)
    decks = np.concatenate([g.decks[way] for g, way in zip(groups, ways, strict=True)], axis=1)
    can = np.concatenate([g.can[way] for g, way in zip(groups, ways, strict=True)], axis=1)
    best = np.full(len(jobs), np.inf)
    lines = jobs.shape[1]
    for who in itertools.product(range(len(farm.vessels)), repeat=lines):
        money = np.where(_few_enough(groups, ways, who), 0.0, np.inf)
        for at, vessel in enumerate(farm.vessels):
            mine = [line for line in range(lines) if who[line] == at]
            if mine:
                work = jobs[:, mine, :].sum(axis=1)
                least = _trips(vessel, decks[:, mine, :])
                sure = farm.project.charged_days_sure
                charge = _campaign(vessel, len(mine), *work.T, least, sure=sure)
                money += np.where(can[:, mine, at].all(axis=1), charge, np.inf)
        best = np.minimum(best, money)
    return best


def _trips(vessel: Vessel, decks: Floats) -> Floats:
    """Return the fewest trips that carry the lines of each combination whole.

    decks : (combinations, lines, 4).
    """
    alike, which = np.unique(decks.round(12), axis=0, return_inverse=True)
    fewest = [
        fewest_trips(
            tuple(sorted(tuple(line) for line in lines.tolist())),
            vessel.deck_load_t,
            vessel.deck_area_m2,
        )
        for lines in alike
    ]
    return np.array(fewest, dtype=float)[which.reshape(-1)]


def _few_enough(
    groups: list[_Group], ways: list[NDArray[np.int64]], who: tuple[int, ...]
) -> NDArray[np.bool_]:
    """Return which combinations have few enough pairs of make-up and vessel in every group."""
    fine = np.ones(len(ways[0]), dtype=bool)
    first = 0
    for group, way in zip(groups, ways, strict=True):
        vessels = np.array(who[first : first + group.leg.count])
        pairs = np.sort(way * (max(who) + 1) + vessels, axis=1)
        fine &= 1 + (np.diff(pairs, axis=1) != 0).sum(axis=1) <= group.most
        first += group.leg.count
    return fine


def _campaign(
    vessel: Vessel,
    lines: int,
    mass: Floats,
    area: Floats,
    minutes: Floats,
    least_trips: Floats | float = 1.0,
    *,
    sure: float | None,
) -> Floats:
    """Return what one vessel charges to lay its lines in at least so many trips.

    sure : the certainty at which days are charged; None: their mean.
    """
    trips = np.ceil(np.maximum(mass / vessel.deck_load_t, area / vessel.deck_area_m2) - 1e-9)
    trips = np.maximum(trips, least_trips)
    laying = (minutes + lines * vessel.shifting_min_per_leg) / 60
    never = np.zeros(len(trips), dtype=bool)
    if vessel.home_every_day:  # one trip more at a time, until no day has less than one
        for _ in range(MOST_TRIPS):
            days_out = (trips * vessel.round_trip_h + laying) / vessel.working_hours_per_day
            never = days_out > trips + 1e-9
            trips = trips + never
    hours = trips * vessel.round_trip_h + laying
    days = np.ceil(hours / vessel.hours_per_charged_day - 1e-9)
    if sure is not None:  # the working days, and the days lost among them with that certainty
        working = np.ceil(hours / vessel.working_hours_per_day - 1e-9)
        days = working + stats.nbinom.ppf(sure, np.maximum(working, 1), vessel.workable_share)
    money = vessel.mobilisation + vessel.day_rate * days + vessel.fuel_per_trip * trips
    too_long = days > (math.inf if vessel.most_days is None else vessel.most_days)
    return np.where(too_long | never, np.inf, money)


# Floors: each is below the true cost of its combination, and worked out for all at once.


def _campaign_floor(farm: Farm, groups: list[_Group]) -> Floats:
    """One boat for all lines, exactly; or several, each mobilised, in part days and part trips."""
    lines = sum(group.leg.count for group in groups)
    sure = farm.project.charged_days_sure
    work = [_outer(groups, [group.jobs[:, at] for group in groups]) for at in range(3)]
    floors = []
    for at, vessel in enumerate(farm.vessels):
        barred = [np.where(group.can[:, at], 0.0, np.inf) for group in groups]
        floors.append(_campaign(vessel, lines, *work, sure=sure) + _outer(groups, barred))
    for size in range(2, len(farm.vessels) + 1):
        for boats in itertools.combinations(range(len(farm.vessels)), size):
            used = [farm.vessels[at] for at in boats]
            a_day_each = sum(v.day_rate + v.fuel_per_trip for v in used)
            parts = [_part_days(farm, groups, boats, measure) for measure in (0, 1)]
            laying = np.maximum(np.maximum(*parts), a_day_each)
            floors.append(sum(v.mobilisation for v in used) + laying)
    return np.asarray(np.min(floors, axis=0), dtype=np.float64)


def _part_days(farm: Farm, groups: list[_Group], boats: tuple[int, ...], measure: int) -> Floats:
    """Return days and fuel with no rounding up, each line by the boat that is cheapest for it.

    measure : what trips are counted by, 0 for mass, 1 for deck area.
    """
    shares = []
    for group in groups:
        money = np.full(len(group.choices), np.inf)
        for at in boats:
            v = farm.vessels[at]
            trips = group.jobs[:, measure] / (v.deck_load_t, v.deck_area_m2)[measure]
            hours = trips * v.round_trip_h + (group.jobs[:, 2] + v.shifting_min_per_leg) / 60
            a_day = v.hours_per_charged_day
            if farm.project.charged_days_sure is not None:
                a_day = v.working_hours_per_day  # no day of work is less than a day
            mine = hours / a_day * v.day_rate + trips * v.fuel_per_trip
            money = np.minimum(money, np.where(group.can[:, at], mine, np.inf))
        shares.append(money)
    return _outer(groups, shares)


def _buying_floor(farm: Farm, buying: Buying, groups: list[_Group]) -> Floats:
    """Every item at its own cheapest order, metres pooled, freight by part containers. Whose order
    an item of several offers is on, and from which of several origins it comes, is left open."""
    size = math.prod(len(group.ways) for group in groups)
    floor = np.zeros(size)
    used_of = {kind: np.zeros(size) for kind in ItemKind}
    ordered = {supplier.name: np.zeros(size, dtype=bool) for supplier in farm.suppliers}
    carried: dict[str, list[Floats]] = {o: [] for item in farm.items for o in item.origins}
    for at, item in enumerate(farm.items):
        used = _outer(groups, [group.uses[:, at] for group in groups])
        used_of[item.kind] += used > 0
        if item.kind is ItemKind.ANCHOR:
            used = np.ceil(used * (1 + farm.project.spare_anchor_share) - 1e-9)
        per = item.length_sold_m or 1.0
        units = np.ceil((used - item.on_hand_total) / per - 1e-9)
        units = np.maximum(units, 0.0).astype(np.int64)
        most = int(units.max())
        if not most:
            continue
        pooled = replace(item, cut_whole=False, join_cost=0.0, on_hand=(), name=f"{item.name} ")
        orders = [_least_order(buying, pooled, n, per) for n in range(most + 1)]
        floor += np.array([money for money, _ in orders])[units]
        if len(item.origins) > 1:
            continue
        (origin,) = item.origins
        packs = np.array([n for _, n in orders])[units] * buying.landed(origin)
        floors = np.min([buying.pack_floors(item, offer) for offer in item.offers], axis=0)
        carried[origin].append(np.array([packs * rate for rate in floors]))
        if len(item.offers) == 1:
            ordered[item.offers[0].supplier] |= units > 0
    for supplier in farm.suppliers:
        charge = supplier.order_charge * supplier.exchange_rate
        floor += np.where(ordered[supplier.name], charge, 0.0)
    for origin, rates_of_items in carried.items():
        if rates_of_items:
            charge = np.sum(rates_of_items, axis=0).max(axis=0)
            once = buying.landed(origin) * buying.least_charge(origin)
            floor += np.where(charge > 0, np.maximum(charge, once), 0.0)
    for kind, limit in (
        (ItemKind.ANCHOR, farm.project.most_anchor_models),
        (ItemKind.CHAIN, farm.project.most_chains),
        (ItemKind.ROPE, farm.project.most_ropes),
    ):
        if limit is not None:
            floor = np.where(used_of[kind] > limit, np.inf, floor)
    return floor


def _least_order(buying: Buying, item: Item, units: int, per: float) -> tuple[float, int]:
    """Return the least money and the fewest packs of orders of at least `units`."""
    if units == 0:
        return 0.0, 0
    need = units if item.kind in (ItemKind.ANCHOR, ItemKind.FITTING) else (units * per,)
    orders = buying.orders(item, need)
    return (
        min((money for _, money in orders), default=math.inf),
        min((sum(packs) for packs, _ in orders), default=0),
    )
