"""What changed against an earlier order, in words and rows, for sheet, page and terminal."""

from __future__ import annotations

from collections.abc import Iterator

from ...models.answer.change import Change, ChangeOf
from ...models.answer.plan import Plan
from ..words.kinds import NumberKind

SHEET = "Changes"
HEADINGS = ("What", "Which", "Was", "Is", "Purchase", "Freight", "Boat", "Together", "Because")
MONEY = frozenset({"Purchase", "Freight", "Boat", "Together"})
KINDS = tuple(NumberKind.MONEY if name in MONEY else NumberKind.TEXT for name in HEADINGS)
MOST_TOLD = 40
"""Changes told one by one on the terminal."""

HOW = (
    "Goods ordered before are there, free up to their number: an order is raised, never undone. "
    "Where its supplier takes goods back, what is kept counts at what giving it back would have "
    "paid, and what was spent before is less that money; carriage back is not counted. "
    "What is ordered now is an order of its own, at today's prices, minimum and order charge. Of "
    "the earlier campaigns the share of the lines that lie since counts as spent. What a line "
    "costs otherwise is in the goods, the carriage and the vessels, so lines carry no money."
)


def held_words(plan: Plan) -> str:
    """Return how lines were held as the earlier order has them; "": they were not."""
    if plan.kept:
        return f"Every leg group that can be as in {plan.after} is held so."
    if not plan.change_cost:
        return ""
    return (
        f"Lines are built otherwise than in {plan.after} only where that saves more than "
        f"{plan.farm.project.currency} {plan.change_cost:,.2f} a line. Leg groups are weighed one "
        "by one, each put back in turn in the plan found, and all of them at once; groups that are "
        "worth putting back only some together stay changed. The sum is no part of the cost."
    )


def old_total(plan: Plan) -> float:
    """Return what the earlier order came to, with what was spent before it."""
    return plan.total_cost - sum(change.money for change in plan.changes)


def cells_of(change: Change) -> tuple[str | float | None, ...]:
    """Return a change as the cells of a row."""
    money = (change.purchase, change.freight, change.boat, change.money)
    shown = [figure or None for figure in money]
    return (str(change.of), change.what, change.old, change.new, *shown, change.reason)


def change_lines(plan: Plan) -> Iterator[str]:
    """Yield what changed, for the terminal: nothing where there is no earlier order."""
    if not plan.after:
        return
    currency = plan.farm.project.currency
    spent = sum(plan.before.values())
    more = plan.total_cost - old_total(plan)
    yield f"{SHEET} against {plan.after}, {currency}"
    yield f"  {old_total(plan):>15,.2f}  what that order came to"
    yield f"  {plan.total_cost:>15,.2f}  now: {spent:,.2f} ordered or spent before, the rest to pay"
    yield f"  {more:>+15,.2f}  the difference, which is:"
    if held := held_words(plan):
        yield f"  {held}"
    costly = [change for change in plan.changes if change.money]
    others = [change for change in plan.changes if not change.money]
    for change in [*costly, *others][:MOST_TOLD]:
        money = f"{change.money:+,.2f}" if change.money else ""
        because = f" ({change.reason})" if change.reason else ""
        of = "" if change.of is ChangeOf.INPUT else f"{change.of} "
        yield f"  {money:>15}  {of}{change.what}: {change.old} → {change.new}{because}"
    left = len(plan.changes) - MOST_TOLD
    if left > 0:
        yield f"  and {left} more on the sheet {SHEET}"
    if not plan.changes:
        yield "  nothing: it stands as it was ordered"
