"""The farm in pictures: where each chosen anchor lies, and how each make-up hangs."""

from __future__ import annotations

from ...models.answer.plan import Assignment
from ..drawings.farm_map import left_out_words, map_box, placed_anchors, position
from ..drawings.leg_drawing import HEIGHT, WIDTH, drawn_legs
from ..paper.book import PlanBook
from ..paper.chart import places
from ..paper.page import SheetColumn, rows_of_picture
from ..paper.style import Look
from ..words.cautions import CAUTIONS
from ..words.kinds import NumberKind

CHART_CM = (26.4, 14.2)
PLOT_SHAPE = 1.65
"""Width ÷ height of the map within its chart, about, so that both axes have one scale."""
PLACES_AXES = ("Easting (m)", "Northing (m)")
PLACES_DRAWN = (1, 5, 6)
"""Columns of the table that the map draws: anchor, easting, northing."""

COLUMNS = 12
COLUMN_WIDTH = 12.4
DRAWING_CM = (12.4, 12.4 * HEIGHT / WIDTH)
ABREAST, ON_A_PAGE = 2, 6
MOST_DRAWINGS = 60

PLACES = (
    SheetColumn("Anchor", widest=30),
    SheetColumn("Leg", widest=20),
    SheetColumn("Legs", NumberKind.COUNT),
    SheetColumn("Anchors per leg", NumberKind.COUNT),
    SheetColumn("Easting (m)", NumberKind.LENGTH_M),
    SheetColumn("Northing (m)", NumberKind.LENGTH_M),
    SheetColumn("Depth (m)", NumberKind.LENGTH_M),
    SheetColumn("Seabed", widest=24),
)


def write_farm_picture(book: PlanBook) -> None:
    """Write the map of the anchors, where legs have positions, then the leg drawings."""
    placed = placed_anchors(book.plan)
    if placed:
        _write_map(book, placed)
    _write_drawings(book)


def _write_map(book: PlanBook, placed: dict[str, list[Assignment]]) -> None:
    plan = book.plan
    page = book.page("Farm picture")
    page.widths([30.0, 20.0, 10.0, 12.0, 16.0, 16.0, 14.0, 30.0])
    across = len(PLACES)
    page.head(
        "Farm picture",
        f"{plan.farm.project.name}. Where the anchors lie, a mark for each anchor model, by the "
        f"Easting and Northing of the Legs sheet.{left_out_words(plan)}",
        across=across,
    )
    box = map_box([position(plan, row) for rows in placed.values() for row in rows], PLOT_SHAPE)
    # The chart stands above the table that it draws, on a page of its own.
    top = 4 + rows_of_picture(CHART_CM[1]) + 2
    spans, first = [], top + 1
    for rows in placed.values():
        spans.append((first, first + len(rows) - 1))
        first += len(rows)
    chart = places(page, "Anchors as chosen", PLACES_AXES, spans, PLACES_DRAWN, box)
    row = page.place_chart(chart, 4, 1, *CHART_CM)
    note = (
        "A mark stands for a leg group, which may be many legs near it; two marks at one place are "
        "a group laid on two anchors. For the order, not for navigation or for laying: positions "
        "are those given."
    )
    row = page.paragraphs(row, [note], across, Look.NOTE)
    table = [
        (
            anchor,
            each.leg,
            each.count,
            each.make_up.anchors,
            *position(plan, each),
            plan.farm.leg_by_name[each.leg].depth_m,
            plan.farm.leg_by_name[each.leg].seabed,
        )
        for anchor, rows in placed.items()
        for each in rows
    ]
    assert page.break_before(row) == top
    listed = page.table(top, PLACES, table)
    page.finish(plan.farm.project.name, heading_row=listed.heading_row, freeze=False)


def _write_drawings(book: PlanBook) -> None:
    plan = book.plan
    page = book.page("Leg drawings")
    page.widths([COLUMN_WIDTH] * COLUMNS)
    page.head(
        "Leg drawings",
        f"{plan.farm.project.name}. Every make-up as it hangs at design tension, to scale: the "
        "anchor to the left, ground chain thick, rope thin, the attachment a square.",
        across=COLUMNS,
    )
    drawn = drawn_legs(plan)
    row, below = 4, 4
    half = COLUMNS // ABREAST
    for index, leg in enumerate(drawn[:MOST_DRAWINGS]):
        if index and index % ON_A_PAGE == 0:
            row = page.break_before(below)
        column = 1 + index % ABREAST * half
        page.put(row, column, leg.title, look=Look.STRONG, across=half)
        page.put(row + 1, column, leg.built, across=half)
        below = page.place_picture(leg.drawing.png(), row + 2, column, *DRAWING_CM)
        if index % ABREAST == ABREAST - 1:
            row = below
    notes = [
        "Static, on a flat seabed, without current or waves: a leg at work moves, and hangs lower "
        "when slack.",
        *CAUTIONS,
    ]
    if len(drawn) > MOST_DRAWINGS:
        notes.insert(0, f"{len(drawn) - MOST_DRAWINGS} more make-ups are not drawn.")
    page.paragraphs(below + 1, notes, COLUMNS, Look.NOTE)
    page.finish(plan.farm.project.name)
