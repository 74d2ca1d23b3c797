"""Arrays: their types, and the few ways in which nearly whole numbers become whole ones."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.signedinteger[Any]]
"""Whole numbers of any size that holds them: a million small ones take little room."""


Floats = NDArray[np.float64]


Bools = NDArray[np.bool_]


ROUNDING = 1e-9
"""What rounding in floating point may do to a sum or ratio of figures of everyday size."""

WHOLE = 1e-6
"""What a solver's tolerance may do to a whole number."""

TINY = 1e-300
"""Stands in for nothing where a nothing may not divide."""


def whole_counts(values: Floats) -> Ints:
    """Return a solver's numbers of lines as the whole numbers they stand for."""
    whole: Ints = np.rint(values).astype(np.int64)
    return whole


def ceil_to_whole(amount: float, slack: float = WHOLE) -> int:
    """Return the least whole number not below `amount`, a tolerance forgiven."""
    return math.ceil(amount - slack)


def floor_to_whole(amount: float, slack: float = WHOLE) -> int:
    """Return the greatest whole number not above `amount`, a tolerance forgiven."""
    return math.floor(amount + slack)
