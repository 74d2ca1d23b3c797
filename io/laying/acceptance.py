"""Acceptance pulls: the chance that an anchor fails its setting pull, and the spares to take."""

from __future__ import annotations

from ...models.risk.acceptance import SURE_OF_SPARES, AcceptancePull, Spares, acceptance_pulls
from ..paper.book import PlanBook
from ..paper.page import SheetColumn, Value
from ..paper.style import Look
from ..words.cautions import CAUTIONS, pull_words
from ..words.kinds import NumberKind

HEADING_ROW = 5

PULLS = (
    SheetColumn("Leg", widest=16),
    SheetColumn("Anchor", widest=22),
    SheetColumn("Seabed", widest=18),
    SheetColumn("Pull", widest=10),
    SheetColumn("Anchors pulled", NumberKind.COUNT),
    SheetColumn("Pull (kN)", NumberKind.FORCE_KN),
    SheetColumn("Median holding (kN)", NumberKind.FORCE_KN),
    SheetColumn("Deviation of logarithms", NumberKind.FINE),
    SheetColumn("Chance that one fails", NumberKind.SHARE_FINE),
    SheetColumn("5 % value before (kN)", NumberKind.FORCE_KN),
    SheetColumn("5 % value after the pull (kN)", NumberKind.FORCE_KN),
)
SPARES = (
    SheetColumn("Anchor", widest=22),
    SheetColumn("", widest=22),
    SheetColumn("", widest=18),
    SheetColumn("", widest=10),
    SheetColumn("Anchors pulled", NumberKind.COUNT),
    SheetColumn("Chance not known", NumberKind.COUNT),
    SheetColumn("Fail on average", NumberKind.FACTOR),
    *(SheetColumn(f"Spares for {sure:.0%}", NumberKind.COUNT) for sure in SURE_OF_SPARES),
)
ACROSS = len(PULLS)

READ = (
    "Each anchor is taken to feel the whole setting pull, with full line and ground chain: the "
    "pull at the vessel must be such. Its holding is log-normal about the median of its tests, or "
    "of a mean law, with the scatter relied on; where only a declared value or a lower law backs "
    "it, the chance is not known. Recorded: a pull that was made and held. It is a stopped test "
    "in that median; the chance is of such an anchor before its pull, and the spares are for the "
    "pulls planned. Replacements are taken to hold. The value after the pull says nothing of clay "
    "that sets up after it, nor of what cyclic load takes away."
)

INFORMATION = (
    "It is information for the engineer: no limit here uses it, unless Project says so "
    "(Setting pull raises holding)."
)


def write_acceptance(book: PlanBook) -> None:
    """Write the sheet, where a setting pull is planned or recorded."""
    plan = book.plan
    pulls, spares = acceptance_pulls(plan.farm, plan.assignments, plan.laid)
    if not pulls:
        return
    page = book.page("Acceptance pulls")
    project = plan.farm.project
    page.head(
        "Acceptance pulls",
        "The chance that an anchor fails its setting pull, and the spares to have on board.",
        of=project.name,
        across=ACROSS,
    )
    used = pull_words(plan.farm) or INFORMATION
    page.put(3, 1, f"{READ} {used}", look=Look.NOTE, across=ACROSS)
    table = page.table(HEADING_ROW, PULLS, [_pull(pull) for pull in pulls])
    below = table.next_row
    if spares:
        page.put(below + 1, 1, "Spares to have on board", look=Look.SECTION, across=ACROSS)
        below = page.table(below + 2, SPARES, [_spare(one) for one in spares]).next_row
    page.paragraphs(below + 1, CAUTIONS, ACROSS, Look.STRONG)
    page.finish(project.name, heading_row=HEADING_ROW, freeze=False)


def _pull(pull: AcceptancePull) -> tuple[Value, ...]:
    made = "recorded" if pull.recorded else "planned"
    named = (pull.leg, pull.anchor, pull.seabed, made, pull.anchors, pull.pull_kn)
    if pull.spread is None:
        return (*named, None, None, None, None, None)
    return (
        *named,
        pull.spread.median_kn,
        pull.spread.deviation,
        pull.chance_of_failing,
        pull.spread.value_kn(),
        pull.spread.value_after_kn(pull.pull_kn),
    )


def _spare(one: Spares) -> tuple[Value, ...]:
    spares = one.spares or (None,) * len(SURE_OF_SPARES)
    return (one.anchor, "", "", "", one.pulled, one.unknown, one.expected, *spares)
