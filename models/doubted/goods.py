"""Doubts of goods: figures of a catalogue that do not go together, or with their neighbours.

The bounds are wide: goods of the trade lie well inside them (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from statistics import median
from typing import Any

from ..constants import STEEL_KG_M3
from ..farm import Farm
from ..fault import Fault, Severity, Source, rounded
from ..goods.anchor import Anchor, HoldsBy
from ..goods.item import breaks_of, offer_rows
from ..goods.supplier import Offer

LEAST_ANCHOR_KG = 5.0
PACK_DENSITY = (40.0, 3000.0)
"""Mass of a pack ÷ its outside, kg/m³: of anchors that bury themselves; no lighter, no denser."""
BLOCK_DENSITY = (300.0, STEEL_KG_M3)
"""The same of anchors that lie heavy, some of which fill their pack."""
CHAIN_PACKED = (500.0, 5000.0)
"""Mass of chain ÷ its packed volume, kg/m³."""
ROPE_PACKED = (80.0, 1500.0)
FITTING_PACKED = (300.0, STEEL_KG_M3)
PACKED_MASS = (0.98, 2.0)
"""Packed mass ÷ length × mass."""
LIMIT_TO_WEIGHT = (15.0, 600.0)
"""Structural limit of an anchor ÷ its weight."""
FITTING_KN_PER_KG = (15.0, 800.0)
TO_CHAIN = (0.4, 6.0)
"""Breaking load of a fitting ÷ that of its chain."""
MOST_TURN_DEG = 45.0
"""Largest uplift of an anchor that buries itself."""
PRICE_RANGE = 5.0
"""How many times dearer or cheaper by the kilogram than its like an item may be."""
CONCRETE = ("concrete", "stone", "granite", "rock", "block", "sinker", "deadweight", "clump")
"""Words of anchors that are seldom of steel."""
CONCRETE_KG_M3 = (1800.0, 3200.0)
STEEL_WORDS = ("steel", "iron")
LONGEST_LEAD_DAYS = 400


def doubted_goods(farm: Farm) -> Iterator[Fault]:
    """Yield what is doubtful about anchors, chain, rope, fittings and their prices."""
    yield from _anchors(farm)
    yield from _packed_lines(farm)
    yield from _fittings(farm)
    yield from _orders(farm)
    yield from _prices(farm)


def doubt(source: Source | None, heading: str, message: str) -> Fault:
    """Return a doubt at one heading of a record."""
    return Fault.at(source, heading, message, Severity.WARNING)


def outside(number: float, bounds: tuple[float, float]) -> bool:
    """Tell whether a number lies outside its bounds."""
    return not bounds[0] <= number <= bounds[1]


def expected(bounds: tuple[float, float], times: float, unit: str) -> str:
    """Return "10 to 20 kg expected": the bounds times what they are by."""
    return f"{rounded(bounds[0] * times)} to {rounded(bounds[1] * times)} {unit} expected"


def _anchors(farm: Farm) -> Iterator[Fault]:
    for anchor in farm.anchors:
        yield from _pack(anchor)
        yield from _material(anchor)
        if anchor.mass_kg < LEAST_ANCHOR_KG:
            yield doubt(
                anchor.source,
                "Mass",
                f"{anchor.mass_kg:g} kg is less than any mooring anchor, {LEAST_ANCHOR_KG:g} kg at "
                "least expected: is it in tonnes?",
            )
        if anchor.structural_limit_kn is not None:
            ratio = anchor.structural_limit_kn / anchor.weight_kn
            if outside(ratio, LIMIT_TO_WEIGHT):
                yield doubt(
                    anchor.source,
                    "Structural limit",
                    f"{anchor.structural_limit_kn:g} kN is {rounded(ratio)} times the weight of "
                    f"its {anchor.mass_kg:g} kg; "
                    f"{expected(LIMIT_TO_WEIGHT, anchor.weight_kn, 'kN')}",
                )
        steep = anchor.largest_uplift_deg
        if anchor.holds_by is HoldsBy.EMBEDDING and steep > MOST_TURN_DEG:
            yield doubt(
                anchor.source,
                "Largest uplift",
                f"{steep:g}° for an anchor that buries itself; {MOST_TURN_DEG:g}° at most expected",
            )
        yield from _deck(anchor)


def _pack(anchor: Anchor) -> Iterator[Fault]:
    """Doubt a pack by its density, and by sides that what it holds cannot have."""
    sides = {
        "Pack length": anchor.pack_length_mm,
        "Pack width": anchor.pack_width_mm,
        "Pack height": anchor.pack_height_mm,
    }
    bare = {
        "Bare length": anchor.bare_length_mm,
        "Bare width": anchor.bare_width_mm,
        "Bare height": anchor.bare_height_mm,
    }
    told = False
    if None not in bare.values():
        packed = sorted(sides.items(), key=lambda side: side[1])
        loose = sorted(((h, s) for h, s in bare.items() if s), key=lambda side: side[1])
        for (heading, side), (other, inner) in zip(packed, loose, strict=True):
            if side < inner / 3 or inner < side / 12:
                told = True
                small = heading if side < inner else other
                yield doubt(
                    anchor.source,
                    small,
                    f"pack and anchor do not go together: {heading} {side:g} mm, {other} "
                    f"{inner:g} mm; are they both in mm?",
                )
    shortest, middle, longest = sorted(sides.values())
    if not told and (middle < longest / 6 or shortest < longest / 20):
        told = True
        heading = min(sides, key=lambda h: sides[h]) if shortest < middle / 3 else "Pack length"
        yield doubt(
            anchor.source,
            heading,
            f"a pack of {' × '.join(f'{side:g}' for side in sides.values())} mm is out of "
            "proportion; are all sides in mm?",
        )
    bounds = BLOCK_DENSITY if anchor.holds_by is HoldsBy.WEIGHT else PACK_DENSITY
    density = anchor.pack_mass_kg / anchor.pack_volume_m3
    if not told and outside(density, bounds):
        volume = f"{rounded(anchor.pack_volume_m3)} m³"
        heading = "Pack mass" if anchor.stated_pack_mass_kg is not None else "Pack length"
        yield doubt(
            anchor.source,
            heading,
            f"a pack of {anchor.pack_mass_kg:g} kg in {volume} has {rounded(density)} kg/m³: "
            f"{expected(bounds, anchor.pack_volume_m3, 'kg')}; check sides, mass and units",
        )
    contents = anchor.pack_quantity * anchor.mass_kg
    if anchor.pack_mass_kg > 2 * contents + 50:
        yield doubt(
            anchor.source,
            "Pack mass",
            f"{anchor.pack_mass_kg:g} kg for {anchor.pack_quantity} of {anchor.mass_kg:g} kg, "
            f"{contents:g} kg; check both, and the pack quantity",
        )


def _material(anchor: Anchor) -> Iterator[Fault]:
    """Doubt the density of an anchor that holds by weight against the words for it."""
    if anchor.holds_by is not HoldsBy.WEIGHT:
        return
    density = anchor.mass_kg / anchor.displaced_m3
    words = f"{anchor.family} {anchor.name}".casefold()
    steel = any(word in words for word in STEEL_WORDS)
    light = not steel and any(word in words for word in CONCRETE)
    if light and outside(density, CONCRETE_KG_M3):
        low, high = (anchor.mass_kg / each for each in reversed(CONCRETE_KG_M3))
        if anchor.stated_density_kg_m3 is not None:
            yield doubt(
                anchor.source,
                "Density",
                f"{rounded(density, 4)} kg/m³ of '{anchor.family}'; "
                f"{expected(CONCRETE_KG_M3, 1, 'kg/m³')}",
            )
        else:
            yield doubt(
                anchor.source,
                "Submerged volume",
                f"{anchor.displaced_m3:g} m³ make {rounded(density, 4)} kg/m³ of "
                f"'{anchor.family}'; {rounded(low)} to {rounded(high)} m³ expected",
            )


def _deck(anchor: Anchor) -> Iterator[Fault]:
    """Doubt a deck area by the anchor's own outline, or by its pack's."""
    sides = [anchor.bare_length_mm, anchor.bare_width_mm, anchor.bare_height_mm]
    if None in sides:
        sides = [anchor.pack_length_mm, anchor.pack_width_mm, anchor.pack_height_mm]
    ordered = sorted(side for side in sides if side)
    least, most = ordered[0] * ordered[1] * 1e-6, ordered[-1] * ordered[-2] * 1e-6
    bounds = (least / 6, most * 6)
    if outside(anchor.deck_area_m2, bounds):
        yield doubt(
            anchor.source,
            "Deck area",
            f"{anchor.deck_area_m2:g} m² for an anchor of {ordered[-1]:g} × {ordered[-2]:g} × "
            f"{ordered[0]:g} mm; {expected(bounds, 1, 'm²')}",
        )


def _packed_lines(farm: Farm) -> Iterator[Fault]:
    goods: list[tuple[Any, tuple[float, float]]] = [(chain, CHAIN_PACKED) for chain in farm.chains]
    goods += [(rope, ROPE_PACKED) for rope in farm.ropes]
    for item, bounds in goods:
        mass = item.mass_kg_per_m * item.length_sold_m
        density = mass / item.packed_volume_m3
        if outside(density, bounds):
            low, high = (mass / each for each in reversed(bounds))
            yield doubt(
                item.source,
                "Packed volume",
                f"{item.packed_volume_m3:g} m³ for {item.length_sold_m:g} m of {rounded(mass, 4)} "
                f"kg, {rounded(density)} kg/m³: {rounded(low, 2)} to {rounded(high, 2)} m³ "
                "expected; check length, mass and volume",
            )
    for chain in farm.chains:
        stated = chain.stated_packed_mass_kg
        mass = chain.mass_kg_per_m * chain.length_sold_m
        if stated is not None and outside(stated / mass, PACKED_MASS):
            yield doubt(
                chain.source,
                "Packed mass",
                f"{stated:g} kg for {chain.length_sold_m:g} m of {chain.mass_kg_per_m:g} kg/m; "
                f"{expected(PACKED_MASS, mass, 'kg')}",
            )


def _fittings(farm: Farm) -> Iterator[Fault]:
    chains = farm.chain_by_name
    for fitting in farm.fittings:
        density = fitting.mass_kg / fitting.packed_volume_m3
        if outside(density, FITTING_PACKED):
            low, high = (fitting.mass_kg / each for each in reversed(FITTING_PACKED))
            yield doubt(
                fitting.source,
                "Packed volume",
                f"{fitting.packed_volume_m3:g} m³ for {fitting.mass_kg:g} kg: {rounded(low, 2)} "
                f"to {rounded(high, 2)} m³ expected",
            )
        strength = fitting.breaking_load_kn / fitting.mass_kg
        own = chains.get(fitting.for_chain or "")
        if own is not None and outside(fitting.breaking_load_kn / own.breaking_load_kn, TO_CHAIN):
            yield doubt(
                fitting.source,
                "Breaking load",
                f"{fitting.breaking_load_kn:g} kN for '{own.name}', which breaks at "
                f"{own.breaking_load_kn:g} kN; {expected(TO_CHAIN, own.breaking_load_kn, 'kN')}",
            )
        elif outside(strength, FITTING_KN_PER_KG):
            yield doubt(
                fitting.source,
                "Breaking load",
                f"{fitting.breaking_load_kn:g} kN of {fitting.mass_kg:g} kg; "
                f"{expected(FITTING_KN_PER_KG, fitting.mass_kg, 'kN')}: check both and units",
            )


def _orders(farm: Farm) -> Iterator[Fault]:
    """Doubt least orders and multiples that what is available cannot meet."""
    goods: list[Any] = list(farm.goods)
    for offer in (each for offers in _offers_of(farm, goods) for each in offers):
        available = offer.available
        least = max(offer.minimum_order, 1)
        multiple = offer.order_multiple
        first = math.ceil(least / multiple) * multiple
        if available is not None and 0 < available < first:
            heading = "Minimum order" if least > available else "Order multiple"
            said = f"at least {least}" if least > available else f"{multiple} at a time"
            yield doubt(
                offer.source,
                heading,
                f"{said}, but only {available} can be had: '{offer.item}' can never be ordered; "
                f"{available} at most expected",
            )
        if offer.lead_time_days is not None and offer.lead_time_days > LONGEST_LEAD_DAYS:
            yield doubt(offer.source, "Lead time", _late(offer.lead_time_days))
    for supplier in farm.suppliers:
        if (supplier.lead_time_days or 0) > LONGEST_LEAD_DAYS:
            yield doubt(supplier.source, "Lead time", _late(supplier.lead_time_days or 0))
    sold = {chain.name: chain.length_sold_m for chain in farm.chains}
    sold |= {rope.name: rope.length_sold_m for rope in farm.ropes}
    for stock in farm.on_hand:
        length = sold.get(stock.item, math.inf)
        if not stock.connectors and stock.quantity > length * (1 + 1e-9):
            yield doubt(
                stock.source,
                "Quantity",
                f"a piece of {stock.quantity:g} m is longer than one sold, {length:g} m: a row "
                "for each piece, in metres?",
            )


def _late(days: int) -> str:
    return f"{days} days; {LONGEST_LEAD_DAYS} at most expected: are they weeks of another unit?"


def _prices(farm: Farm) -> Iterator[Fault]:
    """Doubt prices far from those of their like by the kilogram, and breaks that fall deep."""
    rates = {supplier.name: supplier.exchange_rate for supplier in farm.suppliers}
    alike: list[tuple[str, list[Any]]] = []
    by_family: dict[str, list[Anchor]] = {}
    for anchor in farm.anchors:
        by_family.setdefault(anchor.family, []).append(anchor)
    alike += [("Unit price", list(anchors)) for anchors in by_family.values()]
    alike += [("Price per m", list(farm.chains)), ("Price per m", list(farm.ropes))]
    alike += [("Unit price", list(farm.fittings))]
    for heading, items in alike:
        priced = [
            (item, offer)
            for item, offers in zip(items, _offers_of(farm, items), strict=True)
            for offer in offers
        ]
        if len(priced) < 3:
            continue
        spread = 4 * PRICE_RANGE if items[0] in farm.fittings else PRICE_RANGE
        by_kg = [offer.unit_price * rates[offer.supplier] / _mass(item) for item, offer in priced]
        usual = median(by_kg)
        for (item, offer), price in zip(priced, by_kg, strict=True):
            if usual > 0 and outside(price / usual, (1 / spread, spread)):
                like = usual * _mass(item) / rates[offer.supplier]
                yield doubt(
                    offer.source,
                    heading if offer.source is item.source else "Unit price",
                    f"{rounded(offer.unit_price, 12)} is {rounded(price / usual, 2)} times what "
                    f"its like cost by the kilogram; about {rounded(like)} expected",
                )
    goods: list[Any] = list(farm.goods)
    for offers in _offers_of(farm, goods):
        breaks = [row for row in farm.price_breaks if offers and row.item == offers[0].item]
        for offer, own in zip(offers, breaks_of(offers, breaks), strict=True):
            for row in own:
                if row.unit_price < 0.3 * offer.unit_price:
                    yield doubt(
                        row.source,
                        "Unit price",
                        f"{rounded(row.unit_price, 12)} is less than a third of its own price, "
                        f"{rounded(offer.unit_price, 12)}: is it a rebate, or another unit?",
                    )


def _offers_of(farm: Farm, goods: list[Any]) -> list[list[Offer]]:
    """Return the offers of each of some goods, the catalogue's own first."""
    rows = offer_rows(goods, farm.offers)
    return [rows[good.name] for good in goods]


def _mass(item: Any) -> float:
    return float(getattr(item, "mass_kg", 0) or getattr(item, "mass_kg_per_m", 0))


def names_unused(kind: str, all_of: Iterable[Any], used: set[str], why: str) -> Iterator[Fault]:
    """Yield a doubt of every record that nothing uses."""
    for record in all_of:
        if record.name not in used:
            yield doubt(record.source, kind, f"'{record.name}' is not used: {why}")
