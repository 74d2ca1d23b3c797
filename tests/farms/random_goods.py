"""Goods made up at random, and what is known of them; every number is invented."""

from __future__ import annotations

import random
from dataclasses import dataclass

from moorledger.models.goods.anchor import Anchor, HoldsBy, TransportForm, UpliftLoss
from moorledger.models.goods.chain import Chain
from moorledger.models.goods.fitting import Fitting, UsedPer
from moorledger.models.goods.price import PriceBreak, Scheme
from moorledger.models.goods.rope import Rope
from moorledger.models.goods.supplier import OnHand, Supplier
from moorledger.models.site.declared_holding import DeclaredHolding, HoldingLaw
from moorledger.models.site.leg import Leg
from moorledger.models.site.project import Project
from moorledger.models.site.pull_test import Event, Reading
from moorledger.models.site.seabed import Seabed

SEABEDS = (
    Seabed("sand", 0.7, 0.5, "invented"),
    Seabed("mud", 0.5, 0.4, "invented"),
)


@dataclass(frozen=True)
class FamilyTraits:
    """How an invented family comes out: holding ÷ weight, money per kg, how it travels."""

    efficiency: tuple[float, float]
    price_per_kg: tuple[float, float]
    form: TransportForm
    m3_per_kg: float


FAMILIES = {
    "folding plate": FamilyTraits((22, 34), (4.5, 7.0), TransportForm.FOLDING, 0.0006),
    "hinged fluke": FamilyTraits((11, 20), (2.6, 4.0), TransportForm.SOLID, 0.0022),
    "stockless": FamilyTraits((4, 7), (1.8, 2.6), TransportForm.SOLID, 0.0014),
    "fixed fluke": FamilyTraits((14, 24), (3.0, 4.8), TransportForm.SOLID, 0.0032),
}


@dataclass(frozen=True)
class Extent:
    """Least and most of each kind of record."""

    groups: tuple[int, int]
    most_in_group: int
    most_legs: int
    anchors: tuple[int, int]
    chains: tuple[int, int]
    ropes: tuple[int, int]
    fittings: tuple[int, int]
    suppliers: tuple[int, int]
    services_each: tuple[int, int]
    vessels: int
    rope_factors: int


def stepped(draw: random.Random, low: float, high: float, step: float) -> float:
    """Return a multiple of `step` between two numbers, as short in decimals as it can be."""
    return round(draw.randint(round(low / step), round(high / step)) * step, 6)


Evidence = tuple[
    list[Anchor], list[UpliftLoss], list[DeclaredHolding], list[HoldingLaw], list[Reading]
]


def anchors_of(
    draw: random.Random,
    extent: Extent,
    suppliers: list[Supplier],
    legs: list[Leg],
    project: Project,
) -> Evidence:
    """Return the anchors and all that is known of them."""
    anchors: list[Anchor] = []
    losses: list[UpliftLoss] = []
    declared: list[DeclaredHolding] = []
    readings: list[Reading] = []
    hardest = max(leg.design_tension_kn for leg in legs)
    wanted = draw.randint(*extent.anchors)
    for number in range(1, wanted + 1):
        name = f"A{number}"
        seller = draw.choice(suppliers).name
        if number == wanted and number > 2 and draw.random() < 0.4:
            anchors.append(_deadweight(draw, name, seller))
            continue
        family = draw.choice(list(FAMILIES))
        traits = FAMILIES[family]
        efficiency = draw.uniform(*traits.efficiency)
        holding = hardest * draw.uniform(0.9, 3.2) if number > 1 else hardest * 2.6
        mass = max(round(holding / (efficiency * 0.00980665) / 5) * 5, 20)
        quantity = draw.choice((1, 2, 4)) if traits.form is TransportForm.FOLDING else 1
        long = round((mass * traits.m3_per_kg * 4) ** (1 / 3) * 1000 / 50) * 50 + 50
        anchors.append(
            Anchor(
                name,
                seller,
                family,
                traits.form,
                mass_kg=mass,
                unit_price=round(mass * draw.uniform(*traits.price_per_kg)),
                lowering_min=draw.choice((10.0, 15.0)),
                setting_min=draw.choice((15.0, 25.0)),
                deck_area_m2=round(0.3 + mass / 400, 2),
                pack_length_mm=float(long),
                pack_width_mm=float(long // 2),
                pack_height_mm=float(long // 2) * (1 if quantity == 1 else 2),
                pack_quantity=quantity,
                stated_pack_mass_kg=quantity * mass + 20.0 if quantity > 1 else None,
                assembly_min=20.0 if traits.form is TransportForm.FOLDING else 0.0,
                largest_uplift_deg=draw.choice((0.0, 6.0, 12.0)) if number > 1 else 10.0,
                structural_limit_kn=round(hardest * 2.5) if draw.random() < 0.2 else None,
                safety_factor=2.0 if draw.random() < 0.1 else None,
                minimum_order=draw.choice((0, 0, 0, 2, 5)),
                order_multiple=draw.choice((1, 1, 1, 2)),
                available=draw.choice((None, None, None, 12 * extent.groups[0])),
                lead_time_days=draw.choice((None, None, 60)),
                duty_share=draw.choice((None, None, 0.0)),
            )
        )
        if draw.random() < 0.4:
            target = name if draw.random() < 0.5 else family
            if not any(loss.anchor_or_family == target for loss in losses):
                losses += [UpliftLoss(target, 5.0, 0.8), UpliftLoss(target, 12.0, 0.55)]
        for bed in SEABEDS:
            worth = round(holding * (1.0 if bed.name == "sand" else 0.85), 1)
            kind = draw.random()
            if kind < 0.35 or number == 1:
                tested = number > 1 and draw.random() < 0.3
                row = DeclaredHolding(name, bed.name, worth, "invented", overrides_tests=tested)
                declared.append(row)
                if tested:
                    for run in range(1, draw.randint(1, 3) + 1):
                        test = f"{name} {bed.name} {run}"
                        readings += _run(draw, test, name, bed.name, worth * 0.9)
            elif kind < 0.8 or family not in ("stockless", "hinged fluke"):
                runs = draw.choice((1, 3, 4)) if project.pull_test_scatter else draw.choice((2, 3))
                for run in range(1, runs + 1):
                    test = f"{name} {bed.name} {run}"
                    readings += _run(draw, test, name, bed.name, worth * 1.6)
                for run in range(draw.choice((0, 0, 1, 2))):
                    test = f"{name} {bed.name} pull {run + 1}"
                    readings += _stopped(draw, test, name, bed.name, worth * 1.6)
    laws = [
        HoldingLaw(
            family,
            bed.name,
            300.0,
            round(300 * efficiency * 0.0098, 1),
            0.92,
            "invented",
            scatter=draw.choice((None, None, 0.15)),
        )
        for family, efficiency in (("stockless", 5.0), ("hinged fluke", 14.0))
        for bed in SEABEDS
        if any(anchor.family == family for anchor in anchors)
    ]
    return anchors, losses, declared, laws, readings


def _deadweight(draw: random.Random, name: str, seller: str) -> Anchor:
    mass = stepped(draw, 2500, 7500, 500)
    side = round((mass / 2400) ** (1 / 3) * 1000 / 10) * 10.0
    return Anchor(
        name,
        seller,
        "deadweight",
        TransportForm.SOLID,
        mass_kg=mass,
        unit_price=stepped(draw, mass * 0.12, mass * 0.3, 5),
        lowering_min=20.0,
        setting_min=0.0,
        deck_area_m2=2.5,
        pack_length_mm=side,
        pack_width_mm=side,
        pack_height_mm=side,
        largest_uplift_deg=20.0,
        stated_volume_m3=round(mass / 2400, 3) if draw.random() < 0.5 else None,
        stated_density_kg_m3=2400.0,
        holds_by=HoldsBy.WEIGHT,
    )


def _run(
    draw: random.Random, test: str, anchor: str, seabed: str, strength: float
) -> list[Reading]:
    """Return the readings of one pull test that builds up to about `strength`."""
    peak = strength * draw.uniform(0.92, 1.08)
    drags = (0.5, 1.5, 3.0, 6.0, 9.0)
    loads = [round(peak * min(1.0, 0.35 + 0.18 * at), 1) for at in range(len(drags))]
    ending = draw.choice((Event.NONE, Event.NONE, Event.STOPPED, Event.ROLLED_OUT, Event.BROKE))
    events = [Event.NONE] * (len(drags) - 1) + [ending]
    return [
        Reading(test, anchor, seabed, drag, load, event)
        for drag, load, event in zip(drags, loads, events, strict=True)
    ]


def _stopped(
    draw: random.Random, test: str, anchor: str, seabed: str, strength: float
) -> list[Reading]:
    """Return the readings of a pull that was stopped while the anchor held, early or late."""
    share = draw.choice((0.4, 0.8, 1.1))
    ends = draw.choice((1.0, 2.0))
    return [
        Reading(test, anchor, seabed, 0.5, round(strength * share * 0.7, 1)),
        Reading(test, anchor, seabed, ends, round(strength * share, 1), Event.STOPPED),
    ]


def chains_of(
    draw: random.Random, extent: Extent, suppliers: list[Supplier], legs: list[Leg]
) -> list[Chain]:
    hardest = max(leg.design_tension_kn for leg in legs)
    chains = []
    for number in range(1, draw.randint(*extent.chains) + 1):
        size = draw.choice((24, 28, 32, 36))
        joinable = number == 1 or draw.random() < 0.6
        kg = round(0.0219 * size**2, 1)
        length = draw.choice((25.0, 27.5, 50.0)) if joinable else draw.choice((90.0, 110.0))
        chains.append(
            Chain(
                f"C{number}",
                draw.choice(suppliers).name,
                float(size),
                kg,
                breaking_load_kn=round(max(0.55 * size**2, 4.5 * hardest)),
                price_per_m=round(kg * draw.uniform(1.6, 2.6), 2),
                length_sold_m=length,
                packed_volume_m3=round(kg * length / 2500, 2),
                joinable=joinable,
                join_cost=draw.choice((0.0, 25.0, 80.0)) if joinable else 0.0,
                stated_packed_mass_kg=round(kg * length) + 15.0 if draw.random() < 0.3 else None,
                handling_min_per_10_m=draw.choice((4.0, 5.0)),
                available=draw.choice((None, None, 40)),
                minimum_order=draw.choice((0, 0, 3)),
                duty_share=draw.choice((None, 0.03)),
            )
        )
    return chains


def ropes_of(
    draw: random.Random, extent: Extent, suppliers: list[Supplier], legs: list[Leg]
) -> tuple[Rope, ...]:
    hardest = max(leg.design_tension_kn for leg in legs)
    ropes: list[Rope] = []
    for number in range(1, draw.randint(*extent.ropes) + 1):
        size = draw.choice((26, 32, 38))
        ropes.append(
            Rope(
                f"R{number}",
                draw.choice(suppliers).name,
                float(size),
                mass_kg_per_m=round(0.0006 * size**2, 2),
                density_kg_m3=draw.choice((910.0, 1140.0, 1380.0)),
                breaking_load_kn=round(max(0.2 * size**2, 3.6 * hardest)),
                price_per_m=round(draw.uniform(3, 9), 2),
                length_sold_m=draw.choice((110.0, 200.0)),
                packed_volume_m3=draw.choice((0.45, 0.8)),
                available=draw.choice((None, None, 30)),
                minimum_order=draw.choice((0, 0, 2)),
            )
        )
    return tuple(ropes)


def fittings_of(
    draw: random.Random,
    extent: Extent,
    suppliers: list[Supplier],
    chains: list[Chain],
    legs: list[Leg],
) -> list[Fitting]:
    hardest = max(leg.design_tension_kn for leg in legs)
    fittings = []
    for number in range(1, draw.randint(*extent.fittings) + 1):
        belongs = draw.random() < 0.3
        fittings.append(
            Fitting(
                f"F{number}",
                draw.choice(suppliers).name,
                draw.choice(list(UsedPer)),
                draw.choice((1, 1, 2)),
                breaking_load_kn=round(hardest * draw.choice((3.2, 4.0))),
                unit_price=stepped(draw, 8, 60, 0.5),
                mass_kg=draw.choice((1.5, 3.2, 6.0)),
                packed_volume_m3=draw.choice((0.002, 0.005)),
                for_chain=draw.choice(chains).name if belongs else None,
                duty_share=draw.choice((None, 0.01)),
            )
        )
    return fittings


def price_breaks_of(
    draw: random.Random,
    anchors: list[Anchor],
    chains: list[Chain],
    ropes: tuple[Rope, ...],
    fittings: list[Fitting],
) -> list[PriceBreak]:
    breaks = []
    priced = (
        *((a.name, a.unit_price, (3, 6)) for a in anchors),
        *((c.name, c.price_per_m, (4, 8)) for c in chains),
        *((r.name, r.price_per_m, (2, 3)) for r in ropes),
        *((f.name, f.unit_price, (5, 12)) for f in fittings),
    )
    for name, price, starts in priced:
        if draw.random() < 0.5:
            continue
        scheme = draw.choice(list(Scheme))
        breaks.append(PriceBreak(name, starts[0], round(price * 0.93, 2), scheme))
        if draw.random() < 0.5:
            breaks.append(PriceBreak(name, starts[1], round(price * 0.86, 2), scheme))
    return breaks


def on_hand_of(
    draw: random.Random,
    anchors: list[Anchor],
    chains: list[Chain],
    ropes: tuple[Rope, ...],
    fittings: list[Fitting],
) -> list[OnHand]:
    rows = []
    if draw.random() < 0.3:
        rows.append(OnHand(draw.choice(anchors).name, float(draw.randint(1, 2))))
    if draw.random() < 0.3:
        chain = draw.choice(chains).name
        rows += [OnHand(chain, draw.choice((15.0, 42.5))) for _ in range(draw.randint(1, 2))]
    if ropes and draw.random() < 0.3:
        rows.append(OnHand(draw.choice(ropes).name, draw.choice((35.0, 60.0))))
    if draw.random() < 0.2:
        rows.append(OnHand(draw.choice(fittings).name, 2.0))
    return rows
