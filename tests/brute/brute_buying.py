"""The least that purchase and freight can cost for what a farm needs, by trying every way."""

from __future__ import annotations

import itertools
import math
from functools import cached_property

import numpy as np
from moorledger.models.farm import Farm
from moorledger.models.goods.freight import Basis, FreightService
from moorledger.models.goods.item import Item
from moorledger.models.site.project import DutyOn
from numpy.typing import NDArray

from tests.brute.brute_cutting import cuttings

Floats = NDArray[np.float64]
Pieces = tuple[float, ...]
Need = dict[str, int | Pieces]
"""Item → how many, spares in; or, of chain and rope, the pieces in falling order."""


class Buying:
    """Purchase and freight of one farm; remembers what it has worked out."""

    def __init__(self, farm: Farm) -> None:
        self.farm = farm
        self._orders: dict[tuple[str, int | Pieces], list[tuple[int, float]]] = {}
        self._freight: dict[tuple[tuple[str, int], ...], float] = {}
        self._floors: dict[str, tuple[float, ...]] = {}

    @cached_property
    def supplier_sets(self) -> list[frozenset[str]]:
        """The sets of suppliers that may be ordered from."""
        names = [supplier.name for supplier in self.farm.suppliers]
        most = self.farm.project.most_suppliers
        if most is None or most >= len(names):
            return [frozenset(names)]
        return [frozenset(s) for s in itertools.combinations(names, most)]

    def least(self, need: Need) -> float:
        """Return the least landed cost and joins of what is needed; infinite: cannot be had."""
        origins = dict.fromkeys(item.origin for item in self.farm.items)
        return min(
            sum(self._least_from(origin, need, sellers) for origin in origins)
            for sellers in self.supplier_sets
        )

    def _least_from(self, origin: str, need: Need, sellers: frozenset[str]) -> float:
        items = [i for i in self.farm.items if i.origin == origin and need.get(i.name)]
        choices = []
        for item in items:
            orders = self.orders(item, need[item.name])
            choices.append([(n, m) for n, m in orders if n == 0 or item.supplier in sellers])
        best = math.inf
        landed = self.landed(origin)
        for way in itertools.product(*choices):
            bought = [(i, n) for i, (n, _) in zip(items, way, strict=True) if n > 0]
            money = sum(m for _, m in way)
            from_whom = {item.supplier for item, _ in bought}
            money += sum(
                s.order_charge * s.exchange_rate for s in self.farm.suppliers if s.name in from_whom
            )
            packs = tuple((item.name, n) for item, n in bought)
            if money + landed * self._freight_floor(packs) < best:
                best = min(best, money + landed * self.freight(origin, packs))
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
        rates = [item.duty_share for item in self.farm.items if item.origin == origin]
        return self.insured * (1 + max(rates)) if self.on_all else self.insured

    def pack_floors(self, item: Item) -> tuple[float, ...]:
        """Return floors under what a pack adds to freight: by volume, half of each, by mass."""
        if item.name not in self._floors:
            days = self.farm.project.days_to_deliver
            services = [s for s in self.farm.services if item.travels_by(s, days)]
            self._floors[item.name] = tuple(
                min((_pack_rate(self.farm, item, s, by_mass) for s in services), default=1e12)
                for by_mass in (0.0, 0.5, 1.0)
            )
        return self._floors[item.name]

    def _freight_floor(self, packs: tuple[tuple[str, int], ...]) -> float:
        """Return a floor under the freight of these packs: part containers, no least charge."""
        floors = [(n, self.pack_floors(self.farm.item_by_name[name])) for name, n in packs]
        return max(sum(n * rates[at] for n, rates in floors) for at in range(3))

    def orders(self, item: Item, need: int | Pieces) -> list[tuple[int, float]]:
        """Return (packs, money) of every order worth having of one item that meets its need.

        Money: goods with duty and insurance, and joins, in the project's currency. Beyond the
        last price break, and beyond one length for every piece, more only costs more.
        """
        key = (item.name, need)
        if key not in self._orders:
            ways = self._ways(item, need)
            tops = [n for n, _ in ways] + [b.first for b in item.prices.brackets]
            top = max(tops, default=0) + item.smallest_order + item.order_multiple
            found = []
            for quantity in range(top + 1):
                joins = [j for n, j in ways if n <= quantity]
                if joins and _may_order(item, quantity):
                    duty = item.duty_share * (self.insured if self.on_all else 1)
                    dear = self.insured + duty
                    money = item.goods(quantity) * dear + min(joins) * item.join_cost
                    found.append((item.packs(quantity), money))
            self._orders[key] = [
                (n, m)
                for n, m in set(found)
                if not any(a <= n and b <= m and (a, b) != (n, m) for a, b in found)
            ]
        return self._orders[key]

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

    def freight(self, origin: str, packs: tuple[tuple[str, int], ...]) -> float:
        """Return the least charge to carry these packs from an origin, before insurance."""
        if not packs:
            return 0.0
        if packs not in self._freight:
            services = [s for s in self.farm.services if s.origin == origin]
            self._freight[packs] = self._carry(packs, services)
        return self._freight[packs]

    def _carry(self, packs: tuple[tuple[str, int], ...], services: list[FreightService]) -> float:
        if len(services) > 1:
            alone = min(self._carry(packs, [service]) for service in services)
            # To share the packs out, two services at least must be paid for.
            two = sum(sorted(_least_charge(service) for service in services)[:2])
            if alone <= max(two, self._freight_floor(packs)):
                return alone
        days = self.farm.project.days_to_deliver
        # A row a way to share the packs out; a column a service.
        number = volume = mass = np.zeros((1, len(services)))
        for name, count in packs:
            item = self.farm.item_by_name[name]
            may = [item.travels_by(service, days) for service in services]
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


def _may_order(item: Item, quantity: int) -> bool:
    if quantity == 0:
        return True
    if quantity < item.minimum_order or quantity % item.order_multiple:
        return False
    return item.available is None or quantity <= item.available


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
