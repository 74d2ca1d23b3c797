"""The characteristic value of few tests: EN 1990:2002 Annex D.7."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

SIZES = (1, 2, 3, 4, 5, 6, 8, 10, 20, 30, math.inf)
"""Numbers of tests in Table D1."""

K_KNOWN = (2.31, 2.01, 1.89, 1.83, 1.80, 1.77, 1.74, 1.72, 1.68, 1.67, 1.64)
"""k_n for the 5 % characteristic value, V_X known (EN 1990:2002 Table D1, seen in a copy)."""

K_UNKNOWN = (math.nan, math.nan, 3.37, 2.63, 2.33, 2.18, 2.00, 1.92, 1.76, 1.73, 1.64)
"""k_n for the 5 % characteristic value, V_X unknown (EN 1990:2002 Table D1, seen in a copy)."""


def k_n(tests: int, scatter_known: bool) -> float:
    """Return k_n of Table D1; between two tabulated numbers the larger, which is safe.

    Raises ValueError below one test, and below three where the scatter is not known.
    """
    if tests < 1 or (not scatter_known and tests < 3):
        raise ValueError(f"Table D1 has no k_n for {tests} tests of unknown scatter")
    index = max(i for i, size in enumerate(SIZES) if size <= tests)
    return (K_KNOWN if scatter_known else K_UNKNOWN)[index]


def characteristic_value(loads: Sequence[float], stated_scatter: float | None) -> float:
    """Return the 5 % characteristic value of like test results, log-normal (D.7.2 (3)).

    loads : results of n tests, any unit. With n ≥ 3 the scatter is estimated from them; with one
    or two it is the stated coefficient of variation. A result of zero makes the value zero.

    Raises ValueError for one or two results where no scatter is stated.
    """
    count = len(loads)
    known = count < 3
    if known and stated_scatter is None:
        raise ValueError(f"{count} tests and no stated scatter")
    factor = k_n(count, known)
    if min(loads) <= 0:
        return 0.0
    mean = float(np.mean(np.log(np.asarray(loads, dtype=float))))
    return math.exp(mean - factor * log_deviation(loads, stated_scatter))


def log_deviation(loads: Sequence[float], stated_scatter: float | None) -> float:
    """Return the standard deviation of the logarithms that D.7.2 takes for like test results.

    With n ≥ 3 that of the results themselves, all above zero; with one or two that of a
    log-normal spread whose coefficient of variation is `stated_scatter`.

    Raises ValueError for one or two results where no scatter is stated.
    """
    if len(loads) >= 3:
        return float(np.std(np.log(np.asarray(loads, dtype=float)), ddof=1))
    if stated_scatter is None:
        raise ValueError(f"{len(loads)} tests and no stated scatter")
    return math.sqrt(math.log(1 + stated_scatter**2))
