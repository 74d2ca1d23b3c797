"""Charged days: how many calendar days some days of work take, where the weather stops them.

Each day can be worked with a chance p by itself, whatever the day before was. The lost days before
the n-th working day then are negative binomial, NB(n, p), and the vessel charges D = n + NB(n, p)
days. The mean is n ÷ p. Bad weather lasts: where a day is more like the one before, the mean stays
and the spread is wider, by √((1 + ρ) ÷ (1 − ρ)) for a day-to-day correlation ρ.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from ..arrays import Floats, ceil_to_whole
from ..site.vessel import Vessel

TAIL = 1e-12
"""Chance of still more lost days that is left out."""

SURE_OF = 1e-12
"""What rounding may do to a chance."""


@lru_cache(maxsize=4096)
def chances_of_lost_days(working_days: int, workable_share: float) -> Floats:
    """Return (K,) the chance of at most 0, 1, 2, ... lost days; its last is all but 1.

    P(K = k) = C(n + k − 1, k) pⁿ (1 − p)ᵏ, by logarithms: pⁿ alone may be too small to hold.
    Raises ValueError where no day can be worked.
    """
    n, p = working_days, workable_share
    if not 0 < p <= 1:
        raise ValueError(f"a workable share must be more than 0, at most 1, not {p:g}")
    if n <= 0 or p == 1:
        return np.ones(1)
    spread = math.sqrt(n * (1 - p)) / p
    most = math.ceil(n * (1 - p) / p + 12 * spread + 60 / p)
    while True:
        k = np.arange(1, most + 1, dtype=float)
        steps = np.log((n + k - 1) / k) + math.log1p(-p)
        chance = np.cumsum(np.exp(n * math.log(p) + np.concatenate([[0.0], np.cumsum(steps)])))
        if chance[-1] >= 1 - TAIL:
            return np.asarray(chance[: int(np.searchsorted(chance, 1 - TAIL)) + 1])
        most *= 2


def days_at(working_days: int, workable_share: float, sure: float) -> int:
    """Return the fewest charged days that are enough with a chance of at least `sure`."""
    chance = chances_of_lost_days(working_days, workable_share)
    lost = int(np.searchsorted(chance, sure - SURE_OF))
    return working_days + min(lost, len(chance) - 1)


def chance_within(working_days: int, workable_share: float, days: int) -> float:
    """Return the chance that no more days than these are charged."""
    if days < working_days:
        return 0.0
    chance = chances_of_lost_days(working_days, workable_share)
    return float(chance[min(days - working_days, len(chance) - 1)])


def working_days_of(vessel: Vessel, hours: float) -> int:
    """Return the whole days of work that so many hours take, none of them lost."""
    return ceil_to_whole(hours / vessel.working_hours_per_day)


def charged_days_of(vessel: Vessel, hours: float, sure: float | None) -> int:
    """Return the days that a plan charges for so many hours of work.

    sure : the chance that they are enough; None: the mean, hours ÷ (working hours per day × share
    of days workable), in whole days.
    """
    if sure is None:
        return ceil_to_whole(hours / vessel.hours_per_charged_day)
    return days_at(working_days_of(vessel, hours), vessel.workable_share, sure)
