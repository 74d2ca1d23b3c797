"""Three invented farms of growing size. No supplier, product, price or place in them is real."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from moorledger.models.constants import STEEL_KG_M3
from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import Anchor, HoldsBy, TransportForm
from moorledger.models.goods.chain import Chain
from moorledger.models.goods.fitting import Fitting, UsedPer
from moorledger.models.goods.freight import Basis, FreightService
from moorledger.models.goods.price import PriceBreak, Scheme
from moorledger.models.goods.rope import Rope
from moorledger.models.goods.supplier import Supplier
from moorledger.models.site.declared_holding import HoldingLaw
from moorledger.models.site.leg import Leg
from moorledger.models.site.project import FactorActsOn, Project
from moorledger.models.site.seabed import Seabed
from moorledger.models.site.vessel import Vessel


@dataclass(frozen=True)
class Size:
    """How much of everything a farm has; it has one supplier more than origins."""

    groups: int
    legs: int
    anchors: int
    chains: int
    ropes: int
    vessels: int
    origins: int
    lightest_kg: float = 20.0
    """Mass of the least anchor of a family, before chance."""
    largest_tension_kn: float = 42.0
    seed: int = 1


SIZES = {
    "cove": Size(
        groups=6,
        legs=40,
        anchors=8,
        chains=3,
        ropes=2,
        vessels=2,
        origins=2,
        lightest_kg=90.0,
        largest_tension_kn=30.0,
    ),
    "sound": Size(groups=20, legs=128, anchors=20, chains=5, ropes=3, vessels=3, origins=3),
    "coast": Size(groups=60, legs=1000, anchors=40, chains=6, ropes=4, vessels=3, origins=4),
}


@dataclass(frozen=True)
class Family:
    """An invented anchor family."""

    name: str
    holding_kn: float
    """Of 100 kg, in sand; 0: it holds by weight."""
    price_per_kg: float
    largest_uplift_deg: float
    pack_height_mm: float = 800.0


FAMILIES = (
    Family("folding plate", 58.8, 9.0, 10.0, pack_height_mm=150.0),
    Family("hinged fluke", 29.4, 5.0, 6.0),
    Family("fixed fluke", 24.5, 5.0, 4.0),
    Family("stockless", 5.88, 5.0, 0.0),
    Family("deadweight", 0.0, 0.35, 60.0),
)

MUD_SHARE = 0.55
"""Holding in mud, of that in sand."""

FIRST_BREAK, SECOND_BREAK, LENGTHS_BREAK = 20, 50, 31
"""From how many anchors, or lengths of chain, the price falls."""


def farm_of(name: str) -> Farm:
    """Return "cove", "sound" or "coast"; the same at every call. Raises KeyError."""
    size = SIZES[name]
    chance = random.Random(size.seed)
    anchors = _anchors(size, chance)
    chains = tuple(_chain(n, size) for n in range(size.chains))
    return Farm(
        Project(
            name=f"Benchmark {name} (invented)",
            most_anchors_per_leg=2,
            spare_anchor_share=0.05,
            insurance_share=0.006,
            setting_pull_share=0.5,
            # What the settings were when these farms were first timed, so that they stay moorable
            # and as many choices as they were; a group has one make-up, as by default.
            safety_factor_acts_on=FactorActsOn.ANCHOR_LOAD,
            rope_in_each_eye_m=0.0,
            shortest_chain_m=0.5,
        ),
        _legs(size, chance),
        (Seabed("sand", 0.74, 0.45), Seabed("mud", 0.6, 0.3)),
        anchors,
        chains,
        tuple(
            Supplier(
                _supplier(n, size),
                _origin(n % size.origins),
                "EUR",
                1.0,
                order_charge=250.0 + 100 * n,
                duty_share=round(0.02 * n, 2),
            )
            for n in range(size.origins + 1)
        ),
        tuple(service for n in range(size.origins) for service in _services(n)),
        tuple(_vessel(n) for n in range(size.vessels)),
        tuple(_rope(n, size) for n in range(size.ropes)),
        (
            Fitting("shackle", _supplier(0, size), UsedPer.LEG, 3, 900.0, 8.0, 1.5, 0.001),
            Fitting("swivel", _supplier(0, size), UsedPer.ANCHOR, 1, 900.0, 22.0, 2.5, 0.002),
        ),
        holding_laws=tuple(
            HoldingLaw(
                family.name, seabed, 100.0, round(family.holding_kn * share, 3), 0.85, "invented"
            )
            for family in FAMILIES
            if family.holding_kn
            for seabed, share in (("sand", 1.0), ("mud", MUD_SHARE))
        ),
        price_breaks=_price_breaks(anchors, chains),
    )


def _supplier(number: int, size: Size) -> str:
    return f"Supplier {number % (size.origins + 1) + 1}"


def _origin(number: int) -> str:
    return f"Origin {number + 1}"


def _anchors(size: Size, chance: random.Random) -> tuple[Anchor, ...]:
    """Return the families in turn, each model of a family heavier than the one before."""
    anchors = []
    for n in range(size.anchors):
        family, step = FAMILIES[n % len(FAMILIES)], n // len(FAMILIES)
        by_weight, folds = not family.holding_kn, family.name == "folding plate"
        if by_weight:
            mass = 1000.0 + 800 * step
        else:
            heavier = 3 if family.name == "stockless" else 1
            mass = float(round((size.lightest_kg + 25 * step) * chance.uniform(0.9, 1.1) * heavier))
        anchors.append(
            Anchor(
                f"{family.name} {step + 1}",
                _supplier(n, size),
                family.name,
                TransportForm.FOLDING if folds else TransportForm.SOLID,
                mass,
                round(mass * family.price_per_kg * chance.uniform(0.9, 1.1), 2),
                lowering_min=25.0 if mass > 200 else 20.0,
                setting_min=15.0,
                deck_area_m2=round(0.3 + mass / 200, 2),
                pack_length_mm=1200.0 + 2 * mass,
                pack_width_mm=900.0 + mass,
                pack_height_mm=family.pack_height_mm,
                pack_quantity=4 if folds else 1,
                largest_uplift_deg=family.largest_uplift_deg,
                holds_by=HoldsBy.WEIGHT if by_weight else HoldsBy.EMBEDDING,
                stated_density_kg_m3=STEEL_KG_M3 if by_weight else None,
                minimum_order=chance.choice([0, 0, 4, 10]),
            )
        )
    return tuple(anchors)


def _legs(size: Size, chance: random.Random) -> tuple[Leg, ...]:
    """Return groups of uneven size that add up to the farm's legs."""
    legs, left = [], size.legs
    for n in range(size.groups):
        others = size.groups - n - 1
        count = left
        if others:
            count = max(1, round(left / (others + 1) * chance.uniform(0.6, 1.4)))
        left -= count
        tension = round(chance.uniform(8, size.largest_tension_kn), 1)
        depth = round(chance.uniform(10, 35), 1)
        legs.append(
            Leg(f"Group {n + 1}", tension, depth, chance.choice(["sand", "mud"]), 2.0, count=count)
        )
    return tuple(legs)


def _chain(number: int, size: Size) -> Chain:
    diameter = 13.0 + 3 * number
    mass = round(0.0205 * diameter**2, 3)
    breaking = round(0.32 * math.pi * diameter**2, 1)
    return Chain(
        f"chain {diameter:g} mm",
        _supplier(number, size),
        diameter,
        mass,
        breaking,
        round(mass * 2.2, 2),
        27.5,
        round(0.0002 * diameter**2, 4),
    )


def _rope(number: int, size: Size) -> Rope:
    diameter = 28.0 + 8 * number
    return Rope(
        f"rope {diameter:g} mm",
        _supplier(number + 1, size),
        diameter,
        round(0.5 + 0.35 * number, 2),
        (1380.0, 910.0)[number % 2],
        110.0 + 100 * number,
        round(2 + 1.6 * number, 2),
        220.0,
        round(0.25 + 0.1 * number, 2),
    )


def _services(number: int) -> tuple[FreightService, ...]:
    """Return two sizes of container and freight by measure from one origin."""
    origin = _origin(number)

    def containers(
        name: str, rate: float, volume_m3: float, payload_t: float, length_mm: float
    ) -> FreightService:
        return FreightService(
            f"{origin}, {name}",
            origin,
            Basis.CONTAINER,
            rate + 300 * number,
            "EUR",
            1.0,
            volume_m3,
            payload_t,
            length_mm,
            2330.0,
            2350.0,
            2286.0,
            2261.0,
            fixed_charge=150.0,
        )

    return (
        containers("short container", 2400.0, 33.0, 25.0, 5867.0),
        FreightService(
            f"{origin}, by measure",
            origin,
            Basis.MEASURE,
            130.0 + 15 * number,
            "EUR",
            1.0,
            minimum_charge=120.0,
            fixed_charge=60.0,
        ),
        containers("long container", 3900.0, 67.0, 26.0, 11998.0),
    )


def _vessel(number: int) -> Vessel:
    return Vessel(
        f"Vessel {number + 1}",
        1800.0 + 1700 * number,
        10.0,
        round(1.2 + 3 * number, 1),
        6.0 + 10 * number,
        12.0 + 18 * number,
        2.5,
        20.0 + 5 * number,
        mobilisation=500.0 + 2500 * number,
        workable_share=0.75,
        bollard_pull_kn=40.0 + 60 * number,
        fuel_per_trip=90.0 + 60 * number,
    )


def _price_breaks(anchors: tuple[Anchor, ...], chains: tuple[Chain, ...]) -> tuple[PriceBreak, ...]:
    """Return all-units breaks for every second anchor, incremental ones for every second chain."""
    return tuple(
        PriceBreak(anchor.name, start, round(anchor.unit_price * share, 2))
        for start, share in ((FIRST_BREAK, 0.93), (SECOND_BREAK, 0.88))
        for anchor in anchors[::2]
    ) + tuple(
        PriceBreak(
            chain.name, LENGTHS_BREAK, round(chain.price_per_m * 0.94, 2), Scheme.INCREMENTAL
        )
        for chain in chains[::2]
    )
