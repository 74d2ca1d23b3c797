"""Plant-location instances of the textbooks, and the farms that say the same.

Markets are leg groups, a line for each unit of demand; plants are anchor models, each held for a
market by its own declared holding. Chain lying on the seabed takes friction × submerged weight a
metre off the pull that the anchor must hold, so a holding decides how long the chain must be: it
is chosen such that a line of this market by this plant's anchor needs as many metres of chain as
the instance has cost a unit. All else is free, but for what opens a plant.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import Anchor, TransportForm
from moorledger.models.goods.chain import Chain
from moorledger.models.goods.freight import Basis, FreightService
from moorledger.models.goods.price import PriceBreak, Scheme
from moorledger.models.goods.supplier import Supplier
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.leg import Leg
from moorledger.models.site.project import Project
from moorledger.models.site.seabed import Seabed
from moorledger.models.site.vessel import Vessel
from moorledger.optimiser.choices.choices import Choices
from moorledger.optimiser.choices.make_ups import MakeUps


class OpenedBy(StrEnum):
    """What a farm pays once for a plant."""

    ORDER_CHARGE = "order charge of its supplier"
    FIRST_UNIT = "price of the first unit, the others free"
    FIXED_CHARGE = "fixed charge of its freight service"
    LEAST_CHARGE = "least charge of its freight service"
    CONTAINER = "rate of its one container"
    MOBILISATION = "mobilisation of its vessel"
    """Only with choices made by hand, which tie an anchor to a vessel."""


PLAIN_FREIGHT = (OpenedBy.ORDER_CHARGE, OpenedBy.FIRST_UNIT, OpenedBy.MOBILISATION)
"""Ways that leave freight free; the plant's capacity is then what its supplier has available."""


@dataclass(frozen=True)
class Plant:
    """A plant that may be opened."""

    site: str
    size: str
    fixed_cost: float
    capacity: int
    unit_cost: tuple[int, ...]
    """By market."""

    @property
    def name(self) -> str:
        """Site and size."""
        return f"{self.site} {self.size}"


@dataclass(frozen=True)
class Instance:
    """Plants to open and markets to serve at least cost."""

    markets: dict[str, int]
    """Demand by market."""
    plants: tuple[Plant, ...]
    money: float = 1.0
    """What 1 of a unit cost is worth."""


def _sun_oil() -> Instance:
    regions = ("North America", "South America", "Europe", "Asia", "Africa")
    unit_cost = (
        (81, 92, 101, 130, 115),
        (117, 77, 108, 98, 100),
        (102, 105, 95, 119, 111),
        (115, 125, 90, 59, 74),
        (142, 100, 103, 105, 71),
    )
    sizes = {
        "low": (10, (6000, 4500, 6500, 4100, 4000)),
        "high": (20, (9000, 6750, 9750, 6150, 6000)),
    }
    return Instance(
        dict(zip(regions, (12, 8, 14, 16, 7), strict=True)),
        tuple(
            Plant(region, size, fixed, capacity, costs)
            for size, (capacity, fixed_costs) in sizes.items()
            for region, fixed, costs in zip(regions, fixed_costs, unit_cost, strict=True)
        ),
    )


SUN_OIL = _sun_oil()
"""Chopra & Meindl, Supply Chain Management, the SunOil example: million units, thousand dollars a
year. Data seen in a copy whose rows were interleaved; the decoding is ours."""

WAREHOUSES = Instance(
    {"market 1": 10, "market 2": 9, "market 3": 6},
    (
        Plant("Denver", "one", 30_000, 15, (89, 54, 48)),
        Plant("Memphis", "one", 25_000, 16, (49, 65, 35)),
        Plant("Richmond", "one", 35_000, 10, (29, 101, 39)),
    ),
    50.0,
)
"""A course's example of three warehouses, data seen in a copy: demand 500, 450 and 300, capacity
750, 800 and 500; all six are whole lots of 50."""

TENSION_KN, DEPTH_M, FRICTION = 10.0, 0.5, 0.5

CHAIN = Chain(
    name="chain",
    supplier="chain works",
    diameter_mm=20.0,
    mass_kg_per_m=10.0,
    breaking_load_kn=100.0,
    price_per_m=1.0,
    length_sold_m=1.0,
    packed_volume_m3=0.001,
)

VESSEL = Vessel(
    name="vessel",
    day_rate=0.0,
    working_hours_per_day=24.0,
    crane_limit_t=2.0,
    deck_load_t=100.0,
    deck_area_m2=100.0,
    round_trip_h=1.0,
    shifting_min_per_leg=1.0,
)


def holding_for(chain_m: float) -> float:
    """Return the holding, kN, that needs so many metres of chain at the least, less half a metre.

    By hand: a line without uplift pulls H = T − w d level and hangs over √(d² + 2 d H ÷ w);
    friction takes μ w off for each metre that lies.
    """
    weight = CHAIN.submerged_weight_kn_m
    level = TENSION_KN - weight * DEPTH_M
    hanging_m = math.sqrt(DEPTH_M**2 + 2 * DEPTH_M * level / weight)
    return level - FRICTION * weight * (chain_m - 0.5 - hanging_m)


def farm_of(instance: Instance, opened_by: OpenedBy) -> Farm:
    """Return the farm that costs what the instance does, its plants opened this way.

    By freight, the plants of one site are services of one origin; else each sells its own anchor.
    """
    by_freight = opened_by not in PLAIN_FREIGHT
    anchors = {p.site if by_freight else p.name: p for p in instance.plants}
    services = [FreightService("chain freight", CHAIN.supplier, Basis.MEASURE, 0.0, "EUR", 1.0)]
    for name, plant in {p.name: p for p in instance.plants}.items():
        origin = plant.site if by_freight else name
        services.append(_service(plant, origin, opened_by))
    charged = opened_by is OpenedBy.ORDER_CHARGE
    return Farm(
        project=Project(
            make_ups_per_leg_group=None,
            anchor_safety_factor=1.0,
            cutting_step_m=1.0,
            longest_chain_m=150.0,
        ),
        legs=tuple(
            Leg(market, TENSION_KN, DEPTH_M, market, allowed_drag_m=3.0, count=demand)
            for market, demand in instance.markets.items()
        ),
        seabeds=tuple(Seabed(market, FRICTION) for market in instance.markets),
        anchors=tuple(_anchor(name, plant, opened_by) for name, plant in anchors.items()),
        chains=(replace(CHAIN, price_per_m=instance.money),),
        suppliers=(
            Supplier(CHAIN.supplier, CHAIN.supplier, "EUR", 1.0),
            *(
                Supplier(name, name, "EUR", 1.0, plant.fixed_cost if charged else 0.0)
                for name, plant in anchors.items()
            ),
        ),
        services=tuple(services),
        vessels=(VESSEL,),
        declared_holdings=tuple(
            DeclaredHolding(name, market, holding_for(cost), "for the instance")
            for name, plant in anchors.items()
            for market, cost in zip(instance.markets, plant.unit_cost, strict=True)
        ),
        price_breaks=tuple(
            PriceBreak(name, 2, 0.0, Scheme.INCREMENTAL)
            for name in anchors
            if opened_by is OpenedBy.FIRST_UNIT
        ),
    )


def _anchor(name: str, plant: Plant, opened_by: OpenedBy) -> Anchor:
    """Return the anchor of a plant; a pack of one weighs 1 t."""
    return Anchor(
        name=name,
        supplier=name,
        family="any",
        transport_form=TransportForm.SOLID,
        mass_kg=1000.0,
        unit_price=plant.fixed_cost if opened_by is OpenedBy.FIRST_UNIT else 0.0,
        lowering_min=1.0,
        setting_min=1.0,
        deck_area_m2=1.0,
        pack_length_mm=1000.0,
        pack_width_mm=1000.0,
        pack_height_mm=1000.0,
        available=plant.capacity if opened_by in PLAIN_FREIGHT else None,
    )


def _service(plant: Plant, origin: str, opened_by: OpenedBy) -> FreightService:
    """Return the freight of a plant: free, or one container that holds what the plant can make."""
    if opened_by in PLAIN_FREIGHT:
        return FreightService(plant.name, origin, Basis.MEASURE, 0.0, "EUR", 1.0)
    return FreightService(
        plant.name,
        origin,
        Basis.CONTAINER,
        plant.fixed_cost if opened_by is OpenedBy.CONTAINER else 0.0,
        "EUR",
        1.0,
        payload_t=float(plant.capacity),
        available=1,
        fixed_charge=plant.fixed_cost if opened_by is OpenedBy.FIXED_CHARGE else 0.0,
        minimum_charge=plant.fixed_cost if opened_by is OpenedBy.LEAST_CHARGE else 0.0,
    )


def farm_and_choices_of(instance: Instance, opened_by: OpenedBy) -> tuple[Farm, Choices]:
    """Return the same farm with its choices made by hand: the unit costs are vessel hours.

    For costs too many or too large for metres of chain. A farm's own hours do not depend on leg
    and anchor together; these do, so such a farm can be solved, but not priced from a workbook.
    """
    vessel = replace(
        VESSEL, working_hours_per_day=1.0, day_rate=instance.money, round_trip_h=0.0
    )  # whoever lays a line sails once: that must cost nothing here
    by_vessel = opened_by is OpenedBy.MOBILISATION
    farm = replace(
        farm_of(instance, opened_by),
        chains=(replace(CHAIN, price_per_m=0.0, length_sold_m=100.0),),
        vessels=tuple(
            replace(vessel, name=plant.name, mobilisation=plant.fixed_cost)
            for plant in instance.plants
        )
        if by_vessel
        else (vessel,),
        declared_holdings=(),
    )
    costs = np.array([plant.unit_cost for plant in instance.plants], dtype=float)
    anchor, leg = (part.reshape(-1) for part in np.indices(costs.shape))
    one, none = np.ones_like(leg), np.zeros_like(leg)
    made = MakeUps(leg, anchor, one, none, one.astype(float), -one, none.astype(float))
    weightless = none.astype(float)
    return farm, Choices(
        made, anchor if by_vessel else none, costs.reshape(-1), weightless, weightless
    )
