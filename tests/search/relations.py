"""Relations between farms: what a change must do to the least cost, whatever the farm.

Run as a program it prices many random farms and every relation of each:

    python -m tests.search.relations --farms 100
"""

from __future__ import annotations

import argparse
import math
import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any, Literal

from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.models.goods.freight import Basis
from moorledger.models.site.lease import LeaseCorner
from moorledger.models.site.leg import Leg
from moorledger.models.site.load_case import CaseTension, LoadCase
from moorledger.models.site.project import FactorActsOn
from moorledger.optimiser.price import price

from tests.farms.random_farms import random_farm
from tests.offers.offer_relations import split_offer, with_dearer_offer

GAP = 1e-7
ROUGH = 1e-6
"""Relative difference that two costs, each within GAP, may have."""

Sense = Literal["same", "never dearer", "never cheaper"]


@dataclass(frozen=True)
class Relation:
    """A changed farm, and how its least cost ÷ `factor` compares with the first farm's."""

    name: str
    farm: Farm
    sense: Sense = "same"
    factor: float = 1.0


def tiny_farm(seed: int) -> Farm:
    """Return a random farm cut to at most two leg groups of at most two lines."""
    farm = random_farm(seed)
    legs = tuple(replace(leg, count=min(leg.count, 2)) for leg in farm.legs[:2])
    return replace(farm, legs=legs)


def least_cost(farm: Farm) -> float | None:
    """Return the least cost of a farm, or None where it has no plan."""
    try:
        plan = price(farm, gap=GAP, time_limit_s=60.0)
    except FarmError:
        return None
    assert plan.proof.proven, "not proven in time"
    return plan.proof.cost


def held(relation: Relation, before: float | None, after: float | None) -> bool:
    """Tell whether the relation holds between the two least costs; None is dearer than any."""
    if after is None or before is None:
        return {
            "same": after is before,
            "never dearer": before is None,
            "never cheaper": after is None,
        }[relation.sense]
    after /= relation.factor
    rough = ROUGH * max(before, 1.0)
    return {
        "same": abs(after - before) <= rough,
        "never dearer": after <= before + rough,
        "never cheaper": after >= before - rough,
    }[relation.sense]


def relations(farm: Farm, seed: int) -> list[Relation]:
    """Return every relation of a farm; what is drawn in them is drawn by the seed."""
    draw = random.Random(seed)
    return [
        Relation("items renamed", renamed(farm)),
        Relation("rows shuffled", shuffled(farm, draw)),
        *split(farm),
        Relation("another currency", in_currency(farm, 7.5), factor=7.5),
        Relation("dominated anchor added", with_dominated_anchor(farm, draw)),
        Relation("prices doubled", priced(farm, 2.0), factor=2.0),
        Relation("prices a thousandth", priced(farm, 1e-3), factor=1e-3),
        *limits(farm),
        *basis(farm),
        *practices(farm),
        *offered(farm, draw),
    ]


def offered(farm: Farm, draw: random.Random) -> list[Relation]:
    """Return the relations of another offer of an item."""
    beside = {
        "an offer split in two alike": split_offer(farm, draw),
        "a dearer offer beside a cheaper": with_dearer_offer(farm, draw),
    }
    return [Relation(name, other) for name, other in beside.items() if other is not None]


def renamed(farm: Farm) -> Farm:
    """Return the farm with every item, supplier, service, vessel and leg named anew."""

    def new(name: str | None) -> str | None:
        return None if name is None else f"zz {name[::-1]}"

    def each(records: Sequence[Any], *fields: str) -> Any:
        return tuple(
            replace(record, **{field: new(getattr(record, field)) for field in fields})
            for record in records
        )

    return replace(
        farm,
        legs=each(farm.legs, "name", "fixed_anchor", "fixed_chain"),
        anchors=each(farm.anchors, "name", "supplier"),
        chains=each(farm.chains, "name", "supplier"),
        load_cases=tuple(
            replace(c, legs=tuple(str(new(x)) if x in farm.leg_by_name else x for x in c.legs))
            for c in farm.load_cases
        ),
        ropes=each(farm.ropes, "name", "supplier"),
        fittings=each(farm.fittings, "name", "supplier", "for_chain"),
        suppliers=each(farm.suppliers, "name"),
        services=each(farm.services, "name"),
        vessels=each(farm.vessels, "name"),
        declared_holdings=each(farm.declared_holdings, "anchor"),
        readings=each(farm.readings, "anchor", "test"),
        price_breaks=each(farm.price_breaks, "item"),
        on_hand=each(farm.on_hand, "item"),
        uplift_losses=tuple(
            replace(
                loss,
                anchor_or_family=new(loss.anchor_or_family)
                if loss.anchor_or_family in farm.anchor_by_name
                else loss.anchor_or_family,
            )
            for loss in farm.uplift_losses
        ),
    )


def shuffled(farm: Farm, draw: random.Random) -> Farm:
    """Return the farm with the rows of every sheet in another order; tests keep theirs."""

    def mixed(records: Sequence[Any]) -> Any:
        return tuple(draw.sample(records, len(records)))

    tests = draw.sample(farm.pull_tests, len(farm.pull_tests))
    return replace(
        farm,
        legs=mixed(farm.legs),
        seabeds=mixed(farm.seabeds),
        anchors=mixed(farm.anchors),
        chains=mixed(farm.chains),
        ropes=mixed(farm.ropes),
        fittings=mixed(farm.fittings),
        suppliers=mixed(farm.suppliers),
        services=mixed(farm.services),
        vessels=mixed(farm.vessels),
        declared_holdings=mixed(farm.declared_holdings),
        holding_laws=mixed(farm.holding_laws),
        uplift_losses=mixed(farm.uplift_losses),
        price_breaks=mixed(farm.price_breaks),
        on_hand=mixed(farm.on_hand),
        load_cases=mixed(farm.load_cases),
        readings=tuple(reading for test in tests for reading in test.readings),
    )


def split(farm: Farm) -> list[Relation]:
    """Return the farm with its first group of two lines or more as two rows."""
    for at, leg in enumerate(farm.legs):
        if leg.count > 1:
            two = (replace(leg, count=1), _rest_of(leg))
            legs = (*farm.legs[:at], *two, *farm.legs[at + 1 :])
            apart = replace(farm, legs=legs, load_cases=_for_both(farm, leg))
            mixes = farm.project.most_choices(leg.count) == leg.count
            # Two groups may each be built in as many ways as the one.
            return [Relation("group split", apart, "same" if mixes else "never dearer")]
    return []


def _rest_of(leg: Leg) -> Leg:
    """Return a group without its first line, and so from where the second is attached."""
    rest = replace(leg, name=leg.name + " b", count=leg.count - 1)
    if leg.easting_m is None or leg.northing_m is None or leg.spacing_m is None:
        return rest
    row = math.radians(leg.row_bearing_deg or 0.0)
    return replace(
        rest,
        easting_m=leg.easting_m + leg.spacing_m * math.sin(row),
        northing_m=leg.northing_m + leg.spacing_m * math.cos(row),
    )


def _for_both(farm: Farm, leg: Leg) -> tuple[LoadCase, ...]:
    """Return the load cases with those of a leg for its second row too."""
    both = (leg.name, leg.name + " b")
    return tuple(
        replace(case, legs=(*case.legs, *both)) if leg.name in case.legs else case
        for case in farm.load_cases
    )


def in_currency(farm: Farm, rate: float) -> Farm:
    """Return the farm as a project in a currency of which `rate` make one of the old."""
    return replace(
        farm,
        project=replace(farm.project, currency="ZZZ"),
        suppliers=tuple(replace(s, exchange_rate=s.exchange_rate * rate) for s in farm.suppliers),
        services=tuple(replace(s, exchange_rate=s.exchange_rate * rate) for s in farm.services),
        vessels=tuple(_vessel_priced(vessel, rate) for vessel in farm.vessels),
    )


def _vessel_priced(vessel: Any, factor: float) -> Any:
    return replace(
        vessel,
        day_rate=vessel.day_rate * factor,
        mobilisation=vessel.mobilisation * factor,
        fuel_per_trip=vessel.fuel_per_trip * factor,
    )


def priced(farm: Farm, factor: float) -> Farm:
    """Return the farm with every price, charge and rate multiplied."""

    def times(records: Sequence[Any], *fields: str) -> Any:
        return tuple(
            replace(record, **{field: getattr(record, field) * factor for field in fields})
            for record in records
        )

    return replace(
        farm,
        anchors=times(farm.anchors, "unit_price"),
        chains=times(farm.chains, "price_per_m", "join_cost"),
        ropes=times(farm.ropes, "price_per_m"),
        fittings=times(farm.fittings, "unit_price"),
        price_breaks=times(farm.price_breaks, "unit_price"),
        suppliers=times(farm.suppliers, "order_charge"),
        services=times(farm.services, "rate", "minimum_charge", "fixed_charge"),
        vessels=tuple(_vessel_priced(vessel, factor) for vessel in farm.vessels),
    )


def with_dominated_anchor(farm: Farm, draw: random.Random) -> Farm:
    """Return the farm with one more anchor that is like another, and dearer, heavier, weaker.

    Its evidence is nine tenths of the other's. It may not be had where the other runs short or
    has price breaks or stock: more of the same could then be worth having.
    """
    like = draw.choice(farm.anchors)
    worse = replace(
        like,
        name="dominated",
        unit_price=like.unit_price * 1.2,
        mass_kg=like.mass_kg * 1.01,
        # Of steel too, 8 % more water displaced is more than 1 % more mass makes up for.
        stated_volume_m3=like.displaced_m3 * 1.08,
        stated_density_kg_m3=None,
        stated_pack_mass_kg=like.pack_mass_kg * 1.02,
        available=None if like.available is None else 0,
    )
    declared = [
        replace(d, anchor=worse.name, holding_kn=d.holding_kn * 0.9)
        for d in farm.declared_holdings
        if d.anchor == like.name
    ]
    readings = [
        replace(r, anchor=worse.name, test=r.test + " d", load_kn=r.load_kn * 0.9)
        for r in farm.readings
        if r.anchor == like.name
    ]
    losses = [
        replace(p, anchor_or_family=worse.name)
        for p in farm.uplift_losses
        if p.anchor_or_family == like.name
    ]
    # A family's law goes by mass: the heavier anchor is then not dominated, so it gets no law.
    lawful = any(law.family == like.family for law in farm.holding_laws)
    if lawful:
        known = {d.seabed for d in declared} | {r.seabed for r in readings}
        if not {seabed.name for seabed in farm.seabeds} <= known:
            worse = replace(worse, available=0)
    return replace(
        farm,
        anchors=(*farm.anchors, worse),
        declared_holdings=(*farm.declared_holdings, *declared),
        readings=(*farm.readings, *readings),
        uplift_losses=(*farm.uplift_losses, *losses),
    )


def limits(farm: Farm) -> list[Relation]:
    """Return the farm with each kind of limit eased, and tightened."""
    changes: list[tuple[str, Callable[[bool], Farm]]] = [
        ("radius", lambda ease: _legs(farm, "longest_radius_m", 1.5 if ease else 0.8)),
        ("tension", lambda ease: _legs(farm, "design_tension_kn", 0.9 if ease else 1.1)),
        ("line lost", lambda ease: _legs(farm, "line_lost_tension_kn", 0.9 if ease else 1.1)),
        ("vessels", lambda ease: _vessels(farm, 1.3 if ease else 0.8)),
        ("what is available", lambda ease: _available(farm, 3 if ease else -1)),
        ("containers", lambda ease: _containers(farm, 1.2 if ease else 0.9)),
        ("policies", lambda ease: _policies(farm, ease)),
        ("safety factors", lambda ease: _factors(farm, 0.9 if ease else 1.1)),
    ]
    found = []
    for name, change in changes:
        for ease in (True, False):
            changed = change(ease)
            if changed != farm:
                sense: Sense = "never dearer" if ease else "never cheaper"
                how = "eased" if ease else "tightened"
                found.append(Relation(f"{name} {how}", changed, sense))
    return found


def practices(farm: Farm) -> list[Relation]:
    """Return the farm with more rope in each eye, fewer chains and ropes, boats home daily."""

    def of(name: str, **changes: Any) -> Relation:
        changed = replace(farm, project=replace(farm.project, **changes))
        return Relation(name, changed, "never cheaper")

    longer = farm.project.rope_in_each_eye_m + 0.7
    home = tuple(replace(vessel, home_every_day=True) for vessel in farm.vessels)
    found = [
        of("one chain", most_chains=1),
        Relation("home every day", replace(farm, vessels=home), "never cheaper"),
    ]
    if farm.ropes:
        found += [of("longer eyes", rope_in_each_eye_m=longer), of("one rope", most_ropes=1)]
    return found


def _legs(farm: Farm, field: str, factor: float) -> Farm:
    legs = tuple(
        replace(leg, **{field: getattr(leg, field) * factor})
        if getattr(leg, field) is not None
        else leg
        for leg in farm.legs
    )
    return replace(farm, legs=legs)


def _vessels(farm: Farm, factor: float) -> Farm:
    """Change crane, pull, deck load and area, hours a day and most days together."""
    return replace(
        farm,
        vessels=tuple(
            replace(
                v,
                crane_limit_t=v.crane_limit_t * factor,
                bollard_pull_kn=None if v.bollard_pull_kn is None else v.bollard_pull_kn * factor,
                deck_load_t=v.deck_load_t * factor,
                deck_area_m2=v.deck_area_m2 * factor,
                working_hours_per_day=min(v.working_hours_per_day * factor, 24.0),
                most_days=None if v.most_days is None else round(v.most_days * factor),
            )
            for v in farm.vessels
        ),
    )


def _available(farm: Farm, more: int) -> Farm:
    def changed(records: Sequence[Any]) -> Any:
        return tuple(
            r if r.available is None else replace(r, available=max(r.available + more, 0))
            for r in records
        )

    return replace(
        farm,
        anchors=changed(farm.anchors),
        chains=changed(farm.chains),
        ropes=changed(farm.ropes),
        services=changed(farm.services),
    )


def _containers(farm: Farm, factor: float) -> Farm:
    """Change what a container holds; measured freight has no such limit."""
    return replace(
        farm,
        services=tuple(
            s
            if s.basis is Basis.MEASURE or s.volume_m3 is None or s.payload_t is None
            else replace(s, volume_m3=s.volume_m3 * factor, payload_t=s.payload_t * factor)
            for s in farm.services
        ),
    )


def _policies(farm: Farm, ease: bool) -> Farm:
    """Lift the policies and give two more weeks; or build every leg group alike, and take a week
    away."""
    project = farm.project
    if ease:
        project = replace(
            project,
            most_anchor_models=None,
            most_suppliers=None,
            most_chains=None,
            most_ropes=None,
            make_ups_per_leg_group=None,
        )
    else:
        project = replace(project, make_ups_per_leg_group=1)
    if project.required_on_site is not None:
        days = timedelta(days=14 if ease else -7)
        project = replace(project, required_on_site=project.required_on_site + days)
    return replace(farm, project=project)


def basis(farm: Farm) -> list[Relation]:
    """Return the farm with more asked of its lines, or the same asked in other words."""
    found = []
    written = _written_out(farm)
    if written is not None:
        found.append(Relation("the design case written out", replace(farm, load_cases=written)))
    cases = farm.load_cases or written
    if cases:
        more = replace(farm, load_cases=(*cases, ONE_MORE))
        found.append(Relation("a load case more", more, "never cheaper"))
    if farm.lease:
        found.append(Relation("no lease", replace(farm, lease=()), "never dearer"))
    else:
        found.append(Relation("a lease that is far away", _leased(farm)))

    project, worn = farm.project, farm.project.wear_mm
    for name, changes in (
        ("2 mm more wear", {"service_life_years": 1.0, "chain_wear_mm_per_year": worn + 2.0}),
        ("more chain kept on the seabed", {"chain_on_seabed_m": project.chain_on_seabed_m + 4.0}),
        ("a longer shortest chain", {"shortest_chain_m": project.shortest_chain_m + 10.0}),
    ):
        asked = replace(farm, project=replace(project, **changes))
        found.append(Relation(name, asked, "never cheaper"))
    return found


ONE_MORE = LoadCase("one more", CaseTension.DESIGN, 1.35, 1.2, 2.3, 2.2, extra_depth_m=0.8)


def _written_out(farm: Farm) -> tuple[LoadCase, ...] | None:
    """Return the one case of the project's safety factors as a load case; None where there are
    load cases, or anchors have factors of their own."""
    if farm.load_cases or any(anchor.safety_factor is not None for anchor in farm.anchors):
        return None
    project = farm.project
    on_tension, on_anchor = project.anchor_safety_factor, 1.0
    if project.safety_factor_acts_on is FactorActsOn.ANCHOR_LOAD:
        on_tension, on_anchor = on_anchor, on_tension
    strengths = (project.chain_safety_factor, project.rope_safety_factor)
    on_chain, on_rope = (factor / on_tension for factor in strengths)
    case = LoadCase("as the project", CaseTension.DESIGN, on_tension, on_anchor, on_chain, on_rope)
    return (case,)


def _leased(farm: Farm) -> Farm:
    """Return the farm within a lease of ten kilometres a side, every leg placed in it."""
    corners = ((0.0, 0.0), (0.0, 10_000.0), (10_000.0, 10_000.0), (10_000.0, 0.0))
    legs = tuple(
        replace(leg, easting_m=5_000.0, northing_m=5_000.0, bearing_deg=40.0) for leg in farm.legs
    )
    return replace(farm, legs=legs, lease=tuple(LeaseCorner(*corner) for corner in corners))


def _factors(farm: Farm, factor: float) -> Farm:
    project = farm.project
    project = replace(
        project,
        anchor_safety_factor=project.anchor_safety_factor * factor,
        chain_safety_factor=project.chain_safety_factor * factor,
        rope_safety_factor=project.rope_safety_factor * factor,
    )
    cases = tuple(
        replace(
            case,
            anchor_factor=case.anchor_factor * factor,
            chain_factor=case.chain_factor * factor,
            rope_factor=case.rope_factor * factor,
        )
        for case in farm.load_cases
    )
    return replace(farm, project=project, load_cases=cases)


def main() -> None:
    """Price random farms and every relation of each, and say which did not hold."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--farms", type=int, default=100)
    parser.add_argument("--first", type=int, default=0)
    asked = parser.parse_args()
    counts: Counter[str] = Counter()
    for seed in range(asked.first, asked.first + asked.farms):
        farm = tiny_farm(seed)
        try:
            before = least_cost(farm)
            for relation in relations(farm, seed):
                after = least_cost(relation.farm)
                holds = held(relation, before, after)
                counts["held" if holds else "BROKEN"] += 1
                if not holds:
                    print(f"farm {seed}: {relation.name}: {before}, then {after}", flush=True)
        except AssertionError as error:
            counts[str(error)] += 1
        print(f"{seed}: {dict(counts)}", file=sys.stderr, flush=True)
    print(f"{dict(counts)}, {time.process_time():.0f} s of a processor")
    sys.exit(bool(counts["BROKEN"]))


if __name__ == "__main__":
    main()
