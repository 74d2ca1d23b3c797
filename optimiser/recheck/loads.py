"""The load plans of a finished plan, worked again by none of the code that made them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping

from ...models.answer.check_line import CheckLine
from ...models.answer.plan import Booking
from ...models.constants import M3_PER_MM3
from ...models.goods.freight import FreightService
from ...models.goods.load import LoadPlan, Pack
from .articles import Article
from .packing import violations
from .tolerance import ABSOLUTE, PHYSICAL, ROUNDING, at_most, rule, same


def has_inside(service: FreightService) -> bool:
    """Tell whether a container's three inside sides are stated, so that it is load-planned."""
    sides = (service.inside_length_mm, service.inside_width_mm, service.inside_height_mm)
    return all(side is not None for side in sides)


def load_lines(
    booking: Booking, service: FreightService, articles: Mapping[str, Article], where: str
) -> Iterator[CheckLine]:
    """Yield the check lines of a container booking's load plans."""
    if not has_inside(service):
        yield same("load plans without an inside", where, 0, len(booking.loads), "plans")
        return
    yield same("a load plan for every container", where, booking.containers, len(booking.loads), "")
    kinds = {one.name: one for one in booking.stowed}
    yield same("kinds of pack by name", where, len(booking.stowed), len(kinds), "kinds")
    for one in booking.stowed:
        article = articles.get(one.item)
        right = article is not None and _is_pack_of(one, article)
        yield rule("a pack as its supplier states it", f"{where}: {one.name}", right)
    carried: Counter[str] = Counter()
    for number, load in enumerate(booking.loads, 1):
        at = f"{where}, container {number}"
        yield rule("the load plan is of its container", at, _is_box_of(load, service))
        placed = [kinds[p.pack] for p in load.placements if p.pack in kinds]
        yield same("packs known", at, len(load.placements), len(placed), "packs")
        yield rule("something is in it", at, bool(placed))
        faults = violations(load, placed)
        yield CheckLine("load plan can be stowed", at, 0, len(faults), "faults", not faults)
        if service.payload_t is not None:
            mass = sum(one.mass_kg for one in placed)
            yield at_most("payload of its load plan", at, mass, service.payload_t * 1000, "kg")
        for one in placed:
            carried[one.item] += one.units
    booked: Counter[str] = Counter()
    for item, _, packs in booking.packs:
        booked[item] += packs
    for item, packs in booked.items():
        yield same(
            "packs in the load plans", f"{where}: {item}", packs, carried.pop(item, 0), "packs"
        )
    yield same("packs loaded and not booked", where, 0, sum(carried.values()), "packs")


def _is_pack_of(one: Pack, article: Article) -> bool:
    """Tell whether a pack to stow is one of the article's, or a crate of several of them."""
    kg = article.pack_t * 1000
    if abs(one.mass_kg - one.units * kg) > PHYSICAL * max(one.mass_kg, 1.0):
        return False
    sides = (one.length_mm, one.width_mm, one.height_mm)
    if article.sides_mm is not None:
        whole = tuple(math.ceil(round(side, 6)) for side in article.sides_mm)
        stowing = (one.this_side_up, one.stackable, one.most_on_top_kg)
        return one.units == 1 and sides == whole and stowing == article.stowing
    volume_m3 = math.prod(sides) * M3_PER_MM3
    return one.units >= 1 and volume_m3 >= one.units * article.pack_m3 * (1 - ROUNDING)


def _is_box_of(load: LoadPlan, service: FreightService) -> bool:
    """Tell whether a load plan is for a container no larger than the service's."""
    box = load.box
    stated = (
        (box.length_mm, (service.inside_length_mm,)),
        (box.width_mm, (service.inside_width_mm,)),
        (box.height_mm, (service.inside_height_mm,)),
        (box.door_width_mm, (service.door_width_mm, service.inside_width_mm)),
        (box.door_height_mm, (service.door_height_mm, service.inside_height_mm)),
    )
    return all(
        side is not None and (hole is None or side <= hole + ABSOLUTE)
        for side, holes in stated
        for hole in holes
    )
