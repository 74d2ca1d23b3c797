"""What to find out next, in words."""

from __future__ import annotations

import math

from ...models.answer.assumed import Assumed
from ...models.answer.finding import Finding, Findings, How
from .unpriced import FACTS

UNITS = {
    "deck_area_m2": "m²",
    "lowering_min": "min",
    "setting_min": "min",
    "pack_length_mm": "m³",
    "packed_volume_m3": "m³",
    "rope_in_each_eye_m": "m",
    "shortest_chain_m": "m",
    "container_stowage_share": "of the inside",
}


def about(one: Assumed) -> str:
    """Return "deck area of Folding plate 150"."""
    return f"{FACTS[one.field]} of {one.name}" if one.name else f"{FACTS[one.field]} (Project)"


def cell_words(one: Assumed) -> str:
    """Return what is assumed now: "1.5 m²"."""
    return f"{one.value:.3g} {UNITS[one.field]}"


def next_text(found: Findings, currency: str) -> str:
    """Return the ranking as lines of text, the most money first."""
    if not found.ranked and not found.not_tried:
        return "Nothing to find out: no default stands in for a fact."
    lines = ["To find out next, by the money that it may move:"]
    lines += [f"  {line(one, currency)}" for one in found.ranked]
    lines += [f"  {about(one)}: not tried for want of time" for one in found.not_tried]
    return "\n".join([*lines, *method_words(found, currency)])


def line(one: Finding, currency: str) -> str:
    """Return "deck area of Folding plate 150: up to EUR 1,900 (now 1.5 m²; priced again)"."""
    worth = "there may be no plan"
    if math.isfinite(one.worth):
        worth = f"up to {currency} {one.worth:,.0f}"
    return f"{about(one.assumed)}: {worth} (now {cell_words(one.assumed)}; {one.how})"


def method_words(found: Findings, currency: str) -> tuple[str, ...]:
    """Return how it was found, and what it cannot tell apart."""
    said = [
        f"Each was tried a half lower and a half higher, one at a time; as assumed the cost is "
        f"{currency} {found.cost:,.0f}. Differences below {currency} {found.cost * found.gap:,.0f} "
        "are within the gap of the search."
    ]
    if any(one.how is How.KNOWN for one in found.ranked):
        said.append("'By the plan known': its lines are held fast, so another may cost less.")
    return tuple(said)
