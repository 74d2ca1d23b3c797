"""Items as a buyer sees them: what the catalogue leaves to the supplier, orders, packs, dates.

The rules are those of purchase orders (common practice, no source); figures are worked by hand.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from moorledger.models.farm_faults import farm_faults
from moorledger.models.goods.freight import Basis, FreightService
from moorledger.models.goods.item import Item, ItemKind
from moorledger.models.goods.price import PriceBreak, Scheme
from moorledger.models.goods.supplier import OnHand
from moorledger.models.site.project import Project

from tests.farms.small_farm import ANCHOR, CHAIN, FARM, ROPE, SERVICE, SHACKLE, SUPPLIER, farm_with


def item(name: str = ANCHOR.name, **changes: object) -> Item:
    """Return one item of the small farm, with these farm fields changed."""
    return farm_with(**changes).item_by_name[name]


def test_items_come_in_the_order_of_the_sheets() -> None:
    """Anchors, chain, rope, fittings: each of its kind, sold each or by its length."""
    assert [(i.name, i.kind, i.sold_as) for i in FARM.items] == [
        (ANCHOR.name, ItemKind.ANCHOR, "each"),
        (CHAIN.name, ItemKind.CHAIN, "length of 27.5 m"),
        (ROPE.name, ItemKind.ROPE, "length of 220 m"),
        (SHACKLE.name, ItemKind.FITTING, "each"),
    ]


@pytest.mark.parametrize(
    ("minimum", "multiple", "available", "smallest", "largest"),
    [
        (0, 1, None, 1, None),
        (0, 4, 11, 4, 8),
        (10, 4, 12, 12, 12),
        (12, 4, 13, 12, 12),
        (5, 1, 5, 5, 5),
        (0, 4, 3, 4, 0),
        (0, 1, 0, 1, 0),
    ],
)
def test_smallest_and_largest_order(
    minimum: int, multiple: int, available: int | None, smallest: int, largest: int | None
) -> None:
    """An order is at least its minimum, a whole multiple, and at most what is available."""
    anchor = replace(ANCHOR, minimum_order=minimum, order_multiple=multiple, available=available)
    found = item(anchors=(anchor,))
    (offer,) = found.offers
    assert (offer.smallest_order, offer.largest_order) == (smallest, largest)


@pytest.mark.parametrize(("quantity", "packs"), [(0, 0), (1, 1), (6, 1), (7, 2), (12, 2), (13, 3)])
def test_packs_are_whole(quantity: int, packs: int) -> None:
    """A part-filled pack of six counts as a whole one."""
    assert item(anchors=(replace(ANCHOR, pack_quantity=6),)).packs(quantity) == packs


@pytest.mark.parametrize(
    ("own", "stated", "used"), [(None, 0.05, 0.05), (0.02, 0.05, 0.02), (0.0, 0.05, 0.0)]
)
def test_duty_is_the_items_own_else_its_suppliers(
    own: float | None, stated: float, used: float
) -> None:
    """A blank duty takes the supplier's; a stated zero is zero, for every kind of item."""
    farm = farm_with(
        anchors=(replace(ANCHOR, duty_share=own),),
        chains=(replace(CHAIN, duty_share=own),),
        ropes=(replace(ROPE, duty_share=own),),
        fittings=(replace(SHACKLE, duty_share=own),),
        suppliers=(replace(SUPPLIER, duty_share=stated),),
    )
    assert [offer.duty_share for i in farm.items for offer in i.offers] == [used] * 4


@pytest.mark.parametrize(("own", "used"), [(None, 30), (0, 0), (45, 45)])
def test_lead_time_is_the_items_own_else_its_suppliers(own: int | None, used: int) -> None:
    """A blank lead time takes the supplier's 30 days; ex stock (0 days) is not blank."""
    found = item(
        anchors=(replace(ANCHOR, lead_time_days=own),),
        suppliers=(replace(SUPPLIER, lead_time_days=30),),
    )
    assert found.offers[0].lead_time_days == used


def test_goods_are_converted_at_the_suppliers_rate() -> None:
    """Two anchors at 900 and two shots at 27.5 × 18, at 0.9 a unit; joins convert alike."""
    farm = farm_with(
        suppliers=(replace(SUPPLIER, currency="USD", exchange_rate=0.9),),
        chains=(replace(CHAIN, join_cost=10.0),),
        price_breaks=(PriceBreak(CHAIN.name, 2, 16.0, Scheme.ALL_UNITS),),
    )
    assert farm.item_by_name[ANCHOR.name].offers[0].goods(2) == pytest.approx(1620.0)
    assert farm.item_by_name[CHAIN.name].offers[0].goods(1) == pytest.approx(27.5 * 18.0 * 0.9)
    assert farm.item_by_name[CHAIN.name].offers[0].goods(2) == pytest.approx(55.0 * 16.0 * 0.9)
    assert farm.item_by_name[CHAIN.name].join_cost == pytest.approx(9.0)


def test_rope_and_chain_not_joinable_are_cut_whole() -> None:
    """Only joinable chain may be made up of several lengths."""
    farm = farm_with(chains=(CHAIN, replace(CHAIN, name="short 16", joinable=False)))
    whole = {i.name: i.cut_whole for i in farm.items}
    assert whole == {
        ANCHOR.name: False,
        CHAIN.name: False,
        "short 16": True,
        ROPE.name: True,
        SHACKLE.name: False,
    }


def test_stock_on_hand() -> None:
    """Anchors on hand add up; chain on hand stays in pieces, longest first."""
    farm = farm_with(
        on_hand=(
            OnHand(ANCHOR.name, 2),
            OnHand(ANCHOR.name, 3),
            OnHand(CHAIN.name, 9.0),
            OnHand(CHAIN.name, 27.5),
        )
    )
    assert farm.item_by_name[ANCHOR.name].on_hand == (5,)
    assert farm.item_by_name[CHAIN.name].on_hand == (27.5, 9.0)
    assert farm.item_by_name[CHAIN.name].on_hand_total == 36.5
    assert farm.item_by_name[ROPE.name].on_hand_total == 0


@pytest.mark.parametrize(
    ("lead", "transit", "days", "travels"),
    [
        (30, 40, 70, True),
        (30, 40, 69, False),
        (None, 40, 40, True),
        (30, None, 29, False),
        (30, 40, None, True),
    ],
)
def test_dates_bar_what_comes_too_late(
    lead: int | None, transit: int | None, days: int | None, travels: bool
) -> None:
    """Lead time + transit must fit between order and need; a blank counts as nothing."""
    found = item(anchors=(replace(ANCHOR, lead_time_days=lead),))
    service = replace(SERVICE, transit_days=transit)
    assert found.travels_by(service, found.offers[0], days) is travels


def test_days_to_deliver_need_both_dates() -> None:
    """From 1 March to 1 June are 92 days; with either date blank there is no limit."""
    order, need = date(2025, 3, 1), date(2025, 6, 1)
    assert Project(order_date=order, required_on_site=need).days_to_deliver == 92
    late = Project(order_date=order, required_on_site=need, delivery_margin_days=7)
    assert late.days_to_deliver == 85
    assert Project(order_date=order).days_to_deliver is None
    assert Project(required_on_site=need).days_to_deliver is None


def travels(item: Item, service: FreightService) -> bool:
    """Tell whether an item's only offer may go by a service, whatever the dates."""
    return item.travels_by(service, item.offers[0], None)


def test_packs_travel_only_from_their_origin_and_through_the_door() -> None:
    """Another origin bars, a door bars the anchor's pack (2000 × 1500 × 600), chain has none."""
    anchor, chain = FARM.item_by_name[ANCHOR.name], FARM.item_by_name[CHAIN.name]
    assert not travels(anchor, replace(SERVICE, origin="west port"))
    low = replace(SERVICE, door_width_mm=1400.0, door_height_mm=1400.0)
    assert not travels(replace(anchor, pack_sides_mm=(2000.0, 1500.0, 1500.0)), low)
    assert travels(anchor, replace(low, door_width_mm=1500.0))
    assert travels(chain, low)


def test_a_pack_larger_than_any_one_container_is_barred() -> None:
    """A pack heavier than the payload or larger than the box never travels in it."""
    anchor = FARM.item_by_name[ANCHOR.name]
    service = replace(SERVICE, basis=Basis.CONTAINER, payload_t=0.3, volume_m3=1.8)
    assert anchor.pack_m3 == pytest.approx(1.8)
    assert travels(anchor, service)
    assert not travels(anchor, replace(service, payload_t=0.29))
    assert not travels(anchor, replace(service, volume_m3=1.79))
    assert travels(anchor, replace(service, basis=Basis.MEASURE, payload_t=0.29))


def test_unknown_supplier_is_said_as_a_fault_first() -> None:
    """An item of a supplier that is not there has no origin: a fault, and no item."""
    farm = farm_with(anchors=(replace(ANCHOR, supplier="nobody"),))
    assert any("'nobody' is not in Suppliers" in fault.message for fault in farm_faults(farm))
    with pytest.raises(KeyError):
        farm.items  # noqa: B018
