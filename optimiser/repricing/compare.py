"""Options compared: each priced to the same gap, each with its own proof."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterator

import numpy as np

from ...models.answer.stopped import Stopped
from ...models.asked.comparison import Comparison, Outcome
from ...models.option import FREE, Option
from ...models.option_menu import leanings, left_out, single_models
from ..choices.admitted import admitted, offers_left
from ..choices.choices import legs_without
from .farm_pricer import FarmPricer, PricedOption

BASE_SHARE = 1 / 3
"""Most of the time that the free choice may take: every other option is held against it."""

AGAIN_S = 10.0
"""Least time for which an option that is not proven yet is searched again."""

LEAST_S = 2.0
"""Seconds that an option is given even when the time is up."""

Told = Callable[[str, float, float], bool]
"""Called with (option, best cost, bound); returns True to stop."""


def compare(
    pricing: FarmPricer,
    *,
    time_limit_s: float = 600.0,
    progress: Told | None = None,
) -> Comparison:
    """Return the free choice, what every farm can be asked, and the workbook's own options.

    Tried: each transport form and family alone, and where legs bar it, where it holds; each
    single anchor model that can serve the whole farm; each supplier and vessel left out; the
    Options sheet. The time is shared among those not yet priced; what is left then goes to those
    whose gap is not met, in turn, the widest first. A plan that is found for one option and is
    admitted by another is taken there too.
    """
    began = time.perf_counter()
    stopped: Stopped | None = None
    asked = list(options_of(pricing))
    priced: dict[Option, PricedOption] = {}

    def price(option: Option, share: float) -> None:
        nonlocal stopped

        def told(cost: float, bound: float) -> bool:
            nonlocal stopped
            if progress is not None and progress(option.name, cost, bound):
                stopped = Stopped.INTERRUPTED
            return stopped is not None

        left = time_limit_s - (time.perf_counter() - began)
        seconds = max(left * share, LEAST_S)
        priced[option] = pricing.price(option, time_limit_s=seconds, progress=told)

    # What cannot be done is said at once, and takes no time from the others.
    to_search = {option for option in asked if serves(pricing, option)}
    for option in asked:
        if stopped:
            break
        price(option, BASE_SHARE if option is FREE else 1 / max(len(to_search), 1))
        to_search.discard(option)
    again: Counter[Option] = Counter()
    while True:
        found = [pricing.bettered(one) for one in priced.values()]
        open_ones = [one for one in found if not one.proven]
        left = time_limit_s - (time.perf_counter() - began)
        if stopped or not open_ones or left < AGAIN_S:
            break
        widest = min(open_ones, key=lambda one: (again[one.option], -one.gap_left))
        again[widest.option] += 1
        price(widest.option, max(1 / len(open_ones), min(AGAIN_S / left, 1.0)))
    if open_ones and not stopped:
        stopped = Stopped.TIME_LIMIT
    outcomes = [
        Outcome(one.option, one.plan(pricing.left_out), one.bound, one.why) for one in found
    ]
    return Comparison(
        pricing.farm.project.currency,
        pricing.gap,
        tuple(outcomes),
        len(single_models(pricing.farm)),
        time.perf_counter() - began,
        stopped,
    )


def options_of(pricing: FarmPricer) -> Iterator[Option]:
    """Yield the options to price; where a strict one is barred by some legs, the milder too."""
    farm = pricing.farm
    yield FREE
    yield from farm.options
    for strict, mild in leanings(farm):
        yield strict
        if not serves(pricing, strict) and serves(pricing, mild):
            yield mild
    yield from (option for option in single_models(farm) if serves(pricing, option))
    yield from left_out(farm)


def serves(pricing: FarmPricer, option: Option) -> bool:
    """Tell whether an option leaves every leg a choice."""
    farm = offers_left(pricing.farm, option)
    left = np.flatnonzero(admitted(farm, pricing.choices, option))
    return not legs_without(farm, pricing.choices.make_ups.leg[left])


def option_named(pricing: FarmPricer, name: str) -> Option | None:
    """Return the option of a name: one that `compare` prices, or might; None where there is
    none."""
    farm = pricing.farm
    pairs = [option for pair in leanings(farm) for option in pair]
    every = [FREE, *farm.options, *pairs, *single_models(farm), *left_out(farm)]
    folded = " ".join(name.split()).casefold()
    return next((option for option in every if option.name.casefold() == folded), None)


def option_names(pricing: FarmPricer) -> list[str]:
    """Return the names by which options can be asked for."""
    farm = pricing.farm
    pairs = [option.name for pair in leanings(farm) for option in pair]
    others = (*farm.options, *single_models(farm), *left_out(farm))
    return [FREE.name, *pairs, *(option.name for option in others)]
