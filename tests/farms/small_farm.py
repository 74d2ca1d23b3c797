"""A farm of one leg, invented, small enough that a test can change just what it is about."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import Anchor, TransportForm
from moorledger.models.goods.chain import Chain
from moorledger.models.goods.fitting import Fitting, UsedPer
from moorledger.models.goods.freight import Basis, FreightService
from moorledger.models.goods.rope import Rope
from moorledger.models.goods.supplier import Supplier
from moorledger.models.site.leg import Leg
from moorledger.models.site.project import Project
from moorledger.models.site.pull_test import Event, Reading
from moorledger.models.site.seabed import Seabed
from moorledger.models.site.vessel import Vessel

ANCHOR = Anchor(
    name="hinged 300",
    supplier="east works",
    family="hinged fluke",
    transport_form=TransportForm.SOLID,
    mass_kg=300.0,
    unit_price=900.0,
    lowering_min=20.0,
    setting_min=30.0,
    deck_area_m2=2.0,
    pack_length_mm=2000.0,
    pack_width_mm=1500.0,
    pack_height_mm=600.0,
)
CHAIN = Chain(
    name="stud 20",
    supplier="east works",
    diameter_mm=20.0,
    mass_kg_per_m=8.8,
    breaking_load_kn=240.0,
    price_per_m=18.0,
    length_sold_m=27.5,
    packed_volume_m3=0.3,
)
ROPE = Rope(
    name="polyester 40",
    supplier="east works",
    diameter_mm=40.0,
    mass_kg_per_m=1.2,
    density_kg_m3=1380.0,
    breaking_load_kn=235.0,
    price_per_m=6.0,
    length_sold_m=220.0,
    packed_volume_m3=0.6,
)
SHACKLE = Fitting(
    name="shackle 22",
    supplier="east works",
    used_per=UsedPer.LEG,
    quantity=2,
    breaking_load_kn=300.0,
    unit_price=12.0,
    mass_kg=2.0,
    packed_volume_m3=0.001,
)
LEG = Leg("north", design_tension_kn=40.0, depth_m=30.0, seabed="sand", allowed_drag_m=3.0)
SEABED = Seabed("sand", chain_friction=0.7, deadweight_friction=0.5)
SUPPLIER = Supplier("east works", origin="east port", currency="EUR", exchange_rate=1.0)
SERVICE = FreightService(
    name="sea by measure",
    origin="east port",
    basis=Basis.MEASURE,
    rate=80.0,
    currency="EUR",
    exchange_rate=1.0,
)
VESSEL = Vessel(
    name="work boat",
    day_rate=3000.0,
    working_hours_per_day=10.0,
    crane_limit_t=8.0,
    deck_load_t=30.0,
    deck_area_m2=60.0,
    round_trip_h=3.0,
    shifting_min_per_leg=30.0,
)

FARM = Farm(
    project=Project(),
    legs=(LEG,),
    seabeds=(SEABED,),
    anchors=(ANCHOR,),
    chains=(CHAIN,),
    suppliers=(SUPPLIER,),
    services=(SERVICE,),
    vessels=(VESSEL,),
    ropes=(ROPE,),
    fittings=(SHACKLE,),
)


def farm_with(**changes: Any) -> Farm:
    """Return the small farm with these fields changed."""
    return replace(FARM, **changes)


def run(
    name: str,
    points: list[tuple[float, float] | tuple[float, float, Event]],
    anchor: str = ANCHOR.name,
    seabed: str = SEABED.name,
) -> tuple[Reading, ...]:
    """Return the readings of one pull test from (drag m, load kN, event) points."""
    return tuple(Reading(name, anchor, seabed, *point) for point in points)
