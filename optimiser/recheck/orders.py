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
    for (item, _), quantity in ordered_from(plan).items():
        ordered[item] += quantity
    return dict(ordered)


def ordered_from(plan: Plan) -> dict[tuple[str, str], int]:
    """Return (item, supplier) → units ordered, where any are."""
    ordered: dict[tuple[str, str], int] = defaultdict(int)
    for line in plan.orders:
        if line.quantity > 0:
            ordered[line.item, line.supplier] += line.quantity
    return dict(ordered)


def sellers_of(plan: Plan, articles: dict[str, Article]) -> set[str]:
    """Return the suppliers that something of theirs is ordered from."""
    return {
        supplier
        for item, supplier in ordered_from(plan)
        if item in articles and supplier in articles[item].terms
    }


def order_charges(plan: Plan, articles: dict[str, Article]) -> dict[str, float]:
    """Return supplier → order charge in the project's currency, of those ordered from."""
    used = sellers_of(plan, articles)
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
        lines = [line for line in plan.orders if line.item == name]
        if lines:
            # Each line states what the whole farm needs and takes from stock of the item.
            bought = sum(line.quantity for line in lines) * per
            taken = max(line.from_stock for line in lines)
            short = needed.get(name, 0.0) - taken
            yield at_most("need not met from stock", name, short, bought, unit)
    seen: set[tuple[str, str]] = set()
    for line in plan.orders:
        yield rule("is in a catalogue", line.item, line.item in articles)
        where = f"{line.item} from {line.supplier}"
        yield rule("is ordered on one line", where, (line.item, line.supplier) not in seen)
        seen.add((line.item, line.supplier))
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
    terms = article.terms.get(line.supplier)
    yield rule("is ordered from a supplier that offers it", name, terms is not None)
    unit = "each" if article.length_m is None else "m"
    yield same("stated need", name, need, line.needed, unit)
    yield at_most("taken from stock", name, line.from_stock, sum(article.stock), unit)
    if terms is None:
        return
    name = name if len(article.terms) == 1 else f"{name} from {line.supplier}"
    whole = quantity == int(quantity) and quantity >= 0 and quantity % terms.multiple == 0
    yield rule("is a whole number of its order multiple", name, whole)
    if quantity > 0:
        yield at_most("minimum order", name, terms.minimum, quantity, "units")
    yield at_most("what is available", name, quantity, terms.available, "units")
    price = terms.price(quantity)
    yield same_money("price of the order", name, price, line.money_supplier, "supplier's currency")
    at_home = price * terms.exchange_rate
    yield same_money("price of the order", name, at_home, line.money, project.currency)
    duty = duty_owed(project, terms.duty_share, at_home)
    yield same_money("duty", name, duty, line.duty, project.currency)
