"""The value of an anchor: packs, containers and money per kilonewton, worked by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from moorledger.models.evidence.anchor_value import (
    AnchorValue,
    Billed,
    Carriage,
    anchor_values,
    carriage,
    typical_drag_m,
)
from moorledger.models.farm import Farm
from moorledger.models.goods.freight import Basis, FreightLimit, FreightService
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.project import Project

from tests.farms.small_farm import ANCHOR, LEG, SERVICE, farm_with

BOX = FreightService(
    name="box",
    origin="east port",
    basis=Basis.CONTAINER,
    rate=1000.0,
    currency="USD",
    exchange_rate=0.9,
    volume_m3=30.0,
    payload_t=21.7,
    inside_length_mm=5867.0,
    inside_width_mm=2330.0,
    inside_height_mm=2197.0,
    door_width_mm=2286.0,
    door_height_mm=2134.0,
)
"""Inside and door: least of a 20 ft container (ISO 1496-1, seen in a copy)."""

DECLARED = (DeclaredHolding(ANCHOR.name, "sand", 45.0, "letter"),)


def farm(pack_kg: float | None = None, quantity: int = 1, **service: object) -> Farm:
    """Return the small farm with one anchor pack of 1.8 m³ and one container service."""
    anchor = replace(ANCHOR, pack_quantity=quantity, stated_pack_mass_kg=pack_kg)
    return farm_with(
        anchors=(anchor,),
        services=(replace(BOX, **service), SERVICE),
        declared_holdings=DECLARED,
    )


def only(farm: Farm) -> AnchorValue:
    """Return the only row."""
    (value,) = anchor_values(farm)
    return value


def by_box(farm: Farm) -> Carriage:
    """Return how the anchor travels in the container."""
    return carriage(farm, farm.item_by_name[ANCHOR.name], farm.services[0])


def test_container_limited_by_volume() -> None:
    """30 m³ × 85 % = 25.5 m³ ÷ 1.8 m³ = 14.2: 14 packs; 21.7 t ÷ 0.3 t would be 72.

    1000 USD × 0.9 ÷ 14 = 64.29 EUR an anchor, ÷ 45 kN = 1.43 EUR.
    """
    way = by_box(farm())
    assert (way.packs_per_container, way.anchors_per_container) == (14, 14)
    assert way.limited_by == (FreightLimit.VOLUME,)
    assert way.money_per_anchor == pytest.approx(900 / 14)
    assert way.per_kn(45.0) == pytest.approx(1.4286, abs=5e-5)


def test_container_limited_by_payload_and_by_both() -> None:
    """Packs of 2 t: 10 by payload; of 1.5 t: 14 by payload as by volume; five anchors a pack."""
    heavy = by_box(farm(2000.0, 5))
    assert (heavy.packs_per_container, heavy.anchors_per_container) == (10, 50)
    assert heavy.limited_by == (FreightLimit.PAYLOAD,)
    assert by_box(farm(1500.0, 5)).limited_by == (
        FreightLimit.VOLUME,
        FreightLimit.PAYLOAD,
    )


def test_a_whole_number_of_packs_is_not_lost_to_rounding() -> None:
    """Payload 0.9 t for packs of 0.3 t (0.9 ÷ 0.3 is 3.0000000000000004 or less): three."""
    assert by_box(farm(300.0, payload_t=0.9)).packs_per_container == 3
    assert by_box(farm(0.1, payload_t=0.0003)).packs_per_container == 3


def test_door_bars_a_pack() -> None:
    """2 m × 1.5 m × 0.6 m through a door of 1 m by 1 m: none goes in, and it says why."""
    way = by_box(farm(door_width_mm=1000.0, door_height_mm=500.0))
    assert (way.packs_per_container, way.limited_by) == (0, (FreightLimit.DOOR,))
    assert way.per_kn(45.0) is None


def test_too_late_is_barred_but_its_packs_are_told() -> None:
    """20 days from order to need, 25 under way."""
    late = replace(
        farm(transit_days=25),
        project=Project(order_date=date(2031, 3, 1), required_on_site=date(2031, 3, 21)),
    )
    assert by_box(late).limited_by == (FreightLimit.DATES,)
    assert by_box(late).packs_per_container == 14
    assert by_box(late).money_per_anchor is None
    least = only(late).least_carriage
    assert least is not None
    assert least.service is SERVICE


def test_by_measure_billed_on_the_larger() -> None:
    """1.8 m³ and 0.3 t at 1 m³/t: 1.8 revenue tonnes × 80 = 144 EUR; a pack of two: 72 each."""
    two = farm(600.0, 2)
    item = two.item_by_name[ANCHOR.name]
    way = carriage(two, item, SERVICE)
    assert way.money_per_anchor == pytest.approx(72.0)
    assert (way.packs_per_container, way.limited_by) == (None, (Billed.VOLUME,))
    road = carriage(two, item, replace(SERVICE, m3_per_tonne=6.0))
    assert road.limited_by == (Billed.MASS,)
    assert road.money_per_anchor == pytest.approx(0.6 * 80 / 2)


def test_price_freight_and_boat_time_of_a_kilonewton() -> None:
    """900 EUR ÷ 45 kN = 20; 64.29 ÷ 45 = 1.43 by the cheaper service; (20 + 30) min ÷ 45."""
    value = only(farm())
    assert value.price_per_kn == pytest.approx(20.0)
    assert value.freight_per_kn == pytest.approx(900 / 14 / 45)
    assert value.delivered_per_kn == pytest.approx(20.0 + 900 / 14 / 45)
    assert value.boat_min_per_kn == pytest.approx(50 / 45)
    assert value.least_carriage is not None
    assert value.least_carriage.service.name == "box"


def test_refused_anchor_has_no_price_of_a_kilonewton() -> None:
    """No evidence on the seabed: nothing is divided by zero, and the reason is there."""
    value = only(replace(farm(), declared_holdings=()))
    assert value.refusal
    assert value.price_per_kn is value.freight_per_kn is value.boat_min_per_kn is None
    assert value.delivered_per_kn is None


def test_no_limit_stated_is_not_a_limit() -> None:
    """A container service that states neither volume nor payload gives no number of packs."""
    way = by_box(farm(volume_m3=None, payload_t=None))
    assert (way.packs_per_container, way.money_per_anchor) == (None, None)
    assert way.limited_by == ()


def test_typical_drag_is_that_of_most_lines() -> None:
    """Four lines allow 5 m, two legs of two lines 2 m: a tie, and the smaller is taken."""
    legs = (
        replace(LEG, name="a", count=4, allowed_drag_m=5.0),
        replace(LEG, name="b", count=2, allowed_drag_m=2.0),
        replace(LEG, name="c", count=2, allowed_drag_m=2.0),
    )
    assert typical_drag_m(farm_with(legs=legs), "sand") == 2.0
    assert typical_drag_m(farm_with(legs=legs[:2]), "sand") == 5.0
    assert typical_drag_m(farm_with(), "mud") is None


def test_cheapest_delivered_stands_first_and_the_refused_last() -> None:
    """Three anchors: 45 kN at 900, 45 kN at 500, and one that nothing is known of."""
    cheap = replace(ANCHOR, name="cheap", unit_price=500.0)
    unknown = replace(ANCHOR, name="unknown", unit_price=1.0)
    declared = (*DECLARED, DeclaredHolding("cheap", "sand", 45.0, "letter"))
    values = anchor_values(farm_with(anchors=(unknown, ANCHOR, cheap), declared_holdings=declared))
    assert [value.anchor.name for value in values] == ["cheap", ANCHOR.name, "unknown"]
