"""Anchor charts: load against drag, efficiency, and ground chain against uplift."""

from __future__ import annotations

from collections.abc import Sequence

from ...models.evidence.anchor_evidence import AnchorEvidence, drags_on_m
from ...models.evidence.anchor_value import typical_drag_m
from ...models.evidence.chain_need import ChainNeed
from ...models.farm import Farm
from ...models.site.pull_test import Event
from ...models.standing.holding import efficiency
from ..paper.book import Book
from ..paper.chart import ChartData, Mark, Run, bars, scatter
from ..paper.openpyxl_parts import Chart
from ..paper.page import Page
from ..paper.style import LINE_POINTS, Look
from .anchor_evidence import CAUTIONS

COLUMNS = 12
COLUMN_WIDTH = 12.4
CHART_CM = (12.4, 8.0)
"""Width and height of the charts that stand two abreast."""
WIDE_CM = 25.4
TALLEST_CM = 13.0
"""What fits on a page below the head and its caution, on two lines."""
ROW_CM = LINE_POINTS * 2.54 / 72
"""Height of a row of one line."""

MOST_PULL_CHARTS = 24
"""Charts of load against drag: one an anchor and seabed, those with most tests first."""
MOST_BARS = 28

DATA_HEADINGS = ("Chart", "Series or bar", "Across, or first bar", "Upwards, or second bar")

EVENTS = {
    Event.ROLLED_OUT: Mark("x", 12),
    Event.BROKE: Mark("star", 14),
    Event.STOPPED: Mark("square", 12),
}


def write_anchor_charts(
    page: Page,
    book: Book,
    farm: Farm,
    evidence: Sequence[AnchorEvidence],
    needs: Sequence[ChainNeed],
) -> None:
    """Write the charts on `page`, and what they draw on a new sheet at the end of the book."""
    page.widths([COLUMN_WIDTH] * COLUMNS)
    page.head(
        "Anchor charts",
        "What the pull tests showed, and the chain that an anchor's uplift "
        "asks for. The numbers are on Chart data.",
        of=farm.project.name,
        across=COLUMNS,
    )
    row = page.paragraphs(3, CAUTIONS[:1], COLUMNS, Look.STRONG) + 1
    data = ChartData(book.data_sheet("Chart data", DATA_HEADINGS))
    tested = [line for line in evidence if line.tests]
    if tested:
        chart = _efficiencies(data, farm, tested)
        height = min(4.0 + 0.85 * min(len(tested), MOST_BARS), TALLEST_CM)
        row = page.place_chart(chart, row, 1, WIDE_CM, height)
    if needs:
        row = page.break_before(row)
        row = page.place_chart(_ground_chain(data, needs), row, 1, WIDE_CM, 11.0)
        row = page.paragraphs(row, [_chain_note(farm)], COLUMNS, Look.NOTE) + 1
    most = sorted(tested, key=lambda line: -len(line.tests))[:MOST_PULL_CHARTS]
    shown = [line for line in tested if line in most]
    below = row
    for index, line in enumerate(shown):
        if index % 4 == 0:
            row = page.break_before(row)
        column = 1 + index % 2 * COLUMNS // 2
        below = page.place_chart(_pulls(data, farm, line), row, column, *CHART_CM)
        if index % 2 == 1:
            row = below
    if len(shown) < len(tested):
        left_out = (
            f"{len(tested) - len(shown)} more pairs of anchor and seabed were tested than are "
            "drawn: those with the fewest tests."
        )
        page.put(below, 1, left_out, look=Look.NOTE, across=COLUMNS)
    page.finish(farm.project.name)


def _chain_note(farm: Farm) -> str:
    return (
        "Static lines at design tension on a flat seabed, for legs from the least to the most "
        "loaded; without a plan, the lightest chain and rope strong enough. A line that starts "
        f"late: at smaller angles no chain up to {farm.project.longest_chain_m:g} m is enough."
    )


def _pulls(data: ChartData, farm: Farm, line: AnchorEvidence) -> Chart:
    """Return load against drag: a line a test, events marked, the allowed drags drawn."""
    runs = [Run(t.name, tuple((r.drag_m, r.load_kn) for r in t.readings)) for t in line.tests]
    for event, mark in EVENTS.items():
        points = tuple(
            (r.drag_m, r.load_kn) for t in line.tests for r in t.readings if r.event is event
        )
        if points:
            runs.append(Run(event.value, points, mark))
    top = max(r.load_kn for t in line.tests for r in t.readings)
    drags = drags_on_m(farm, line.seabed)
    runs += [Run(f"{d:g} m", ((d, 0.0), (d, 1.08 * top)), upright=True) for d in drags]
    allowed = "the drags that legs there allow" if farm.legs else "the drags looked at"
    across = f"Drag (m); upright: {allowed}" if drags else "Drag (m)"
    return scatter(data, f"{line.anchor.name} on {line.seabed}", across, "Load (kN)", runs)


def _efficiencies(data: ChartData, farm: Farm, tested: Sequence[AnchorEvidence]) -> Chart:
    """Return the bars of peak and relied-on holding ÷ weight."""
    shown = tested[:MOST_BARS]
    names, relied = [], []
    for line in shown:
        drag = typical_drag_m(farm, line.seabed)
        drag = line.within[0].allowed_drag_m if drag is None else drag
        at = next(within for within in line.within if within.allowed_drag_m == drag)
        names.append(f"{line.anchor.name}, {line.seabed}, {drag:g} m")
        relied.append(efficiency(at.relied_on_kn, line.anchor.mass_kg))
    return bars(
        data,
        "Holding ÷ weight: the peak of any test, and what is relied on within the drag named",
        "Holding ÷ weight of the anchor in air",
        names,
        [("peak, not relied on", [line.peak_efficiency for line in shown]), ("relied on", relied)],
    )


def _ground_chain(data: ChartData, needs: Sequence[ChainNeed]) -> Chart:
    """Return the chain length needed against the uplift tolerated, a line a typical leg."""
    runs = []
    for need in needs:
        leg = need.leg
        rope = f" + {need.rope_m:g} m {need.rope.name}" if need.rope else ""
        name = (
            f"{leg.name}: {leg.design_tension_kn:g} kN, {leg.depth_m:g} m deep, "
            f"{need.chain.name}{rope}"
        )
        known = zip(need.uplifts_deg, need.lengths_m, strict=True)
        points = tuple((angle, length) for angle, length in known if length is not None)
        if points:
            runs.append(Run(name, points))
    return scatter(
        data,
        "Ground chain needed against the uplift that the anchor tolerates",
        "Largest uplift tolerated (degrees)",
        "Ground chain (m)",
        runs,
        legend="r",
        x_most=max(needs[0].uplifts_deg),
        x_step=1.0,
    )
