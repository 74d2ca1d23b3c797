"""Quantity discounts of the textbooks, bought through the project's own programme.

The programme buys a given quantity at the least money; put into the textbook's yearly cost that
money must give the printed costs and order quantities. Where each example comes from, and whether
it was seen or is from memory, stands beside it in `quantity_discount`.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from moorledger.models.goods.item import Item
from moorledger.models.goods.price import PriceBreak, Scheme
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.project import FactorActsOn, Project
from moorledger.optimiser.price import price
from moorledger.optimiser.programme.purchase import add_order
from moorledger.optimiser.solvers.matrix import Programme
from moorledger.optimiser.solvers.report import SolveOptions
from moorledger.optimiser.solvers.solve import solve

from tests.farms.small_farm import ANCHOR, LEG, SERVICE, SHACKLE, farm_with
from tests.published.quantity_discount import (
    BAGS,
    BAGS_INCREMENTAL,
    COURSE_EXAMPLE,
    HOSPITAL,
    DiscountExample,
)

ALL_UNITS, INCREMENTAL = Scheme.ALL_UNITS, Scheme.INCREMENTAL
EXACT = SolveOptions("highs", gap=1e-9)


def sold_as(example: DiscountExample, scheme: Scheme) -> Item:
    """Return an item sold at an example's prices, otherwise a shackle of the small farm."""
    shackle = farm_with().item_by_name[SHACKLE.name]
    offer = replace(shackle.offers[0], prices=example.prices(scheme))
    return replace(shackle, offers=(offer,))


def money_for(item: Item, quantity: int) -> float:
    """Return what the purchase rows of the programme pay for exactly `quantity` of an item."""
    programme = Programme()
    order = add_order(programme, item, item.offers[0], quantity, 1.0, None)
    programme.row("exactly", order.quantity, low=quantity, high=quantity)
    report = solve(programme.matrix(), EXACT)
    assert report.values is not None
    return report.objective


def yearly_cost(example: DiscountExample, scheme: Scheme, quantity: int) -> float:
    """Return demand × unit + orders + holding of half an order, the unit price being what the
    programme paid ÷ quantity: the economic order quantity with discounts, any text on it."""
    unit = money_for(sold_as(example, scheme), quantity) / quantity
    orders = example.order_cost * example.demand / quantity
    return example.demand * unit + orders + example.holding_rate * unit * quantity / 2


@pytest.mark.parametrize(
    ("example", "scheme", "candidates", "best", "cost", "within"),
    [
        # MGSC 487, a course's worked example: seen in a copy, and worked again.
        pytest.param(
            COURSE_EXAMPLE, ALL_UNITS, (126, 133, 134, 137, 300, 301, 302, 400), 301, 88_862.58,
            0.005, id="course",
        ),
        # Krajewski & Ritzman, hospital: inputs seen, prices and answers from memory, worked again.
        pytest.param(
            HOSPITAL, ALL_UNITS, (75, 76, 299, 300, 301, 499, 500, 501), 500, 56_998.74, 0.005,
            id="hospital",
        ),
        # Nahmias, bags: from memory, worked again.
        pytest.param(
            BAGS, ALL_UNITS, (399, 400, 401, 499, 500, 501, 1000), 500, 198.10, 0.005, id="bags",
        ),
        # The same bags by bracket: from memory, worked again.
        pytest.param(
            BAGS_INCREMENTAL, INCREMENTAL, (399, 400, 401, 500, 519, 702, 1000), 400, 204.00, 0.005,
            id="bags by bracket",
        ),
    ],
)  # fmt: skip
def test_published_optimum_through_the_programme(
    example: DiscountExample,
    scheme: Scheme,
    candidates: tuple[int, ...],
    best: int,
    cost: float,
    within: float,
) -> None:
    """Tests that the printed order quantity is the least of its neighbours and of both sides of
    every break, at the printed yearly cost."""
    costs = {quantity: yearly_cost(example, scheme, quantity) for quantity in candidates}
    assert min(costs, key=costs.__getitem__) == best
    assert costs[best] == pytest.approx(cost, abs=within)


@pytest.mark.parametrize(
    ("example", "scheme", "quantity", "cost", "within"),
    [
        # Sources as above; the printed costs of quantities that are not the least.
        pytest.param(HOSPITAL, ALL_UNITS, 75, 57_284, 0.5, id="hospital, first bracket"),
        pytest.param(HOSPITAL, ALL_UNITS, 300, 57_382, 0.5, id="hospital, first break"),
        pytest.param(BAGS, ALL_UNITS, 400, 204.00, 0.005, id="bags, first bracket"),
        pytest.param(BAGS, ALL_UNITS, 1000, 200.80, 0.005, id="bags, second break"),
        pytest.param(BAGS_INCREMENTAL, INCREMENTAL, 519, 204.58, 0.005, id="by bracket, 519"),
    ],
)
def test_printed_cost_of_other_quantities(
    example: DiscountExample, scheme: Scheme, quantity: int, cost: float, within: float
) -> None:
    """Tests the printed yearly cost of quantities that the textbooks compare and reject."""
    assert yearly_cost(example, scheme, quantity) == pytest.approx(cost, abs=within)


@pytest.mark.parametrize(
    ("scheme", "needed", "ordered", "money"),
    [
        (ALL_UNITS, 483, 483, 144.90),  # 483 × 0.30; 500 × 0.29 = 145.00 would cost more
        (ALL_UNITS, 484, 500, 145.00),  # 484 × 0.30 = 145.20: sixteen too many cost less
        (ALL_UNITS, 500, 500, 145.00),
        (INCREMENTAL, 484, 484, 145.20),  # the first 500 stay at 0.30, so none too many
        (INCREMENTAL, 510, 510, 152.90),  # 500 × 0.30 + 10 × 0.29
    ],
)
def test_a_farm_buys_up_to_a_break_only_where_that_pays(
    scheme: Scheme, needed: int, ordered: int, money: float
) -> None:
    """Tests the order of a whole farm of one line that needs so many of the bags; by hand."""
    example = BAGS if scheme is ALL_UNITS else BAGS_INCREMENTAL
    farm = farm_with(
        project=Project(safety_factor_acts_on=FactorActsOn.ANCHOR_LOAD),
        fittings=(replace(SHACKLE, quantity=needed, unit_price=example.unit_price),),
        price_breaks=tuple(PriceBreak(SHACKLE.name, *row, scheme) for row in example.breaks),
        declared_holdings=(DeclaredHolding(ANCHOR.name, LEG.seabed, 100.0, "invented"),),
        services=(replace(SERVICE, rate=0.0),),
    )
    plan = price(farm, gap=1e-9)
    bought = {line.item: line for line in plan.orders}[SHACKLE.name]
    assert bought.quantity == ordered
    assert bought.money == pytest.approx(money, abs=0.005)
