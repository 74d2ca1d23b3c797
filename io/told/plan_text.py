"""The plan as plain text: the short summary that the terminal shows."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence

from ...models.answer.check_line import CheckLine
from ...models.answer.plan import Part, Plan
from ...models.farm import Farm
from ...models.goods.anchor import HoldsBy
from ..words.cautions import pull_words
from ..words.grammar import as_asked, counted, listed, percent
from ..words.stopped import WHY_NOT_PROVEN, in_brackets
from ..words.unpriced import assumed_words, first_price_words, is_priced, not_priced, total_name
from .change_text import change_lines
from .doubt_text import HEADING, doubt_lines
from .laid_text import laid_words
from .left_out_text import left_out_line
from .rests_on import rests_on
from .risk_text import contingency_label, days_words, risk_words
from .rival_text import rival_lines

CAUTION = (
    "Caution: a licensed engineer must accept the design values, with pull tests on the site's "
    "own seabed; local codes rule; lifts, setting pulls and lines under tension can kill."
)


def plan_summary(plan: Plan) -> str:
    """Return the cost and its parts, what is bought and sailed, the proof and the checks."""
    blocks = [_cost(plan), _anchors(plan), _suppliers(plan), _vessels(plan), _standing(plan)]
    if plan.after:
        blocks.insert(1, change_lines(plan))
    if rivals := tuple(rival_lines(plan)):
        blocks.insert(-2, iter(rivals))
    if first_price_words(plan.farm):
        blocks.insert(0, iter(first_price_words(plan.farm)))
    if plan.farm.doubts:
        blocks.append(iter((f"{HEADING}:", *doubt_lines(plan.farm))))
    return "\n\n".join(filter(None, ("\n".join(block) for block in blocks)))


def proof_text(plan: Plan) -> str:
    """Return what is proven, in a sentence; only of a proven plan is it said that it is.

    The gap is (cost − bound) ÷ cost here as everywhere.
    """
    proof, currency = plan.proof, plan.farm.project.currency
    if proof.proven:
        stopped = in_brackets(proof.stopped)
        early = f" The search ended early{stopped}." if stopped else ""
        return (
            f"Least cost, proven to within {percent(proof.gap)} of it "
            f"({_asked(plan)}): no plan can cost less than "
            f"{currency} {proof.bound:,.2f}.{early}"
        )
    why = WHY_NOT_PROVEN[proof.stopped]
    if plan.sure_choice is not None and proof.stopped is None:
        why = "it was chosen by certainty, not by cost"
    elif plan.after and proof.stopped is None:
        why = "lines stay as they were ordered where a change saves less than was asked of it"
    found = f"Least cost NOT proven: {why}; the best plan found costs {currency} {proof.cost:,.2f}"
    if not math.isfinite(proof.bound) or proof.bound <= 0:
        return f"{found}; how much cheaper another may be is not known."
    return (
        f"{found}; another may be cheaper by at most {currency} {proof.cost - proof.bound:,.2f}, "
        f"{percent(proof.gap)} of its cost ({_asked(plan)})."
    )


def _asked(plan: Plan) -> str:
    """Return which gap was asked for; after an order it is a share of all, spent and to be paid."""
    asked = plan.proof.asked_gap
    if not sum(plan.before.values()):
        return f"{as_asked(asked)} asked"
    of_all = asked * plan.proof.cost / plan.total_cost
    return (
        f"{percent(asked)} asked, which is {percent(of_all)} of all, what was spent before included"
    )


def progress_text(seconds: float, cost: float, bound: float, currency: str) -> str:
    """Return one line on a search that is still running; an unknown cost or bound is infinite."""
    best = f"best {currency} {cost:,.0f}" if math.isfinite(cost) else "no plan yet"
    least = f"none under {currency} {bound:,.0f}" if math.isfinite(bound) else "no bound yet"
    gap = ""
    if math.isfinite(cost) and math.isfinite(bound) and cost > 0:
        gap = f", gap {max(cost - bound, 0.0) / cost:.2%}"
    return f"{seconds:4.0f} s: {best}, {least}{gap}"


def _cost(plan: Plan) -> Iterator[str]:
    project, cost = plan.farm.project, plan.installed_cost
    legs = sum(row.count for row in plan.assignments)
    per_leg = f"{project.currency} {cost / legs:,.2f} a leg" if legs else "no legs"
    groups = counted(len(plan.farm.legs), "group")
    yield f"{project.name}: {counted(legs, 'leg')} in {groups}"
    yield f"{total_name(plan.farm)} {project.currency} {cost:,.2f} ({per_leg})"
    for part in Part:
        money = plan.parts.get(part, 0.0)
        share = money / cost if cost else 0.0
        if not is_priced(plan.farm, part):
            yield f"  {part:<16}{'not priced':>15}"
            continue
        yield f"  {part:<16}{money:>15,.2f}{share:>8.1%}"
    if plan.contingency:
        with_it = cost + plan.contingency
        yield f"  with {contingency_label(plan)} on top: {with_it:,.2f}"


def _anchors(plan: Plan) -> Iterator[str]:
    yield "Anchors laid"
    for name, count in plan.anchors_laid.most_common():
        yield f"  {count:>4} × {name}"


def _suppliers(plan: Plan) -> Iterator[str]:
    totals: dict[str, float] = defaultdict(float, plan.order_charges)
    for line in plan.orders:
        totals[line.supplier] += line.money + line.duty
    for chain, number in plan.connectors_bought.items():
        money = plan.farm.item_by_name[chain].join_cost * number
        totals[plan.connectors_from(chain)] += money
    if not totals:
        return
    yield f"Suppliers, {plan.farm.project.currency} (goods, duty, joins, order charge)"
    for name, money in sorted(totals.items(), key=lambda total: (-total[1], total[0])):
        yield f"  {money:>13,.2f}  {name}"


def _vessels(plan: Plan) -> Iterator[str]:
    if not plan.farm.laying_priced:
        yield "Vessels: none named; the laying is not priced"
        return
    yield "Vessels"
    for campaign in plan.campaigns:
        yield (
            f"  {campaign.vessel}: {counted(campaign.legs, 'leg')}, "
            f"{counted(campaign.trips, 'trip')}, {counted(campaign.days, 'charged day')}, "
            f"{plan.farm.project.currency} {campaign.money:,.2f}"
        )


def _standing(plan: Plan) -> Iterator[str]:
    yield proof_text(plan)
    yield f"Found by {plan.proof.solver} in {plan.proof.seconds:,.1f} s."
    yield verdict(plan.checks)
    if money := risk_words(plan):
        yield money
    yield from (f"  {line}." for line in days_words(plan))
    yield from plan_cautions(plan)
    yield CAUTION


def verdict(checks: Sequence[CheckLine]) -> str:
    """Return in a sentence what the checks say."""
    if not checks:
        return "The finished plan has not been checked: do not order from it."
    strength = [check for check in checks if check.of_strength]
    sums = [check for check in checks if not check.of_strength]
    said = f"{_passed('Strength and holding', strength)}; {_passed('arithmetic', sums)}"
    if all(check.passed for check in checks):
        return f"{said}, of the finished plan."
    return f"{said}: do not order from it."


def _passed(what: str, checks: Sequence[CheckLine]) -> str:
    """Return how many checks of one kind passed, or failed."""
    failed = sum(not check.passed for check in checks)
    if failed:
        return f"{what}: {failed} of {counted(len(checks), 'check')} FAILED"
    if not checks:
        return f"{what}: no check"
    every = "the one check" if len(checks) == 1 else f"all {len(checks)} checks"
    return f"{what}: {every} passed"


_CONTAINERS = (
    "containers that state their inside each have a load plan, a plan to start from; the others "
    "are counted by volume and payload: plans of those may need more."
)
_TRIPS = "trips are loaded one by one with whole lines; the master plans each trip's load."


def counted_words(farm: Farm) -> tuple[str, ...]:
    """Return how containers and trips are counted, as far as they are priced, in one line."""
    said = [_CONTAINERS] if farm.freight_priced else []
    said += [_TRIPS] if farm.laying_priced else []
    told = " ".join(each[:1].upper() + each[1:] if at else each for at, each in enumerate(said))
    return (f"Counts: {told}",) if told else ()


def decision(plan: Plan) -> str:
    """Return what is to be decided, in a sentence."""
    project = plan.farm.project
    legs = sum(row.count for row in plan.assignments)
    chosen = listed([f"{count} × {name}" for name, count in plan.anchors_laid.most_common()])
    bought = [line for line in plan.orders if line.quantity > 0]
    suppliers = len({line.supplier for line in bought})
    vessels = listed([f"{c.vessel} in {counted(c.days, 'charged day')}" for c in plan.campaigns])
    cost = plan.installed_cost
    more = ""
    if plan.contingency:
        more = f" ({cost + plan.contingency:,.2f} with {contingency_label(plan)})"
    farm = plan.farm
    what = f"to lay {counted(legs, 'leg')} on {chosen or 'no anchors'}"
    bought_from = f"bought from {counted(suppliers, 'supplier')}" if bought else "nothing bought"
    if missing := not_priced(farm):
        said = (missing, f"{total_name(farm)} {project.currency} {cost:,.2f}{more} {what}, "
                f"{bought_from}.", assumed_words(farm))  # fmt: skip
        return " ".join(filter(None, said))
    bookings = len(plan.bookings)
    shipped = f"shipped in {counted(bookings, 'booking')}" if bookings else "nothing shipped"
    approved = (
        f"To approve: {project.currency} {cost:,.2f}{more}, as priced, {what}; {bought_from}, "
        f"{shipped}, installed with {vessels or 'no vessel'}."
    )
    return " ".join(filter(None, (approved, assumed_words(farm))))


def setting_words(plan: Plan) -> str:
    """Return the caution where embedding anchors are laid and nothing sets them; else ""."""
    if plan.farm.project.setting_pull_share > 0:
        return ""
    anchors = sum(
        count
        for name, count in plan.anchors_laid.items()
        if plan.farm.anchor_by_name[name].holds_by is HoldsBy.EMBEDDING
    )
    if not anchors:
        return ""
    return (
        f"Setting: the setting pull is 0, so none of {counted(anchors, 'embedding anchor')} is "
        "pulled in and proven to hold on the day it is laid, and no vessel's bollard pull was "
        "looked at. An anchor that was not set may drag or not hold at all: a licensed engineer "
        "states the pull, and competent crews carry it out."
    )


def plan_cautions(plan: Plan) -> tuple[str, ...]:
    """Return this plan's own cautions: what it rests on, its setting pull, what drops out."""
    own = (*rests_on(plan), setting_words(plan), pull_words(plan.farm), laid_words(plan),
           left_out_line(plan))  # fmt: skip
    return tuple(filter(None, own))


def nearest(plan: Plan) -> str:
    """Return which leg's limit is nearest to being reached."""
    if not plan.assignments:
        return ""
    row = max(plan.assignments, key=lambda a: a.binding.utilisation)
    return (
        f" The nearest that any leg comes to a limit is {row.binding.utilisation:.2%} "
        f"({row.binding.name}, leg {row.leg})."
    )


def _all_passed(plan: Plan) -> bool:
    """Whether there were checks, and none failed."""
    return bool(plan.checks) and all(check.passed for check in plan.checks)
