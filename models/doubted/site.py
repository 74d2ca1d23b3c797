"""Doubts of the site and of those who carry and lay: legs, dates, rates, containers, vessels.

The bounds are wide: farms of the trade lie well inside them (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from statistics import median
from typing import Any

from ..farm import Farm
from ..fault import Fault, rounded
from ..goods.anchor import HoldsBy
from ..goods.freight import Basis, FreightService
from ..goods.supplier import Supplier
from ..site.leg import Leg
from ..site.project import Project
from ..site.pull_test import Event
from .goods import doubt, expected, names_unused, outside

LEAST_TENSION_KN = 1.0
IN_GROUP = 4.0
"""How many times a leg's tension or depth may be that of its group's middle one."""
IN_FARM = 8.0
"""The same against the farm's middle one, where its group has fewer than three."""
LEAST_OF_CHAIN = 0.045
"""Factored tension ÷ breaking load of the weakest chain on offer."""
RADIUS_TO_DEPTH = (1.0, 25.0)
LONGEST_DRAG_M = 25.0
FRICTION = (0.15, 1.2)
DEADWEIGHT_FRICTION = (0.1, 1.0)
MOST_FACTOR = 6.0
SIDES_TO_VOLUME = (0.85, 1.2)
"""Stated cubic metres ÷ inside length × width × height."""
PAYLOAD = (80.0, 2500.0)
"""Payload of a container ÷ its volume, kg/m³."""
RATES = 6.0
"""How many times dearer by the cubic metre one container of an origin may be than another."""
DECK_T_PER_M2 = (0.1, 3.0)
CRANE_TO_DECK = 2.0
FIRST_YEAR = 2000
FAR_ABOVE = 2.0
"""A declared holding ÷ that of law or tests."""


def doubted_site(farm: Farm) -> Iterator[Fault]:
    """Yield what is doubtful about legs, seabeds, settings, rates, freight and vessels."""
    yield from _legs(farm)
    yield from _ground(farm)
    yield from _settings(farm)
    yield from _declared(farm)
    yield from _rates(farm)
    yield from _containers(farm)
    yield from _vessels(farm)
    yield from _unused(farm)


def _legs(farm: Farm) -> Iterator[Fault]:
    groups: dict[str, list[Leg]] = {}
    for leg in farm.legs:
        groups.setdefault(leg.group, []).append(leg)
    weakest = min((chain.breaking_load_kn for chain in farm.chains), default=0.0)
    factor = farm.project.chain_safety_factor
    for leg in farm.legs:
        tension = leg.design_tension_kn
        if tension < LEAST_TENSION_KN:
            yield doubt(
                leg.source,
                "Design tension",
                f"{tension:g} kN is less than a buoy pulls, {LEAST_TENSION_KN:g} kN at least "
                "expected: is it in tonnes?",
            )
        elif factor * tension < LEAST_OF_CHAIN * weakest:
            yield doubt(
                leg.source,
                "Design tension",
                f"{tension:g} kN: the weakest chain on offer, {weakest:g} kN, stands "
                f"{weakest / (factor * tension):.0f} times as much; "
                f"{rounded(LEAST_OF_CHAIN * weakest / factor, 2)} kN at least expected",
            )
        else:
            yield from _beside_others(leg, groups[leg.group], farm, "Design tension", "kN")
        yield from _beside_others(leg, groups[leg.group], farm, "Depth", "m")
        radius = leg.longest_radius_m
        if radius is not None and outside(radius / leg.depth_m, RADIUS_TO_DEPTH):
            yield doubt(
                leg.source,
                "Longest radius",
                f"{radius:g} m at {leg.depth_m:g} m depth; "
                f"{expected(RADIUS_TO_DEPTH, leg.depth_m, 'm')}",
            )
        if leg.allowed_drag_m > LONGEST_DRAG_M:
            yield doubt(
                leg.source,
                "Allowed drag",
                f"{leg.allowed_drag_m:g} m; {LONGEST_DRAG_M:g} m at most expected",
            )


def _beside_others(
    leg: Leg, group: list[Leg], farm: Farm, heading: str, unit: str
) -> Iterator[Fault]:
    """Doubt a figure far from those of the leg's group, or of the farm where that is small."""
    own, most, of_what = group, IN_GROUP, f"the group '{leg.group}'"
    if len(group) < 3 or not leg.group:
        own, most, of_what = list(farm.legs), IN_FARM, "the farm"
    if len(own) < 3:
        return

    def figure(of: Leg) -> float:
        return of.design_tension_kn if heading == "Design tension" else of.depth_m

    usual = median(figure(other) for other in own)
    if outside(figure(leg) / usual, (1 / most, most)):
        yield doubt(
            leg.source,
            heading,
            f"{figure(leg):g} {unit}, but in {of_what} {usual:g} {unit} is usual; "
            f"{expected((1 / most, most), usual, unit)}",
        )


def _ground(farm: Farm) -> Iterator[Fault]:
    for seabed in farm.seabeds:
        if seabed.chain_friction and outside(seabed.chain_friction, FRICTION):
            yield doubt(
                seabed.source,
                "Chain friction",
                f"{seabed.chain_friction:g}; {expected(FRICTION, 1, '').replace('  ', ' ')}",
            )
        block = seabed.deadweight_friction
        if block and outside(block, DEADWEIGHT_FRICTION):
            yield doubt(
                seabed.source,
                "Deadweight friction",
                f"{block:g}; {expected(DEADWEIGHT_FRICTION, 1, '').replace('  ', ' ')}",
            )


def _settings(farm: Farm) -> Iterator[Fault]:
    project = farm.project
    for heading, factor in (
        ("Anchor safety factor", project.anchor_safety_factor),
        ("Chain safety factor", project.chain_safety_factor),
        ("Rope safety factor", project.rope_safety_factor),
        ("Lift factor", project.lift_factor),
    ):
        if factor > MOST_FACTOR:
            yield doubt(project.source, heading, f"{factor:g}; {MOST_FACTOR:g} at most expected")
    dates: tuple[tuple[str, date | None], ...] = (
        ("Order date", project.order_date),
        ("Required on site", project.required_on_site),
    )
    for heading, day in dates:
        if day is not None and day.year < FIRST_YEAR:
            yield doubt(
                project.source,
                heading,
                f"{day} is long past: is the year of four digits, and the cell a date?",
            )
    days = project.days_to_deliver
    if days is not None and days > 1500:
        yield doubt(
            project.source, "Required on site", f"{days} days after the order: check both years"
        )
    terms: tuple[Project | Supplier, ...] = (project, *farm.suppliers)
    for one in terms if farm.freight_priced else ():
        term = one.delivery_term
        if term is not None and not term.buyer_carries:
            yield doubt(
                one.source,
                "Delivery term",
                f"under {term} the supplier pays the carriage, which Freight would pay again; EXW, "
                "FCA, FAS or FOB expected",
            )


def _declared(farm: Farm) -> Iterator[Fault]:
    """Doubt a declared holding far above what law or tests say of the same anchor."""
    by_anchor = farm.anchor_by_name
    laws = {(law.family, law.seabed): law for law in farm.holding_laws}
    for declared in farm.declared_holdings:
        anchor = by_anchor[declared.anchor]
        said: list[tuple[float, str]] = []
        law = laws.get((anchor.family, declared.seabed))
        if law is not None and anchor.holds_by is HoldsBy.EMBEDDING:
            ratio = anchor.mass_kg / law.reference_mass_kg
            said.append((law.reference_holding_kn * ratio**law.exponent, "its family's law"))
        said += [
            (test.peak.load_kn, f"test '{test.name}'")
            for test in farm.pull_tests
            if (test.anchor, test.seabed) == (declared.anchor, declared.seabed)
            and test.first(Event.STOPPED) is None  # a lower bound, such as a setting pull's
        ]
        most, who = max(said, default=(0.0, ""))
        if most and declared.holding_kn > FAR_ABOVE * most:
            yield doubt(
                declared.source,
                "Holding",
                f"{declared.holding_kn:g} kN is far above what {who} says, {rounded(most)} kN",
            )


def _rates(farm: Farm) -> Iterator[Fault]:
    """Doubt a rate of 1 between two currencies."""
    own = farm.project.currency.casefold()
    sellers: tuple[Supplier | FreightService, ...] = (*farm.suppliers, *farm.services)
    for seller in sellers:
        if seller.exchange_rate == 1 and seller.currency.casefold() != own:
            yield doubt(
                seller.source,
                "Project currency per unit",
                f"1, but {seller.currency} is not {farm.project.currency}: what does one "
                f"{seller.currency} cost?",
            )


def _containers(farm: Farm) -> Iterator[Fault]:
    by_origin: dict[str, list[FreightService]] = {}
    for service in farm.services:
        if service.basis is not Basis.CONTAINER:
            continue
        sides = (service.inside_length_mm, service.inside_width_mm, service.inside_height_mm)
        length, width, height = sides
        volume = service.volume_m3
        if length and width and height and volume:
            inside = length * width * height * 1e-9
            if outside(volume / inside, SIDES_TO_VOLUME):
                yield doubt(
                    service.source,
                    "Volume",
                    f"{volume:g} m³, but its sides make {rounded(inside)} m³: check sides, volume "
                    "and units",
                )
        for heading, door, side in (
            ("Door width", service.door_width_mm, width),
            ("Door height", service.door_height_mm, height),
        ):
            if door and side and outside(door / side, (0.5, 1.0)):
                yield doubt(
                    service.source,
                    heading,
                    f"{door:g} mm, but it is {side:g} mm inside; {rounded(side / 2, 4)} to "
                    f"{side:g} mm expected",
                )
        if volume and service.payload_t:
            if outside(1000 * service.payload_t / volume, PAYLOAD):
                yield doubt(
                    service.source,
                    "Payload",
                    f"{service.payload_t:g} t in {volume:g} m³; "
                    f"{expected(PAYLOAD, volume / 1000, 't')}",
                )
            by_origin.setdefault(service.origin, []).append(service)
    for services in by_origin.values():
        by_m3 = [s.rate / (s.volume_m3 or 1.0) for s in services]
        cheapest, dearest = min(by_m3), max(by_m3)
        if cheapest <= 0 or dearest / cheapest <= RATES:
            continue
        for service, rate in zip(services, by_m3, strict=True):
            other = cheapest if rate == dearest else dearest
            if rate in (cheapest, dearest):
                yield doubt(
                    service.source,
                    "Rate",
                    f"{rounded(service.rate, 12)} is {rounded(rate)} for a cubic metre, but "
                    f"another container from '{service.origin}' costs {rounded(other)}: check both",
                )


def _vessels(farm: Farm) -> Iterator[Fault]:
    for vessel in farm.vessels:
        if vessel.round_trip_h > vessel.working_hours_per_day:
            yield doubt(
                vessel.source,
                "Round trip",
                f"{vessel.round_trip_h:g} h is longer than its working day, "
                f"{vessel.working_hours_per_day:g} h: is it in hours?",
            )
        load = vessel.deck_load_t / vessel.deck_area_m2
        if outside(load, DECK_T_PER_M2):
            yield doubt(
                vessel.source,
                "Deck load",
                f"{vessel.deck_load_t:g} t on {vessel.deck_area_m2:g} m²; "
                f"{expected(DECK_T_PER_M2, vessel.deck_area_m2, 't')}: check both and units",
            )
        if vessel.crane_limit_t > CRANE_TO_DECK * vessel.deck_load_t:
            yield doubt(
                vessel.source,
                "Crane limit",
                f"{vessel.crane_limit_t:g} t, but the deck bears {vessel.deck_load_t:g} t; "
                f"{CRANE_TO_DECK * vessel.deck_load_t:g} t at most expected: is it in tonnes?",
            )
        if vessel.bollard_pull_kn is not None and vessel.bollard_pull_kn < 3:
            yield doubt(
                vessel.source,
                "Bollard pull",
                f"{vessel.bollard_pull_kn:g} kN is a rowing boat's: is it in tonnes?",
            )


def _unused(farm: Farm) -> Iterator[Fault]:
    """Doubt suppliers and services that nothing refers to."""
    goods: tuple[Any, ...] = farm.goods
    sellers = {each.supplier for each in (*goods, *farm.offers)}
    yield from names_unused("Supplier", farm.suppliers, sellers, "it sells nothing in this farm")
    origins = {supplier.origin for supplier in farm.suppliers if supplier.name in sellers}
    used = {service.name for service in farm.services if service.origin in origins}
    yield from names_unused("Service", farm.services, used, "nothing is bought from its origin")
