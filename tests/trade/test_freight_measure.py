"""Billing by weight or measure, and what passes a container's door, against published figures."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest
from moorledger.models.goods.freight import Basis, FreightService, revenue_tonnes

from tests.farms.small_farm import SERVICE

AIR, ROAD, SEA = 6.0, 3.0, 1.0
"""Cubic metres per tonne (common practice; 6000 cm³/kg by air seen in many places)."""


def test_one_parcel_by_air() -> None:
    """30 × 45 × 65 cm at 6000 cm³/kg measures 14.625 kg against 14 kg weighed.

    Source: a carrier's worked example (seen); it then rounds up to 15 kg, which is the carrier's
    rounding and no part of the measure.
    """
    billed_kg = revenue_tonnes(0.014, 0.30 * 0.45 * 0.65, AIR) * 1000.0
    assert billed_kg == pytest.approx(14.625, abs=1e-9)


@pytest.mark.parametrize(("m3_per_tonne", "billed"), [(AIR, 2.4), (SEA, 14.4)])
def test_ten_pallets_by_air_and_by_sea(m3_per_tonne: float, billed: float) -> None:
    """Ten pallets of 120 × 100 × 120 cm and 120 kg: 2400 kg by air, 14.4 revenue tonnes by sea.

    Source: a worked example (seen in a copy).
    """
    assert revenue_tonnes(1.2, 10 * 1.2 * 1.0 * 1.2, m3_per_tonne) == pytest.approx(billed)


def test_ten_heavy_pallets_by_road() -> None:
    """Ten pallets of 1.2 × 1.0 × 1.8 m and 960 kg by road are billed on their 9600 kg.

    Source: a worked road example at 333 kg/m³ (seen in a copy): gross 9600, volume 7192.8. We
    bill by m³ per tonne: 333 kg/m³ is 1000/333 of them; the round 3 gives 7200, 0.1 % more.
    """
    volume = 10 * 1.2 * 1.0 * 1.8
    assert revenue_tonnes(9.6, volume, ROAD) == pytest.approx(9.6)
    assert revenue_tonnes(0.0, volume, 1000.0 / 333.0) == pytest.approx(7.1928)
    assert revenue_tonnes(0.0, volume, ROAD) == pytest.approx(7.2)


@pytest.mark.parametrize(
    ("minimum", "fixed", "money"),
    [(0.0, 0.0, 1152.0), (1500.0, 0.0, 1500.0), (1500.0, 45.0, 1545.0)],
)
def test_minimum_and_fixed_charges(minimum: float, fixed: float, money: float) -> None:
    """14.4 revenue tonnes at 80 are 1152; the minimum replaces, the fixed charge comes on top."""
    service = replace(SERVICE, minimum_charge=minimum, fixed_charge=fixed)
    assert service.charge(0, 1.2, 14.4) == pytest.approx(money)


def test_containers_pay_by_the_box_whatever_is_in_it() -> None:
    """Three containers at 2100 and a fixed charge of 90, with the minimum for one box more."""
    service = replace(SERVICE, basis=Basis.CONTAINER, rate=2100.0, fixed_charge=90.0)
    assert service.charge(3, 40.0, 80.0) == pytest.approx(6390.0)
    assert service.charge(3, 0.1, 0.1) == pytest.approx(6390.0)
    assert replace(service, minimum_charge=8400.0).charge(3, 40.0, 80.0) == pytest.approx(8490.0)


def box(length_mm: float, door_height_mm: float) -> FreightService:
    """Return a container of least inside length and door of ISO 1496-1.

    Door width 2286 mm; height 2134, 2261 or 2566 mm for boxes 8', 8'6" and 9'6" high (seen in
    feet and inches). Inside 5867 mm (20 ft) and 11 998 mm (40 ft).
    """
    return replace(
        SERVICE,
        basis=Basis.CONTAINER,
        inside_length_mm=length_mm,
        door_width_mm=2286.0,
        door_height_mm=door_height_mm,
    )


TWENTY = box(5867.0, 2261.0)
FORTY = box(11_998.0, 2261.0)
FORTY_HIGH = box(11_998.0, 2566.0)


@pytest.mark.parametrize(
    ("sides", "twenty", "forty", "forty_high"),
    [
        pytest.param((5867, 2286, 2261), True, True, True, id="just fits the 20 ft box"),
        pytest.param((5868, 2286, 2261), False, True, True, id="1 mm too long for 20 ft"),
        pytest.param((5867, 2287, 2261), False, False, True, id="1 mm too wide: on edge, high box"),
        pytest.param((5867, 2286, 2262), False, False, True, id="1 mm too high for 8 ft 6 in"),
        pytest.param((2300, 2300, 1000), False, False, True, id="square plate upright only"),
        pytest.param((2270, 2270, 2270), False, False, True, id="cube"),
        pytest.param((2300, 2280, 1000), True, True, True, id="turned: 2300 goes along"),
        pytest.param((11_998, 2200, 300), False, True, True, id="as long as the 40 ft box"),
        pytest.param((12_000, 100, 100), False, False, False, id="longer than any box"),
        pytest.param((2570, 2570, 2570), False, False, False, id="larger than any door"),
        pytest.param((6000, 6000, 100), False, False, False, id="wide and long plate"),
    ],
)
def test_packs_pass_the_door_and_lie_inside(
    sides: tuple[float, float, float], twenty: bool, forty: bool, forty_high: bool
) -> None:
    """Two sides through the door, the third within the inside length, whichever way it is turned.

    Doors and lengths: ISO 1496-1 minima (seen in feet and inches); verdicts by hand.
    """
    for turned in permutations(sides):
        assert TWENTY.takes_pack(*turned) is twenty
        assert FORTY.takes_pack(*turned) is forty
        assert FORTY_HIGH.takes_pack(*turned) is forty_high


def test_what_a_service_does_not_state_bars_nothing() -> None:
    """No door and no length take any pack; a length alone, or one side of a door, still bars."""
    assert SERVICE.takes_pack(20_000, 9000, 9000)
    length_only = replace(SERVICE, inside_length_mm=5867.0)
    assert length_only.takes_pack(9000, 9000, 5000)
    assert not length_only.takes_pack(9000, 9000, 5868)
    width_only = replace(SERVICE, door_width_mm=2286.0)
    assert width_only.takes_pack(9000, 9000, 2286)
    assert not width_only.takes_pack(9000, 9000, 2287)
