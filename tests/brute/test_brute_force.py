"""The brute force that the optimiser is held against, itself held against farms worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import Anchor, TransportForm
from moorledger.models.goods.chain import Chain
from moorledger.models.goods.freight import Basis, FreightService
from moorledger.models.goods.price import PriceBreak, Scheme
from moorledger.models.goods.rope import Rope
from moorledger.models.goods.supplier import OnHand, Supplier
from moorledger.models.site.leg import Leg
from moorledger.models.site.project import Project
from moorledger.models.site.seabed import Seabed
from moorledger.models.site.vessel import Vessel
from moorledger.models.standing.make_up import MakeUp

from tests.brute import brute_force
from tests.brute.brute_buying import Buying
from tests.brute.brute_cutting import cuttings
from tests.brute.brute_force import least_cost
from tests.brute.brute_make_ups import Choices, every_make_up
from tests.farms.random_farms import random_farm
from tests.quick_run import mostly_long


def _anchor(name: str, price: float, side_mm: float = 1000.0, pack_quantity: int = 1) -> Anchor:
    return Anchor(
        name,
        "S",
        "stockless",
        TransportForm.SOLID,
        mass_kg=200.0,
        unit_price=price,
        lowering_min=30.0,
        setting_min=30.0,
        deck_area_m2=1.0,
        pack_length_mm=side_mm,
        pack_width_mm=1000.0,
        pack_height_mm=1000.0,
        pack_quantity=pack_quantity,
    )


def two_lines() -> tuple[Farm, dict[str, Choices]]:
    """Return a farm of two lines, each of one of two make-ups.

    M1: 1 A1 and 30 m of chain. M2: 1 A2 and 20 m. Chain 250 per 25 m, a join 20; freight 100 per
    revenue tonne (an anchor 1 m³, a length 0.2 m³); duty 10 %; order charge 100.

    2 M1: A1 at 350 from two: 700. 60 m: 3 lengths, 750; 30 m is longer than a length, and both
      pieces share the third: 2 joins, 40. Goods 1450, duty 145, freight 2.6 → 260, 100: 1995.
    2 M2: 2 A2 1000; 2 lengths, 500; no join. Goods 1500, duty 150, freight 2.4 → 240, 100: 1990.
    M1 + M2: 400 + 500; 50 m: 2 lengths, 500, with 1 join, 20. Goods 1400, duty 140, 240, 100: 1900.
    Boat: 1 trip (at most 1 t of 1 t); 2 h + 2 × (30 + 60) min = 5 h, 1 day: 200 + 1000 + 50.
    Least: 1900 + 1250 = 3150.
    """
    farm = Farm(
        project=Project(make_ups_per_leg_group=None),
        legs=(Leg("a", 10.0, 10.0, "sand", 5.0, count=2),),
        seabeds=(Seabed("sand", 0.7),),
        anchors=(_anchor("A1", 400.0), _anchor("A2", 500.0)),
        chains=(
            Chain(
                "C",
                "S",
                20.0,
                10.0,
                200.0,
                price_per_m=10.0,
                length_sold_m=25.0,
                packed_volume_m3=0.2,
                join_cost=20.0,
                handling_min_per_10_m=0.0,
            ),
        ),
        suppliers=(Supplier("S", "P", "EUR", 1.0, order_charge=100.0, duty_share=0.1),),
        services=(FreightService("sea", "P", Basis.MEASURE, 100.0, "EUR", 1.0),),
        vessels=(Vessel("V", 1000.0, 10.0, 5.0, 1.0, 20.0, 2.0, 30.0, 200.0, fuel_per_trip=50.0),),
        price_breaks=(PriceBreak("A1", 2, 350.0),),
    )
    either = frozenset({"V"})
    m1, m2 = MakeUp("A1", 1, "C", 30.0, None, 0.0), MakeUp("A2", 1, "C", 20.0, None, 0.0)
    return farm, {"a": [(m1, either), (m2, either)]}


def three_lines() -> tuple[Farm, dict[str, Choices]]:
    """Return a farm of three lines of one make-up, two services, two boats, stock and spares.

    Each line: 1 anchor, 10 m of chain, 40 m of rope. Prices in XTS at 0.5.
    Anchors: 3 and 10 % spare are 4; 1 on hand; 3 needed, in twos: 4. 2 × 300 + 2 × 200 = 1000.
    Chain: 30 m, 12 on hand (10 and 2 cut of it, without charge for joins): 1 length, 25 × 8 = 200.
    Rope: 3 pieces; 1 out of 45 m on hand, 2 out of 1 length of 100 m at 2: 200.
    Goods 1400 XTS = 700; duty 5 % 35; order charge 60 XTS = 30.
    Packs: 2 of anchors (1.2 m³, 0.4 t), 1 chain (0.5 m³, 0.25 t), 1 rope (0.25 m³, 0.1 t); 3.15 m³.
    Box of 2.5 m³ filled to 80 %, 2 m³, at 150: two boxes 300. By measure at 100: 315 + 10 = 325.
      One box with 1.2 + 0.5 + 0.25 = 1.95 m³, the other anchors by measure, 120 + 10: 280, least.
    Insurance 1 % of 700 + 280: 9.80. Landed: 700 + 35 + 30 + 280 + 9.80 = 1054.80.
    A line weighs 200 + 100 + 40 kg = 0.34 t and takes 60 + 30 = 90 min besides shifting.
    V1 (8 h a day, 1 t): two lines 1 trip, 3 + 2 × 2 = 7 h, 1 day: 500 + 900 = 1400;
      three lines 2 trips, 6 + 6 = 12 h, 2 days: 2300; one line 3 + 2 = 5 h: 1400.
    V2 (8 h, 0.4 t): a trip a line; one line 2 + 2.5 = 4.5 h, 1 day: 100 + 600 + 40 = 740;
      two lines 9 h, 2 days: 1380; three lines 13.5 h, 2 days: 100 + 1200 + 120 = 1420, least.
    Least: 1054.80 + 1420 = 2474.80. With V2 out for one day only: V1 two lines, V2 one: 2140.
    """
    anchor = replace(_anchor("A", 300.0, 1200.0, 2), minimum_order=2, order_multiple=2)
    box = FreightService(
        "box", "P", Basis.CONTAINER, 150.0, "EUR", 1.0, volume_m3=2.5, payload_t=10.0
    )
    by_measure = FreightService(
        "road", "P", Basis.MEASURE, 100.0, "EUR", 1.0, minimum_charge=80.0, fixed_charge=10.0
    )
    chain = Chain("C", "S", 20.0, 10.0, 200.0, 8.0, 25.0, 0.5, handling_min_per_10_m=30.0)
    farm = Farm(
        project=Project(
            make_ups_per_leg_group=None,
            spare_anchor_share=0.1,
            insurance_share=0.01,
            container_stowage_share=0.8,
            rope_in_each_eye_m=0.0,
        ),
        legs=(Leg("b", 10.0, 10.0, "sand", 5.0, count=3),),
        seabeds=(Seabed("sand", 0.7),),
        anchors=(anchor,),
        chains=(chain,),
        ropes=(Rope("R", "S", 30.0, 1.0, 1140.0, 100.0, 2.0, 100.0, 0.25),),
        suppliers=(Supplier("S", "P", "XTS", 0.5, order_charge=60.0, duty_share=0.05),),
        services=(box, by_measure),
        vessels=(
            Vessel("V1", 900.0, 10.0, 5.0, 1.0, 20.0, 3.0, 30.0, 500.0, workable_share=0.8),
            Vessel("V2", 600.0, 8.0, 5.0, 0.4, 20.0, 2.0, 60.0, 100.0, fuel_per_trip=40.0),
        ),
        price_breaks=(PriceBreak("A", 3, 200.0, Scheme.INCREMENTAL),),
        on_hand=(OnHand("A", 1.0), OnHand("C", 12.0), OnHand("R", 45.0)),
    )
    return farm, {"b": [(MakeUp("A", 1, "C", 10.0, "R", 40.0), frozenset({"V1", "V2"}))]}


def test_two_lines_by_hand() -> None:
    """Tests the farm of two lines: mixed make-ups cost least, though neither does alone."""
    assert least_cost(*two_lines()) == pytest.approx(3150.0, abs=1e-6)


def test_two_lines_of_one_model_by_hand() -> None:
    """Tests that with one anchor model at most, two M2 (1990) are least."""
    farm, choices = two_lines()
    one_model = replace(farm, project=replace(farm.project, most_anchor_models=1))
    assert least_cost(one_model, choices) == pytest.approx(1990.0 + 1250.0, abs=1e-6)


def test_two_lines_of_one_chain_by_hand() -> None:
    """Tests M2 on a second chain D at no price, one A2 to be had, with one chain at most or two.

    M1 + M2: A1 400, A2 500; 30 m of C: 2 lengths, 500, 1 join 20; D nothing. Goods 1400, duty 140,
    freight 2 + 3 × 0.2 = 2.6 → 260, order charge 100: 1920, less than 2 M1, 1995, all on C.
    """
    farm, choices = two_lines()
    second = replace(farm.chains[0], name="D", price_per_m=0.0)
    scarce = replace(farm.anchors[1], available=1)
    farm = replace(farm, chains=(*farm.chains, second), anchors=(farm.anchors[0], scarce))
    m1, (m2, either) = choices["a"]
    on_two = {"a": [m1, (replace(m2, chain="D"), either)]}
    for most, cost in ((2, 1920.0), (1, 1995.0), (0, math.inf)):
        limited = replace(farm, project=replace(farm.project, most_chains=most))
        assert least_cost(limited, on_two) == pytest.approx(cost + 1250.0, abs=1e-6)


@pytest.mark.parametrize(("most", "goods"), [(1, 1990.0), (2, 1900.0), (9, 1900.0)])
def test_two_lines_built_alike_by_hand(most: int, goods: float) -> None:
    """Tests that lines built alike are two M2 (1990), and that two make-ups let them mix."""
    farm, choices = two_lines()
    alike = replace(farm, project=replace(farm.project, make_ups_per_leg_group=most))
    assert least_cost(alike, choices) == pytest.approx(goods + 1250.0, abs=1e-6)


def test_three_lines_laid_alike_by_hand() -> None:
    """Tests that one boat lays a whole group: with V2 out for one day only, V1 all three, 2300."""
    farm, choices = three_lines()
    slow = replace(farm.vessels[1], most_days=1)
    alike = replace(farm.project, make_ups_per_leg_group=1)
    busy = replace(farm, vessels=(farm.vessels[0], slow), project=alike)
    assert least_cost(busy, choices) == pytest.approx(1054.80 + 2300.0, abs=1e-6)


def test_two_lines_cannot_be_had() -> None:
    """Tests that what cannot be bought, shipped or laid has no least cost."""
    farm, choices = two_lines()
    sold_out = replace(farm, chains=(replace(farm.chains[0], available=1),))
    no_days = replace(farm, vessels=(replace(farm.vessels[0], most_days=0),))
    small_door = replace(
        farm, services=(replace(farm.services[0], door_width_mm=500.0, door_height_mm=900.0),)
    )
    for impossible in (sold_out, no_days, small_door):
        assert least_cost(impossible, choices) == math.inf


def test_three_lines_by_hand() -> None:
    """Tests the farm of three lines: stock, spares, split freight, the slower boat."""
    assert least_cost(*three_lines()) == pytest.approx(2474.80, abs=1e-6)


def test_three_lines_by_two_boats_by_hand() -> None:
    """Tests that the lines are split between the boats where that is least."""
    farm, choices = three_lines()
    slow = replace(farm.vessels[1], most_days=1)
    busy = replace(farm, vessels=(farm.vessels[0], slow))
    assert least_cost(busy, choices) == pytest.approx(1054.80 + 2140.0, abs=1e-6)


def test_boat_that_goes_home_every_day_by_hand() -> None:
    """Tests the two lines laid in days of 4 h: 2 h out and back leave 2 h a trip for 3 h of work.

    Two trips then, 2 × 2 + 3 = 7 h, in 2 days: 200 + 2000 + 2 × 50 = 2300; where it may stay out,
    one trip and 5 h, 2 days: 2250. In days of 2 h it never lays anything. Purchase 1900 as ever.
    """
    farm, choices = two_lines()
    for hours, home, campaign in ((4.0, False, 2250.0), (4.0, True, 2300.0), (2.0, True, math.inf)):
        boat = replace(farm.vessels[0], working_hours_per_day=hours, home_every_day=home)
        cost = least_cost(replace(farm, vessels=(boat,)), choices)
        assert cost == pytest.approx(1900.0 + campaign, abs=1e-6)


def test_cuttings_by_hand() -> None:
    """Tests lengths against joins: 7, 7 and 6 m out of 10 m are 2 lengths with a join, or 3.

    Whole, no two go together. With 8 m on hand one 7 m piece comes out of it, and the others
    still share no length.
    """
    pieces = (7.0, 7.0, 6.0)
    assert cuttings(pieces, (), 10.0, False) == {(2, 1), (3, 0)}
    assert cuttings(pieces, (), 10.0, True) == {(3, 0)}
    assert cuttings(pieces, (8.0,), 10.0, True) == {(2, 0)}
    assert cuttings((12.0,), (), 10.0, True) == frozenset()
    assert cuttings((12.0,), (), 10.0, False) == {(2, 1)}


@mostly_long("seed", [8, 14, 16, 17, 21, 22, 36, 37], quick=[8, 14, 16])
def test_floors_hide_nothing(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Tests that pricing every combination, none passed over for its floor, finds no better."""
    farm = random_farm(seed)
    choices = every_make_up(farm)
    quick = least_cost(farm, choices)
    buying_floor = brute_force._buying_floor

    def no_floor(*given: object) -> object:
        floor = buying_floor(*given)  # type: ignore[arg-type]
        return np.where(np.isinf(floor), np.inf, -np.inf)  # inf: over the policy on models

    monkeypatch.setattr(brute_force, "_buying_floor", no_floor)
    monkeypatch.setattr(Buying, "_freight_floor", lambda *_: -math.inf)
    assert least_cost(farm, choices) == pytest.approx(quick, abs=1e-6)
