"""The independent check of a finished plan: every limit, count and sum of money, worked again.

It takes the farm and the plan's integers (what is laid, ordered, cut, booked and sailed) and
nothing else: no solver, and none of the programme that made the plan. A plan is sound when every
line has passed. It says nothing of whether the plan is least.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...models.answer.check_line import CheckLine
from ...models.answer.plan import Part, Plan
from .articles import Article, articles_of, duty_owed
from .campaigns import campaign_lines, campaign_money
from .cutting import cutting_lines, joins_money
from .freight import booking_lines, freight_duty_money, freight_money
from .legs import leg_lines
from .orders import order_charges, order_lines, ordered_from, sellers_of
from .tolerance import MONEY, PHYSICAL, at_most, same_money


def recheck(plan: Plan) -> tuple[CheckLine, ...]:
    """Return a line for every limit, count and sum of the plan, checked again apart from it."""
    articles = articles_of(plan.farm)
    return (
        *leg_lines(plan),
        *order_lines(plan, articles),
        *cutting_lines(plan, articles),
        *booking_lines(plan, articles),
        *campaign_lines(plan),
        *_policy_lines(plan, articles),
        *_money_lines(plan, articles),
    )


def _policy_lines(plan: Plan, articles: dict[str, Article]) -> Iterator[CheckLine]:
    project = plan.farm.project
    laid = [a.make_up for a in plan.assignments if a.count > 0]
    for what, unit, used, limit in (
        ("anchor models used", "models", {m.anchor for m in laid}, project.most_anchor_models),
        ("chains used", "chains", {m.chain for m in laid}, project.most_chains),
        ("ropes used", "ropes", {m.rope for m in laid} - {None}, project.most_ropes),
    ):
        if limit is not None:
            yield at_most(what, "farm", len(used), limit, unit)
    if project.most_suppliers is not None:
        there = {s.name for s in plan.farm.suppliers if s.ordered_before}
        sellers = sellers_of(plan, articles) - there
        most = project.most_suppliers
        yield at_most("suppliers ordered from", "farm", len(sellers), most, "suppliers")


def parts_owed(plan: Plan, articles: dict[str, Article]) -> dict[Part, float]:
    """Return every part of the installed cost as the plan's integers make it."""
    goods = dict.fromkeys((Part.ANCHORS, Part.CHAIN, Part.ROPE, Part.FITTINGS), 0.0)
    duty = 0.0
    for (name, supplier), quantity in ordered_from(plan).items():
        terms = articles[name].terms.get(supplier) if name in articles else None
        if terms is not None:
            price = terms.price(quantity) * terms.exchange_rate
            goods[articles[name].part] += price
            duty += duty_owed(plan.farm.project, terms.duty_share, price)
    freight = freight_money(plan, articles)
    mobilisation, days, fuel = campaign_money(plan)
    return {
        **goods,
        Part.JOINS: joins_money(plan, articles),
        Part.ORDER_CHARGES: sum(order_charges(plan, articles).values()),
        Part.FREIGHT: freight,
        Part.INSURANCE: plan.farm.project.insurance_share * (sum(goods.values()) + freight),
        Part.DUTY: duty + freight_duty_money(plan, articles),
        Part.MOBILISATION: mobilisation,
        Part.VESSEL_DAYS: days,
        Part.FUEL: fuel,
    }


def _money_lines(plan: Plan, articles: dict[str, Article]) -> Iterator[CheckLine]:
    currency = plan.farm.project.currency
    owed = parts_owed(plan, articles)
    for part, money in owed.items():
        yield same_money(f"cost of {part}", "farm", money, plan.parts.get(part, 0.0), currency)
    total = sum(owed.values())
    yield same_money("whole cost", "farm", total, plan.installed_cost, currency)
    # The solver's own sum may differ by its tolerance, which grows with the money.
    slack = MONEY + PHYSICAL * total
    kept = abs(total - plan.proof.cost) <= slack
    yield CheckLine("cost that was proven", "farm", total, plan.proof.cost, currency, kept)
    yield at_most("lower bound", "farm", plan.proof.bound, total, currency, slack)
