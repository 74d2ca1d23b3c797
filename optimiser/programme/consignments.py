"""Freight in the programme: the packs of each offer shared among the services of its origin."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ...models.farm import Farm
from ...models.goods.crate import crates, pack_of, units_in_crate
from ...models.goods.duty import landed_freight
from ...models.goods.freight import Basis, FreightService
from ...models.goods.item import Item, OfferKey
from ...models.goods.load import Box
from ..solvers.matrix import Programme
from ..stowage.load_lessons import LoadLesson, fit_alone
from ..stowage.space_bound import grid_count, space_weights
from .families import ColumnFamily, RowFamily
from .purchase import Order


@dataclass(frozen=True)
class Service:
    """The columns of one service: packs by offer, containers (container basis) and its charge."""

    service: FreightService
    packs: dict[OfferKey, int]
    most: dict[OfferKey, int]
    """The packs of each offer that may have to be carried."""
    containers: int | None
    used: int | None

    def packs_of(self, item: str) -> list[int]:
        """Return the columns of an item's packs, one for each of its offers that it carries."""
        return [column for (name, _), column in self.packs.items() if name == item]

    def most_of(self, item: str) -> int:
        """Return the packs of an item, of all its offers, that may have to be carried."""
        return sum(most for (name, _), most in self.most.items() if name == item)


def add_consignments(
    farm: Farm, programme: Programme, orders: dict[OfferKey, Order]
) -> list[Service]:
    """Add, for every origin, whole packs to services and what the services charge.

    An offer's packs over all its services are at least its order ÷ pack quantity. A used
    service charges at least its minimum, plus its fixed charge, insurance and duty on top.
    """
    services = []
    days = farm.project.days_to_deliver
    carried: dict[OfferKey, list[int]] = {key: [] for key in orders}
    for service in farm.services:
        goods = [
            order
            for order in orders.values()
            if order.most > 0 and order.item.travels_by(service, order.offer, days)
        ]
        if not goods:
            continue
        factor = landed_freight(farm.project, farm.items, service.origin)
        added = _add_service(farm, programme, service, goods, factor)
        services.append(added)
        for key, column in added.packs.items():
            carried[key].append(column)
    for key, columns in carried.items():
        order = orders[key]
        if order.most > 0:
            packs = [(column, float(order.item.pack_quantity)) for column in columns]
            programme.row(RowFamily.PACKS_CARRIED, [*packs, *order.scaled(-1.0)], low=0)
    return services


def _add_service(
    farm: Farm, programme: Programme, service: FreightService, goods: list[Order], factor: float
) -> Service:
    most = {order.offer.key: order.item.packs(order.most) for order in goods}
    packs = {
        key: programme.column(ColumnFamily.PACKS, high=count, integer=True)
        for key, count in most.items()
    }
    tonnes = [(packs[o.offer.key], o.item.pack_kg / 1000.0) for o in goods]
    volume = [(packs[o.offer.key], o.item.pack_m3) for o in goods]
    rate = service.rate * service.exchange_rate * factor
    fixed = service.fixed_charge * service.exchange_rate * factor
    minimum = service.minimum_charge * service.exchange_rate * factor
    used: int | None = None
    if fixed > 0 or minimum > 0:
        used = programme.column(ColumnFamily.SERVICE_USED, high=1, integer=True, cost=fixed)
        for key, count in most.items():
            programme.row(
                RowFamily.SERVICE_CARRIES, [(packs[key], 1.0), (used, -float(count))], high=0
            )
    charge: int | None = None
    if minimum > 0 and used is not None:
        charge = programme.column(ColumnFamily.CHARGE, cost=1.0)
        programme.row(RowFamily.LEAST_CHARGE, [(charge, 1.0), (used, -minimum)], low=0)
    per_unit = 0.0 if charge is not None else rate
    containers: int | None = None
    if service.basis is Basis.CONTAINER:
        box = service.box
        stowed = service.inside_m3 * farm.project.container_stowage_share
        payload = service.payload_t or math.inf
        limit = _most_containers(service, goods, most, stowed, payload)
        billed = containers = programme.column(
            ColumnFamily.CONTAINERS, high=limit, integer=True, cost=per_unit
        )
        if box is not None:
            volume = [
                (packs[o.offer.key], min(o.item.pack_m3, stowed / fit_alone(o.item, box)))
                for o in goods
            ]
        if math.isfinite(stowed):
            programme.row(RowFamily.CONTAINER_VOLUME, [*volume, (containers, -stowed)], high=0)
        if math.isfinite(payload):
            programme.row(RowFamily.CONTAINER_PAYLOAD, [*tonnes, (containers, -payload)], high=0)
        if box is not None:
            _add_space_rows(programme, goods, packs, containers, box)
        if used is not None:
            programme.row(
                RowFamily.CONTAINERS_USED, [(containers, 1.0), (used, -float(limit))], high=0
            )
            programme.row(RowFamily.USED_WITH_CONTAINERS, [(containers, 1.0), (used, -1.0)], low=0)
    else:
        billed = programme.column(ColumnFamily.REVENUE_TONNES, cost=per_unit)
        programme.row(
            RowFamily.BILLED_BY_MASS, [(billed, 1.0), *((c, -v) for c, v in tonnes)], low=0
        )
        per_m3 = 1.0 / service.m3_per_tonne
        programme.row(
            RowFamily.BILLED_BY_VOLUME,
            [(billed, 1.0), *((c, -v * per_m3) for c, v in volume)],
            low=0,
        )
    if charge is not None:
        programme.row(RowFamily.CHARGE, [(charge, 1.0), (billed, -rate)], low=0)
    return Service(service, packs, most, containers, used)


def _add_space_rows(
    programme: Programme, goods: list[Order], packs: dict[OfferKey, int], containers: int, box: Box
) -> None:
    """Σ weight × packs ≤ containers, for packs of known sides: see `space_rows`."""
    shaped: dict[str, list[Order]] = {}
    for order in goods:
        if order.item.pack_sides_mm is not None:
            shaped.setdefault(order.item.name, []).append(order)
    if not shaped:
        return
    for weights in space_weights([pack_of(alike[0].item) for alike in shaped.values()], box):
        terms = [
            (packs[order.offer.key], float(weight))
            for alike, weight in zip(shaped.values(), weights, strict=True)
            if weight > 0
            for order in alike
        ]
        programme.row(RowFamily.CONTAINER_SPACE, [*terms, (containers, -1.0)], high=0)


def filled_less(
    services: Sequence[Service], items: Mapping[str, Item], fills: Mapping[str, float]
) -> Iterator[list[tuple[int, float]]]:
    """Yield the terms of rows, at most 0, by which containers are filled by no more than a share;
    fills : by service."""
    for service in services:
        fill = fills.get(service.service.name)
        if fill is not None and service.containers is not None:
            goods = [(column, items[name].pack_m3) for (name, _), column in service.packs.items()]
            yield [*goods, (service.containers, -fill * service.service.inside_m3)]


def add_load_lesson(programme: Programme, services: list[Service], lesson: LoadLesson) -> None:
    """z_i = 1 wherever the packs of item i are at least as many as the lesson had; with all of
    them 1, there are more containers."""
    for service in services:
        if service.service.name != lesson.service or service.containers is None:
            continue
        if any(service.most_of(name) < count for name, count in lesson.packs):
            continue
        terms = [(service.containers, 1.0)]
        more = float(lesson.containers + 1)
        for name, count in lesson.packs:
            reached = programme.column(ColumnFamily.PACKS_REACHED, high=1, integer=True)
            room = float(service.most_of(name) - count + 1)
            programme.row(
                RowFamily.PACKS_REACHED,
                [*((column, 1.0) for column in service.packs_of(name)), (reached, -room)],
                high=float(count - 1),
            )
            terms.append((reached, -more))
        programme.row(RowFamily.LOAD_LESSON, terms, low=more * (1.0 - len(lesson.packs)))


def _most_containers(
    service: FreightService,
    goods: list[Order],
    most: dict[OfferKey, int],
    stowed: float,
    payload: float,
) -> int:
    """Return a number of containers that holds everything that could ever be ordered: where they
    are load-planned, with each item in containers of its own."""
    volume = sum(most[order.offer.key] * order.item.pack_m3 for order in goods)
    tonnes = sum(most[order.offer.key] * order.item.pack_kg / 1000.0 for order in goods)
    enough = max(math.ceil(volume / stowed), math.ceil(tonnes / payload), 1)
    if service.box is not None:
        enough = max(
            enough,
            sum(_containers_alone(order, most[order.offer.key], service.box) for order in goods),
        )
    return enough if service.available is None else min(enough, service.available)


def _containers_alone(order: Order, count: int, box: Box) -> int:
    """Return how many containers hold so many packs of one item, in plain grids."""
    item = order.item
    if item.pack_sides_mm is not None:
        return -(-count // grid_count(pack_of(item), box))
    full = min(units_in_crate(item), count)
    return -(-count // (full * grid_count(next(crates(item, full, box)), box))) + 1
