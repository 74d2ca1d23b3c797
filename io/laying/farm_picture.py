"""The farm in pictures: where each chosen anchor lies, and how each make-up hangs."""

from __future__ import annotations

from ...models.evidence.lines import PlanLine
from ..drawings.farm_map import drawn_points, left_out_words, map_box, placed_lines
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
PLACES_DRAWN = (1, 4, 5)
"""Columns of the table that the map draws: anchor, easting, northing."""

COLUMNS = 12
COLUMN_WIDTH = 12.4
DRAWING_CM = (11.2, 11.2 * HEIGHT / WIDTH)
ABREAST, ON_A_PAGE = 2, 6
MOST_DRAWINGS = 60

PLACES = (
    SheetColumn("Anchor", widest=30),
    SheetColumn("Line", widest=20),
    SheetColumn("Anchors", NumberKind.COUNT),
    SheetColumn("Easting (m)", NumberKind.LENGTH_M),
    SheetColumn("Northing (m)", NumberKind.LENGTH_M),
    SheetColumn("Bearing (deg)", NumberKind.ANGLE_DEG),
    SheetColumn("Depth (m)", NumberKind.LENGTH_M),
    SheetColumn("Seabed", widest=24),
)


def write_farm_picture(book: PlanBook) -> None:
    """Write the map of the anchors, where legs have positions, then the leg drawings."""
    placed = placed_lines(book.plan)
    if placed:
        _write_map(book, placed)
    _write_drawings(book)


def _write_map(book: PlanBook, placed: dict[str, list[PlanLine]]) -> None:
    plan = book.plan
    page = book.page("Farm picture")
    page.widths([30.0, 20.0, 10.0, 12.0, 16.0, 16.0, 14.0, 30.0])
    across = len(PLACES)
    page.head(
        "Farm picture",
        "Where the anchors lie, a mark for each anchor model: the "
        "radius out from their attachments, along the bearings of the Legs sheet."
        f"{left_out_words(plan)}",
        of=plan.farm.project.name,
        across=across,
    )
    box = map_box(drawn_points(plan), PLOT_SHAPE)
    # The chart stands above the table that it draws, on a page of its own.
    top = 4 + rows_of_picture(CHART_CM[1]) + 2
    spans, first = [], top + 1
    for rows in placed.values():
        spans.append((first, first + len(rows) - 1))
        first += len(rows)
    chart = places(page, "Anchors as chosen", PLACES_AXES, spans, PLACES_DRAWN, box)
    row = page.place_chart(chart, 4, 1, *CHART_CM)
    note = (
        "A mark stands for a line, which may lie on two anchors. For the order, not for navigation "
        "or for laying: positions follow from those given, on a flat seabed."
    )
    row = page.paragraphs(row, [note], across, Look.NOTE)
    table = [
        (
            anchor,
            line.tag,
            line.row.make_up.anchors,
            *(line.anchor or (None, None)),
            line.bearing_deg,
            plan.farm.leg_by_name[line.leg].depth_m,
            plan.farm.leg_by_name[line.leg].seabed,
        )
        for anchor, lines in placed.items()
        for line in lines
    ]
    assert page.break_before(row) == top
    listed = page.table(top, PLACES, table)
    heading = listed.heading_row
    page.finish(plan.farm.project.name, heading_row=heading, freeze=False, close=True)


def _write_drawings(book: PlanBook) -> None:
    plan = book.plan
    page = book.page("Leg drawings")
    page.widths([COLUMN_WIDTH] * COLUMNS)
    page.head(
        "Leg drawings",
        "Every make-up as it hangs at design tension, to scale: the "
        "anchor to the left, ground chain thick, rope thin, the attachment a square.",
        of=plan.farm.project.name,
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
        below = page.place_picture(leg.drawing.png, row + 2, column, *DRAWING_CM)
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
