"""Farms made up at random, for tests that must hold for any farm; every number is invented.

The families, masses and prices are only as near to real ones as keeps most farms feasible.
"""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta

from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import Anchor
from moorledger.models.goods.chain import Chain
from moorledger.models.goods.freight import Basis, FreightService
from moorledger.models.goods.supplier import Supplier
from moorledger.models.site.leg import Leg
from moorledger.models.site.project import Project
from moorledger.models.site.vessel import Vessel

from tests.farms.random_basis import with_basis
from tests.farms.random_goods import (
    SEABEDS,
    Extent,
    anchors_of,
    chains_of,
    fittings_of,
    on_hand_of,
    price_breaks_of,
    ropes_of,
    stepped,
)
from tests.farms.random_terms import with_terms

EXTENTS = {
    "small": Extent((2, 4), 3, 6, (2, 4), (2, 2), (1, 2), (1, 2), (1, 2), (1, 2), 2, 2),
    "middling": Extent((6, 10), 12, 99, (6, 10), (2, 4), (1, 3), (2, 4), (2, 3), (2, 3), 3, 4),
}


def random_farm(seed: int, size: str = "small") -> Farm:
    """Return the farm of this seed; size "small" (for brute force) or "middling"."""
    draw = random.Random(f"{size} {seed}")
    extent = EXTENTS[size]
    suppliers, services = _trade(draw, extent)
    project = _project(draw, extent)
    # Drawn apart, so that the farms of these seeds are otherwise what they were.
    mixing = random.Random(f"make-ups {size} {seed}").choice((1, 2, None))
    project = replace(project, make_ups_per_leg_group=mixing)
    legs = _legs(draw, extent)
    anchors, losses, declared, laws, readings = anchors_of(draw, extent, suppliers, legs, project)
    chains = chains_of(draw, extent, suppliers, legs)
    ropes = () if draw.random() < 0.15 else ropes_of(draw, extent, suppliers, legs)
    if size == "small" and len(anchors) > 3:
        ropes = ropes[:1]  # brute force tries every combination of these
    fittings = fittings_of(draw, extent, suppliers, chains, legs)
    if draw.random() < 0.15:
        legs[0] = _narrowed(draw, legs[0], anchors, chains)
    farm = Farm(
        project=project,
        legs=tuple(legs),
        seabeds=SEABEDS,
        anchors=tuple(anchors),
        chains=tuple(chains),
        suppliers=tuple(suppliers),
        services=tuple(services),
        vessels=tuple(_vessels(draw, extent, anchors)),
        ropes=tuple(ropes),
        fittings=tuple(fittings),
        uplift_losses=tuple(losses),
        declared_holdings=tuple(declared),
        holding_laws=tuple(laws),
        readings=tuple(readings),
        price_breaks=tuple(price_breaks_of(draw, anchors, chains, ropes, fittings)),
        on_hand=tuple(on_hand_of(draw, anchors, chains, ropes, fittings)),
        origin_file=f"random {size} {seed}",
    )
    farm = with_basis(farm, f"{size} {seed}")
    return with_terms(farm, f"{size} {seed}")


def _share(draw: random.Random, chance: float, *percents: int) -> float:
    return draw.choice(percents) / 100 if draw.random() < chance else 0.0


def _project(draw: random.Random, extent: Extent) -> Project:
    dated = draw.random() < 0.25
    ordered = date(2031, 3, 3)
    limited = draw.random()
    factors = sorted(draw.sample((1.5, 2.0, 2.5, 3.0), k=extent.rope_factors))
    return Project(
        name="Invented farm",
        most_anchors_per_leg=2 if draw.random() < 0.3 else 1,
        pull_test_scatter=draw.choice((None, 0.15, 0.2)),
        rope_lengths_tried=tuple(factors),
        longest_chain_m=draw.choice((80.0, 110.0)),
        cutting_step_m=draw.choice((0.5, 1.0, 5.0)),
        service_life_years=draw.choice((0.0, 8.0)),
        chain_wear_mm_per_year=draw.choice((0.0, 0.3)),
        setting_pull_share=draw.choice((0.0, 0.5)),
        spare_anchor_share=_share(draw, 0.3, 10, 20),
        insurance_share=_share(draw, 0.5, 1, 2),
        contingency_share=_share(draw, 0.3, 5),
        most_anchor_models=1 if limited < 0.15 else None,
        most_suppliers=2 if 0.15 <= limited < 0.25 else None,
        order_date=ordered if dated else None,
        required_on_site=ordered + timedelta(days=draw.choice((70, 100))) if dated else None,
    )


def _trade(draw: random.Random, extent: Extent) -> tuple[list[Supplier], list[FreightService]]:
    """Return the suppliers, most with an origin of their own, and the services from each."""
    suppliers: list[Supplier] = []
    services: list[FreightService] = []
    for number in range(1, draw.randint(*extent.suppliers) + 1):
        shared = number > 1 and draw.random() < 0.25
        origin = "Port 1" if shared else f"Port {number}"
        currency, rate = draw.choice((("EUR", 1.0), ("XTS", 0.8), ("XXX", 0.125)))
        suppliers.append(
            Supplier(
                f"Supplier {number}",
                origin,
                currency,
                rate,
                order_charge=draw.choice((0.0, 150.0, 400.0)),
                lead_time_days=draw.choice((None, 20, 40)),
                duty_share=_share(draw, 0.5, 2, 4),
            )
        )
        if shared:
            continue
        bases = [Basis.CONTAINER, Basis.MEASURE, draw.choice(list(Basis))]
        for basis in draw.sample(bases, k=draw.randint(*extent.services_each)):
            services.append(_service(draw, f"Service {len(services) + 1}", origin, basis))
    return suppliers, services


def _service(draw: random.Random, name: str, origin: str, basis: Basis) -> FreightService:
    currency, rate = draw.choice((("EUR", 1.0), ("XTS", 0.8)))
    transit = draw.choice((None, 10, 30))
    minimum, fixed = draw.choice((0.0, 250.0, 900.0)), draw.choice((0.0, 120.0))
    if basis is Basis.MEASURE:
        return FreightService(
            name,
            origin,
            basis,
            stepped(draw, 60, 160, 5),
            currency,
            rate,
            m3_per_tonne=draw.choice((1.0, 3.0)),
            transit_days=transit,
            minimum_charge=minimum,
            fixed_charge=fixed,
        )
    long = draw.random() < 0.4
    return FreightService(
        name,
        origin,
        basis,
        stepped(draw, 900, 2600, 50) * (1.5 if long else 1.0),
        currency,
        rate,
        volume_m3=67.0 if long else 33.0,
        payload_t=26.0 if long else draw.choice((6.0, 22.0)),
        inside_length_mm=12000.0 if long else 5900.0,
        door_width_mm=2340.0,
        door_height_mm=draw.choice((1500.0, 2280.0)),
        available=draw.choice((None, None, 3)),
        transit_days=transit,
        minimum_charge=minimum,
        fixed_charge=fixed,
    )


def _legs(draw: random.Random, extent: Extent) -> list[Leg]:
    legs: list[Leg] = []
    left = extent.most_legs
    for number in range(1, draw.randint(*extent.groups) + 1):
        if left < 1:
            break
        count = min(draw.randint(1, extent.most_in_group), left)
        left -= count
        depth = stepped(draw, 8, 24, 0.5)
        legs.append(
            Leg(
                f"L{number}",
                design_tension_kn=stepped(draw, 6, 26, 0.5),
                depth_m=depth,
                seabed=draw.choice(SEABEDS).name,
                allowed_drag_m=draw.choice((3.0, 5.0, 8.0)),
                group=draw.choice(("", "corner")),
                count=count,
                longest_radius_m=round(depth * 7) if draw.random() < 0.2 else None,
            )
        )
    return legs


def _narrowed(draw: random.Random, leg: Leg, anchors: list[Anchor], chains: list[Chain]) -> Leg:
    """Return a leg for which not everything may be used."""
    how = draw.choice(("family", "anchor", "chain"))
    return Leg(
        leg.name,
        leg.design_tension_kn,
        leg.depth_m,
        leg.seabed,
        leg.allowed_drag_m,
        leg.group,
        leg.count,
        leg.longest_radius_m,
        allowed_families=(draw.choice(anchors).family,) if how == "family" else (),
        fixed_anchor=draw.choice(anchors).name if how == "anchor" else None,
        fixed_chain=draw.choice(chains).name if how == "chain" else None,
    )


def _vessels(draw: random.Random, extent: Extent, anchors: list[Anchor]) -> list[Vessel]:
    heaviest = max(anchor.mass_kg for anchor in anchors)
    vessels = []
    for number in range(1, extent.vessels + 1):
        big = number == 1
        crane = heaviest * 1.3 / 1000 * 1.1 if big else draw.choice((0.6, 1.0, 2.5))
        vessels.append(
            Vessel(
                f"V{number}",
                day_rate=stepped(draw, 2400, 5200, 100) if big else stepped(draw, 1200, 2600, 100),
                working_hours_per_day=draw.choice((8.0, 10.0, 12.0)),
                crane_limit_t=round(crane + 0.05, 1),
                deck_load_t=draw.choice((16.0, 24.0)) if big else draw.choice((4.0, 7.0)),
                deck_area_m2=draw.choice((30.0, 60.0)) if big else draw.choice((8.0, 14.0)),
                round_trip_h=draw.choice((1.5, 2.5, 4.0)),
                shifting_min_per_leg=draw.choice((15.0, 30.0)),
                mobilisation=draw.choice((0.0, 800.0, 2500.0)),
                workable_share=draw.choice((1.0, 0.75)),
                bollard_pull_kn=60.0 if big else draw.choice((None, 12.0, 40.0)),
                fuel_per_trip=draw.choice((0.0, 150.0)),
                most_days=draw.choice((None, None, 2, 30)) if not big else None,
            )
        )
    return vessels
