"""The order lines of a finished plan, worked again: need, quantities allowed, and money."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator

from ...models.answer.check_line import CheckLine
from ...models.answer.plan import OrderLine, Plan
from ...models.site.project import Project
from .articles import Article, duty_owed
from .legs import fittings_of, rope_cut_m, unknown_names
from .tolerance import ROUNDING, at_most, rule, same, same_money


def ordered_of(plan: Plan) -> dict[str, int]:
    """Return item → units ordered, of the items that are ordered at all."""
    ordered: dict[str, int] = defaultdict(int)
    for line in plan.orders:
        if line.quantity > 0:
            ordered[line.item] += line.quantity
    return dict(ordered)


def order_charges(plan: Plan, articles: dict[str, Article]) -> dict[str, float]:
    """Return supplier → order charge in the project's currency, of those ordered from."""
    used = {articles[name].supplier for name in ordered_of(plan) if name in articles}
    return {s.name: s.order_charge * s.exchange_rate for s in plan.farm.suppliers if s.name in used}


def needs(plan: Plan) -> dict[str, float]:
    """Return item → what the farm uses, spares in: each, or metres."""
    used: dict[str, float] = defaultdict(float)
    anchors: dict[str, int] = defaultdict(int)
    for a in plan.assignments:
        if unknown_names(plan.farm, a):
            continue
        anchors[a.make_up.anchor] += a.count * a.make_up.anchors
        used[a.make_up.chain] += a.count * a.make_up.chain_m
        if a.make_up.rope is not None:
            used[a.make_up.rope] += a.count * rope_cut_m(plan.farm, a.make_up)
        for fitting, each in fittings_of(plan.farm, a.make_up):
            used[fitting.name] += a.count * each
    spare = plan.farm.project.spare_anchor_share
    for name, number in anchors.items():
        # Ten with 10 % spare are eleven, whatever the last bit of the product says.
        used[name] = math.ceil(number * (1 + spare) - ROUNDING)
    return dict(used)


def order_lines(plan: Plan, articles: dict[str, Article]) -> Iterator[CheckLine]:
    """Yield the check lines of what is ordered, from whom, and what it costs."""
    needed = needs(plan)
    ordered = ordered_of(plan)
    for name, article in articles.items():
        unit, per = ("each", 1.0) if article.length_m is None else ("m", article.length_m)
        if name in needed or name in ordered:
            there = ordered.get(name, 0) * per + sum(article.stock)
            what = "ordered and on hand cover the need"
            yield at_most(what, name, needed.get(name, 0.0), there, unit)
    seen: set[str] = set()
    for line in plan.orders:
        yield rule("is in a catalogue", line.item, line.item in articles)
        yield rule("is ordered on one line", line.item, line.item not in seen)
        seen.add(line.item)
        if line.item in articles:
            need = needed.get(line.item, 0.0)
            yield from _line_lines(line, articles[line.item], need, plan.farm.project)
    owed = order_charges(plan, articles)
    for supplier in sorted({*owed, *plan.order_charges}):
        stated = plan.order_charges.get(supplier, 0.0)
        currency = plan.farm.project.currency
        yield same_money("order charge", supplier, owed.get(supplier, 0.0), stated, currency)


def _line_lines(
    line: OrderLine, article: Article, need: float, project: Project
) -> Iterator[CheckLine]:
    name, quantity = article.name, line.quantity
    yield rule("is ordered from its supplier", name, line.supplier == article.supplier)
    whole = quantity == int(quantity) and quantity >= 0 and quantity % article.multiple == 0
    yield rule("is a whole number of its order multiple", name, whole)
    if quantity > 0:
        yield at_most("minimum order", name, article.minimum, quantity, "units")
    yield at_most("what is available", name, quantity, article.available, "units")
    unit, per = ("each", 1.0) if article.length_m is None else ("m", article.length_m)
    yield same("stated need", name, need, line.needed, unit)
    yield at_most("taken from stock", name, line.from_stock, sum(article.stock), unit)
    yield at_most("need not met from stock", name, need - line.from_stock, quantity * per, unit)
    price = article.price(quantity)
    yield same_money("price of the order", name, price, line.money_supplier, "supplier's currency")
    at_home = price * article.exchange_rate
    yield same_money("price of the order", name, at_home, line.money, project.currency)
    duty = duty_owed(project, article.duty_share, at_home)
    yield same_money("duty", name, duty, line.duty, project.currency)
