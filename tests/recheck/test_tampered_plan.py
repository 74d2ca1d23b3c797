"""Plans that `price` made, tampered with: each time something is taken away, the recheck says so.

Money and stated figures are tampered along wherever that is easy, so that what is caught is the
thing missing and not just a sum that no longer agrees.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from moorledger.models.answer.plan import Cut, Part, Piece, Plan
from moorledger.models.goods.item import ItemKind
from moorledger.models.standing.make_up import LimitName
from moorledger.optimiser.price import price
from moorledger.optimiser.recheck.recheck import recheck

from tests.farms.random_farms import random_farm
from tests.quick_run import mostly_long

SEEDS = (0, 2, 3, 5, 9, 12)

HOMELY = (7, 11)
"""Farms where a vessel makes a trip more because it goes home every day."""

EYED = (0, 2, 12)
"""Those of them whose rope has eyes."""

GOODS = {
    ItemKind.ANCHOR: Part.ANCHORS,
    ItemKind.CHAIN: Part.CHAIN,
    ItemKind.ROPE: Part.ROPE,
    ItemKind.FITTING: Part.FITTINGS,
}

NEED = "ordered and on hand cover the need"
HOME = "home every day: hours in its trips"
BOXES = {"container volume", "container payload"}
STANDS = {
    "the line can hang",
    LimitName.HOLDING,
    LimitName.STRUCTURE,
    LimitName.UPLIFT,
    LimitName.ON_SEABED,
    LimitName.LEASE,
    "shortest chain",
    "at least one anchor",
}
"""What a line that is too short, or has an anchor too few, may fail by."""


@cache
def priced(seed: int) -> Plan:
    """Return the plan of a random small farm, priced once."""
    return price(random_farm(seed), gap=1e-3, time_limit_s=30.0)


def failures(plan: Plan) -> set[str]:
    """Return what the recheck says is wrong."""
    return {line.what for line in recheck(plan) if not line.passed}


def changed(plan: Plan, name: str, at: int, **changes: Any) -> Plan:
    """Return the plan with one record of one of its tuples changed."""
    records = getattr(plan, name)
    record = replace(records[at], **changes)
    return replace(plan, **{name: (*records[:at], record, *records[at + 1 :])})


def with_one_fewer(plan: Plan, at: int) -> Plan:
    """Return the plan with one fewer on an order line, that line and its parts honestly priced."""
    line = plan.orders[at]
    item = plan.farm.item_by_name[line.item]
    offer = plan.farm.offer_by_key[line.item, line.supplier]
    left = line.quantity - 1
    money = offer.goods(left)
    less, duty = money - line.money, offer.duty_share * money
    parts = {**plan.parts}
    parts[GOODS[item.kind]] += less
    parts[Part.DUTY] += duty - line.duty
    parts[Part.INSURANCE] += plan.farm.project.insurance_share * less
    fewer = changed(
        replace(plan, parts=parts),
        "orders",
        at,
        quantity=left,
        money_supplier=offer.prices.money(left),
        money=money,
        duty=duty,
    )
    return replace(fewer, proof=replace(plan.proof, cost=fewer.installed_cost, bound=0.0))


def tight(plan: Plan, at: int) -> bool:
    """Tell whether an order is of just what is needed, so that one fewer is too few."""
    line = plan.orders[at]
    per = plan.farm.item_by_name[line.item].length_sold_m or 1.0
    return line.needed - line.from_stock > (line.quantity - 1) * per + 1e-6


def shorter_piece(cut: Cut, piece: Piece, by_m: float) -> Cut:
    """Return a cut with one piece cut shorter."""
    pieces = tuple(replace(p, length_m=p.length_m - by_m) if p == piece else p for p in cut.pieces)
    return replace(cut, pieces=pieces)


@mostly_long("seed", SEEDS, quick=SEEDS[:1])
def test_untampered_plan_is_sound(seed: int) -> None:
    """Tests that the plans tampered with below have nothing wrong to begin with."""
    assert failures(priced(seed)) == set()


@mostly_long("seed", SEEDS, quick=[seed for seed in SEEDS if seed != 2])
def test_one_fewer_ordered_is_caught(seed: int) -> None:
    """Tests an anchor, a length or a fitting fewer on every order of just what is needed; an order
    made larger by a minimum or a multiple breaks that, and whole pieces leave a length short."""
    plan = priced(seed)
    anchors = 0
    for at, line in enumerate(plan.orders):
        wrong = failures(with_one_fewer(plan, at))
        item = plan.farm.item_by_name[line.item]
        offer = plan.farm.offer_by_key[line.item, line.supplier]
        anchors += item.kind is ItemKind.ANCHOR
        if tight(plan, at):
            assert wrong & {NEED, "need not met from stock"}, line
        elif line.quantity - 1 < offer.minimum_order:
            assert "minimum order" in wrong, line
        elif item.cut_whole and "lengths cut" in wrong:
            pass  # enough metres, but pieces in one length do not fill every one
        else:
            assert offer.order_multiple > 1, f"more than is needed for no reason: {line}"
            assert "is a whole number of its order multiple" in wrong, line
    assert anchors, "a plan that orders no anchor tries nothing"


@pytest.mark.parametrize("seed", SEEDS)
def test_one_anchor_fewer_on_a_line_is_caught(seed: int) -> None:
    """Tests every kind of line laid with an anchor fewer."""
    plan = priced(seed)
    for at, assignment in enumerate(plan.assignments):
        fewer = replace(assignment.make_up, anchors=assignment.make_up.anchors - 1)
        assert failures(changed(plan, "assignments", at, make_up=fewer)) & STANDS


@pytest.mark.parametrize("seed", SEEDS)
def test_one_metre_less_chain_is_caught(seed: int) -> None:
    """Tests a line with a metre less chain, and with one cutting step less, its cuts tampered
    along: the chain laid is the shortest that holds, so the line no longer does."""
    plan = priced(seed)
    step = plan.farm.project.cutting_step_m
    for at, assignment in enumerate(plan.assignments):
        metres = assignment.make_up.chain_m
        by_metre = changed(
            plan, "assignments", at, make_up=replace(assignment.make_up, chain_m=metres - 1.0)
        )
        assert failures(by_metre) & (STANDS | {"chain is a whole number of cutting steps"})
        by_step = changed(
            plan, "assignments", at, make_up=replace(assignment.make_up, chain_m=metres - step)
        )
        assert failures(by_step) & STANDS


@pytest.mark.parametrize("seed", SEEDS)
def test_one_metre_less_cut_is_caught(seed: int) -> None:
    """Tests every piece of every cutting list with a metre less."""
    plan = priced(seed)
    for at, cut in enumerate(plan.cuts):
        for piece in cut.pieces:
            short = shorter_piece(cut, piece, min(1.0, piece.length_m / 2))
            tampered = replace(plan, cuts=(*plan.cuts[:at], short, *plan.cuts[at + 1 :]))
            assert "lines with their chain and rope cut" in failures(tampered)


@pytest.mark.parametrize("seed", EYED)
def test_rope_cut_without_its_eyes_is_caught(seed: int) -> None:
    """Tests every rope piece cut to the length that hangs, nothing left for its eyes."""
    plan = priced(seed)
    eyes = plan.farm.project.eyes_m
    ropes = {rope.name for rope in plan.farm.ropes}
    tried = 0
    for at, cut in enumerate(plan.cuts):
        for piece in cut.pieces if cut.item in ropes else ():
            short = shorter_piece(cut, piece, eyes)
            tampered = replace(plan, cuts=(*plan.cuts[:at], short, *plan.cuts[at + 1 :]))
            assert "lines with their chain and rope cut" in failures(tampered)
            tried += 1
    assert eyes > 0
    assert tried


def cheaper_boxes(plan: Plan, at: int) -> Plan:
    """Return the plan with a container fewer in one booking, charged for those left."""
    booking = plan.bookings[at]
    service = {s.name: s for s in plan.farm.services}[booking.service]
    boxes = booking.containers - 1
    money = service.charge(boxes, booking.tonnes, booking.volume_m3) * service.exchange_rate
    return changed(plan, "bookings", at, containers=boxes, money=money)


def fewer_days(plan: Plan, at: int) -> Plan:
    """Return the plan with a day fewer in one campaign, charged for those left."""
    campaign = plan.campaigns[at]
    vessel = {v.name: v for v in plan.farm.vessels}[campaign.vessel]
    days = campaign.days - 1
    return changed(plan, "campaigns", at, days=days, day_money=days * vessel.day_rate)


def fewer_trips(plan: Plan, at: int) -> Plan:
    """Return the plan with a trip fewer in one campaign, its fuel and hours adjusted."""
    campaign = plan.campaigns[at]
    vessel = {v.name: v for v in plan.farm.vessels}[campaign.vessel]
    trips, hours = campaign.trips - 1, campaign.hours - vessel.round_trip_h
    fuel = trips * vessel.fuel_per_trip
    return changed(plan, "campaigns", at, trips=trips, hours=hours, fuel=fuel)


def stay_out(plan: Plan, at: int) -> Plan:
    """Return the plan with one campaign's trips the fewest that its decks need, fuel and hours
    adjusted: it goes home as seldom as its deck lets it."""
    campaign = plan.campaigns[at]
    vessel = {v.name: v for v in plan.farm.vessels}[campaign.vessel]
    needed = max(campaign.mass_t / vessel.deck_load_t, campaign.area_m2 / vessel.deck_area_m2)
    trips = math.ceil(needed - 1e-9)
    hours = campaign.hours - (campaign.trips - trips) * vessel.round_trip_h
    fuel = trips * vessel.fuel_per_trip
    return changed(plan, "campaigns", at, trips=trips, hours=hours, fuel=fuel)


def home_daily(plan: Plan) -> list[int]:
    """Return the places of the campaigns that make a trip more because they go home every day."""
    return [
        at
        for at, campaign in enumerate(plan.campaigns)
        if stay_out(plan, at).campaigns[at].trips < campaign.trips
    ]


def boxed(plan: Plan) -> list[int]:
    """Return the places of the bookings that have containers."""
    return [at for at, booking in enumerate(plan.bookings) if booking.containers > 0]


TAMPERINGS: dict[
    str, tuple[Callable[[Plan], list[int]], Callable[[Plan, int], Plan], set[str]]
] = {
    "one container fewer": (boxed, cheaper_boxes, BOXES),
    "one day fewer": (
        lambda plan: list(range(len(plan.campaigns))), fewer_days, {"hours in the days charged"},
    ),
    "one trip fewer": (
        lambda plan: list(range(len(plan.campaigns))),
        fewer_trips,
        {"deck load of all trips", "deck area of all trips", HOME},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", TAMPERINGS)
def test_container_day_or_trip_fewer_is_caught(name: str) -> None:
    """Tests every booking and campaign of every plan with one fewer, each named for what it is."""
    places, tamper, what = TAMPERINGS[name]
    tried = 0
    for seed in SEEDS:
        plan = priced(seed)
        for at in places(plan):
            tried += 1
            assert failures(tamper(plan, at)) & what, (seed, at)
    assert tried >= 3


@pytest.mark.parametrize("seed", HOMELY)
def test_vessel_not_home_every_day_is_caught(seed: int) -> None:
    """Tests a campaign with only the trips that its deck needs, hours and fuel tampered along."""
    plan = priced(seed)
    places = home_daily(plan)
    assert failures(plan) == set()
    assert places
    for at in places:
        assert HOME in failures(stay_out(plan, at))
