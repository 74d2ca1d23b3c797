"""Doubts: figures that can be read and priced, but are hardly what the buyer means.

Each is a warning, never a reason to refuse. The bounds are wide: goods of the trade lie well
inside them (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from .constants import GRAVITY_M_S2, M2_PER_MM2
from .doubted.goods import doubted_goods
from .doubted.site import doubted_site
from .farm import Farm
from .fault import Fault, Severity, Source, rounded
from .goods.anchor import HoldsBy, UpliftLoss
from .goods.chain import Chain
from .goods.item import Good, breaks_of, offer_rows
from .goods.price import PriceBreak
from .goods.rope import Rope
from .standing.holding import design_holding, efficiency

EFFICIENCY = (0.05, 1000.0)
"""Holding ÷ weight of an anchor: outside it kN and kgf, or kg and t, may be mixed up."""
CHAIN_KG = (0.01, 0.04)
"""Mass of chain, kg/m for each mm² of its diameter squared."""
CHAIN_STRENGTH = (0.3, 1.4)
"""Breaking load of chain, kN for each mm² of its diameter squared."""
ROPE_STRENGTH = (0.08, 1.0)
"""The same of rope."""
ROPE_FILLING = (0.2, 1.3)
"""Mass of rope ÷ that of a solid bar of its diameter and density."""


def doubts(farm: Farm) -> tuple[Fault, ...]:
    """Return what is doubtful about a farm whose records do not contradict each other."""
    found = (
        *_holdings(farm),
        *_lines(farm),
        *_tables(farm),
        *_evidence(farm),
        *_setting(farm),
        *doubted_goods(farm),
        *doubted_site(farm),
    )
    return tuple(sorted(found))


def _warn(source: Source | None, heading: str, message: str) -> Fault:
    return Fault.at(source, heading, message, Severity.WARNING)


def _outside(number: float, bounds: tuple[float, float]) -> bool:
    return number < bounds[0] or number > bounds[1]


def _holdings(farm: Farm) -> Iterator[Fault]:
    """Ask about holdings that no anchor of that weight has, whoever says so."""
    mass = {anchor.name: anchor.mass_kg for anchor in farm.anchors}
    stated = [(d.source, "Holding", d.holding_kn, mass[d.anchor]) for d in farm.declared_holdings]
    stated += [
        (law.source, "Reference holding", law.reference_holding_kn, law.reference_mass_kg)
        for law in farm.holding_laws
    ]
    stated += [
        (test.peak.source, "Load", test.peak.load_kn, mass[test.anchor]) for test in farm.pull_tests
    ]
    for source, heading, holding_kn, mass_kg in stated:
        ratio = efficiency(holding_kn, mass_kg)
        if _outside(ratio, EFFICIENCY) and holding_kn > 0:
            weight = mass_kg * GRAVITY_M_S2 / 1000
            yield _warn(
                source,
                heading,
                f"{holding_kn:g} kN is {rounded(ratio)} times the anchor's weight, "
                f"{rounded(weight)} kN ({mass_kg:g} kg): are kN and kgf, or kg and t, mixed up?",
            )


def _lines(farm: Farm) -> Iterator[Fault]:
    """Ask about chain and rope whose mass or strength their diameter cannot have."""
    for chain in farm.chains:
        square = chain.diameter_mm**2
        if _outside(chain.mass_kg_per_m / square, CHAIN_KG):
            yield _warn(
                chain.source,
                "Mass",
                f"{chain.mass_kg_per_m:g} kg/m is not to be expected of chain of "
                f"{chain.diameter_mm:g} mm, about {rounded(0.02 * square)} kg/m: check both and "
                "units",
            )
        if _outside(chain.breaking_load_kn / square, CHAIN_STRENGTH):
            yield _warn(chain.source, "Breaking load", _strength(chain, "chain", CHAIN_STRENGTH))
    for rope in farm.ropes:
        area = math.pi / 4 * rope.diameter_mm**2
        solid = area * M2_PER_MM2 * rope.density_kg_m3
        if _outside(rope.mass_kg_per_m / solid, ROPE_FILLING):
            yield _warn(
                rope.source,
                "Mass",
                f"{rope.mass_kg_per_m:g} kg/m is not to be expected of rope of "
                f"{rope.diameter_mm:g} mm: a solid bar of its density has {rounded(solid)} kg/m; "
                "check mass, diameter, density and units",
            )
        if _outside(rope.breaking_load_kn / rope.diameter_mm**2, ROPE_STRENGTH):
            yield _warn(rope.source, "Breaking load", _strength(rope, "rope", ROPE_STRENGTH))


def _strength(line: Chain | Rope, what: str, bounds: tuple[float, float]) -> str:
    low, high = (bound * line.diameter_mm**2 for bound in bounds)
    return (
        f"{line.breaking_load_kn:g} kN is not to be expected of {what} of {line.diameter_mm:g} "
        f"mm, {rounded(low)} to {rounded(high)} kN: check breaking load, diameter and units"
    )


def _setting(farm: Farm) -> Iterator[Fault]:
    """Ask about anchors that embed and are not pulled in, and boats that only go out and back."""
    embedding = [a.name for a in farm.anchors if a.holds_by is HoldsBy.EMBEDDING]
    if farm.legs and embedding and farm.project.setting_pull_share <= 0:
        yield _warn(
            farm.project.source,
            "Setting pull",
            f"0: anchors that embed, such as '{embedding[0]}', are then not pulled in when they "
            "are laid, and no vessel's bollard pull is looked at; is that meant?",
        )
    for vessel in farm.vessels:
        if vessel.home_every_day and vessel.hours_per_trip <= 0:
            yield _warn(
                vessel.source,
                "Home every day",
                f"a round trip of {vessel.round_trip_h:g} h takes the whole working day, "
                f"{vessel.working_hours_per_day:g} h: '{vessel.name}' can lay nothing",
            )


def _tables(farm: Farm) -> Iterator[Fault]:
    """Ask about tables whose rows are out of order or whose figures run the wrong way."""
    yield from _break_tables(farm)
    for points in _uplift_tables(farm):
        for first, second in pairwise(points):
            if second.uplift_deg < first.uplift_deg:
                yield _warn(
                    second.source,
                    "Uplift",
                    f"{second.uplift_deg:g}° comes after {first.uplift_deg:g}°: the points of "
                    f"'{second.anchor_or_family}' are out of order, and read in order of angle",
                )
        for first, second in pairwise(sorted(points, key=lambda p: p.uplift_deg)):
            if second.holding_kept > first.holding_kept:
                yield _warn(
                    second.source,
                    "Holding kept",
                    f"{100 * second.holding_kept:g} % at {second.uplift_deg:g}° is more than "
                    f"{100 * first.holding_kept:g} % at {first.uplift_deg:g}°: check both",
                )


def _break_tables(farm: Farm) -> Iterator[Fault]:
    """Ask about price breaks that are out of order, or dearer than what is below them."""
    of_item: dict[str, list[PriceBreak]] = {}
    for row in farm.price_breaks:
        of_item.setdefault(row.item, []).append(row)
    goods: tuple[Good, ...] = farm.goods
    for name, offers in offer_rows(goods, farm.offers).items():
        tables = breaks_of(offers, of_item.get(name, []))
        for offer, breaks in zip(offers, tables, strict=True):
            for before, after in pairwise(breaks):
                if after.from_quantity < before.from_quantity:
                    yield _warn(
                        after.source,
                        "From quantity",
                        f"{after.from_quantity} comes after {before.from_quantity}: the breaks of "
                        f"'{name}' are out of order, and read in order of quantity",
                    )
            price, where = offer.unit_price, "its own price"
            for row in sorted(breaks, key=lambda b: b.from_quantity):
                if row.unit_price > price:
                    yield _warn(
                        row.source,
                        "Unit price",
                        f"{rounded(row.unit_price, 12)} from {row.from_quantity} is dearer than "
                        f"{where}, {rounded(price, 12)}: check both",
                    )
                price, where = row.unit_price, f"the price from {row.from_quantity}"


def _uplift_tables(farm: Farm) -> list[list[UpliftLoss]]:
    tables: dict[str, list[UpliftLoss]] = {}
    for point in farm.uplift_losses:
        tables.setdefault(point.anchor_or_family, []).append(point)
    return list(tables.values())


def _evidence(farm: Farm) -> Iterator[Fault]:
    """Say which anchors may be relied on under none of the legs, and why."""
    if not farm.legs:
        return
    drag = {leg.seabed: 0.0 for leg in farm.legs}
    for leg in farm.legs:
        drag[leg.seabed] = max(drag[leg.seabed], leg.allowed_drag_m)
    for anchor in farm.anchors:
        held = [design_holding(farm, anchor, seabed, most) for seabed, most in drag.items()]
        if any(holding.relied_on for holding in held):
            continue
        why = "; ".join(dict.fromkeys(holding.refusal for holding in held[:4]))
        yield _warn(
            anchor.source,
            "Anchor",
            f"'{anchor.name}' is not considered under any leg: {why}",
        )
