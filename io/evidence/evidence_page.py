"""The evidence as a page: what anchors hold, drawn and in figures, for a browser or a printer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ...models.evidence.anchor_evidence import AnchorEvidence, WithinDrag, anchor_evidence
from ...models.evidence.anchor_value import AnchorValue, anchor_values, typical_drag_m
from ...models.evidence.chain_need import typical_needs
from ...models.farm import Farm
from ...models.goods.fit import Fit
from ..drawings.evidence_drawing import (
    BAR_WORDS,
    EVENT_WORDS,
    bar_drawing,
    chain_drawing,
    pull_drawing,
)
from ..web_page import Cell, bullets, document, escaped, figure, paragraph, table
from ..words.cautions import DESIGN
from ..words.holding_evidence import what_it_rests_on
from ..words.kinds import NumberKind
from .anchor_evidence import CAUTIONS, columned_drags_m, let_go_words
from .evidence_text import more_to_see

SHOWN_AT_ONCE = 12
"""Panels of one drawing: what fits on a printed page."""


def evidence_page(farm: Farm, fits: Sequence[Fit] = ()) -> str:
    """Return the whole page."""
    evidence = anchor_evidence(farm)
    name = farm.project.name
    blocks = (
        f"<h1>{escaped(name)}: what its anchors hold</h1>",
        paragraph(
            "Evidence, not a design. What one anchor is relied on to hold within each allowed "
            "drag, before any safety factor and without uplift.",
            "alert",
        ),
        bullets("ul", (*CAUTIONS, DESIGN)),
        *(f for f in [bullets("ul", more_to_see(farm))] if more_to_see(farm)),
        *_bars(farm, evidence),
        *_pulls(farm, evidence),
        *_chain(farm),
        *_figures(farm, evidence),
        *_values(farm, anchor_values(farm, evidence, {(f.anchor, f.service): f for f in fits})),
    )
    return document(f"{name}: anchor evidence", blocks)


def _seabeds(evidence: Iterable[AnchorEvidence]) -> dict[str, list[AnchorEvidence]]:
    found: dict[str, list[AnchorEvidence]] = {}
    for row in evidence:
        found.setdefault(row.seabed, []).append(row)
    return found


def _bars(farm: Farm, evidence: Sequence[AnchorEvidence]) -> Iterable[str]:
    """Yield the bars of each seabed, at the allowed drag of most of its lines."""
    yield "<h2>Holding ÷ weight, side by side</h2>"
    yield paragraph(BAR_WORDS, "note")
    shown = {}
    for seabed, rows in _seabeds(evidence).items():
        drag = typical_drag_m(farm, seabed)
        drag = rows[0].within[0].allowed_drag_m if drag is None else drag
        pairs = [(row, _at(row, drag)) for row in rows]
        able = [(row, at) for row, at in pairs if row.tests or not at.holding.refusal]
        able.sort(key=lambda pair: -pair[1].relied_on_kn / pair[0].anchor.mass_kg)
        shown[f"{seabed}, within {drag:g} m"] = able
    everyone = [pair for pairs in shown.values() for pair in pairs]
    for title, able in shown.items():
        if able:
            yield figure(bar_drawing(able, everyone), title)


def _at(row: AnchorEvidence, drag: float) -> WithinDrag:
    return next(within for within in row.within if within.allowed_drag_m == drag)


def _pulls(farm: Farm, evidence: Sequence[AnchorEvidence]) -> Iterable[str]:
    tested = [row for row in evidence if row.tests]
    if not tested:
        return
    yield "<h2>Load against drag</h2>"
    yield paragraph(
        "Every anchor on one scale, a line a test, solid and dashed to tell them apart. "
        + EVENT_WORDS,
        "note",
    )
    for seabed, rows in _seabeds(tested).items():
        for first in range(0, len(rows), SHOWN_AT_ONCE):
            yield figure(pull_drawing(rows[first : first + SHOWN_AT_ONCE], tested), seabed)


def _chain(farm: Farm) -> Iterable[str]:
    needs = typical_needs(farm)
    if needs:
        yield "<h2>Ground chain against uplift</h2>"
        yield paragraph(
            "What a leg needs of chain on the seabed, by the uplift that its anchor may stand: the "
            "lightest chain and rope strong enough, at design tension with the anchor factor.",
            "note",
        )
        yield figure(chain_drawing(needs))


def _figures(farm: Farm, evidence: Sequence[AnchorEvidence]) -> Iterable[str]:
    drags = columned_drags_m(farm)
    headings = (
        ("Anchor", NumberKind.TEXT),
        ("Seabed", NumberKind.TEXT),
        ("Mass (kg)", NumberKind.MASS_KG),
        ("Tests", NumberKind.COUNT),
        ("Peak (kN)", NumberKind.FORCE_KN),
        ("Peak ÷ weight", NumberKind.EFFICIENCY),
        *((f"Relied on in {drag:g} m (kN)", NumberKind.FORCE_KN) for drag in drags),
        ("What happened", NumberKind.TEXT),
        ("Rests on, or refused because", NumberKind.TEXT),
    )
    rows: list[tuple[Cell, ...]] = []
    for row in evidence:
        rests = [*what_it_rests_on(row), *(f"CAUTION: {said}" for said in let_go_words(row))]
        rows.append(
            (
                row.anchor.name,
                row.seabed,
                row.anchor.mass_kg,
                len(row.tests) or None,
                row.peak.load_kn if row.peak else None,
                row.peak_efficiency,
                *(_relied(_at(row, drag)) for drag in drags),
                row.what_happened,
                "; ".join(rests),
            )
        )
    yield "<h2>In figures</h2>"
    yield table(headings, rows)


def _relied(at: WithinDrag) -> Cell:
    return "refused" if at.holding.refusal else at.relied_on_kn


def _values(farm: Farm, values: Sequence[AnchorValue]) -> Iterable[str]:
    if not any(value.price_per_kn is not None for value in values):
        return
    currency = farm.project.currency
    headings = (
        ("Seabed", NumberKind.TEXT),
        ("Anchor", NumberKind.TEXT),
        ("Within (m)", NumberKind.LENGTH_M),
        ("Relied on (kN)", NumberKind.FORCE_KN),
        (f"Price per kN ({currency})", NumberKind.MONEY),
        (f"Least freight per kN ({currency})", NumberKind.MONEY),
        ("Boat (min per kN)", NumberKind.FACTOR),
    )
    yield "<h2>What a kilonewton costs</h2>"
    yield table(
        headings,
        [
            (
                value.seabed,
                value.anchor.name,
                value.allowed_drag_m,
                value.relied_on_kn,
                value.price_per_kn,
                value.freight_per_kn,
                value.boat_min_per_kn,
            )
            for value in values
            if not value.refusal
        ],
    )
