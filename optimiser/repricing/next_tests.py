"""What one more pull test is worth: the farm priced again as it would be with it.

The prices are independent of one another, but for where they start: each from the farm's own plan,
its lines built as they then may be. What a price finds is tried on the farm as it is, so that a
saving is never only a better search.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...models.answer.stopped import Stopped
from ...models.arrays import ROUNDING
from ...models.asked.next_tests import MoreTests, NextTest, NextTests
from ...models.asked.reasons import CostRange
from ...models.evidence.supposed_tests import (
    MOST,
    PlaceToTest,
    places_to_test,
    price_of_tests,
    with_more_tests,
)
from ...models.farm import Farm
from ...models.fault import FarmError
from ..choices.built_lines import BuiltLines, built_lines
from ..crew import ONE, Crew, Done
from ..failures import NoPlanError
from ..search.settlement import Settlement
from .farm_pricer import FarmPricer

BASE_SHARE = 0.4
"""Of the time, for the farm as it is."""

LEAST_S = 1.0
"""Seconds that each price is given at least, the choices enumerated: enough for the known plans as
they then may be built, and too few for a search."""

SEARCH_S = 4.0
"""Seconds that a search is given at least; with less left none begins."""

JOINT_SHARE = 0.5
"""Of the time then left, for the farm with three more tests of all."""


Told = Callable[[str, float, float], bool]
"""Called with (what is asked, best cost, bound); returns True to stop."""


@dataclass(frozen=True)
class Supposed:
    """One price: the farm with so many more tests, and the lines to start from."""

    farm: Farm
    starts: tuple[tuple[BuiltLines, ...], ...]
    """Of the plan as it is, and of that with more tests of all."""
    bound: float
    """No plan costs less, as far as is known."""
    gap: float
    solver: str
    workers: int
    seconds: float


@dataclass(frozen=True)
class SupposedCost:
    """What one price came to."""

    cost: float
    bound: float
    lines: tuple[BuiltLines, ...]
    why: str = ""


Asked = tuple[PlaceToTest, int]
"""A place, and how many more tests of it."""

NOTHING_KNOWN = SupposedCost(np.inf, -np.inf, ())


def next_tests(
    pricer: FarmPricer,
    *,
    time_limit_s: float = 180.0,
    progress: Told | None = None,
    crew: Crew = ONE,
    done: Done | None = None,
) -> NextTests:
    """Return what one, two and three more tests are worth, of every anchor and seabed that counts.

    Three more of all of them at once are priced first: what that saves, no test by itself saves
    more than, and where it saves nothing that is found, none is priced by itself. Else three more
    of each, and fewer where three save: first by the plans known, as they may then be built, so
    that none is left without a price; then by a search each, as far as the time goes, the most
    hopeful first and last those whose best case, by what is proven, cannot pay for the tests.
    Raises NoPlanError where the farm as it is has no plan.
    """
    run = NextTestsRun(pricer, crew, time_limit_s, done)
    run.price_as_it_is(progress)
    if run.stopped is None:
        run.price_together()
        run.price_apart()
    return run.found()


class NextTestsRun:
    """The question, its clock, and what is known of the answer so far."""

    def __init__(
        self, pricer: FarmPricer, crew: Crew, time_limit_s: float, done: Done | None
    ) -> None:
        self.pricer, self.crew, self.done = pricer, crew, done
        self.farm = pricer.farm
        self.began = time.perf_counter()
        self.time_limit_s = time_limit_s
        self.stopped: Stopped | None = None
        self.places = places_to_test(self.farm)
        self.raising = [place for place in self.places if place.raises]
        # Of these the farm with three more of all is one where every make-up of each alone may be.
        self.joint = [place for place in self.raising if place.most_is_highest]
        self.apart: list[PlaceToTest] = []
        """To be priced by themselves."""
        self.together = NOTHING_KNOWN
        self.starts: list[tuple[BuiltLines, ...]] = []
        self.unchanged: set[Asked] = set()
        """Of which only that the plan as it is stays what it is is known."""
        self.costs: dict[Asked, SupposedCost] = {}

    def price_as_it_is(self, progress: Told | None) -> None:
        """Price the farm as it is; raises NoPlanError where it has no plan."""

        def told(cost: float, bound: float) -> bool:
            if progress is not None and progress("the farm as it is", cost, bound):
                self.stopped = Stopped.INTERRUPTED
            return self.stopped is not None

        seconds = self.time_limit_s * BASE_SHARE
        self.base = self.pricer.price(time_limit_s=seconds, progress=told)
        if self.base.settlement is None:
            raise NoPlanError(self.base.why)
        self.starts = [_lines(self.base.settlement)]

    def price_together(self) -> None:
        """Price the farm with the most tests of all, and see whether any is to be priced alone."""
        if self.joint:
            seconds = max(self._left * JOINT_SHARE, LEAST_S)
            all_of_them = self.farm
            for place in self.joint:
                all_of_them = _supposed(all_of_them, place, MOST)
            (self.together,) = self._results([self._task(all_of_them, -np.inf, seconds)])
            self.starts.append(self.together.lines)
            self._try_on_the_farm_as_it_is([self.together])
        saving = self.together.cost < self.base.cost * (1 - ROUNDING)
        self.apart = [place for place in self.raising if saving or place not in self.joint]

    def price_apart(self) -> None:
        """Price the most tests of each to be priced alone, and fewer where they may save."""
        self._price([(place, MOST) for place in self.apart])
        fewer = [
            (place, more)
            for place in self.apart
            if (place, MOST) in self.costs
            for more in range(1, MOST)
            if _may_save(place, more, self.costs[place, MOST].cost, self.base.cost)
        ]
        self._price(fewer)
        self._try_on_the_farm_as_it_is(self.costs.values())
        for key in self.unchanged:
            self.costs[key] = replace(self.costs[key], cost=self.base.cost)

    def found(self) -> NextTests:
        """Return what is known, the tests that leave most first."""
        farm = self.farm
        rows = [self._row(place) for place in self.places]
        rows.sort(key=lambda row: (row.by_law and not row.worth_it, -row.best.net, row.anchor))
        return NextTests(
            farm.project.currency,
            self.base.cost,
            self.pricer.gap,
            tuple(rows),
            time.perf_counter() - self.began,
            self.stopped,
            farm.laying_priced or farm.project.pull_test_price is not None,
        )

    def _row(self, place: PlaceToTest) -> NextTest:
        """Return what is known of one place."""
        options = []
        for more in range(1, MOST + 1):
            saves = None
            same = place.most_is_highest or (place, more) in self.costs
            priced = self.costs.get((place, more), self.costs.get((place, MOST), NOTHING_KNOWN))
            bound = max(priced.bound if same else -np.inf, self._bound_of_all(place))
            # The plan as it is stays one where the holding falls nowhere.
            floor = 0.0 if place.never_less[more - 1] else -np.inf
            if (place, more) in self.costs and priced.lines:
                saves = CostRange(
                    max(self.base.cost - priced.cost, floor),
                    max(self.base.bound - priced.cost, floor),
                    self.base.cost - bound,
                )
            elif place.raises and (priced.lines if place in self.apart else bound > -np.inf):
                # Not priced, since more tests, of this or of all, save nothing that was found.
                saves = CostRange(0.0, 0.0, max(self.base.cost - bound, 0.0))
            price = self._tests(place, more)
            options.append(MoreTests(more, place.relied_on_kn[more], saves, price))
        why = ""
        if not place.raises:
            why = "tests that come out as the law says would not raise it"
        elif (place, MOST) in self.costs:
            why = self.costs[place, MOST].why
        return NextTest(
            place.anchor, place.seabed, place.tests, place.by_law, place.relied_on_kn[0],
            tuple(options), why,
        )  # fmt: skip

    # --- the prices ---------------------------------------------------------------------------

    @property
    def _left(self) -> float:
        return self.time_limit_s - (time.perf_counter() - self.began)

    def _task(self, farm: Farm, bound: float, seconds: float) -> Supposed:
        of = self.pricer
        return Supposed(
            farm, tuple(self.starts), bound, of.gap, of.solver, of.workers or 1, seconds
        )

    def _results(self, tasks: Sequence[Supposed], told: Done | None = None) -> list[SupposedCost]:
        return self.crew.results(supposed_cost, tasks, told)

    def _price(self, wanted: Sequence[Asked]) -> None:
        """Price these by the plans known, then by a search each, as far as the time goes."""
        if self._left <= 0:
            return
        laid = {key: [_laid(self.farm, key[0], lines) for lines in self.starts] for key in wanted}
        for key in wanted:
            if not any(laid[key]):
                # Nothing known lays that anchor there: what is built stays as it is.
                self.costs[key] = SupposedCost(self.base.cost, -np.inf, self.starts[0])
                self.unchanged.add(key)
        self._solve([key for key in wanted if any(laid[key])], 0.0)
        known = [key for key in wanted if key in self.costs]
        known.sort(key=lambda key: (self.costs[key].cost - self._tests(*key), -laid[key][-1]))
        hopeful = [key for key in known if self._may_pay(*key)]
        self._solve(hopeful, SEARCH_S)
        self._solve([key for key in known if key not in hopeful], SEARCH_S)

    def _solve(self, wanted: Sequence[Asked], least_s: float) -> None:
        """Price these in turn, as many at a time as there are workers, until the time is up.

        least_s : with less time than this left none begins; 0: by the known plans alone.
        """
        size = self.crew.size
        for first in range(0, len(wanted), size):
            if self._left <= least_s:
                break
            now = wanted[first : first + size]
            share = size / (len(wanted) - first + size)
            seconds = max(self._left * share, least_s) if least_s else 0.0
            tasks = [
                self._task(_supposed(self.farm, place, more), self._bound_of_all(place), seconds)
                for place, more in now
            ]

            def told(ready: int, _: int, before: int = first) -> object:
                return self.done(before + ready, len(wanted)) if self.done is not None else None

            self.costs.update(zip(now, self._results(tasks, told), strict=True))
            self.unchanged.difference_update(now)

    def _try_on_the_farm_as_it_is(self, costs: Iterable[SupposedCost]) -> None:
        """Take up what was only a better search: it is no saving."""
        least = self.base.cost * (1 - ROUNDING)
        for lines in dict.fromkeys(one.lines for one in costs if one.cost < least):
            self.pricer.know(lines)
        self.base = self.pricer.bettered(self.base)

    def _tests(self, place: PlaceToTest, more: int) -> float:
        return price_of_tests(self.farm, place.anchor, more)

    def _bound_of_all(self, place: PlaceToTest) -> float:
        """Return the bound of three more of all, where it is one of a place's own."""
        return self.together.bound if place in self.joint else -np.inf

    def _may_pay(self, place: PlaceToTest, more: int) -> bool:
        """Tell whether the best case by what is proven is more than the tests cost."""
        bound = max(self._bound_of_all(place), self.costs[place, more].bound)
        return self.base.cost - bound > self._tests(place, more)


def _supposed(farm: Farm, place: PlaceToTest, more: int) -> Farm:
    supposed = with_more_tests(farm, place.anchor, place.seabed, more)
    assert supposed is not None, "a place to test can be supposed"
    return supposed


def _laid(farm: Farm, place: PlaceToTest, lines: Sequence[BuiltLines]) -> int:
    """Return how many lines of a plan are laid with the anchor of a place on its seabed."""
    legs = {number for number, leg in enumerate(farm.legs) if leg.seabed == place.seabed}
    anchor = [model.name for model in farm.anchors].index(place.anchor)
    return sum(line.count for line in lines if line.place[0] in legs and line.place[2] == anchor)


def supposed_cost(asked: Supposed) -> SupposedCost:
    """Return what the farm would cost; a task for one process."""
    began = time.perf_counter()
    try:
        pricer = FarmPricer(asked.farm, gap=asked.gap, solver=asked.solver, workers=asked.workers)
    except FarmError as error:
        return SupposedCost(np.inf, -np.inf, (), "; ".join(str(f) for f in error.faults[:1]))
    for start in asked.starts:
        pricer.know(start)
    pricer.know_bound(asked.bound)
    left = asked.seconds - (time.perf_counter() - began)
    priced = pricer.price(time_limit_s=max(left, LEAST_S))
    lines = () if priced.settlement is None else _lines(priced.settlement)
    return SupposedCost(priced.cost, priced.bound, lines, priced.why)


def _lines(settlement: Settlement) -> tuple[BuiltLines, ...]:
    return built_lines(settlement.choices, settlement.counts)


def _may_save(place: PlaceToTest, more: int, with_most: float, today: float) -> bool:
    """Tell whether so many more tests, fewer than the most, may save anything: the most do, or
    they raise the holding above what the most do."""
    higher = place.relied_on_kn[more] > place.relied_on_kn[MOST] * (1 + ROUNDING)
    return higher or with_most < today * (1 - ROUNDING)
