"""Options compared: each priced to the same gap, each with its own proof."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from ..models.comparison import Comparison, Outcome
from ..models.option import FREE, Option, leanings, left_out, single_models
from .choices import legs_without
from .pricing import Priced, Pricing
from .restricted import admitted, offers_left

BASE_SHARE = 1 / 3
"""Most of the time that the free choice may take: every other option is held against it."""

AGAIN_S = 10.0
"""Least time for which an option that is not proven yet is searched again."""

LEAST_S = 2.0
"""Seconds that an option is given even when the time is up."""

Told = Callable[[str, float, float], bool]
"""Called with (option, best cost, bound); returns True to stop."""


def compare(
    pricing: Pricing,
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
    stopped = ""
    asked = list(_options(pricing))
    priced: dict[str, Priced] = {}

    def price(option: Option, share: float) -> None:
        nonlocal stopped

        def told(cost: float, bound: float) -> bool:
            nonlocal stopped
            if progress is not None and progress(option.name, cost, bound):
                stopped = "interrupted"
            return bool(stopped)

        left = time_limit_s - (time.perf_counter() - began)
        seconds = max(left * share, LEAST_S)
        found = pricing.price(option, time_limit_s=seconds, progress=told)
        known = priced.get(option.name)
        if known is not None:  # of two searches the better plan and the better bound
            found = replace(found, bound=max(found.bound, known.bound))
        priced[option.name] = found

    # What cannot be done is said at once, and takes no time from the others.
    searched = [option for option in asked if serves(pricing, option)]
    for option in asked:
        if not stopped:
            searches_left = len(searched) - searched.index(option) if option in searched else 1
            price(option, BASE_SHARE if option is FREE else 1 / searches_left)
    again: Counter[str] = Counter()
    while not stopped:
        open_ones = [one for one in map(pricing.bettered, priced.values()) if not one.proven]
        left = time_limit_s - (time.perf_counter() - began)
        if not open_ones or left < AGAIN_S:
            break
        widest = min(open_ones, key=lambda one: (again[one.option.name], -one.gap_left))
        again[widest.option.name] += 1
        price(widest.option, max(1 / len(open_ones), min(AGAIN_S / left, 1.0)))
    outcomes = []
    for option in asked:
        if option.name in priced:
            better = pricing.bettered(priced[option.name])
            outcomes.append(Outcome(option, better.plan(), better.bound, better.why))
    if not stopped and not all(pricing.bettered(one).proven for one in priced.values()):
        stopped = "time limit"
    return Comparison(
        pricing.farm.project.currency,
        pricing.gap,
        tuple(outcomes),
        len(single_models(pricing.farm)),
        time.perf_counter() - began,
        stopped,
    )


def _options(pricing: Pricing) -> Iterator[Option]:
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


def serves(pricing: Pricing, option: Option) -> bool:
    """Tell whether an option leaves every leg a choice."""
    farm = offers_left(pricing.farm, option)
    left = np.flatnonzero(admitted(farm, pricing.choices, option))
    return not legs_without(farm, pricing.choices.made.leg[left])


def option_named(pricing: Pricing, name: str) -> Option | None:
    """Return the option of a name: one that `compare` prices, or might; None where there is
    none."""
    farm = pricing.farm
    pairs = [option for pair in leanings(farm) for option in pair]
    every = [FREE, *farm.options, *pairs, *single_models(farm), *left_out(farm)]
    folded = " ".join(name.split()).casefold()
    return next((option for option in every if option.name.casefold() == folded), None)


def option_names(pricing: Pricing) -> list[str]:
    """Return the names by which options can be asked for."""
    farm = pricing.farm
    pairs = [option.name for pair in leanings(farm) for option in pair]
    others = (*farm.options, *single_models(farm), *left_out(farm))
    return [FREE.name, *pairs, *(option.name for option in others)]
