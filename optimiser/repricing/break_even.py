"""Break-even: at which prices and rates the choice flips, and where two options cost the same."""

from __future__ import annotations

import itertools
import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ...models.answer.plan import Plan
from ...models.answer.stopped import Stopped
from ...models.asked.break_even import BreakEven, CostLine, Crossing, OptionCosts, Stretch
from ...models.farm import Farm
from ...models.option import FREE, Option
from ...models.rate import TODAY, Rate, Rates
from ..crew import Crew, Done
from .envelope import Envelope, Intersection, Sample, crossings
from .farm_pricer import FarmPricer, PricedOption

AT_MOST = 1 / 4
"""Share of an option's time that one solve may take."""

SLICE_S = 2.0
"""With less time than this left no solve begins."""

Told = Callable[[str, float, float], bool]
"""Called with (what is being solved, best cost, bound); returns True to stop."""


def break_even(
    pricing: FarmPricer,
    rate: Rate,
    low: float,
    high: float,
    *,
    options: Sequence[Option] = (FREE,),
    time_limit_s: float = 600.0,
    progress: Told | None = None,
    crew: Crew | None = None,
    done: Done | None = None,
) -> BreakEven:
    """Return the least plan of each option at every multiplier of a rate from `low` to `high`,
    and the multipliers at which two options cost the same.

    The time is shared among the options. crew : works the options off apart from one another;
    done : hears of each.
    Raises ValueError for an empty range.
    """
    began = time.perf_counter()
    run = BreakEvenRun(pricing, rate, progress, began + time_limit_s)
    found: list[OptionCosts] = []
    if crew is not None:
        rounds = max(-(-len(options) // crew.size), 1)
        seconds = time_limit_s / rounds
        tasks = [
            CostsTask(
                pricing.farm, pricing.gap, pricing.solver, pricing.workers or 1, rate, option,
                low, high, seconds,
            )
            for option in options
        ]  # fmt: skip
        for costs, solves, stopped in crew.results(costs_apart, tasks, done):
            found.append(costs)
            run.solves += solves
            run.stopped = run.stopped or stopped
        options = ()
    for number, option in enumerate(options):
        run.begin(len(options) - number)
        found.append(run.costs(option, low, high))
    pairs = itertools.combinations([one for one in found if one.stretches], 2)
    return BreakEven(
        rate,
        low,
        high,
        pricing.gap,
        tuple(found),
        tuple(itertools.chain.from_iterable(_crossings(*pair) for pair in pairs)),
        run.solves,
        time.perf_counter() - began,
        run.stopped,
    )


@dataclass(frozen=True)
class CostsTask:
    """One option of one farm at every multiplier of a rate, and the time for it."""

    farm: Farm
    gap: float
    solver: str
    workers: int
    rate: Rate
    option: Option
    low: float
    high: float
    seconds: float


def costs_apart(task: CostsTask) -> tuple[OptionCosts, int, Stopped | None]:
    """Return an option's least costs, the solves they took and why they ended early; a task for
    one process."""
    pricing = FarmPricer(task.farm, gap=task.gap, solver=task.solver, workers=task.workers)
    run = BreakEvenRun(pricing, task.rate, None, time.perf_counter() + task.seconds)
    run.begin(1)
    costs = run.costs(task.option, task.low, task.high)
    return costs, run.solves, run.stopped


class BreakEvenRun:
    """One question of break-even: its clock, and how one multiplier is solved."""

    def __init__(self, pricing: FarmPricer, rate: Rate, progress: Told | None, ends: float) -> None:
        self.pricing = pricing
        self.rate = rate
        self.progress = progress
        self.ends = ends
        self.solves = 0
        self.stopped: Stopped | None = None
        """Once it is interrupted, nothing further is solved."""
        self._option_ends = ends
        self._slice = math.inf

    def begin(self, options_left: int) -> None:
        """Give the next option its share of the time that is left."""
        now = time.perf_counter()
        share = max(self.ends - now, 0.0) / options_left
        self._option_ends = now + share
        self._slice = share * AT_MOST

    def costs(self, option: Option, low: float, high: float) -> OptionCosts:
        """Return an option's least cost at every multiplier."""
        why = ""

        def solve(multiplier: float) -> Sample[PricedOption]:
            nonlocal why
            priced = self._price(option, multiplier)
            if priced.settlement is None:
                why = priced.why
                return Sample(None, None, priced.bound)
            return Sample(priced, self._line(priced), max(priced.bound, 0.0))

        envelope = Intersection(solve, low, high, gap=self.pricing.gap, going=self._going).run()
        if not envelope.pieces:
            return OptionCosts(option.name, (), envelope.bounds, why)
        return OptionCosts(option.name, self._stretches(envelope), envelope.bounds)

    def _stretches(self, envelope: Envelope[PricedOption]) -> tuple[Stretch, ...]:
        return tuple(
            Stretch(piece.low, piece.high, piece.line, self._plan(piece.answer), piece.gap)
            for piece in envelope.pieces
        )

    def _price(self, option: Option, multiplier: float) -> PricedOption:
        self.solves += 1
        label = f"{option.name}, {self.rate} × {multiplier:.4g}"

        def progress(cost: float, bound: float) -> bool:
            if self.progress is not None and self.progress(label, cost, bound):
                self.stopped = Stopped.INTERRUPTED
            return self.stopped is Stopped.INTERRUPTED

        left = self._option_ends - time.perf_counter()
        return self.pricing.price(
            option,
            Rates(((self.rate, multiplier),)),
            time_limit_s=max(min(left, self._slice), SLICE_S),
            progress=progress,
        )

    def _going(self) -> bool:
        if self.stopped is Stopped.INTERRUPTED:
            return False
        # Time that is up for one option is not up for the next.
        up = self._option_ends - time.perf_counter() < SLICE_S
        if up:
            self.stopped = Stopped.TIME_LIMIT
        return not up

    def _line(self, priced: PricedOption) -> CostLine:
        """Return the line of a plan: its cost at no rate and at today's, all else held fast."""
        assert priced.settlement is not None
        fixed = self.pricing.cost_at(priced.settlement, Rates(((self.rate, 0.0),)))
        today = self.pricing.cost_at(priced.settlement, TODAY)
        return CostLine(fixed, today - fixed)

    def _plan(self, priced: PricedOption) -> Plan:
        """Return a plan as it stands at today's rates."""
        today = self.pricing.at(priced, TODAY)
        plan = today.plan()
        assert plan is not None, "a priced plan stays one"
        return plan


def _crossings(one: OptionCosts, other: OptionCosts) -> list[Crossing]:
    """Return where two options cost the same, and how far off for certain that may be."""
    low, high = one.stretches[0].low, one.stretches[-1].high
    knots = sorted(
        {low, high}
        | {*one.break_points, *other.break_points}
        | {x for x, _ in (*one.bounds, *other.bounds)}
    )
    meets = crossings(one.at, other.at, knots)
    # One option is proven cheaper where its cost lies below the other's bound.
    edges_one = crossings(one.at, other.bound_at, knots)
    edges_other = crossings(other.at, one.bound_at, knots)
    edges = sorted({low, high, *edges_one, *edges_other})
    found = []
    for number, at in enumerate(meets):
        before = meets[number - 1] if number else low
        after = meets[number + 1] if number + 1 < len(meets) else high
        middle = (before + at) / 2
        cheaper = one if one.at(middle) < other.at(middle) else other
        found.append(
            Crossing(
                one.option,
                other.option,
                at,
                one.at(at),
                cheaper.option,
                max((x for x in edges if before <= x <= at), default=before),
                min((x for x in edges if at <= x <= after), default=after),
            )
        )
    return found
