"""Price breaks against the textbooks' quantity-discount examples, and what every list must obey."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from moorledger.models.goods.price import Bracket, PriceBreak, PriceList, Scheme

from .quantity_discount import (
    BAGS,
    BAGS_INCREMENTAL,
    COURSE_EXAMPLE,
    HOSPITAL,
    DiscountExample,
)

ALL_UNITS, INCREMENTAL = Scheme.ALL_UNITS, Scheme.INCREMENTAL


@pytest.mark.parametrize(
    ("example", "scheme", "quantity", "cost", "within"),
    [
        pytest.param(COURSE_EXAMPLE, ALL_UNITS, 133, 93_000.0, 0.1, id="course, at its EOQ"),
        pytest.param(COURSE_EXAMPLE, ALL_UNITS, 301, 88_862.58, 0.01, id="course, least"),
        pytest.param(HOSPITAL, ALL_UNITS, 75, 57_284.0, 1.0, id="hospital, at its EOQ"),
        pytest.param(HOSPITAL, ALL_UNITS, 300, 57_382.0, 1.0, id="hospital, first break"),
        pytest.param(HOSPITAL, ALL_UNITS, 500, 56_998.74, 0.01, id="hospital, least"),
        pytest.param(BAGS, ALL_UNITS, 400, 204.00, 0.005, id="bags, at their EOQ"),
        pytest.param(BAGS, ALL_UNITS, 500, 198.10, 0.005, id="bags, least"),
        pytest.param(BAGS, ALL_UNITS, 1000, 200.80, 0.005, id="bags, second break"),
        pytest.param(
            BAGS_INCREMENTAL, INCREMENTAL, 400, 204.00, 0.005, id="bags by bracket, least"
        ),
        pytest.param(BAGS_INCREMENTAL, INCREMENTAL, 519, 204.58, 0.005, id="bags by bracket, 519"),
    ],
)
def test_cost_of_an_order_quantity(
    example: DiscountExample, scheme: Scheme, quantity: int, cost: float, within: float
) -> None:
    """The printed yearly cost of each printed order quantity; sources beside the examples."""
    assert example.cost(scheme, quantity) == pytest.approx(cost, abs=within)


@pytest.mark.parametrize(
    ("example", "scheme", "best"),
    [
        pytest.param(COURSE_EXAMPLE, ALL_UNITS, 301, id="course"),
        pytest.param(HOSPITAL, ALL_UNITS, 500, id="hospital"),
        pytest.param(BAGS, ALL_UNITS, 500, id="bags"),
        pytest.param(BAGS_INCREMENTAL, INCREMENTAL, 400, id="bags by bracket"),
    ],
)
def test_least_order_quantity(example: DiscountExample, scheme: Scheme, best: int) -> None:
    """The textbook's order quantity is the least of all; the schemes differ on the same bags."""
    assert min(range(1, 1501), key=lambda quantity: example.cost(scheme, quantity)) == best


@pytest.mark.parametrize(
    ("scheme", "quantity", "money"),
    [
        (ALL_UNITS, 9, 90.0),
        (ALL_UNITS, 10, 80.0),
        (ALL_UNITS, 19, 152.0),
        (ALL_UNITS, 20, 140.0),
        (INCREMENTAL, 9, 90.0),
        (INCREMENTAL, 10, 98.0),
        (INCREMENTAL, 19, 170.0),
        (INCREMENTAL, 20, 177.0),
        (INCREMENTAL, 25, 212.0),
        (ALL_UNITS, 0, 0.0),
        (INCREMENTAL, 0, 0.0),
    ],
)
def test_money_either_side_of_each_break(scheme: Scheme, quantity: int, money: float) -> None:
    """10 each, 8 from the 10th, 7 from the 20th, rows out of order; worked by hand."""
    rows = (PriceBreak("x", 20, 7.0, scheme), PriceBreak("x", 10, 8.0, scheme))
    assert PriceList.of(10.0, rows, 1.0).money(quantity) == pytest.approx(money)


@pytest.mark.parametrize("scheme", list(Scheme))
def test_break_from_the_first_unit_replaces_the_catalogue_price(scheme: Scheme) -> None:
    """A break from 1 (or from 0, which means the same) leaves no room for the item's own price."""
    for first in (0, 1):
        prices = PriceList.of(10.0, (PriceBreak("x", first, 9.0, scheme),), 1.0)
        assert prices.brackets == (Bracket(1, None, 9.0),)
        assert prices.money(10) == 90.0


def test_price_per_metre_is_paid_by_the_length_sold() -> None:
    """Three 27.5 m shots at 18 a metre, 16 from the second shot on; worked by hand."""
    rows = (PriceBreak("chain", 2, 16.0, INCREMENTAL),)
    assert PriceList.of(18.0, rows, 27.5).money(3) == pytest.approx(27.5 * (18.0 + 16.0 + 16.0))
    assert PriceList.of(18.0, (), 27.5).money(3) == pytest.approx(3 * 27.5 * 18.0)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(
    st.floats(1.0, 1000.0),
    st.lists(st.tuples(st.integers(2, 60), st.floats(0.01, 0.3)), max_size=4),
    st.integers(1, 80),
)
def test_falling_prices(first: float, cuts: list[tuple[int, float]], quantity: int) -> None:
    """Where breaks only cut the price, all-units never costs more than incremental pricing.

    One more unit never lowers an incremental bill, and before the first break the two agree.
    """
    starts = sorted({start for start, _ in cuts})
    price, steps = first, []
    for start, (_, cut) in zip(starts, cuts, strict=False):
        price *= 1 - cut
        steps.append((start, price))
    lists = {
        scheme: PriceList.of(first, tuple(PriceBreak("x", *s, scheme) for s in steps), 1.0)
        for scheme in Scheme
    }
    whole, by_bracket = lists[ALL_UNITS].money(quantity), lists[INCREMENTAL].money(quantity)
    assert whole <= by_bracket * (1 + 1e-12)
    assert lists[INCREMENTAL].money(quantity + 1) > by_bracket
    if quantity < min(starts, default=quantity + 1):
        assert whole == pytest.approx(quantity * first)
        assert by_bracket == pytest.approx(quantity * first)
