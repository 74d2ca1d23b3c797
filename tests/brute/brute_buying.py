"""The least that purchase and freight can cost for what a farm needs, by trying every way."""

from __future__ import annotations

import itertools
import math
from functools import cached_property

import numpy as np
from moorledger.models.farm import Farm
from moorledger.models.goods.freight import Basis, FreightService
from moorledger.models.goods.item import Item, ItemOffer, OfferKey
from moorledger.models.site.project import DutyOn
from numpy.typing import NDArray

from tests.brute.brute_cutting import cuttings

Floats = NDArray[np.float64]
Pieces = tuple[float, ...]
Need = dict[str, int | Pieces]
"""Item → how many, spares in; or, of chain and rope, the pieces in falling order."""
Way = tuple[tuple[int, ...], float]
"""Packs of each of an item's offers, and what they and their joins cost, freight apart."""
Bought = tuple[ItemOffer, int]
Carried = tuple[tuple[OfferKey, int], ...]
"""Packs of each offer."""


class Buying:
    """Purchase and freight of one farm; remembers what it has worked out."""

    def __init__(self, farm: Farm) -> None:
        self.farm = farm
        self._orders: dict[tuple[str, int | Pieces], list[Way]] = {}
        self._freight: dict[Carried, float] = {}
        self._floors: dict[OfferKey, tuple[float, ...]] = {}

    @cached_property
    def supplier_sets(self) -> list[frozenset[str]]:
        """The sets of suppliers that may be ordered from."""
        sellers = self.farm.suppliers
        names = [supplier.name for supplier in sellers if not supplier.ordered_before]
        free = [supplier.name for supplier in sellers if supplier.ordered_before]
        most = self.farm.project.most_suppliers
        if most is None or most >= len(names):
            return [frozenset((*names, *free))]
        return [frozenset((*s, *free)) for s in itertools.combinations(names, most)]

    def least(self, need: Need) -> float:
        """Return the least landed cost and joins of what is needed; infinite: cannot be had."""
        return min(self._least_of(need, sellers) for sellers in self.supplier_sets)

    def _least_of(self, need: Need, sellers: frozenset[str]) -> float:
        """Return the least cost from these suppliers: what is offered from several origins is
        shared out in every way, and then each origin is worked out by itself."""
        ways = {
            item.name: [
                (packs, money)
                for packs, money in self.orders(item, need[item.name])
                if {o.supplier for o, n in zip(item.offers, packs, strict=True) if n} <= sellers
            ]
            for item in self.farm.items
            if need.get(item.name)
        }
        items = [item for item in self.farm.items if item.name in ways]
        across = [item for item in items if len(item.origins) > 1]
        origins = dict.fromkeys(o.origin for item in self.farm.items for o in item.offers)
        best = math.inf
        for way in itertools.product(*(ways[item.name] for item in across)):
            cost = sum(money for _, money in way)
            shared = [
                (offer, n)
                for item, (packs, _) in zip(across, way, strict=True)
                for offer, n in zip(item.offers, packs, strict=True)
                if n
            ]
            for origin in origins:
                if cost >= best:
                    break
                here = [item for item in items if item.origins == {origin}]
                from_here = [(offer, n) for offer, n in shared if offer.origin == origin]
                cost += self._least_from(origin, here, ways, from_here)
            best = min(best, cost)
        return best

    def _least_from(
        self, origin: str, items: list[Item], ways: dict[str, list[Way]], shared: list[Bought]
    ) -> float:
        best = math.inf
        landed = self.landed(origin)
        for way in itertools.product(*(ways[item.name] for item in items)):
            bought = shared + [
                (offer, n)
                for item, (packs, _) in zip(items, way, strict=True)
                for offer, n in zip(item.offers, packs, strict=True)
                if n
            ]
            money = sum(m for _, m in way)
            from_whom = {offer.supplier for offer, _ in bought}
            money += sum(
                s.order_charge * s.exchange_rate for s in self.farm.suppliers if s.name in from_whom
            )
            carried = tuple((offer.key, n) for offer, n in bought)
            if money + landed * self._freight_floor(carried) < best:
                best = min(best, money + landed * self.freight(origin, carried))
        return best

    @cached_property
    def insured(self) -> float:
        """What a sum costs with its insurance."""
        return 1 + self.farm.project.insurance_share

    @cached_property
    def on_all(self) -> bool:
        """Whether duty is on price, freight and insurance."""
        return self.farm.project.duty_on is DutyOn.LANDED

    def landed(self, origin: str) -> float:
        """What freight from an origin costs with its insurance and the duty on both."""
        offers = (offer for item in self.farm.items for offer in item.offers)
        rates = [offer.duty_share for offer in offers if offer.origin == origin]
        return self.insured * (1 + max(rates)) if self.on_all else self.insured

    def pack_floors(self, item: Item, offer: ItemOffer) -> tuple[float, ...]:
        """Return floors under what a pack adds to freight: by volume, half of each, by mass."""
        if offer.key not in self._floors:
            days = self.farm.project.days_to_deliver
            services = [s for s in self.farm.services if item.travels_by(s, offer, days)]
            self._floors[offer.key] = tuple(
                min((_pack_rate(self.farm, item, s, by_mass) for s in services), default=1e12)
                for by_mass in (0.0, 0.5, 1.0)
            )
        return self._floors[offer.key]

    def _freight_floor(self, packs: Carried) -> float:
        """Return a floor under the freight of these packs: part containers, no least charge."""
        items, offers = self.farm.item_by_name, self.farm.offer_by_key
        floors = [(n, self.pack_floors(items[key[0]], offers[key])) for key, n in packs]
        return max(sum(n * rates[at] for n, rates in floors) for at in range(3))

    def orders(self, item: Item, need: int | Pieces) -> list[Way]:
        """Return (packs of each offer, money) of every way worth having to buy one item's need.

        Money: goods with duty and insurance, and joins, in the project's currency. Beyond the
        last price break, and beyond one length for every piece, more only costs more.
        """
        key = (item.name, need)
        if key not in self._orders:
            ways = self._ways(item, need)
            least: dict[tuple[int, ...], float] = {}
            for quantities in itertools.product(
                *(self._quantities(offer, ways) for offer in item.offers)
            ):
                joins = [j for n, j in ways if n <= sum(quantities)]
                if not joins:
                    continue
                money = max(min(joins) - item.connectors, 0) * item.join_cost
                for offer, quantity in zip(item.offers, quantities, strict=True):
                    duty = offer.duty_share * (self.insured if self.on_all else 1)
                    money += offer.goods(quantity) * (self.insured + duty)
                packs = tuple(item.packs(quantity) for quantity in quantities)
                least[packs] = min(money, least.get(packs, math.inf))
            self._orders[key] = [
                (packs, money)
                for packs, money in least.items()
                if not any(
                    m <= money and p != packs and all(a <= b for a, b in zip(p, packs, strict=True))
                    for p, m in least.items()
                )
            ]
        return self._orders[key]

    @staticmethod
    def _quantities(offer: ItemOffer, ways: list[tuple[int, int]]) -> list[int]:
        """Return what may be ordered of one offer, up to where more can never pay."""
        tops = [n for n, _ in ways] + [b.first for b in offer.prices.brackets]
        top = max(tops, default=0) + offer.smallest_order + offer.order_multiple
        return [quantity for quantity in range(top + 1) if _may_order(offer, quantity)]

    @staticmethod
    def _ways(item: Item, need: int | Pieces) -> list[tuple[int, int]]:
        """Return (units, joins) that are enough."""
        if isinstance(need, int):
            return [(max(math.ceil(need - item.on_hand_total - 1e-9), 0), 0)]
        if item.cut_whole or item.join_cost > 0:
            return list(cuttings(need, item.on_hand, item.length_sold_m, item.cut_whole))
        metres = math.fsum(need) - item.on_hand_total
        return [(max(math.ceil(metres / item.length_sold_m - 1e-9), 0), 0)]

    def least_charge(self, origin: str) -> float:
        """Return what must be paid at least where anything is carried from an origin."""
        services = (s for s in self.farm.services if s.origin == origin)
        return min((_least_charge(service) for service in services), default=math.inf)

    def freight(self, origin: str, packs: Carried) -> float:
        """Return the least charge to carry these packs from an origin, before insurance."""
        if not packs:
            return 0.0
        if packs not in self._freight:
            services = [s for s in self.farm.services if s.origin == origin]
            self._freight[packs] = self._carry(packs, services)
        return self._freight[packs]

    def _carry(self, packs: Carried, services: list[FreightService]) -> float:
        if len(services) > 1:
            alone = min(self._carry(packs, [service]) for service in services)
            # To share the packs out, two services at least must be paid for.
            two = sum(sorted(_least_charge(service) for service in services)[:2])
            if alone <= max(two, self._freight_floor(packs)):
                return alone
        days = self.farm.project.days_to_deliver
        # A row a way to share the packs out; a column a service.
        number = volume = mass = np.zeros((1, len(services)))
        for key, count in packs:
            item, offer = self.farm.item_by_name[key[0]], self.farm.offer_by_key[key]
            may = [item.travels_by(service, offer, days) for service in services]
            shares = _shares(count, may)
            if not len(shares):
                return math.inf
            number = _sums(number, shares)
            volume = _sums(volume, shares * item.pack_m3)
            mass = _sums(mass, shares * item.pack_kg / 1000)
        charge = np.zeros(len(number))
        for at, service in enumerate(services):
            used = number[:, at] > 0
            charge[used] += self._charges(service, volume[used, at], mass[used, at])
        return float(charge.min())

    def _charges(self, service: FreightService, volume: Floats, mass: Floats) -> Floats:
        """Return what a service charges for consignments of these m³ and t."""
        if service.basis is Basis.CONTAINER:
            boxes = np.zeros_like(volume)
            if service.volume_m3 is not None:
                room = service.volume_m3 * self.farm.project.container_stowage_share
                boxes = np.ceil(volume / room - 1e-9)
            if service.payload_t is not None:
                boxes = np.maximum(boxes, np.ceil(mass / service.payload_t - 1e-9))
            money = service.rate * boxes
            if service.available is not None:
                money = np.where(boxes > service.available, np.inf, money)
        else:
            money = service.rate * np.maximum(mass, volume / service.m3_per_tonne)
        floor = np.maximum(money, service.minimum_charge) + service.fixed_charge
        return np.asarray(floor * service.exchange_rate, dtype=np.float64)


def _may_order(offer: ItemOffer, quantity: int) -> bool:
    if quantity == 0:
        return True
    if quantity < offer.minimum_order or quantity % offer.order_multiple:
        return False
    return offer.available is None or quantity <= offer.available


def _least_charge(service: FreightService) -> float:
    """Return what a service that carries anything charges at least."""
    once = service.rate if service.basis is Basis.CONTAINER else 0.0
    return (max(once, service.minimum_charge) + service.fixed_charge) * service.exchange_rate


def _pack_rate(farm: Farm, item: Item, service: FreightService, by_mass: float) -> float:
    """Return the part of a service's charge that one pack takes up; max(m, v) ≥ any mean."""
    tonnes = item.pack_kg / 1000
    if service.basis is Basis.MEASURE:
        mass, volume = tonnes, item.pack_m3 / service.m3_per_tonne
    else:
        room = (service.volume_m3 or math.inf) * farm.project.container_stowage_share
        mass, volume = tonnes / (service.payload_t or math.inf), item.pack_m3 / room
    part = by_mass * mass + (1 - by_mass) * volume
    return service.rate * part * service.exchange_rate


def _shares(count: int, may: list[bool]) -> Floats:
    """Return every way to share `count` packs over the services that may take them, as rows."""
    open_to = [at for at, allowed in enumerate(may) if allowed]
    if not open_to:
        return np.empty((0, len(may)))
    rows = []
    for bars in itertools.combinations(range(count + len(open_to) - 1), len(open_to) - 1):
        edges = (-1, *bars, count + len(open_to) - 1)
        row = np.zeros(len(may))
        row[open_to] = [b - a - 1 for a, b in itertools.pairwise(edges)]
        rows.append(row)
    return np.array(rows)


def _sums(rows: Floats, more: Floats) -> Floats:
    """Return every row of one plus every row of the other."""
    total = rows[:, None, :] + more[None, :, :]
    return total.reshape(-1, rows.shape[1])
