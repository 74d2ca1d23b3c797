"""The Summary: the case for management on one printed page, to be signed."""

from __future__ import annotations

from collections import Counter

from ..models.answer.plan import Part, Plan
from .case import GROUPS, MOST_OPTIONS, Case, OptionCost
from .cautions import CAUTIONS
from .chart import stacks
from .page import Column, Formula, Page, Value, rows_of_picture
from .plan_book import PlanBook
from .plan_text import proof_text
from .sheet_checks import verdict
from .style import LINE_POINTS, Kind, Look

WIDTHS = (25.0, 15.0, 15.0, 9.0, 2.5, 24.0, 14.0, 14.0, 14.0, 14.0, 15.0, 15.0)
"""The parts stand in the first four columns, the options in the last seven."""
ACROSS = len(WIDTHS)
RIGHT = 6
TOP = 6
"""The row where both tables begin."""

PARTS = tuple(Part)
SMALL = 0.005
"""Half a cent: sums that differ by less are the same."""

CHART_WIDTH_CM = 18.2
LEAST_CHART_CM = 3.4
CHART_FOOT_ROW = TOP + 19

LIVE_NOTE = (
    "“Now” is summed live from the other sheets and follows every change made there; “as priced” "
    "is what the search found. After a change of price the choice itself may no longer be least: "
    "price again. Every setting, and what holdings rest on, is on Assumptions."
)

COUNTED = (
    "Counts: containers that state their inside each have a load plan, a plan to start from; the "
    "others are counted by volume and payload, and trips by deck load and area in all: plans of "
    "those may need more."
)

SIGNED = ("Prepared by", "Engineer, for the design values", "Approved by")


def write_summary(book: PlanBook, page: Page, case: Case) -> None:
    """Write the page; every other sheet must have been written before."""
    plan = book.plan
    project = plan.farm.project
    page.widths(WIDTHS)
    page.put(1, 1, f"{project.name}: moorings", look=Look.TITLE, across=ACROSS)
    page.put(2, 1, decision(plan), look=Look.LEAD, across=ACROSS)
    page.lead = "The case on one page, to be signed."
    sure = f"How sure. {proof_text(plan)}"
    page.put(3, 1, sure, look=Look.LEAD if plan.proof.proven else Look.ALERT, across=ACROSS)
    checked = f"{verdict(plan.checks)}{nearest(plan)}"
    page.put(4, 1, checked, look=Look.LEAD if _all_passed(plan) else Look.ALERT, across=ACROSS)
    total_row = _write_parts(book, page)
    below = _write_options(book, page, case, total_row)
    row = max(total_row + 6, below)
    for heading, lines, look in (
        ("Why this order", _numbered(case.why(plan)), Look.BODY),
        ("What would change the answer", case.what_would_change(plan), Look.BODY),
        ("Cautions", (evidence_words(plan), *CAUTIONS, COUNTED), Look.BODY),
        ("", (LIVE_NOTE,), Look.NOTE),
    ):
        if heading:
            page.put(row, 1, heading, look=Look.SECTION, across=ACROSS)
            row += 1
        row = page.paragraphs(row, lines, ACROSS, look)
    _write_signatures(page, row, project.approved_by)
    page.finish(project.name, one_page=True)


def decision(plan: Plan) -> str:
    """Return what is to be decided, in a sentence."""
    project = plan.farm.project
    legs = sum(row.count for row in plan.assignments)
    anchors: Counter[str] = Counter()
    for row in plan.assignments:
        anchors[row.make_up.anchor] += row.count * row.make_up.anchors
    chosen = _listed([f"{count} × {name}" for name, count in anchors.most_common()])
    bought = [line for line in plan.orders if line.quantity > 0]
    suppliers = len({line.supplier for line in bought})
    vessels = _listed([f"{c.vessel} in {_counted(c.days, 'charged day')}" for c in plan.campaigns])
    cost = plan.installed_cost
    more = ""
    if project.contingency_share:
        with_it = cost * (1 + project.contingency_share)
        more = f" ({with_it:,.2f} with {project.contingency_share:.1%} contingency)"
    return (
        f"To approve: {project.currency} {cost:,.2f}{more}, as priced, to lay "
        f"{_counted(legs, 'leg')} on {chosen or 'no anchors'}; bought from "
        f"{_counted(suppliers, 'supplier')}, shipped in {_counted(len(plan.bookings), 'booking')}, "
        f"installed with {vessels or 'no vessel'}."
    )


def evidence_words(plan: Plan) -> str:
    """Return on how many legs no test and no declared value backs the anchor's holding."""
    lawful = sum(row.count for row in plan.assignments if row.holding_source.startswith("law:"))
    weighed = sum(
        row.count
        for row in plan.assignments
        if row.holding_source.startswith("weight") and ";" not in row.holding_source
    )
    if lawful + weighed == 0:
        return "Evidence: every anchor was tested on its seabed, or its holding there is declared."
    legs = sum(row.count for row in plan.assignments)
    return (
        f"Evidence: {lawful} of {_counted(legs, 'leg')} rely on the law of an anchor family and "
        f"{weighed} on a deadweight's friction alone: no pull test or declared holding backs them."
    )


def _write_parts(book: PlanBook, page: Page) -> int:
    """Write the parts of the cost, live and as priced; return the row of their total."""
    plan = book.plan
    project = plan.farm.project
    columns = (
        Column(f"Installed cost, {project.currency}"),
        Column("Now", Kind.MONEY),
        Column("As priced", Kind.MONEY),
        Column("Share", Kind.SHARE),
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
        live = Formula(_part_formula(book, page, part, first), priced)
        rows.append((str(part).capitalize(), live, priced, share))
    page.table(TOP, columns, rows)
    _total(page, total_row, "Installed cost", [cost, cost], first)
    page.put(total_row, 4, 1.0, Kind.SHARE, Look.TOTAL)
    contingency = cost * project.contingency_share
    rate = book.settings["contingency_share"]
    row = total_row + 1
    page.put(row, 1, f"Contingency {project.contingency_share:.1%}")
    page.put(row, 2, Formula(f"{total}*{rate}", contingency), Kind.MONEY)
    page.put(row, 3, contingency, Kind.MONEY)
    page.put(row + 1, 1, "With contingency", look=Look.TOTAL)
    with_it = Formula(f"{total}+{page.at(row, 2)}", cost + contingency)
    page.put(row + 1, 2, with_it, Kind.MONEY, Look.TOTAL)
    page.put(row + 1, 3, cost + contingency, Kind.MONEY, Look.TOTAL)
    page.put(row + 1, 4, None, look=Look.TOTAL)
    legs = max(sum(each.count for each in plan.assignments), 1)
    page.put(row + 2, 1, f"Installed cost a leg ({legs})")
    page.put(row + 2, 2, Formula(f"{total}/{legs}", cost / legs), Kind.MONEY)
    page.put(row + 2, 3, cost / legs, Kind.MONEY)
    page.put(row + 3, 1, "Change since priced")
    difference = f"{total}-{page.at(total_row, 3)}"
    page.put(row + 3, 2, Formula(difference, 0.0), Kind.MONEY)
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
        page.put(row, column, Formula(cells, value), Kind.MONEY, Look.TOTAL)


def _write_options(book: PlanBook, page: Page, case: Case, total_row: int) -> int:
    """Write the options side by side, this plan first and live, and their bars; return below."""
    plan = book.plan
    columns = (
        Column(f"Options, {plan.farm.project.currency}"),
        *(Column(name, Kind.MONEY) for name, _ in GROUPS),
        Column("Installed cost", Kind.MONEY),
        *([Column("More than this", Kind.MONEY)] if case.options else []),
    )
    first = TOP + 1
    left, right = RIGHT + 1, RIGHT + len(GROUPS)
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
                for (_, parts), value in zip(GROUPS, option.grouped(), strict=True)
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
    chart = stacks(
        page,
        f"Installed cost and what it is made of, {plan.farm.project.currency}",
        TOP,
        (table.first, table.last),
        (left, right),
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


def nearest(plan: Plan) -> str:
    """Return which leg's limit is nearest to being reached."""
    if not plan.assignments:
        return ""
    row = max(plan.assignments, key=lambda a: a.binding.utilisation)
    return (
        f" The nearest that any leg comes to a limit is {row.binding.utilisation:.2%} "
        f"({row.binding.name}, leg {row.leg})."
    )


def _numbered(lines: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{number}. {line}" for number, line in enumerate(lines, start=1))


def _all_passed(plan: Plan) -> bool:
    """Whether there were checks, and none failed."""
    return bool(plan.checks) and all(check.passed for check in plan.checks)


def _counted(count: int, noun: str) -> str:
    """Return "1 day", "2 days"."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _listed(names: list[str]) -> str:
    """Return "a", "a and b", "a, b and c"."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
