"""What one more pull test is worth: the farm priced again as it would be with it.

The prices are independent of one another, but for where they start: each from the farm's own plan,
its lines built as they then may be. What a price finds is tried on the farm as it is, so that a
saving is never only a better search.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

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
from ..choices.choices import Choices
from ..crew import ONE, Crew
from ..failures import NoPlanError
from ..search.settlement import Settlement
from .farm_pricer import FarmPricer, PricedOption

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
class BuiltLines:
    """Lines of one leg group by their items, whatever the length of their chain."""

    place: tuple[int, int, int, int, int, float, int]
    """Leg, vessel, anchor, anchors, chain, rope length, rope."""
    count: int


@dataclass(frozen=True)
class Supposed:
    """One price: the farm with so many more tests, and the lines to start from."""

    farm: Farm
    starts: tuple[tuple[BuiltLines, ...], ...]
    """Of the plan as it is, and of that with more tests of all."""
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


NOTHING_KNOWN = SupposedCost(np.inf, -np.inf, ())


def next_tests(
    pricer: FarmPricer,
    *,
    time_limit_s: float = 180.0,
    progress: Told | None = None,
    crew: Crew = ONE,
) -> NextTests:
    """Return what one, two and three more tests are worth, of every anchor and seabed that counts.

    Three more of all of them at once are priced first: what that saves, no test by itself saves
    more than, and where it saves nothing that is found, none is priced by itself. Else three more
    of each, and fewer where three save: first by the plans known, as they may then be built, so
    that none is left without a price; then by a search each, as far as the time goes, the most
    hopeful first and last those whose best case, by what is proven, cannot pay for the tests.
    Raises NoPlanError where the farm as it is has no plan.
    """
    began = time.perf_counter()
    farm = pricer.farm
    stopped: Stopped | None = None

    def told(cost: float, bound: float) -> bool:
        nonlocal stopped
        if progress is not None and progress("the farm as it is", cost, bound):
            stopped = Stopped.INTERRUPTED
        return stopped is not None

    base = pricer.price(time_limit_s=time_limit_s * BASE_SHARE, progress=told)
    if base.settlement is None:
        raise NoPlanError(base.why)
    places = places_to_test(farm)
    starts = [lines_of(base.settlement)]
    found: dict[tuple[PlaceToTest, int], SupposedCost] = {}

    def left() -> float:
        return time_limit_s - (time.perf_counter() - began)

    def costs_of(farms: Sequence[Farm], seconds: float) -> list[SupposedCost]:
        gap, solver, workers = pricer.gap, pricer.solver, pricer.workers or 1
        known = tuple(starts)
        return crew.results(
            supposed_cost, [Supposed(one, known, gap, solver, workers, seconds) for one in farms]
        )

    def solve(wanted: Sequence[tuple[PlaceToTest, int]], least_s: float) -> None:
        """Price these in turn, as many at a time as there are workers, until the time is up.

        least_s : with less time than this left none begins; 0: by the known plans alone.
        """
        for first in range(0, len(wanted), crew.size):
            if left() <= least_s:
                break
            now = wanted[first : first + crew.size]
            farms = [_supposed(farm, place, more) for place, more in now]
            share = crew.size / (len(wanted) - first + crew.size)
            seconds = max(left() * share, least_s) if least_s else 0.0
            found.update(zip(now, costs_of(farms, seconds), strict=True))

    def priced(wanted: Sequence[tuple[PlaceToTest, int]]) -> None:
        solve(wanted, 0.0)
        known = [key for key in wanted if key in found]
        known.sort(key=lambda key: found[key].cost - price_of_tests(farm, key[0].anchor, key[1]))
        hopeful = [key for key in known if may_pay(*key)]
        solve(hopeful, SEARCH_S)
        solve([key for key in known if key not in hopeful], SEARCH_S)

    def may_pay(place: PlaceToTest, more: int) -> bool:
        """Tell whether the best case by what is proven is more than the tests cost."""
        bound = max(together.bound if place in joint else -np.inf, found[place, more].bound)
        return base.cost - bound > price_of_tests(farm, place.anchor, more)

    raising = [place for place in places if place.raises]
    # Of these the farm with three more of all is one where every make-up of each alone may be.
    joint = [place for place in raising if place.most_is_highest]
    together = NOTHING_KNOWN
    apart = raising
    if not stopped:
        if joint:
            seconds = max(left() * JOINT_SHARE, LEAST_S)
            (together,) = costs_of([_with_all(farm, joint)], seconds)
            starts.append(together.lines)
            start_from(pricer, together.lines)
            base = pricer.bettered(base)  # what was only a better search is no saving
        saving = together.cost < base.cost * (1 - ROUNDING)
        apart = [place for place in raising if saving or place not in joint]
        priced([(place, MOST) for place in apart])
        fewer = [(p, more) for p in apart if (p, MOST) in found for more in range(1, MOST)]
        priced([key for key in fewer if _may_save(*key, found[key[0], MOST].cost, base.cost)])
    for cost in (together, *found.values()):
        start_from(pricer, cost.lines)
    base = pricer.bettered(base)
    bounds = {place: together.bound if place in joint else -np.inf for place in places}
    rows = [_row(farm, place, base, found, bounds[place], asked=place in apart) for place in places]
    rows.sort(key=lambda row: (row.by_law and not row.worth_it, -row.best.net, row.anchor))
    return NextTests(
        farm.project.currency,
        base.cost,
        pricer.gap,
        tuple(rows),
        time.perf_counter() - began,
        stopped,
        farm.laying_priced or farm.project.pull_test_price is not None,
    )


def _supposed(farm: Farm, place: PlaceToTest, more: int) -> Farm:
    supposed = with_more_tests(farm, place.anchor, place.seabed, more)
    assert supposed is not None, "a place to test can be supposed"
    return supposed


def _with_all(farm: Farm, places: Sequence[PlaceToTest]) -> Farm:
    """Return the farm with the most tests more of every one of these places."""
    for place in places:
        farm = _supposed(farm, place, MOST)
    return farm


def supposed_cost(asked: Supposed) -> SupposedCost:
    """Return what the farm would cost; a task for one process."""
    began = time.perf_counter()
    try:
        pricer = FarmPricer(asked.farm, gap=asked.gap, solver=asked.solver, workers=asked.workers)
    except FarmError as error:
        return SupposedCost(np.inf, -np.inf, (), "; ".join(str(f) for f in error.faults[:1]))
    for start in asked.starts:
        start_from(pricer, start)
    left = asked.seconds - (time.perf_counter() - began)
    priced = pricer.price(time_limit_s=max(left, LEAST_S))
    lines = () if priced.settlement is None else lines_of(priced.settlement)
    return SupposedCost(priced.cost, priced.bound, lines, priced.why)


def lines_of(settlement: Settlement) -> tuple[BuiltLines, ...]:
    """Return the lines of a settlement by their items."""
    places = _places(settlement.choices)
    return tuple(map(BuiltLines, places, settlement.counts.tolist()))


def start_from(pricer: FarmPricer, lines: Sequence[BuiltLines]) -> None:
    """Have a pricer know the plan of these lines, where its farm lets them be built of the same
    items, each with as much chain as it then needs."""
    places = _places(pricer.choices)
    at = {place: number for number, place in enumerate(places)}
    chosen: dict[int, int] = {}
    for line in lines:
        number = at.get(line.place)
        if number is None:
            return
        chosen[number] = chosen.get(number, 0) + line.count
    if chosen:
        order = sorted(chosen)
        pricer.know(np.array(order), np.array([chosen[number] for number in order]))


def _places(choices: Choices) -> list[tuple[int, int, int, int, int, float, int]]:
    made = choices.make_ups
    columns = (made.leg, choices.vessel, made.anchor, made.anchors, made.chain, made.rope_m)
    return list(zip(*(column.tolist() for column in (*columns, made.rope)), strict=True))


def _may_save(place: PlaceToTest, more: int, with_most: float, today: float) -> bool:
    """Tell whether so many more tests, fewer than the most, may save anything: the most do, or
    they raise the holding above what the most do."""
    higher = place.relied_on_kn[more] > place.relied_on_kn[MOST] * (1 + ROUNDING)
    return higher or with_most < today * (1 - ROUNDING)


def _row(
    farm: Farm,
    place: PlaceToTest,
    base: PricedOption,
    found: dict[tuple[PlaceToTest, int], SupposedCost],
    bound_of_all: float,
    *,
    asked: bool,
) -> NextTest:
    """Return what is known of one place.

    bound_of_all : of the farm with three more of all. asked : whether it was to be priced alone.
    """
    options = []
    for more in range(1, MOST + 1):
        saves = None
        same = place.most_is_highest or (place, more) in found
        priced = found.get((place, more), found.get((place, MOST), NOTHING_KNOWN))
        bound = max(priced.bound if same else -np.inf, bound_of_all)
        # The plan as it is stays one where the holding falls nowhere.
        floor = 0.0 if place.never_less[more - 1] else -np.inf
        if (place, more) in found and priced.lines:
            saves = CostRange(
                max(base.cost - priced.cost, floor),
                max(base.bound - priced.cost, floor),
                base.cost - bound,
            )
        elif place.raises and (priced.lines if asked else bound > -np.inf):
            # Not priced, since more tests, of this or of all, save nothing that was found.
            saves = CostRange(0.0, 0.0, max(base.cost - bound, 0.0))
        price = price_of_tests(farm, place.anchor, more)
        options.append(MoreTests(more, place.relied_on_kn[more], saves, price))
    why = ""
    if not place.raises:
        why = "tests that come out as the law says would not raise it"
    elif (place, MOST) in found:
        why = found[place, MOST].why
    return NextTest(
        place.anchor, place.seabed, place.tests, place.by_law, place.relied_on_kn[0],
        tuple(options), why,
    )  # fmt: skip
