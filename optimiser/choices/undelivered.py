"""What cannot be delivered: goods that no service brings to the site in time, and why."""

from __future__ import annotations

from itertools import permutations

from ...models.answer.left_out import Cause
from ...models.farm import Farm
from ...models.goods.freight import FreightLimit, FreightService
from ...models.goods.item import Item, ItemOffer

Why = tuple[Cause, str, float | None, float | None, str]
"""Cause, what is told of it, and the nearest figure: required, available, unit."""


def undelivered(farm: Farm, item: Item) -> Why | None:
    """Return why no order of an item can reach the site; None where one can.

    Of several offers that cannot, one that only comes too late is told first.
    """
    if not item.offers:
        return Cause.NOTHING, "no supplier offers it", None, None, ""
    told = [offer_undelivered(farm, item, offer) for offer in item.offers]
    causes = [why for why in told if why is not None]
    if len(causes) < len(told):
        return None
    return next((why for why in causes if why[0] is Cause.DATES), causes[0])


def offer_undelivered(farm: Farm, item: Item, offer: ItemOffer) -> Why | None:
    """Return why no order of one offer can reach the site; None where one can."""
    days = farm.project.days_to_deliver
    if not offer.can_be_ordered:
        least = offer.smallest_order
        said = f"at least {least} must be ordered, of {offer.available} that can be had"
        return Cause.LEAST_ORDER, said, least, offer.available, "units as sold"
    services = [service for service in farm.services if service.origin == offer.origin]
    if not services:
        said = f"no service carries from '{offer.origin}', where '{offer.supplier}' sends it from"
        return Cause.CARRIAGE, said, None, None, ""
    barred = {service.name: item.barred_from(service, offer, days) for service in services}
    if None in barred.values():
        return None
    late = [s for s in services if barred[s.name] is FreightLimit.DATES]
    if late:
        assert days is not None, "only dates bar by dates"
        return _late(offer, late, days)
    for limit in (FreightLimit.DOOR, FreightLimit.PAYLOAD, FreightLimit.VOLUME):
        of_limit = [s for s in services if barred[s.name] is limit]
        if of_limit:
            return min((_large(item, service, limit) for service in of_limit), key=_excess)
    return None


def days_needed(offer: ItemOffer, service: FreightService) -> int:
    """Return the days from order to site of an offer by a service."""
    return (offer.lead_time_days or 0) + (service.transit_days or 0)


def _late(offer: ItemOffer, services: list[FreightService], days: int) -> Why:
    service = min(services, key=lambda one: days_needed(offer, one))
    needed = days_needed(offer, service)
    said = (
        f"{offer.lead_time_days or 0} days of '{offer.supplier}' and {service.transit_days or 0} "
        f"by '{service.name}' are {needed} days, {needed - days} more than the {days} from Order "
        "date to Required on site"
    )
    return Cause.DATES, said, needed, days, "days"


def _large(item: Item, service: FreightService, limit: FreightLimit) -> Why:
    """Return by what a pack is too large or too heavy for a service."""
    if limit is FreightLimit.PAYLOAD:
        payload = (service.payload_t or 0.0) * 1000
        said = f"a pack of {item.pack_kg:g} kg, but '{service.name}' carries {payload:g} kg"
        return Cause.PAYLOAD, said, item.pack_kg, payload, "kg"
    if limit is FreightLimit.VOLUME or item.pack_sides_mm is None:
        room = service.volume_m3 or service.inside_m3
        said = f"a pack of {item.pack_m3:.4g} m³, but '{service.name}' takes {room:.4g} m³"
        return Cause.VOLUME, said, item.pack_m3, room, "m³"
    side, room = _tightest(item.pack_sides_mm, service, upright=item.this_side_up)
    pack = " × ".join(f"{each:g}" for each in item.pack_sides_mm)
    up = ", this side up," if item.this_side_up else ""
    said = (
        f"its pack of {pack} mm{up} does not go into '{service.name}': {side:g} mm, where there "
        f"are {room:g} mm at most"
    )
    return Cause.DOOR, said, side, room, "mm"


def _tightest(
    sides: tuple[float, float, float], service: FreightService, *, upright: bool
) -> tuple[float, float]:
    """Return the side that does not go in, and the room for it, turned the way it fits best."""
    room = (
        service.inside_length_mm or float("inf"),
        min(service.door_width_mm or float("inf"), service.inside_width_mm or float("inf")),
        min(service.door_height_mm or float("inf"), service.inside_height_mm or float("inf")),
    )
    ways = [way for way in permutations(range(3)) if not upright or way[2] == 2]
    worst = (
        max(
            ((sides[side], inside) for side, inside in zip(way, room, strict=True)),
            key=lambda pair: pair[0] / pair[1],
        )
        for way in ways
    )
    return min(worst, key=lambda pair: pair[0] / pair[1])


def _excess(why: Why) -> float:
    """Return how many times too much is required."""
    _, _, required, available, _ = why
    return (required or 0.0) / (available or 1e-9)
