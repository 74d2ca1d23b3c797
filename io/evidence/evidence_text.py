"""The evidence as plain text: what each anchor is relied on to hold, for the terminal."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...models.evidence.anchor_evidence import AnchorEvidence, allowed_drags_m
from ...models.evidence.anchor_value import AnchorValue, anchor_values
from ...models.farm import Farm
from ...models.standing.holding import efficiency
from ..words.holding_evidence import what_it_rests_on
from .anchor_evidence import CAUTIONS, columned_drags_m, let_go_words

BLANK = "-"
REASONS = "Rests on, or refused because"
WORDS = ("Anchor", "Seabed", REASONS)


def holding_table(
    farm: Farm, evidence: Sequence[AnchorEvidence], values: Sequence[AnchorValue] | None = None
) -> str:
    """Return the evidence and the value of every anchor and seabed as two tables with cautions."""
    drags = columned_drags_m(farm)
    values = anchor_values(farm, tuple(evidence)) if values is None else values
    head = ["Anchor", "Seabed", "kg", "Tests", "Peak kN", "÷ wt"]
    head += [f"{drag:g} m kN" for drag in drags]
    head += ["Limit kN", "Uplift°", REASONS]
    rows = [_evidence(row, drags) for row in evidence]
    currency = farm.project.currency
    value_head = ["Anchor", "Seabed", "Within m", "kN", "÷ wt"]
    value_head += [f"{currency}/kN", "freight/kN", "boat min/kN"]
    lines = [
        f"{farm.project.name}: what one anchor is relied on to hold, kN, within each allowed drag, "
        "before safety factor and uplift",
        "",
        *_aligned(head, rows),
        "",
    ]
    if any(value.price is not None for value in values):
        lines += [
            "What a kilonewton costs: price before breaks and duty, least freight in full packs, "
            "boat time of one anchor",
            "",
            *_aligned(value_head, [_value(value) for value in values]),
            "",
        ]
    if more := more_to_see(farm):
        lines += [*more, ""]
    return "\n".join([*lines, *CAUTIONS])


def more_to_see(farm: Farm) -> tuple[str, ...]:
    """Return what the evidence does not show yet, each with what it would take."""
    said = []
    if not farm.legs:
        drags = "; ".join(f"{drag:g}" for drag in allowed_drags_m(farm))
        said.append(
            f"No legs: shown within {drags} m of drag; --drag asks for others. With Legs and "
            "Chain: what each leg asks for, and its ground chain."
        )
    if any("unit_price" in anchor.stood_in for anchor in farm.anchors):
        said.append("Prices missing: with Unit price on Anchors, what a kilonewton costs.")
    bare = any("pack_length_mm" in anchor.stood_in for anchor in farm.anchors)
    if bare or not farm.freight_priced:
        said.append("No freight: with the packs' sides and Freight, the carriage of a kilonewton.")
    return tuple(said)


def _evidence(row: AnchorEvidence, drags: tuple[float, ...]) -> list[str]:
    within = [next(at for at in row.within if at.allowed_drag_m == drag) for drag in drags]
    mass = row.anchor.mass_kg
    limit = row.structural_limit_kn
    reasons = [*what_it_rests_on(row), *(f"CAUTION: {said}" for said in let_go_words(row))]
    happened = f" ({row.what_happened})" if row.tests else ""
    return [
        row.anchor.name,
        row.seabed,
        f"{mass:,.0f}",
        str(len(row.tests) or BLANK),
        _number(row.peak.load_kn if row.peak else None),
        _number(row.peak_efficiency),
        *("refused" if at.holding.refusal else _number(at.relied_on_kn) for at in within),
        _number(limit if math.isfinite(limit) else None),
        _number(row.anchor.largest_uplift_deg),
        "; ".join(reasons) + happened,
    ]


def _value(value: AnchorValue) -> list[str]:
    return [
        value.anchor.name,
        value.seabed,
        f"{value.allowed_drag_m:g}",
        "refused" if value.refusal else _number(value.relied_on_kn),
        _number(None if value.refusal else efficiency(value.relied_on_kn, value.anchor.mass_kg)),
        _number(value.price_per_kn, 2),
        _number(value.freight_per_kn, 2),
        _number(value.boat_min_per_kn, 2),
    ]


def _number(number: float | None, places: int = 1) -> str:
    return BLANK if number is None else f"{number:,.{places}f}"


def _aligned(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Return lines of equal columns: those that hold words to the left, numbers to the right."""
    widths = [max(len(line[column]) for line in (head, *rows)) for column in range(len(head))]
    lines = []
    for line in (head, ["-" * width for width in widths], *rows):
        cells = [
            text.ljust(width) if heading in WORDS else text.rjust(width)
            for heading, text, width in zip(head, line, widths, strict=True)
        ]
        lines.append("  ".join(cells).rstrip())
    return lines
