"""Options and break-even rates as plain text: what the terminal shows."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from ...models.answer.plan import Plan
from ...models.asked.break_even import Advantage, BreakEven, Crossing, OptionCosts, Stretch
from ...models.asked.comparison import Comparison, Outcome
from ...models.risk.cost_spread import spread_of_options
from ..told.risk_text import CERTAIN, ONLY_GOODS
from ..words.grammar import as_asked
from ..words.stopped import in_brackets
from ..words.unpriced import first_price_words

LONGEST_WHY = 150
"""Letters of why an option cannot be done; the workbook says the rest."""

PROOF = (
    "“At least” is proven: no plan of the option comes within that of the free choice's plan. "
    "Where it is 0.00 the search has not proven the option to be dearer."
)


def comparison_text(comparison: Comparison) -> str:
    """Return the options as a table, and those that cannot be done with why."""
    said = _unpriced([one.plan for one in comparison.done if one.plan is not None])
    return "\n".join([*said, *_table(comparison), *_sure(comparison), *_barred(comparison)])


def _unpriced(plans: Sequence[Plan]) -> tuple[str, ...]:
    """Return what some plans of one farm leave out, and what they assume."""
    return first_price_words(plans[0].farm) if plans else ()


def unpriced_of(answer: BreakEven) -> tuple[str, ...]:
    """Return what the costs of a break-even leave out, and what they assume."""
    return _unpriced([stretch.plan for option in answer.options for stretch in option.stretches])


def _table(comparison: Comparison) -> Iterator[str]:
    width = max(len(outcome.option.name) for outcome in comparison.outcomes)
    money = comparison.currency
    heading = f"{'Option':<{width}}  {'Cost ' + money:>14}  {'dearer by':>13}  {'':>7}"
    yield f"{heading}  {'at least':>13}  {'gap':>6}"
    for outcome in comparison.done:
        assert outcome.plan is not None
        more, least, _ = comparison.dearer_by(outcome)
        cost, gap = outcome.plan.installed_cost, outcome.plan.proof.gap
        line = f"{outcome.option.name:<{width}}  {cost:>14,.2f}"
        if outcome is not comparison.base:
            share = more / comparison.base.plan.installed_cost if comparison.base.plan else 0.0
            line += f"  {more:>13,.2f}  {share:>7.2%}  {least:>13,.2f}"
        else:
            line += " " * 39
        yield f"{line}  {gap:>6.2%}"
    yield PROOF


def _sure(comparison: Comparison) -> Iterator[str]:
    """Yield P50 and P80 of every option on the same draws, where anything is uncertain."""
    plans = {one.option.name: one.plan for one in comparison.done if one.plan}
    spread = spread_of_options(plans)
    if all(costs.p10 == costs.p90 for costs in spread.ranges.values()):
        whole = all(plan.farm.laying_priced for plan in plans.values())
        yield CERTAIN if whole else ONLY_GOODS
        return
    width = max(len(name) for name in plans)
    yield ""
    yield f"{'On the same draws':<{width}}  {'P50':>14}  {'P80':>14}  {'cheapest in':>11}"
    for name, costs in spread.ranges.items():
        share = spread.cheapest[name]
        yield f"{name:<{width}}  {costs.p50:>14,.0f}  {costs.p80:>14,.0f}  {share:>11.1%}"


def _barred(comparison: Comparison) -> Iterator[str]:
    barred = [outcome for outcome in comparison.outcomes if outcome.plan is None]
    if barred:
        yield ""
        yield "Cannot be done, or was not found"
    for outcome in barred:
        yield f"  {outcome.option.name}: {_short(outcome)}"
    if comparison.stopped:
        why = in_brackets(comparison.stopped)
        yield f"Ended early{why}: gaps above {as_asked(comparison.asked_gap)} remain."


def _short(outcome: Outcome) -> str:
    why = outcome.why or "no plan was found"
    return why if len(why) <= LONGEST_WHY else why[:LONGEST_WHY].rsplit(" ", 1)[0] + " ..."


def break_even_text(answer: BreakEven, currency: str) -> str:
    """Return from which multiplier to which each plan is least, and where options meet."""
    return "\n".join(_break_even(answer, currency))


def _break_even(answer: BreakEven, currency: str) -> Iterator[str]:
    yield from unpriced_of(answer)
    yield f"{answer.rate} × {answer.low:g} to {answer.high:g} (today 1), cost in {currency}"
    for option in answer.options:
        yield ""
        yield from _option(option)
    for crossing in answer.crossings:
        yield ""
        yield crossing_words(crossing, currency)
    if len(answer.options) > 1 and not answer.crossings:
        yield ""
        yield "The options compared never cost the same on this range."
    if answer.advantages:
        yield ""
        yield from (advantage_words(one, currency) for one in answer.advantages)
    yield ""
    if answer.proven:
        yield f"Exact to a gap of {as_asked(answer.asked_gap)}, by {answer.solves} solves."
    else:
        why = in_brackets(answer.stopped)
        yield (
            f"NOT proven to a gap of {as_asked(answer.asked_gap)} everywhere{why}: the gap of each "
            "stretch is what is known of it."
        )


def _option(option: OptionCosts) -> Iterator[str]:
    if not option.stretches:
        yield f"{option.option}: {option.why}"
        return
    yield f"{option.option}:"
    yield f"  {'from':>8} {'to':>8} {'cost from':>14} {'cost to':>14} {'gap':>7}  anchors laid"
    for stretch in option.stretches:
        yield (
            f"  {stretch.low:>8.4f} {stretch.high:>8.4f} {stretch.line.at(stretch.low):>14,.2f} "
            f"{stretch.line.at(stretch.high):>14,.2f} {stretch.gap:>7.2%}  {laid(stretch.plan)}"
        )


def crossing_words(crossing: Crossing, currency: str) -> str:
    """Return where two options cost the same, and from where to where that is not certain."""
    dearer = crossing.other if crossing.cheaper_below == crossing.one else crossing.one
    return (
        f"'{crossing.cheaper_below}' is cheaper below × {crossing.multiplier:.4f}, '{dearer}' "
        f"above: there both cost {currency} {crossing.cost:,.2f} by the plans found. What is "
        f"proven: not below × {crossing.low:.4f}, nor above × {crossing.high:.4f}."
    )


def advantage_words(one: Advantage, currency: str) -> str:
    """Return by how much one option is cheaper at a multiplier, and how much of that is proven."""
    proven = (
        f"at least {currency} {one.at_least:,.2f} of it whatever the plans"
        if one.at_least > 0
        else "which of the two is cheaper there is not proven"
    )
    return (
        f"At × {one.multiplier:g} '{one.cheaper}' is cheaper than '{one.dearer}' by {currency} "
        f"{one.by:,.2f}; {proven}."
    )


def laid(plan: Plan) -> str:
    """Return the anchors that a plan lays, the most first."""
    return ", ".join(f"{count} × {name}" for name, count in plan.anchors_laid.most_common())


def changes(before: Stretch, after: Stretch) -> str:
    """Return what a plan does otherwise than the one before: anchors, then services."""
    told = []
    for amounts in (_anchors, _services):
        one, two = amounts(before.plan), amounts(after.plan)
        by_name = {name: two[name] - one[name] for name in sorted({*one, *two})}
        told += [f"{more:+.4g} {name}" for name, more in by_name.items() if abs(more) > 0.05]
    return "; ".join(told) or "lines, lengths or order quantities only"


def _anchors(plan: Plan) -> defaultdict[str, float]:
    return defaultdict(float, plan.anchors_laid)


def _services(plan: Plan) -> defaultdict[str, float]:
    shipped: defaultdict[str, float] = defaultdict(float)
    for booking in plan.bookings:
        shipped[f"t by {booking.service}"] = round(booking.tonnes, 1)
    return shipped
