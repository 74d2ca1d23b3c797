"""Student's t: its quantiles for whole degrees of freedom, without a statistics library.

Source: the finite series of the distribution for whole degrees of freedom, Abramowitz and Stegun
(1964), 26.7.3 and 26.7.4 (from memory; checked against scipy).
"""

from __future__ import annotations

import math

HALVINGS = 200
"""Most halvings of the bracket; it stops earlier where no number lies between."""


def cumulative(t: float, freedom: int) -> float:
    """Return the probability of a value below t.

    Raises ValueError below one degree of freedom.
    """
    if freedom < 1:
        raise ValueError(f"{freedom} degrees of freedom")
    angle = math.atan2(t, math.sqrt(freedom))
    sine, cosine = math.sin(angle), math.cos(angle)
    odd = freedom % 2 == 1
    term, total = (cosine, cosine) if odd else (1.0, 1.0)
    if odd and freedom == 1:
        total = 0.0
    for step in range(3 if odd else 2, freedom - 1, 2):
        term *= cosine * cosine * (step - 1) / step
        total += term
    both = 2 / math.pi * (angle + sine * total) if odd else sine * total
    return 0.5 + 0.5 * both


def quantile(probability: float, freedom: int) -> float:
    """Return the value that is not exceeded with this probability.

    Raises ValueError outside 0 to 1 (both excluded), and below one degree of freedom.
    """
    if not 0 < probability < 1:
        raise ValueError(f"a probability of {probability:g}")
    if probability < 0.5:
        return -quantile(1 - probability, freedom)
    low, high = 0.0, 1.0
    while cumulative(high, freedom) < probability and high < 1e15:
        high *= 2
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if cumulative(middle, freedom) < probability:
            low = middle
        else:
            high = middle
    return high
