"""The cutting list: how lengths of chain and rope are cut, pattern by pattern, and what is left."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import accumulate

from ...models.answer.plan import Cut, Plan
from ...models.arrays import ROUNDING
from ...models.site.project import Project
from ..paper.book import PlanBook
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.style import Look
from ..words.kinds import NumberKind
from .cut_patterns import ON_HAND, Pattern, codes_of, patterns_of

HEADING_ROW = 4

COLUMNS = (
    SheetColumn("Item", widest=24),
    SheetColumn("Code", widest=7),
    SheetColumn("Its length (m)", NumberKind.LENGTH_M),
    SheetColumn("How often", NumberKind.COUNT),
    SheetColumn("Lengths", widest=34),
    SheetColumn("Pieces, in order (m)", widest=34),
    SheetColumn("Cut at the marks (m)", widest=38),
    SheetColumn("Pieces in all", NumberKind.COUNT),
    SheetColumn("Used of each (m)", NumberKind.LENGTH_M),
    SheetColumn("Left of each (m)", NumberKind.LENGTH_M),
    SheetColumn("Offcut", widest=10),
)
LENGTH, OFTEN, IN_ALL, USED, LEFT = 3, 4, 8, 9, 10

CHANGED = "THE LENGTHS ORDERED HAVE CHANGED SINCE: price again before anything is cut."
WORK_CAUTION = (
    "Work: chain under tension, lengths that run out and lifts can kill: nobody stands in line or "
    "below, and competent crews lead the work, by the rules of the place."
)

NOTHING_M = 0.0005
"""An offcut shorter than half a millimetre is none."""

OFFCUTS = (
    SheetColumn("Item", widest=24),
    SheetColumn("Left of", widest=16),
    SheetColumn("Offcut (m)", NumberKind.LENGTH_M),
    SheetColumn("Pieces", NumberKind.COUNT),
)


def write_cutting_list(book: PlanBook) -> None:
    """Write a row for every pattern and how often it is cut, and the offcuts worth keeping."""
    plan = book.plan
    page = book.page("Cutting list")
    pieces = sum(len(cut.pieces) for cut in plan.cuts)
    patterns = patterns_of(plan)
    page.head(
        "Cutting list",
        f"{len(plan.cuts)} lengths are cut into {pieces} pieces by {len(patterns)} patterns; "
        f"{sum(cut.offcut_m for cut in plan.cuts):,.1f} m are left over. Which line a piece is "
        "for is on the Kit list.",
        of=plan.farm.project.name,
        across=len(COLUMNS),
    )
    table = page.table(HEADING_ROW, COLUMNS, _rows(page, plan, patterns))
    row = table.next_row
    for column in range(1, len(COLUMNS) + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 1, "Total", look=Look.TOTAL)
    if patterns:
        for column, value in ((OFTEN, len(plan.cuts)), (IN_ALL, pieces)):
            cells = f"SUM({page.at(table.first, column)}:{page.at(table.last, column)})"
            page.put(row, column, Formula(cells, value), NumberKind.COUNT, Look.TOTAL)
    flag = _changed(book, plan)
    if flag is not None:
        page.put(row + 1, 1, flag, look=Look.STRONG, across=len(COLUMNS))
    row = page.paragraphs(
        row + 2,
        [
            "Lay out each length, mark it from one end at the metres given, and cut in order. Tag "
            "every piece at once with its mark: code, length, piece, as in C2.7.1; H stands for a "
            "piece on hand. Measure chain pulled straight and rope as its maker says for its lay. "
            f"{eyes_words(plan.farm.project)}",
            WORK_CAUTION,
        ],
        len(COLUMNS),
        Look.NOTE,
    )
    shortest = plan.farm.project.shortest_offcut_m
    title = f"Offcuts to keep: {shortest:g} m and longer, and lengths left whole"
    page.put(row + 1, 1, title, look=Look.SECTION, across=len(COLUMNS))
    page.table(row + 2, OFFCUTS, _kept(plan, shortest))
    page.finish(plan.farm.project.name, heading_row=HEADING_ROW)


def _changed(book: PlanBook, plan: Plan) -> Formula | None:
    """Return a live flag that says when lengths are ordered that were not cut for."""
    differ = []
    for name in codes_of(plan):
        cells = [line for line in book.ordered if line.line.item == name]
        if cells:
            now = "+".join(line.quantity for line in cells)
            differ.append(f"{now}<>{sum(line.line.quantity for line in cells)}")
    return Formula(f'IF(OR({",".join(differ)}),"{CHANGED}","")', "") if differ else None


def eyes_words(project: Project) -> str:
    """Return what of a rope piece its eyes take."""
    if project.rope_in_each_eye_m <= 0:
        return "Rope pieces are cut without anything for eyes or splices: add what they take up."
    return (
        f"A rope piece is the length of the Leg schedule, between the eyes, and "
        f"{project.rope_in_each_eye_m:g} m for each of its two eyes: check that it is enough for "
        "the splice and thimble that are used."
    )


def _rows(page: Page, plan: Plan, patterns: Sequence[Pattern]) -> Iterator[tuple[Value, ...]]:
    """Yield a row a pattern."""
    shortest = plan.farm.project.shortest_offcut_m
    for row, pattern in enumerate(patterns, start=HEADING_ROW + 1):
        metres, often = pattern.metres, len(pattern.cuts)
        marks = accumulate(metres)
        yield (
            pattern.item,
            pattern.code,
            pattern.stock_m,
            often,
            runs([cut.number for cut in pattern.cuts], ON_HAND if pattern.on_hand else ""),
            " + ".join(f"{length:g}" for length in metres),
            ", ".join(f"{mark:.1f}" for mark in marks),
            Formula(f"{page.at(row, OFTEN)}*{len(metres)}", often * len(metres)),
            sum(metres),
            Formula(f"{page.at(row, LENGTH)}-{page.at(row, USED)}", pattern.stock_m - sum(metres)),
            _worth(pattern.cuts[0], shortest),
        )


def runs(numbers: Sequence[int], before: str = "") -> str:
    """Return numbers in order as runs: "1 to 4, 9"."""
    found: list[list[int]] = []
    for number in sorted(numbers):
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    ends = ((f"{before}{run[0]}", f"{before}{run[-1]}") for run in found)
    return ", ".join(first if first == last else f"{first} to {last}" for first, last in ends)


def _cut_from(cut: Cut) -> str:
    """Return what it is cut from, in words: "length 3", or "on hand 1"."""
    return f"{'on hand' if cut.on_hand else 'length'} {cut.number}"


def _is_left(cut: Cut) -> bool:
    """Tell whether there is an offcut at all."""
    return cut.offcut_m >= NOTHING_M


def _is_kept(cut: Cut, shortest_m: float) -> bool:
    """Tell whether the offcut is worth keeping."""
    return _is_left(cut) and cut.offcut_m >= shortest_m - ROUNDING


def _worth(cut: Cut, shortest_m: float) -> str:
    """Return what becomes of the offcut, in words."""
    if not _is_left(cut):
        return "none"
    return "keep" if _is_kept(cut, shortest_m) else "scrap"


def _kept(plan: Plan, shortest_m: float) -> Iterator[tuple[Value, ...]]:
    """Yield the offcuts worth keeping, longest first by item, and the lengths nothing is cut from;
    a row for those of one length."""
    for item in plan.farm.items:
        if not item.length_sold_m:
            continue
        mine = [cut for cut in plan.cuts if cut.item == item.name]
        offcuts = [cut for cut in mine if _is_kept(cut, shortest_m)]
        for cut in sorted(offcuts, key=lambda cut: -cut.offcut_m):
            yield item.name, _cut_from(cut), cut.offcut_m, 1
        bought = sum(line.quantity for line in plan.orders if line.item == item.name)
        whole = bought - sum(not cut.on_hand for cut in mine)
        if whole > 0:
            yield item.name, "bought, not cut", item.length_sold_m, whole
        if bought or mine:
            hand = Counter(item.on_hand)
            hand.subtract(cut.stock_m for cut in mine if cut.on_hand)
            for metres, count in sorted(hand.items(), reverse=True):
                if count > 0 and metres >= shortest_m:
                    yield item.name, "on hand, not cut", metres, count
