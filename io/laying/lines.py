"""Lines: a row a line, with its tag, its gear, and where it is attached, anchored and dropped."""

from __future__ import annotations

from ...models.evidence.lines import PlanLine, every_line
from ..paper.book import PlanBook
from ..paper.page import SheetColumn, Value
from ..paper.style import Look
from ..told.laid_text import LAID_ALREADY
from ..words.cautions import CAUTIONS
from ..words.kinds import NumberKind

HEADING_ROW = 4

COLUMNS = (
    SheetColumn("Line", widest=16),
    SheetColumn("Leg", widest=14),
    SheetColumn("Anchor", widest=20),
    SheetColumn("Anchors", NumberKind.COUNT),
    SheetColumn("Chain", widest=18),
    SheetColumn("Chain (m)", NumberKind.LENGTH_M),
    SheetColumn("Rope", widest=20),
    SheetColumn("Rope (m)", NumberKind.LENGTH_M),
    SheetColumn("Vessel", widest=26),
    SheetColumn("Attachment E (m)", NumberKind.LENGTH_M),
    SheetColumn("Attachment N (m)", NumberKind.LENGTH_M),
    SheetColumn("Bearing (deg)", NumberKind.ANGLE_DEG),
    SheetColumn("Anchor E (m)", NumberKind.LENGTH_M),
    SheetColumn("Anchor N (m)", NumberKind.LENGTH_M),
    SheetColumn("Setting drag (m)", NumberKind.LENGTH_M),
    SheetColumn("Drop E (m)", NumberKind.LENGTH_M),
    SheetColumn("Drop N (m)", NumberKind.LENGTH_M),
)

NOTE = (
    "Anchor: where it lies when it holds, its line at design tension. Drop: where it is let go, "
    "farther out by the drag that its pull tests took to hold what the leg requires; blank where "
    "no test tells, or the leg has no position. Rope is the length between its ends: each eye "
    "takes more, and is on the cutting list. Positions follow from those given and from a static "
    "line on a flat seabed: the surveyor's and the master's positions come before them."
)


def write_lines(book: PlanBook) -> None:
    """Write every line of the farm."""
    plan = book.plan
    page = book.page("Lines")
    page.head(
        "Lines",
        "Every line by its tag, which is the same on every sheet: how "
        "it is built and where it lies.",
        of=plan.farm.project.name,
        across=len(COLUMNS),
    )
    table = page.table(HEADING_ROW, COLUMNS, [_row(line) for line in every_line(plan)])
    below = page.paragraphs(table.next_row + 1, [NOTE], len(COLUMNS), Look.NOTE)
    page.paragraphs(below, CAUTIONS, len(COLUMNS), Look.STRONG)
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW, close=True)


def _row(line: PlanLine) -> tuple[Value, ...]:
    made = line.row.make_up
    nowhere = (None, None)
    return (
        line.tag,
        line.leg,
        made.anchor,
        made.anchors,
        made.chain,
        made.chain_m,
        made.rope or "none",
        made.rope_m if made.rope else None,
        line.row.vessel or LAID_ALREADY,
        *(line.attachment or nowhere),
        line.bearing_deg,
        *(line.anchor or nowhere),
        line.setting_drag_m,
        *(line.drop or nowhere),
    )
