"""What a plan leaves out, in words: a line that counts it."""

from __future__ import annotations

from collections import Counter

from ...models.answer.plan import Plan
from ..words.grammar import counted, listed

SHEET = "Left out"


def left_out_line(plan: Plan) -> str:
    """Return how many rows of each catalogue no plan can use, or "" where there are none."""
    if not plan.left_out:
        return ""
    kinds = Counter(row.what for row in plan.left_out)
    counts = listed([counted(count, what) for what, count in kinds.items()])
    can = "it" if len(plan.left_out) == 1 else "them"
    return f"{SHEET}: {counts}: no plan can use {can}; sheet '{SHEET}' of the order says why."
