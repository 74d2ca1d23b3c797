"""The Summary: the case for management on one printed page, to be signed."""

from __future__ import annotations

from ...models.answer.plan import Part
from ..paper.book import PlanBook
from ..paper.page import Formula, Page, SheetColumn, Value, rows_of_picture
from ..paper.stacked_bars import FOUR_FILLS, Bars, stacked_bars
from ..paper.style import LINE_POINTS, Look
from ..told.change_text import held_words
from ..told.doubt_text import HEADING, doubt_lines
from ..told.plan_text import (
    _all_passed,
    counted_words,
    decision,
    nearest,
    plan_cautions,
    proof_text,
    verdict,
)
from ..told.risk_text import contingency_label, risk_words
from ..words.case import BARS, MOST_OPTIONS, SIGNED, Case, OptionCost
from ..words.cautions import CAUTIONS
from ..words.kinds import NumberKind
from ..words.unpriced import not_priced, part_name, total_name

WIDTHS = (25.0, 15.0, 15.0, 9.0, 2.5, 24.0, 14.0, 14.0, 14.0, 14.0, 15.0, 15.0)
"""The parts stand in the first four columns, the options in the last seven."""
ACROSS = len(WIDTHS)
RIGHT = 6
TOP = 7
"""The row where both tables begin."""

PARTS = tuple(Part)
SMALL = 0.005
"""Half a cent: sums that differ by less are the same."""

CHART_WIDTH_CM = 18.2
LEAST_CHART_CM = 3.4
CHART_FOOT_ROW = TOP + 19

ALONE_NOTE = (
    "This page is taken from the order workbook, which holds every sheet behind it: sums, limits, "
    "evidence, checks and settings. Prices and quantities are changed there, not here."
)
LIVE_NOTE = (
    "“Now” is summed live from the other sheets and follows every change made there; “as priced” "
    "is what the search found. After a change of price the choice itself may no longer be least: "
    "price again. Every setting, and what holdings rest on, is on Assumptions."
)


def write_summary(book: PlanBook, page: Page, case: Case) -> None:
    """Write the page; every other sheet must have been written before."""
    plan = book.plan
    project = plan.farm.project
    page.widths(WIDTHS)
    page.put(1, 1, f"{project.name}: moorings", look=Look.TITLE, across=ACROSS)
    look = Look.ALERT if not_priced(plan.farm) else Look.LEAD
    page.put(2, 1, decision(plan), look=look, across=ACROSS)
    page.lead = "The case on one page, to be signed."
    sure = f"How sure. {proof_text(plan)} {held_words(plan)}".rstrip()
    page.put(3, 1, sure, look=Look.LEAD if plan.proof.proven else Look.ALERT, across=ACROSS)
    checked = f"{verdict(plan.checks)}{nearest(plan)}"
    page.put(4, 1, checked, look=Look.LEAD if _all_passed(plan) else Look.ALERT, across=ACROSS)
    if money := risk_words(plan):
        page.put(5, 1, money, look=Look.LEAD, across=ACROSS)
    total_row = _write_parts(book, page)
    below = _write_options(book, page, case, total_row)
    row = max(total_row + 6, below)
    for heading, lines, look in (
        ("Why this order", _numbered(case.why(plan)), Look.BODY),
        ("What would change the answer", case.what_would_change(plan), Look.BODY),
        (HEADING, doubt_lines(plan.farm), Look.BODY),
        ("Cautions", (*plan_cautions(plan), *CAUTIONS, *counted_words(plan.farm)), Look.BODY),
        ("", (LIVE_NOTE if book.settings else ALONE_NOTE,), Look.NOTE),
    ):
        if not lines:
            continue
        if heading:
            page.put(row, 1, heading, look=Look.SECTION, across=ACROSS)
            row += 1
        row = page.paragraphs(row, lines, ACROSS, look)
    _write_signatures(page, row, project.approved_by)
    page.finish(project.name, one_page=True)


def _write_parts(book: PlanBook, page: Page) -> int:
    """Write the parts of the cost, live and as priced; return the row of their total."""
    plan = book.plan
    project = plan.farm.project
    columns = (
        SheetColumn(f"{total_name(plan.farm)}, {project.currency}"),
        SheetColumn("Now", NumberKind.MONEY),
        SheetColumn("As priced", NumberKind.MONEY),
        SheetColumn("Share", NumberKind.SHARE),
    )
    first, total_row = TOP + 1, TOP + 1 + len(PARTS)
    total = page.at(total_row, 2)
    cost = plan.installed_cost
    rows: list[tuple[Value, ...]] = []
    for index, part in enumerate(PARTS):
        priced = plan.parts.get(part, 0.0)
        share = Formula(
            f"IF({total}=0,0,{page.at(first + index, 2)}/{total})", priced / cost if cost else 0.0
        )
        live: Value = priced
        if book.settings:  # else the page stands alone, without the sheets that it sums
            live = Formula(_part_formula(book, page, part, first), priced)
        rows.append((part_name(plan.farm, part), live, priced, share))
    page.table(TOP, columns, rows)
    _total(page, total_row, total_name(plan.farm), [cost, cost], first)
    page.put(total_row, 4, 1.0, NumberKind.SHARE, Look.TOTAL)
    contingency = plan.contingency
    rate = book.settings.get("contingency_share", f"{project.contingency_share!r}")
    kept = f"{total}*{rate}"
    if plan.spread is not None and "contingency_share" not in project.given:
        p80 = book.p80_cell or f"{plan.spread.total.p80!r}"  # a page alone has no sheet Risk
        kept = f"MAX({p80}-{page.at(total_row, 3)},0)"
    row = total_row + 1
    label = contingency_label(plan)
    page.put(row, 1, label[:1].upper() + label[1:])
    page.put(row, 2, Formula(kept, contingency), NumberKind.MONEY)
    page.put(row, 3, contingency, NumberKind.MONEY)
    page.put(row + 1, 1, "With contingency", look=Look.TOTAL)
    with_it = Formula(f"{total}+{page.at(row, 2)}", cost + contingency)
    page.put(row + 1, 2, with_it, NumberKind.MONEY, Look.TOTAL)
    page.put(row + 1, 3, cost + contingency, NumberKind.MONEY, Look.TOTAL)
    page.put(row + 1, 4, None, look=Look.TOTAL)
    legs = max(sum(each.count for each in plan.assignments), 1)
    page.put(row + 2, 1, f"{total_name(plan.farm)} a leg ({legs})")
    page.put(row + 2, 2, Formula(f"{total}/{legs}", cost / legs), NumberKind.MONEY)
    page.put(row + 2, 3, cost / legs, NumberKind.MONEY)
    page.put(row + 3, 1, "Change since priced")
    difference = f"{total}-{page.at(total_row, 3)}"
    page.put(row + 3, 2, Formula(difference, 0.0), NumberKind.MONEY)
    words = f'IF(ABS({page.at(row + 3, 2)})<{SMALL},"sums agree","changed since")'
    page.put(row + 3, 3, Formula(words, "sums agree"))
    return total_row


def _part_formula(book: PlanBook, page: Page, part: Part, first: int) -> str:
    """Return the live formula of one part; insurance follows the goods and the freight."""
    if part is Part.INSURANCE:
        insured = (Part.ANCHORS, Part.CHAIN, Part.ROPE, Part.FITTINGS, Part.FREIGHT)
        cells = "+".join(page.at(first + PARTS.index(each), 2) for each in insured)
        return f"({cells})*{book.settings['insurance_share']}"
    return "+".join(book.part_terms[part]) or "0"


def _total(page: Page, row: int, label: str, values: list[float], first: int) -> None:
    """Write a row of sums over the parts: live, then as priced."""
    page.put(row, 1, label, look=Look.TOTAL)
    for column, value in enumerate(values, start=2):
        cells = f"SUM({page.at(first, column)}:{page.at(row - 1, column)})"
        page.put(row, column, Formula(cells, value), NumberKind.MONEY, Look.TOTAL)


def _write_options(book: PlanBook, page: Page, case: Case, total_row: int) -> int:
    """Write the options side by side, this plan first and live, and their bars; return below."""
    plan = book.plan
    columns = (
        SheetColumn(f"Options, {plan.farm.project.currency}"),
        *(SheetColumn(name, NumberKind.MONEY) for name, _ in BARS),
        SheetColumn(total_name(plan.farm), NumberKind.MONEY),
        *([SheetColumn("More than this", NumberKind.MONEY)] if case.options else []),
    )
    first = TOP + 1
    left, right = RIGHT + 1, RIGHT + len(BARS)
    this = OptionCost("This order, now", plan.parts)
    done = [option for option in case.options[:MOST_OPTIONS] if option.parts]
    rows: list[tuple[Value, ...]] = []
    for number, option in enumerate((this, *done)):
        row = first + number
        total = Formula(f"SUM({page.at(row, left)}:{page.at(row, right)})", option.cost)
        more = f"{page.at(row, right + 1)}-{page.at(first, right + 1)}"
        groups: list[Value] = list(option.grouped())
        if number == 0:
            groups = [
                Formula("+".join(page.at(first + PARTS.index(p), 2) for p in parts), value)
                for (_, parts), value in zip(BARS, option.grouped(), strict=True)
            ]
        name = f"{option.name} ({option.note})" if option.note else option.name
        difference = Formula(more, option.cost - this.cost) if number else None
        rows.append((name, *groups, total, *([difference] if case.options else [])))
    table = page.table(TOP, columns, rows, left=RIGHT)
    below = table.next_row
    for option in case.options[:MOST_OPTIONS]:
        if not option.parts:
            text = f"{option.name}: cannot be done. {option.note}"
            page.put(below, RIGHT, text, look=Look.NOTE, across=len(columns))
            below += 1
    room = (CHART_FOOT_ROW - below - 2) * LINE_POINTS / 72 * 2.54
    height = max(room, LEAST_CHART_CM)
    span = (table.first, table.last)
    chart = stacked_bars(
        f"{total_name(plan.farm)} and what it is made of, {plan.farm.project.currency}",
        "",
        page.span(*span, RIGHT),
        [
            Bars(page.ref(TOP, column), page.span(*span, column), fill, name_in_cell=True)
            for column, fill in zip(range(left, right + 1), FOUR_FILLS, strict=True)
        ],
        from_zero=False,
        small=True,
    )
    page.place_chart(chart, below + 1, RIGHT, CHART_WIDTH_CM, height)
    return below + 1 + rows_of_picture(height)


def _write_signatures(page: Page, row: int, approved_by: str) -> None:
    """Write who signs, with a line each for name, signature and date."""
    row += 1
    for label, column, across in zip(SIGNED, (1, 6, 10), (4, 3, 3), strict=True):
        name = approved_by if label == SIGNED[-1] else ""
        page.put(row, column, f"{label}: {name}", look=Look.STRONG, across=across)
        page.put(row + 1, column, None, look=Look.FIELD, across=across)
        page.put(row + 2, column, "Name, signature, date", look=Look.NOTE, across=across)


def _numbered(lines: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{number}. {line}" for number, line in enumerate(lines, start=1))
