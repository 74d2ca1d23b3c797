"""The Summary: the case for management on one printed page."""

from __future__ import annotations

import math
from collections import Counter

from ..models.plan import Part, Plan, Proof
from .cautions import CAUTIONS
from .page import Column, Formula, Page, Value
from .plan_book import PlanBook
from .sheet_checks import verdict
from .style import Kind, Look

WIDTHS = (24.0, 16.0, 16.0, 9.0, 3.0, 28.0, 9.0, 18.0, 16.0, 9.0)
"""The parts stand in the first four columns, the rest of the case in the last five."""
ACROSS = len(WIDTHS)
RIGHT = 6
TOP = 6
"""The row where both tables begin."""

PARTS = tuple(Part)
SMALL = 0.005
"""Half a cent: sums that differ by less are the same."""

BLANK_NOTE = (
    "“Now” is summed live from the other sheets and follows every change made there; “as priced” "
    "is what the search found. After a change of price the choice itself may no longer be least: "
    "price again."
)


COUNTED = (
    "Counts: containers are counted by volume, payload and doors, and trips by deck load and area "
    "in all. A stowage plan and a plan of each trip may need more of both."
)


def write_summary(book: PlanBook, page: Page) -> None:
    """Write the page; every other sheet must have been written before."""
    plan = book.plan
    project = plan.farm.project
    page.widths(WIDTHS)
    page.put(1, 1, f"{project.name}: moorings", look=Look.TITLE, across=ACROSS)
    page.put(2, 1, decision(plan), look=Look.LEAD, across=ACROSS)
    page.put(
        3,
        1,
        proof_words(plan.proof, project.currency),
        look=Look.LEAD if plan.proof.proven else Look.ALERT,
        across=ACROSS,
    )
    page.put(
        4,
        1,
        f"{verdict(plan.checks)}{_nearest(plan)}",
        look=Look.LEAD if _all_passed(plan) else Look.ALERT,
        across=ACROSS,
    )
    total_row = _write_parts(book, page)
    below = _write_case(book, page, total_row)
    row = max(total_row + 5, below) + 1
    page.put(row, 1, "Cautions", look=Look.SECTION, across=ACROSS)
    row = page.paragraphs(row + 1, [evidence_words(plan), *CAUTIONS, COUNTED], ACROSS, Look.BODY)
    page.paragraphs(
        row,
        [f"{BLANK_NOTE} Every setting, and what holdings rest on: see the Assumptions sheet."],
        ACROSS,
        Look.NOTE,
    )
    page.finish(project.name, one_page=True)


def decision(plan: Plan) -> str:
    """Return the decision in a sentence or two."""
    legs = sum(row.count for row in plan.assignments)
    anchors: Counter[str] = Counter()
    for row in plan.assignments:
        anchors[row.make_up.anchor] += row.count * row.make_up.anchors
    chosen = _listed([f"{count} × {name}" for name, count in anchors.most_common()])
    bought = [line for line in plan.orders if line.quantity > 0]
    suppliers = len({line.supplier for line in bought})
    vessels = _listed([f"{c.vessel} in {_counted(c.days, 'charged day')}" for c in plan.campaigns])
    return (
        f"Lay {_counted(legs, 'leg')} on {chosen}; buy from "
        f"{_counted(suppliers, 'supplier')}, ship in {_counted(len(plan.bookings), 'booking')}, "
        f"install with {vessels or 'no vessel'}. Installed cost as priced: "
        f"{plan.farm.project.currency} {plan.installed_cost:,.2f}."
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


def proof_words(proof: Proof, currency: str) -> str:
    """Return what is proven; only a proven plan is called proven least."""
    stopped = f" The search was ended early ({proof.stopped})." if proof.stopped else ""
    if proof.proven:
        return (
            "This is proven least for the legs, catalogues, offers and settings given: no plan can "
            f"cost less than {currency} {proof.bound:,.2f} (gap {proof.gap:.2%}, "
            f"{proof.asked_gap:.2%} asked).{stopped}"
        )
    if not math.isfinite(proof.bound):
        return f"Not proven: how much cheaper another plan could be is not known.{stopped}"
    return (
        f"Not proven: another plan could be cheaper by up to {currency} "
        f"{max(proof.cost - proof.bound, 0.0):,.2f} (gap {proof.gap:.2%}, "
        f"{proof.asked_gap:.2%} asked).{stopped}"
    )


def _write_parts(book: PlanBook, page: Page) -> int:
    """Write the parts of the cost, live and as priced; return the row of their total."""
    plan = book.plan
    project = plan.farm.project
    columns = (
        Column(f"Installed cost, {project.currency}"),
        Column("Now", Kind.MONEY),
        Column("As priced", Kind.MONEY),
        Column("Share", Kind.SHARE_FINE),
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
    page.put(total_row, 4, 1.0, Kind.SHARE_FINE, Look.TOTAL)
    contingency = cost * project.contingency_share
    rate = book.settings["contingency_share"]
    row = total_row + 1
    page.put(row, 1, f"Contingency {project.contingency_share:.1%}")
    page.put(row, 2, Formula(f"{total}*{rate}", contingency), Kind.MONEY)
    page.put(row, 3, contingency, Kind.MONEY)
    page.put(row + 1, 1, "With contingency", look=Look.TOTAL)
    page.put(
        row + 1,
        2,
        Formula(f"{total}+{page.at(row, 2)}", cost + contingency),
        Kind.MONEY,
        Look.TOTAL,
    )
    page.put(row + 1, 3, cost + contingency, Kind.MONEY, Look.TOTAL)
    page.put(row + 1, 4, None, look=Look.TOTAL)
    page.put(row + 2, 1, "Change since priced")
    difference = f"{total}-{page.at(total_row, 3)}"
    page.put(row + 2, 2, Formula(difference, 0.0), Kind.MONEY)
    words = f'IF(ABS({page.at(row + 2, 2)})<{SMALL},"sums agree","changed since")'
    page.put(row + 2, 3, Formula(words, "sums agree"))
    page.put(row + 3, 1, "Contingency takes no part in the choice.", look=Look.NOTE, across=4)
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


def _write_case(book: PlanBook, page: Page, total_row: int) -> int:
    """Write the cost per leg, the suppliers and the proof; return the row below them."""
    plan = book.plan
    project, proof = plan.farm.project, plan.proof
    total = page.at(total_row, 2)
    legs = max(sum(row.count for row in plan.assignments), 1)
    money = (*(page.at(TOP + 1 + PARTS.index(p), 2) for p in _SAILED),)
    landed = f"({total}-{'-'.join(money)})"
    columns = (
        Column("Per leg"),
        Column("Legs", Kind.COUNT),
        Column(f"{project.currency} a leg, now", Kind.MONEY),
        Column(f"{project.currency}, now", Kind.MONEY),
        Column("Share", Kind.SHARE_FINE),
    )
    row = TOP
    parts: list[tuple[Value, ...]] = []
    for label, formula, value in (
        ("Goods, landed", landed, plan.landed_cost),
        ("Installation", f"({'+'.join(money)})", plan.installed_cost - plan.landed_cost),
        ("Installed cost", total, plan.installed_cost),
    ):
        parts.append(
            (
                label,
                legs,
                Formula(f"{formula}/{legs}", value / legs),
                Formula(formula, value),
                Formula(f"IF({total}=0,0,{formula}/{total})", _over(value, plan.installed_cost)),
            )
        )
    row = page.table(row, columns, parts, left=RIGHT).next_row + 1

    suppliers = (
        Column("Per supplier"),
        Column("Paid in"),
        Column("Its currency, now", Kind.MONEY),
        Column(f"{project.currency}, now", Kind.MONEY),
        Column("Share", Kind.SHARE_FINE),
    )
    rows: list[tuple[Value, ...]] = []
    for name, (own, here) in book.supplier_totals.items():
        seller = next(s for s in plan.farm.suppliers if s.name == name)
        share = _over(float(here.value), plan.installed_cost)
        live = Formula(f"IF({total}=0,0,{here.text}/{total})", share)
        rows.append((name, seller.currency, own, here, live))
    row = page.table(row, suppliers, rows, left=RIGHT).next_row + 1

    page.put(row, RIGHT, "What proves it", look=Look.SECTION, across=5)
    facts: list[tuple[str, Value, Kind]] = [
        (f"Cost found, {project.currency}", proof.cost, Kind.MONEY),
        (
            f"No plan costs less than, {project.currency}",
            proof.bound if math.isfinite(proof.bound) else "not known",
            Kind.MONEY,
        ),
        ("Gap (asked)", f"{proof.gap:.2%} ({proof.asked_gap:.2%})", Kind.MONEY),
        ("Found by", f"{proof.solver} in {proof.seconds:,.1f} s", Kind.MONEY),
    ]
    for offset, (label, fact, kind) in enumerate(facts, start=1):
        page.put(row + offset, RIGHT, label, across=2)
        page.put(row + offset, RIGHT + 2, fact, kind, across=2)
    return row + len(facts) + 1


_SAILED = (Part.MOBILISATION, Part.VESSEL_DAYS, Part.FUEL)


def _nearest(plan: Plan) -> str:
    """Return which leg's limit is nearest to being reached."""
    if not plan.assignments:
        return ""
    row = max(plan.assignments, key=lambda a: a.binding.utilisation)
    return (
        f" The nearest that any leg comes to a limit is {row.binding.utilisation:.2%} "
        f"({row.binding.name}, leg {row.leg})."
    )


def _over(part: float, whole: float) -> float:
    return part / whole if whole else 0.0


def _all_passed(plan: Plan) -> bool:
    """Whether there were checks, and none failed."""
    return bool(plan.checks) and all(check.passed for check in plan.checks)


def _counted(count: int, noun: str) -> str:
    """Return "1 day", "2 days"."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _listed(names: list[str]) -> str:
    """Return "a", "a and b", "a, b and c"."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
