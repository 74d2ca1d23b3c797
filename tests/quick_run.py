"""Which cases of a test the quick run keeps, and which only `python -m pytest -m long` tries."""

from __future__ import annotations

import zlib
from collections.abc import Collection, Iterable
from typing import Any

import pytest

BY_HAND = pytest.mark.by_hand
"""On a case more of a test of many, for a change of what it is about; CI's turns reach it too."""

LONG = pytest.mark.long
"""On a test that takes seconds and of which others in the quick run tell most."""


def in_share(nodeid: str, number: int, of: int) -> bool:
    """Tell whether a case is in one of so many shares, which hold every case once; number : from 0.

    By its name alone, so that a case stays where it is when others come and go.
    """
    return zlib.crc32(nodeid.encode()) % of == number


def mostly_long(
    names: str,
    cases: Iterable[Any],
    *,
    quick: Collection[Any],
    most: int | None = None,
    ids: Any = None,
) -> pytest.MarkDecorator:
    """Return `pytest.mark.parametrize` over all cases, each marked long unless it is in `quick`.

    most : of the long cases so many are of the long run, the first ones; the others are by hand.
    Every one of `quick` must be among the cases, so that no quick run is emptied by a slip.
    """
    several = "," in names
    listed = list(cases)
    if not quick or not all(case in listed for case in quick):
        raise ValueError(f"{names}: no case, or one that is none, is to be quick")
    slow = [case for case in listed if case not in quick]
    late = slow[most:] if most is not None else []
    return pytest.mark.parametrize(
        names,
        [
            pytest.param(
                *(case if several else (case,)),
                marks=() if case in quick else BY_HAND if case in late else LONG,
            )
            for case in listed
        ],
        ids=ids,
    )
