"""The freight bookings of a finished plan, worked again."""

from __future__ import annotations

import itertools
from collections import Counter, defaultdict
from collections.abc import Iterator

from ...models.answer.check_line import CheckLine
from ...models.answer.plan import Booking, Plan
from ...models.goods.freight import Basis, FreightService
from ...models.site.project import DutyOn, Project
from .articles import Article, duty_owed
from .loads import has_inside, load_lines
from .orders import ordered_from
from .tolerance import at_most, rule, same, same_money


def _measures(booking: Booking, articles: dict[str, Article]) -> tuple[float, float]:
    """Return the m³ and the tonnes of a booking's packs."""
    carried = [(articles[item], packs) for item, _, packs in booking.packs if item in articles]
    return sum(a.pack_m3 * n for a, n in carried), sum(a.pack_t * n for a, n in carried)


def _owed(service: FreightService, booking: Booking, articles: dict[str, Article]) -> float:
    """Return what one booking pays, in the project's currency."""
    volume, tonnes = _measures(booking, articles)
    if service.basis is Basis.CONTAINER:
        billed = float(booking.containers)
    else:
        billed = max(tonnes, volume / service.m3_per_tonne)
    charge = max(service.rate * billed, service.minimum_charge) + service.fixed_charge
    return charge * service.exchange_rate


def freight_money(plan: Plan, articles: dict[str, Article]) -> float:
    """Return what all bookings pay, in the project's currency."""
    services = {service.name: service for service in plan.farm.services}
    return sum(
        _owed(services[booking.service], booking, articles)
        for booking in plan.bookings
        if booking.service in services
    )


def freight_duty_money(plan: Plan, articles: dict[str, Article]) -> float:
    """Return the duty on what all bookings pay, in the project's currency."""
    services = {service.name: service for service in plan.farm.services}
    return sum(
        _duty_owed(plan.farm.project, services[booking.service], booking, articles)
        for booking in plan.bookings
        if booking.service in services
    )


def _duty_owed(
    project: Project, service: FreightService, booking: Booking, articles: dict[str, Article]
) -> float:
    """Return the duty on one booking: at the dearest rate of its origin, or none."""
    if project.duty_on is DutyOn.PRICE:
        return 0.0
    offers = [terms for article in articles.values() for terms in article.terms.values()]
    rates = [terms.duty_share for terms in offers if terms.origin == service.origin]
    return duty_owed(project, max(rates, default=0.0), _owed(service, booking, articles))


def may_travel(project: Project, article: Article, lead_days: int, service: FreightService) -> bool:
    """Tell whether an article's packs may go by a service: door and length, box, and dates."""
    if article.sides_mm is not None:
        ways = list(itertools.permutations(article.sides_mm))
        if article.stowing[0]:  # this side up: its height stays so
            ways = [way for way in ways if way[2] == article.sides_mm[2]]
        door = (
            (service.inside_length_mm,),
            (service.door_width_mm, service.inside_width_mm),
            (service.door_height_mm, service.inside_height_mm),
        )
        if not any(
            all(
                hole is None or side <= hole
                for side, holes in zip(way, door, strict=True)
                for hole in holes
            )
            for way in ways
        ):
            return False
    if service.basis is Basis.CONTAINER:
        if service.payload_t is not None and article.pack_t > service.payload_t:
            return False
        if service.volume_m3 is not None and article.pack_m3 > service.volume_m3:
            return False
    if project.order_date is None or project.required_on_site is None:
        return True
    days = (project.required_on_site - project.order_date).days - project.delivery_margin_days
    return lead_days + (service.transit_days or 0) <= days


def booking_lines(plan: Plan, articles: dict[str, Article]) -> Iterator[CheckLine]:
    """Yield the check lines of what is carried, by what, and what it costs."""
    services = {service.name: service for service in plan.farm.services}
    carried: dict[tuple[str, str], int] = defaultdict(int)
    for name, times in Counter(booking.service for booking in plan.bookings).items():
        # A second consignment would pay the minimum and the fixed charge again.
        yield at_most("bookings of one service", name, times, 1, "bookings")
    for booking in plan.bookings:
        where = f"{booking.origin} by {booking.service}"
        service = services.get(booking.service)
        yield rule("the service is in the farm", where, service is not None)
        for item, supplier, packs in booking.packs:
            carried[item, supplier] += packs
            yield at_most("no fewer than no packs", f"{where}: {item}", 0, packs, "packs")
        if service is not None:
            yield from _one_booking(plan, booking, service, articles, where)
    ordered = ordered_from(plan)
    for item, supplier in sorted({*ordered, *carried}):
        key, article = (item, supplier), articles.get(item)
        due = article.packs(ordered.get(key, 0)) if article else 0
        alone = article is None or len(article.terms) == 1
        where = item if alone else f"{item} from {supplier}"
        yield same("packs carried", where, due, carried.get(key, 0), "packs")


def _one_booking(
    plan: Plan,
    booking: Booking,
    service: FreightService,
    articles: dict[str, Article],
    where: str,
) -> Iterator[CheckLine]:
    project = plan.farm.project
    yield rule("the service sails from there", where, booking.origin == service.origin)
    for item, supplier, _ in booking.packs:
        article = articles.get(item)
        terms = article.terms.get(supplier) if article is not None else None
        if article is not None:
            at_origin = terms is not None and terms.origin == service.origin
            yield rule("item is shipped from its origin", f"{where}: {item}", at_origin)
        if article is not None and terms is not None:
            allowed = may_travel(project, article, terms.lead_days, service)
            yield rule("packs may go by this service", f"{where}: {item}", allowed)
    volume, tonnes = _measures(booking, articles)
    yield same("stated volume", where, volume, booking.volume_m3, "m³")
    yield same("stated mass", where, tonnes, booking.tonnes, "t")
    boxes = booking.containers
    if service.basis is Basis.CONTAINER:
        yield rule("whole containers", where, boxes == int(boxes) and boxes >= 0)
        yield from load_lines(booking, service, articles, where)
        if service.volume_m3 is not None and not has_inside(service):
            room = boxes * service.volume_m3 * project.container_stowage_share
            yield at_most("container volume", where, volume, room, "m³")
        if service.payload_t is not None:
            yield at_most("container payload", where, tonnes, boxes * service.payload_t, "t")
        if service.available is not None:
            yield at_most("containers available", where, boxes, service.available, "containers")
    else:
        billed = max(tonnes, volume / service.m3_per_tonne)
        yield same("revenue tonnes", where, billed, booking.revenue_tonnes, "t")
    owed = _owed(service, booking, articles)
    yield same_money("freight charge", where, owed, booking.money, project.currency)
    duty = _duty_owed(project, service, booking, articles)
    yield same_money("duty on the freight", where, duty, booking.duty, project.currency)
