"""The installation campaigns of a finished plan, worked again."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from ...models.answer.check_line import CheckLine
from ...models.answer.plan import Assignment, Campaign, Plan
from ...models.site.vessel import Vessel
from .legs import fittings_of, rope_cut_m, unknown_names
from .tolerance import at_most, rule, same, same_money


@dataclass
class Work:
    """What one vessel has to lay."""

    legs: int = 0
    anchors: int = 0
    mass_t: float = 0.0
    area_m2: float = 0.0
    minutes: float = 0.0
    """Work at sea, the round trips not in it."""


@dataclass(frozen=True)
class OneLine:
    """One line of an assignment, as its vessel carries it."""

    anchors: int
    mass_t: float
    anchor_m2: float
    """Deck that one of its anchors takes."""

    @property
    def area_m2(self) -> float:
        """Deck that all of them take."""
        return self.anchors * self.anchor_m2


def _one_line(plan: Plan, a: Assignment) -> OneLine:
    """Return what one line weighs and takes; all its names are in the farm."""
    farm, make_up = plan.farm, a.make_up
    anchor = next(each for each in farm.anchors if each.name == make_up.anchor)
    chain = next(each for each in farm.chains if each.name == make_up.chain)
    kg = make_up.anchors * anchor.mass_kg + make_up.chain_m * chain.mass_kg_per_m
    if make_up.rope is not None:
        rope = next(each for each in farm.ropes if each.name == make_up.rope)
        kg += rope_cut_m(farm, make_up) * rope.mass_kg_per_m
    kg += sum(each * fitting.mass_kg for fitting, each in fittings_of(farm, make_up))
    return OneLine(make_up.anchors, kg / 1000.0, anchor.deck_area_m2)


def _work(plan: Plan, vessel: Vessel) -> Work:
    farm = plan.farm
    anchors = {anchor.name: anchor for anchor in farm.anchors}
    chains = {chain.name: chain for chain in farm.chains}
    work = Work()
    for a in plan.assignments:
        if a.vessel != vessel.name or unknown_names(farm, a):
            continue
        make_up, line = a.make_up, _one_line(plan, a)
        anchor, chain = anchors[make_up.anchor], chains[make_up.chain]
        setting = anchor.assembly_min + anchor.lowering_min + anchor.setting_min
        handling = make_up.chain_m / 10.0 * chain.handling_min_per_10_m
        work.legs += a.count
        work.anchors += a.count * make_up.anchors
        work.mass_t += a.count * line.mass_t
        work.area_m2 += a.count * line.area_m2
        work.minutes += a.count * (
            vessel.shifting_min_per_leg + make_up.anchors * setting + handling
        )
    return work


def _trip_lines(plan: Plan, campaign: Campaign, vessel: Vessel) -> Iterator[CheckLine]:
    """Yield the check lines of the trips one by one: every line whole, once, and on a deck that
    takes it; a line that is more than a deck takes in parts, its anchors whole."""
    lines = {
        (a.leg, a.first_line + n): _one_line(plan, a)
        for a in plan.assignments
        if a.vessel == vessel.name and not unknown_names(plan.farm, a)
        for n in range(a.count)
    }
    where = vessel.name
    parts = Counter[tuple[str, int]]()
    for number, trip in enumerate(campaign.loaded, start=1):
        here = f"{where}, trip {number}"
        known = [lines[line] for line in trip.lines if line in lines]
        yield rule("every line on a trip is the vessel's", here, len(known) == len(trip.lines))
        share = 1.0 / max(trip.parts, 1)
        mass = share * sum(line.mass_t for line in known)
        at_once = [-(-line.anchors // max(trip.parts, 1)) for line in known]
        area = sum(n * line.anchor_m2 for n, line in zip(at_once, known, strict=True))
        yield at_most("deck load of one trip", here, mass, vessel.deck_load_t, "t")
        yield at_most("deck area of one trip", here, area, vessel.deck_area_m2, "m²")
        yield same("stated load of a trip", here, mass, trip.mass_t, "t")
        yield rule("a line in parts is alone", here, trip.parts == 1 or len(trip.lines) == 1)
        for line in trip.lines:
            parts[line] += 1
    whole = all(
        parts[line] == 1
        or {(t.part, t.parts) for t in campaign.loaded if line in t.lines}
        == {(n, parts[line]) for n in range(1, parts[line] + 1)}
        for line in parts
    )
    yield rule("every line goes out once, or in all its parts", where, whole)
    yield rule("every line is on a trip", where, set(parts) == set(lines))
    yield at_most("trips loaded", where, len(campaign.loaded), campaign.trips, "trips")


def campaign_money(plan: Plan) -> tuple[float, float, float]:
    """Return what mobilisation, vessel days and fuel cost, in the project's currency."""
    vessels = {vessel.name: vessel for vessel in plan.farm.vessels}
    known = [(vessels[c.vessel], c) for c in plan.campaigns if c.vessel in vessels]
    return (
        sum(vessel.mobilisation for vessel, _ in known),
        sum(vessel.day_rate * campaign.days for vessel, campaign in known),
        sum(vessel.fuel_per_trip * campaign.trips for vessel, campaign in known),
    )


def campaign_lines(plan: Plan) -> Iterator[CheckLine]:
    """Yield the check lines of every vessel's work, trips, days and charges."""
    times = Counter(campaign.vessel for campaign in plan.campaigns)
    for vessel in plan.farm.vessels:
        laying = any(a.vessel == vessel.name and a.count > 0 for a in plan.assignments)
        due = 1 if laying else min(times[vessel.name], 1)
        yield same("campaigns of the vessel", vessel.name, due, times[vessel.name], "campaigns")
    vessels = {vessel.name: vessel for vessel in plan.farm.vessels}
    for campaign in plan.campaigns:
        known = campaign.vessel in vessels
        yield rule("the vessel is in the farm", campaign.vessel, known)
        if known:
            yield from _one_campaign(plan, campaign, vessels[campaign.vessel])


def _one_campaign(plan: Plan, campaign: Campaign, vessel: Vessel) -> Iterator[CheckLine]:
    where, work, currency = vessel.name, _work(plan, vessel), plan.farm.project.currency
    trips, days = campaign.trips, campaign.days
    yield same("stated legs", where, work.legs, campaign.legs, "legs")
    yield same("stated anchors", where, work.anchors, campaign.anchors, "anchors")
    yield same("stated mass", where, work.mass_t, campaign.mass_t, "t")
    yield same("stated deck area", where, work.area_m2, campaign.area_m2, "m²")
    yield rule("whole trips", where, trips == int(trips) and trips >= 0)
    yield rule("whole days", where, days == int(days) and days >= 0)
    if not plan.farm.laying_priced:
        return  # the stand-in for a vessel has no deck and no day
    yield at_most("deck load of all trips", where, work.mass_t, trips * vessel.deck_load_t, "t")
    yield at_most("deck area of all trips", where, work.area_m2, trips * vessel.deck_area_m2, "m²")
    yield from _trip_lines(plan, campaign, vessel)
    hours = trips * vessel.round_trip_h + work.minutes / 60.0
    yield same("stated hours", where, hours, campaign.hours, "h")
    sure = plan.farm.project.charged_days_sure
    if sure is None or vessel.workable_share == 1:
        there = days * vessel.working_hours_per_day * vessel.workable_share
        yield at_most("hours in the days charged", where, hours, there, "h")
    else:
        chance = _chance_within(vessel, hours, days)
        yield at_most("chance that the days charged are enough", where, sure, chance, "")
    if vessel.home_every_day:
        day = vessel.working_hours_per_day
        yield at_most("home every day: hours in its trips", where, hours, trips * day, "h")
    if vessel.most_days is not None:
        yield at_most("most days", where, days, vessel.most_days, "days")
    charges = (
        ("mobilisation", vessel.mobilisation, campaign.mobilisation),
        ("vessel days", vessel.day_rate * days, campaign.day_money),
        ("fuel", vessel.fuel_per_trip * trips, campaign.fuel),
    )
    for what, owed, stated in charges:
        yield same_money(what, where, owed, stated, currency)


def _chance_within(vessel: Vessel, hours: float, days: int) -> float:
    """Return the chance that so many days hold enough workable ones: each by itself, so that the
    workable among d days are binomial. 1 − P(fewer than needed), summed term by term."""
    needed = math.ceil(hours / vessel.working_hours_per_day - 1e-6)
    share = vessel.workable_share
    if days < needed:
        return 0.0
    fewer = [
        math.exp(
            math.lgamma(days + 1)
            - math.lgamma(k + 1)
            - math.lgamma(days - k + 1)
            + k * math.log(share)
            + (days - k) * math.log1p(-share)
        )
        for k in range(needed)
    ]
    return 1.0 - math.fsum(fewer)
