"""Doubts in words: what was doubted of the workbook that a plan was priced on."""

from __future__ import annotations

import textwrap

from ...models.farm import Farm
from ...models.fault import Fault

HEADING = "Doubted in the workbook"
MOST_IN_FULL = 8
MOST_NAMED = 60
LONGEST = 220
"""Characters of one doubt."""


def doubt_lines(farm: Farm) -> tuple[str, ...]:
    """Return a line a doubt, then one that names the cells of those that are too many to tell."""
    told = [textwrap.shorten(str(doubt), LONGEST, placeholder=" ...") for doubt in farm.doubts]
    rest = farm.doubts[MOST_IN_FULL:]
    if rest:
        places = ", ".join(dict.fromkeys(_place(doubt) for doubt in rest[:MOST_NAMED]))
        more = " ..." if len(rest) > MOST_NAMED else ""
        told[MOST_IN_FULL:] = [f"and {len(rest)} more, at {places}{more}: see moorledger check"]
    return tuple(told)


def _place(doubt: Fault) -> str:
    return f"{doubt.sheet}!{doubt.cell}" if doubt.cell else doubt.sheet or doubt.heading
