"""Reasons: what decided each leg, what another anchor would add, what more would cost."""

from __future__ import annotations

from collections.abc import Sequence

from ...models.asked.reasons import Change, Reasons
from ...models.standing.make_up import MakeUp
from ..paper.page import Page, SheetColumn, Value
from ..paper.style import Look
from ..words.kinds import NumberKind
from ..words.stopped import ended_early

WIDTHS = (15.0, 24.0, 42.0, 15.0, 15.0, 15.0, 27.0, 27.0, 27.0)
ACROSS = len(WIDTHS)

CLEAR = "  "
"""Keeps a text over several columns clear of the number before it."""

READ = (
    "Every amount is the whole farm priced again with that one thing otherwise, against the plan "
    "of the free choice. “Adds” is by the plans found; “at least” and “at most” are proven. A "
    "range that holds nothing but 0 at its foot says that the search has not proven a difference."
)
DECIDED = (
    "“Set by”: one size (or one cutting step) less would miss that limit. “The cost of the whole "
    "farm”: a smaller one would keep every limit, and is not least with freight, chain and boats."
)


def write_reasons(page: Page, reasons: Reasons) -> None:
    """Write the sheet."""
    page.widths(WIDTHS)
    page.head(
        "Reasons",
        f"{reasons.project}: why the order is as it is, and what would be paid for it to be "
        f"otherwise, {reasons.currency}.{ended_early(reasons.stopped)}",
        across=ACROSS,
    )
    row = page.paragraphs(3, [READ], ACROSS, Look.NOTE) + 1
    row = _changes(page, row, "If the farm asked a little more", reasons.changes)
    row = _changes(page, row + 1, "If an anchor model sold out", reasons.regrets)
    row = _changes(page, row + 1, "Plans with at least one other anchor", reasons.next_best)
    row = page.break_before(row + 1)
    row = _decided(page, row, reasons)
    row = page.break_before(row + 1)
    _forced(page, row, reasons)
    page.finish("Options compared")


def _changes(page: Page, top: int, title: str, changes: Sequence[Change]) -> int:
    page.put(top, 1, title, look=Look.SECTION, across=ACROSS)
    row = top + 1
    for column, (heading, kind) in enumerate(
        (("Adds", NumberKind.MONEY), ("At least", NumberKind.MONEY), ("At most", NumberKind.MONEY)),
        start=4,
    ):
        page.put(row, column, heading, kind, Look.HEADING)
    page.put(row, 1, "What is otherwise", look=Look.HEADING, across=3)
    page.put(row, 7, f"{CLEAR}Anchors then laid", look=Look.HEADING, across=3)
    for change in changes:
        row += 1
        page.put(row, 1, change.what, across=3)
        if change.adds is None:
            page.put(row, 4, change.why, across=6)
            continue
        for column, amount in enumerate(
            (change.adds.found, change.adds.least, change.adds.most), start=4
        ):
            page.put(row, column, amount, NumberKind.MONEY)
        page.put(row, 7, f"{CLEAR}{change.laid}", across=3)
    return row + 1


def _decided(page: Page, top: int, reasons: Reasons) -> int:
    page.put(top, 1, "What decided each leg", look=Look.SECTION, across=ACROSS)
    page.put(top + 1, 1, DECIDED, look=Look.NOTE, across=ACROSS)
    columns = (
        SheetColumn("Leg"),
        SheetColumn("Vessel"),
        SheetColumn("Make-up"),
        SheetColumn("Legs", NumberKind.COUNT),
        SheetColumn("Chain"),
        SheetColumn("Rope"),
        SheetColumn("Anchor size"),
        SheetColumn("Chain length"),
        SheetColumn("Vessel by"),
    )
    rows: list[tuple[Value, ...]] = [
        (
            why.leg,
            why.vessel,
            str(why.make_up),
            why.count,
            why.chain,
            why.rope,
            why.anchor,
            why.chain_length,
            why.by_vessel,
        )
        for why in reasons.whys
    ]
    return page.table(top + 2, columns, rows).next_row


def _forced(page: Page, top: int, reasons: Reasons) -> int:
    page.put(top, 1, "Another anchor family on one leg group", look=Look.SECTION, across=ACROSS)
    headings = (
        "Leg",
        "Family",
        "Make-up it then has",
        "Adds",
        "At least",
        "At most",
        f"{CLEAR}Why not",
    )
    kinds = (
        NumberKind.TEXT,
        NumberKind.TEXT,
        NumberKind.TEXT,
        *[NumberKind.MONEY] * 3,
        NumberKind.TEXT,
    )
    row = top + 1
    for column, (heading, kind) in enumerate(zip(headings, kinds, strict=True), start=1):
        across = 3 if column == len(headings) else 1
        page.put(row, column, heading, kind, Look.HEADING, across=across)
    for forced in reasons.forced:
        row += 1
        page.put(row, 1, forced.leg)
        page.put(row, 2, forced.family)
        page.put(row, 3, _listed(forced.make_ups))
        if forced.adds is None:
            page.put(row, 7, f"{CLEAR}{forced.why}", across=3)
            continue
        amounts = (forced.adds.found, forced.adds.least, forced.adds.most)
        for column, amount in enumerate(amounts, start=4):
            page.put(row, column, amount, NumberKind.MONEY)
    return row + 1


def _listed(make_ups: Sequence[MakeUp]) -> str:
    return "; ".join(str(made) for made in make_ups)
