"""Stowage: the load plans of a farm's bookings, and what the programme learns from those that
were not found.

Freight by containers is accepted only with a load plan for each container. Where the planner finds
none, the programme is told: with at least these packs, that service needs one container more. That
no plan was found is no proof that there is none: it is a rule of the model.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from ...models.constants import M3_PER_MM3
from ...models.farm import Farm
from ...models.goods.crate import pack_of, packs_to_stow
from ...models.goods.freight import FreightService
from ...models.goods.item import Item
from ...models.goods.load import Box, LoadPlan, Pack
from .like_loads import like_loads
from .load_planner import QUICK, THOROUGH, USUAL, how_many, pack_into
from .space_bound import least_containers

FAILURES = 2
"""Longer looks without a plan, each with one container fewer, that end the search: packs shared
evenly among fewer containers sometimes go in where they did not among more."""

Packs = Mapping[str, int]
"""Packs by item."""

FEW = 60
"""Of up to so many packs a lesson is narrowed to the least number of each item; up to so many
containers are looked at one by one, and long."""


ALIKE = 24
"""Of so many containers and more, most are loaded alike: see `like_loads`."""


@dataclass(frozen=True)
class LoadLesson:
    """No load plan was found for these packs in so many containers of a service."""

    service: str
    packs: tuple[tuple[str, int], ...]
    """(item, packs), by name."""
    containers: int

    def within(self, packs: Packs) -> bool:
        """Tell whether a booking carries at least what the lesson was about."""
        return all(packs.get(name, 0) >= count for name, count in self.packs)


def fit_alone(item: Item, box: Box) -> float:
    """Return how many packs of an item a container takes with nothing else in it, as far as was
    found; for goods in crates what their volume says."""
    if item.pack_sides_mm is None:
        return box.volume_mm3 * M3_PER_MM3 / item.pack_m3
    return max(_found_to_fit(pack_of(item), replace(box, name="")), 1)


@lru_cache(maxsize=4096)
def _found_to_fit(one: Pack, box: Box) -> int:
    return how_many(one, box, USUAL)


class Stowage:
    """Load plans by service and packs, each looked for once; many threads may ask."""

    def __init__(self, farm: Farm) -> None:
        self.farm = farm
        self._lock = threading.RLock()
        self._lessons: dict[LoadLesson, None] = {}
        self.fills: dict[str, float] = {}
        """By service, the share of a container that packs filled when one container more was
        needed: half of that one counted. What a plan may be looked for with, no bound."""
        self._found: dict[tuple[str, tuple[tuple[str, int], ...]], tuple[LoadPlan, ...]] = {}

    @property
    def lessons(self) -> tuple[LoadLesson, ...]:
        """What has been learnt so far."""
        with self._lock:
            return tuple(self._lessons)

    def teaches_more_than(self, known: Iterable[LoadLesson]) -> bool:
        """Tell whether there is a lesson that is not among the known."""
        return bool(set(self.lessons) - set(known))

    def loads(self, service: FreightService, packs: Packs, containers: int) -> tuple[LoadPlan, ...]:
        """Return load plans of as few containers as were found; more than `containers`, which were
        booked: a lesson is learnt. The service must state its inside.
        """
        box = service.box
        assert box is not None, f"{service.name} states no inside"
        with self._lock:
            key = (service.name, tuple(sorted(packs.items())))
            if key not in self._found:
                self._found[key] = self._look(service, box, packs, containers)
            return self._found[key]

    def _look(
        self, service: FreightService, box: Box, packs: Packs, containers: int
    ) -> tuple[LoadPlan, ...]:
        """Return load plans of as few containers as are found, by quick looks up or down from the
        number booked, then by longer ones; where it is more than was booked, learn that."""
        stowed = packs_to_stow(packs, self.farm.item_by_name, box)
        least = least_containers(stowed, box)
        taught = (
            lesson.containers + 1
            for lesson in self._lessons
            if lesson.service == service.name and lesson.within(packs)
        )
        number = max(containers, least, *taught)
        if number >= ALIKE and (alike := like_loads(stowed, box)) is not None:
            if len(alike) > containers:
                self._take(service, packs, packs, alike)
            return alike
        plans = pack_into(stowed, box, number, QUICK)
        while plans is None:
            number += max(1, number // FEW)
            plans = pack_into(stowed, box, number, QUICK)
        if number == containers:
            while len(plans) > least:
                fewer = pack_into(stowed, box, len(plans) - 1, QUICK)
                if fewer is None:
                    return plans
                plans = fewer
            return plans
        failed = 0
        while len(plans) - failed > max(containers, least) and failed < FAILURES:
            effort = THOROUGH if number <= FEW else QUICK
            fewer = pack_into(stowed, box, len(plans) - failed - 1, effort)
            failed = failed + 1 if fewer is None else 0
            plans = plans if fewer is None else fewer
        if len(plans) > containers:
            part = self._fewer(box, packs, len(plans) - 1)
            if part != dict(packs):
                some = packs_to_stow(part, self.farm.item_by_name, box)
                if pack_into(some, box, len(plans) - 1, THOROUGH) is not None:
                    part = dict(packs)
            self._take(service, packs, part, plans)
        return plans

    def _take(
        self, service: FreightService, packs: Packs, part: Packs, plans: tuple[LoadPlan, ...]
    ) -> None:
        """Take the lesson of packs that found no plan in one container less; part : those of them
        that find none either."""
        lesson = LoadLesson(service.name, tuple(sorted(part.items())), len(plans) - 1)
        self._lessons[lesson] = None
        items = self.farm.item_by_name
        volume = sum(items[name].pack_m3 * count for name, count in packs.items())
        self.fills[service.name] = volume / ((len(plans) - 0.5) * service.inside_m3)

    def _fewer(self, box: Box, packs: Packs, containers: int) -> dict[str, int]:
        """Return a part of the packs for which a quick look finds no plan either."""
        items = self.farm.item_by_name

        def fails(part: Packs) -> bool:
            stowed = packs_to_stow(part, items, box)
            return pack_into(stowed, box, containers, QUICK) is None

        bulkiest = sorted(packs, key=lambda name: -packs[name] * items[name].pack_m3)
        if sum(packs.values()) > FEW:
            for most in (2, 4):
                part = {name: packs[name] for name in bulkiest[:most]}
                if len(part) < len(packs) and fails(part):
                    return part
            return dict(packs)
        kept = dict(packs)
        for name in reversed(bulkiest):
            rest = {other: count for other, count in kept.items() if other != name}
            if rest and fails(rest):
                kept = rest
        for name in sorted(kept, key=bulkiest.index, reverse=True):
            low, high = 1, kept[name]
            while low < high:
                middle = (low + high) // 2
                if fails({**kept, name: middle}):
                    high = middle
                else:
                    low = middle + 1
            kept[name] = high
        return kept
