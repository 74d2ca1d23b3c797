"""The characteristic value of few tests: EN 1990:2002 Annex D.7."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

SIZES = (1, 2, 3, 4, 5, 6, 8, 10, 20, 30, math.inf)
"""Numbers of tests in Table D1."""

K_KNOWN = (2.31, 2.01, 1.89, 1.83, 1.80, 1.77, 1.74, 1.72, 1.68, 1.67, 1.64)
"""k_n for the 5 % characteristic value, V_X known (EN 1990:2002 Table D1, seen in a copy)."""

K_UNKNOWN = (math.nan, math.nan, 3.37, 2.63, 2.33, 2.18, 2.00, 1.92, 1.76, 1.73, 1.64)
"""k_n for the 5 % characteristic value, V_X unknown (EN 1990:2002 Table D1, seen in a copy)."""

HALVINGS = 200
"""Most halvings of a bracket; it stops earlier where no number lies between."""


class Scatter(StrEnum):
    """Whose scatter governs a characteristic value."""

    TESTS = "the tests"
    LEAST = "the least allowed"
    STATED = "stated"


@dataclass(frozen=True)
class Characteristic:
    """A 5 % characteristic value and its working: value = mean × exp(−k_n × deviation)."""

    value_kn: float
    mean_kn: float
    """Geometric mean of the loads as counted."""
    k_n: float
    deviation: float
    """Standard deviation of the logarithms that is relied on."""
    scatter: Scatter
    """Whose scatter the deviation is."""
    known: bool
    """Whether k_n is that of a known scatter."""
    held: int
    """Tests that were not stopped; all of them count."""
    stopped: int
    """Stopped tests that count."""
    left_out: int
    """Stopped tests that do not: with them the value would be lower."""
    most_counted_kn: float | None
    """The load at which stopped tests that held more are counted; None: all at what they held."""


def k_n(tests: int, scatter_known: bool) -> float:
    """Return k_n of Table D1; between two tabulated numbers the larger, which is safe.

    Raises ValueError below one test, and below three where the scatter is not known.
    """
    if tests < 1 or (not scatter_known and tests < 3):
        raise ValueError(f"Table D1 has no k_n for {tests} tests of unknown scatter")
    index = max(i for i, size in enumerate(SIZES) if size <= tests)
    return (K_KNOWN if scatter_known else K_UNKNOWN)[index]


def log_deviation(scatter: float) -> float:
    """Return the deviation of the logarithms of a log-normal spread of this V_X (D.7.2)."""
    return math.sqrt(math.log1p(scatter**2))


def characteristic(
    held_kn: Sequence[float],
    stopped_kn: Sequence[float],
    stated_scatter: float | None,
    least_scatter: float,
    more: int = 0,
) -> Characteristic | None:
    """Return the 5 % characteristic value of like tests, log-normal (D.7.2 (3)).

    held_kn : usable loads of tests that were not stopped. All count. With n ≥ 3 the deviation is
    their own, but not below that of `least_scatter` (D.7.1, from memory); where a scatter is
    stated also the value of V_X known, and the smaller of both. With n = 1, 2 that of V_X known.

    stopped_kn : what tests had held when they were stopped: lower bounds, which say nothing
    against. Those count, from the highest down, with which the value is largest; and since an
    anchor that held a load has held every lower one, a stopped test counts at the load, up to
    its own, with which the value is largest. So no stopped test, and no higher load of one, ever
    lowers the value. Where any counts, the deviation is the largest of that of the loads as
    counted, the stated and the least.

    stated_scatter, least_scatter : coefficients of variation V_X.

    more : tests counted besides, with the same mean and scatter: k_n is that of so many more. Of a
    lone test the scatter is the stated one; without it more of them tell nothing.

    None where there is no value: a held load of zero, no load at all, or one or two that count
    and no scatter stated.
    """
    if any(load <= 0 for load in held_kn):
        return None
    held = np.log(np.asarray(held_kn, dtype=float))
    bounds = np.log(np.array(sorted((x for x in stopped_kn if x > 0), reverse=True), dtype=float))
    least = log_deviation(least_scatter)
    stated = None if stated_scatter is None else log_deviation(stated_scatter)
    found = [
        result
        for counting in range(len(bounds) + 1)
        if (result := _counting(held, bounds, counting, stated, least, more)) is not None
    ]
    best = max(found, key=lambda result: result.value_kn, default=None)
    return best and replace(best, left_out=len(stopped_kn) - best.stopped)


def _counting(
    held: NDArray[np.float64],
    bounds: NDArray[np.float64],
    counting: int,
    stated: float | None,
    least: float,
    more: int,
) -> Characteristic | None:
    """Return the value with the `counting` highest of the bounds; everything as logarithms."""
    made = len(held) + counting
    count = made + more
    if made == 0 or ((made == 1 or count < 3) and stated is None):
        return None
    known = count < 3
    factor = k_n(count, known)
    cap: float | None = None
    if counting == 0:
        loads = held
        deviation, scatter = _largest(_deviation(held), None, least)
        if stated is not None:
            other = k_n(count, True)
            if known or other * stated > factor * deviation:
                known, factor, deviation, scatter = True, other, stated, Scatter.STATED
    else:
        floor = max(least, stated or 0.0)
        cap = _cap(held, bounds[:counting], factor, floor)
        loads = np.concatenate([held, np.minimum(bounds[:counting], cap)])
        deviation, scatter = _largest(_deviation(loads), stated, least)
    mean = float(loads.mean())
    lowered = cap is not None and cap < bounds[0]
    return Characteristic(
        math.exp(mean - factor * deviation),
        math.exp(mean),
        factor,
        deviation,
        scatter,
        known,
        len(held),
        counting,
        0,
        math.exp(cap) if cap is not None and lowered else None,
    )


def _deviation(logs: NDArray[np.float64]) -> float:
    return float(np.std(logs, ddof=1)) if len(logs) > 1 else 0.0


def _largest(own: float, stated: float | None, least: float) -> tuple[float, Scatter]:
    """Return the largest of the deviations, and whose it is; the tests' where they are equal."""
    if stated is not None and stated > max(own, least):
        return stated, Scatter.STATED
    return (least, Scatter.LEAST) if least > own else (own, Scatter.TESTS)


def _cap(
    held: NDArray[np.float64], bounds: NDArray[np.float64], factor: float, floor: float
) -> float:
    """Return the load, a logarithm, at which no bound is counted higher, for the largest value.

    mean − k_n × deviation is concave in the loads, so at its largest over every load up to the
    bounds those lowered share one load t. The value rises with t while the deviation is no more
    than the floor, or (t − mean) ÷ deviation no more than (n − 1) ÷ (n k_n). Both grow with t
    where t lies above the mean, and below it the value rises anyway: so it rises, then falls.
    """
    count = len(held) + len(bounds)

    def rises(t: float) -> bool:
        loads = np.concatenate([held, np.minimum(bounds, t)])
        deviation = _deviation(loads)
        away = t - float(loads.mean())
        return deviation <= floor or away * count * factor <= (count - 1) * deviation

    high = float(bounds[0])
    if rises(high):
        return high
    low = float(bounds[-1])
    if len(held) and not rises(low):
        low = float(held.min())
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        low, high = (middle, high) if rises(middle) else (low, middle)
    return low
