"""How sure the money is, in words: for sheet, page and terminal alike."""

from __future__ import annotations

from ...models.answer.plan import Plan
from ...models.answer.spread import Spread
from ..words.grammar import counted, listed

CERTAIN = (
    "The money: nothing in the workbook is uncertain (every day workable, no Uncertainty sheet), "
    "so P10 to P90 are all the cost as priced."
)
ONLY_GOODS = (
    "The money: no Uncertainty sheet, so P10 to P90 are all the cost as priced; what weather adds "
    "is not known while the laying is not priced."
)

READ_RISK = (
    "P80 is the cost that is enough four times in five, P50 every other time. Each source is drawn "
    "by itself: rates, prices and currencies log-normal between their P10 and P90 on Uncertainty; "
    "charged days as the working days and a negative binomial number of days lost, each day "
    "workable by itself. Bad weather lasts: days more alike than that spread wider. What nobody "
    "wrote down (a lost anchor, a strike, another design) is in no figure here."
)


def risk_words(plan: Plan) -> str:
    """Return between which amounts the cost will lie, in a sentence; "" where not worked out."""
    spread = plan.spread
    if spread is None:
        return ""
    if not spread.uncertain:
        return CERTAIN if plan.farm.laying_priced else ONLY_GOODS
    currency, total = plan.farm.project.currency, spread.total
    return f"{_chosen(plan)}" + (
        f"The money: P50 {currency} {total.p50:,.0f}, P80 {total.p80:,.0f}; four times in five "
        f"between {total.p10:,.0f} and {total.p90:,.0f} (P10, P90). The cost as priced is enough "
        f"with a chance of {spread.chance_within:.0%}. Widest alone: {_widest(spread, currency)}."
    )


def _chosen(plan: Plan) -> str:
    """Return how the plan was chosen by its cost at a certainty; "" where it was not."""
    choice, currency = plan.sure_choice, plan.farm.project.currency
    if choice is None:
        return ""
    among = f"least among the {choice.among} plans found"
    if choice.among == 1:
        among = "of the only plan found"
    said = (
        f"Chosen by certainty: P{choice.sure * 100:g} {currency} {choice.cost:,.0f}, {among}, not "
        "proven least of all"
    )
    saved = choice.least_cost_plan - choice.cost
    if saved > 0:
        said += f"; that of the plan cheapest at the rates as given is {saved:,.0f} more"
    return f"{said}; each vessel's charged days are enough with that chance. "


def _widest(spread: Spread, currency: str) -> str:
    first = spread.sources[:2]
    return listed([f"{one.name} (P10 to P90 {currency} {one.cost.width:,.0f})" for one in first])


def days_words(plan: Plan) -> tuple[str, ...]:
    """Return for each vessel that the weather can keep in how sure its charged days are."""
    if plan.spread is None:
        return ()
    return tuple(
        # A last day in part takes its part of the weather's days: 9 may be 11 at 75 %.
        f"{one.vessel}: {counted(one.working_days, 'day')} of work, the last perhaps in part, at "
        f"{one.workable_share:.0%} workable; {counted(one.charged_days, 'day')} charged, enough "
        f"with a chance of {one.chance_within:.0%} (P50 {one.p50}, P80 {one.p80}, P90 {one.p90})"
        for one in plan.spread.days
        if one.workable_share < 1
    )


def contingency_label(plan: Plan) -> str:
    """Return what the contingency is: typed, or what makes the cost enough four times in five."""
    project = plan.farm.project
    uncertain = plan.spread is not None and plan.spread.uncertain
    if "contingency_share" in project.given or not uncertain:
        return f"{project.contingency_share:.1%} contingency"
    return "contingency up to P80"
