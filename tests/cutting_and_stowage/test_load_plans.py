"""Containers are booked with a load plan each: what is booked, what is barred, what is checked."""

from __future__ import annotations

import io
import random
from dataclasses import replace
from itertools import accumulate

import openpyxl
import pytest
from moorledger.io.order.order_workbook import plan_workbook
from moorledger.models.answer.plan import Booking, Plan
from moorledger.models.farm import Farm
from moorledger.models.goods.crate import CRATE_KG, CRATE_M3, crates
from moorledger.models.goods.freight import Basis, FreightLimit, FreightService
from moorledger.models.goods.load import Box, Pack
from moorledger.models.goods.supplier import Supplier
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.project import FactorActsOn, Project
from moorledger.optimiser.cutting.joins import fewest_joins
from moorledger.optimiser.price import price
from moorledger.optimiser.recheck.recheck import recheck
from moorledger.optimiser.stowage.load_planner import USUAL, how_many, pack
from moorledger.optimiser.stowage.space_bound import (
    grid_count,
    least_containers,
    space_weights,
)

from tests.farms.random_farms import random_farm
from tests.farms.small_farm import ANCHOR, CHAIN, LEG, ROPE, SERVICE, SHACKLE, SUPPLIER, farm_with
from tests.quick_run import LONG, mostly_long

# Least inside and door of a 40 ft container of 2 591 mm (ISO 1496-1, seen in a copy); the payload
# is invented.
FORTY = FreightService(
    "40 ft",
    "east port",
    Basis.CONTAINER,
    1000.0,
    "EUR",
    1.0,
    volume_m3=65.7,
    payload_t=26.5,
    inside_length_mm=11_998.0,
    inside_width_mm=2330.0,
    inside_height_mm=2350.0,
    door_width_mm=2286.0,
    door_height_mm=2261.0,
)
# An invented box of 5 × 2 × 2 cubes of 1.2 m, so that they fill it wholly.
CUBES = replace(
    FORTY,
    name="cube box",
    volume_m3=34.56,
    inside_length_mm=6000.0,
    inside_width_mm=2400.0,
    inside_height_mm=2400.0,
    door_width_mm=None,
    door_height_mm=None,
)

HELD = (DeclaredHolding(ANCHOR.name, "sand", 200.0, "invented"),)

# The working-load practice: a chain on sale is long enough for the pull to stay level.
WORKING_LOAD = Project(safety_factor_acts_on=FactorActsOn.ANCHOR_LOAD)


def carried(number: int, *services: FreightService, **pack: object) -> Farm:
    """Return a farm of so many lines whose anchors, and nothing else, come from the east port."""
    sides = dict(zip(("length", "width", "height"), pack.pop("sides"), strict=True))  # type: ignore[call-overload]
    anchor = replace(
        ANCHOR,
        **{f"pack_{name}_mm": float(side) for name, side in sides.items()},
        **pack,
    )
    west = Supplier("west works", origin="west port", currency="EUR", exchange_rate=1.0)
    return farm_with(
        project=WORKING_LOAD,
        declared_holdings=HELD,
        legs=(replace(LEG, count=number),),
        anchors=(anchor,),
        chains=(replace(CHAIN, supplier="west works"),),
        ropes=(replace(ROPE, supplier="west works"),),
        fittings=(replace(SHACKLE, supplier="west works"),),
        suppliers=(SUPPLIER, west),
        services=(*services, replace(SERVICE, name="west sea", origin="west port")),
    )


def booked(plan: Plan, service: FreightService) -> Booking:
    """Return a plan's booking by a service."""
    return next(booking for booking in plan.bookings if booking.service == service.name)


def test_crates_that_do_not_stand_two_abreast_take_a_container_for_nine() -> None:
    """67 crates of 1 850 × 1 350 × 1 200 mm: two are wider than 2 330 and higher than 2 350 mm
    any way up, so they stand in one row of 11 998 ÷ 1 200 = 9, and 67 need 8; by volume 4 do."""
    farm = carried(67, FORTY, sides=(1850, 1350, 1200))
    booking = booked(price(farm, gap=1e-6, time_limit_s=60), FORTY)
    assert booking.containers == len(booking.loads) == 8
    assert sum(len(load.placements) for load in booking.loads) == 67


@mostly_long(
    "number, containers", [(17, 1), (20, 1), (21, 2), (40, 2), (41, 3)], quick=[(17, 1), (21, 2)]
)
def test_cubes_fill_a_container_beyond_the_stowage_share(number: int, containers: int) -> None:
    """20 cubes fill the box wholly, by arithmetic; 85 % of it would be 17."""
    farm = carried(number, CUBES, sides=(1200, 1200, 1200), mass_kg=300.0)
    booking = booked(price(farm, gap=1e-6, time_limit_s=60), CUBES)
    assert booking.containers == containers
    assert booking.loads[0].fill_by_volume == pytest.approx(min(number, 20) / 20)


def test_what_found_no_load_plan_goes_another_way() -> None:
    """Ten packs stand on the floor of the box and bear nothing; arithmetic would take twenty.

    13 packs of 1.728 m³ at 150 a m³ by measure are 259.20 each: two containers cost 2 000, one and
    three packs by measure 1 777.60, all by measure 3 369.60.
    """
    measure = replace(SERVICE, rate=150.0)
    farm = carried(13, CUBES, measure, sides=(1200, 1200, 1200), stackable=False)
    plan = price(farm, gap=1e-6, time_limit_s=60)
    assert booked(plan, CUBES).packs == ((ANCHOR.name, ANCHOR.supplier, 10),)
    assert booked(plan, CUBES).containers == 1
    east = sum(booking.money for booking in plan.bookings if booking.origin == "east port")
    assert east == pytest.approx(1777.60)
    assert plan.proof.gap <= 1e-6


@LONG
def test_a_service_without_inside_is_not_load_planned_and_says_so() -> None:
    """Without inside dimensions the count is by volume × stowage share: 17 × 1.728 in one box."""
    bare = replace(CUBES, inside_width_mm=None)
    plan = price(carried(18, bare, sides=(1200, 1200, 1200)), gap=1e-6, time_limit_s=60)
    assert booked(plan, bare).containers == 2
    assert booked(plan, bare).loads == ()
    book = openpyxl.load_workbook(io.BytesIO(plan_workbook(plan)))
    for sheet in ("Freight bookings", "Load plan"):
        text = " ".join(str(c.value) for row in book[sheet].iter_rows() for c in row if c.value)
        assert "no inside dimensions given" in text


def test_this_side_up_bars_what_would_pass_on_its_side() -> None:
    """3 000 × 1 000 × 2 280 mm passes a door 2 261 mm high only on its side."""
    either = carried(1, FORTY, sides=(3000, 1000, 2280))
    item = either.item_by_name[ANCHOR.name]
    assert item.pack_barred_from(FORTY) is None
    assert replace(item, this_side_up=True).pack_barred_from(FORTY) is FreightLimit.DOOR


@LONG
def test_over_long_packs_are_barred_by_name() -> None:
    """A pack of 13 m goes by measure, and the sheet says that it is over-long for 11 998 mm."""
    farm = carried(1, FORTY, SERVICE, sides=(13_000, 1000, 1000))
    plan = price(farm, gap=1e-6, time_limit_s=60)
    assert [b.service for b in plan.bookings if b.origin == "east port"] == [SERVICE.name]
    sheet = openpyxl.load_workbook(io.BytesIO(plan_workbook(plan)))["Freight bookings"]
    told = [c.value for row in sheet.iter_rows() for c in row if "over-long" in str(c.value)]
    assert told == ["over-long: its pack is 13,000 × 1,000 × 1,000 mm, the inside 11,998 mm long"]


def test_no_load_plan_outweighs_its_container() -> None:
    """The weights that bound containers add up to 1 at most in each load plan of 60 mixes."""
    draw = random.Random(5)
    heaviest = 0.0
    for _ in range(60):
        box = draw.choice([FORTY.box, CUBES.box])
        assert box is not None
        kinds = [
            Pack(
                f"kind {number}",
                draw.randint(400, 2600),
                draw.randint(400, 1800),
                draw.randint(400, 1400),
                float(draw.randint(50, 4000)),
                this_side_up=draw.random() < 0.4,
            )
            for number in range(draw.randint(1, 4))
        ]
        plan = pack([kind for kind in kinds for _ in range(25)], box, USUAL)
        placed = {kind.name: 0 for kind in kinds}
        for placement in plan.placements:
            placed[placement.pack] += 1
        for weights in space_weights(kinds, box):
            weight = sum(w * placed[k.name] for w, k in zip(weights, kinds, strict=True))
            heaviest = max(heaviest, weight)
            assert weight <= 1 + 1e-9
        for kind in kinds:
            if placed[kind.name]:
                assert grid_count(kind, box) <= max(how_many(kind, box, USUAL), 1)
    assert heaviest > 0.9  # the weights are not merely small


def test_least_containers_of_like_packs() -> None:
    """Nine in a row to a container (see above); by payload, 26.5 t takes three packs of 8 t."""
    box = FORTY.box
    assert box is not None
    crate = Pack("crate", 1850, 1350, 1200, 268.0)
    assert [least_containers([crate] * n, box) for n in (9, 10, 63, 64)] == [1, 2, 7, 8]
    heavy = Pack("heavy", 1000, 1000, 1000, 8000.0)
    assert [least_containers([heavy] * n, box) for n in (3, 4, 9, 10)] == [1, 2, 3, 4]


def test_goods_without_sides_are_put_in_crates() -> None:
    """Crates hold all packs and their volume, and pass the door; few are above 1 m³ and 1 t."""
    farm = farm_with()
    for box in (FORTY.box, CUBES.box, Box("low", 3000, 1500, 700)):
        assert box is not None
        for name in (CHAIN.name, ROPE.name, SHACKLE.name):
            item = farm.item_by_name[name]
            for count in (1, 7, 250):
                made = list(crates(item, count, box))
                assert sum(crate.units for crate in made) == count
                for crate in made:
                    assert crate.volume_mm3 >= crate.units * item.pack_m3 * 1e9 * (1 - 1e-9)
                    single = crate.units == 1
                    assert single or crate.units * item.pack_m3 <= CRATE_M3 * (1 + 1e-9)
                    assert single or crate.mass_kg <= CRATE_KG * (1 + 1e-9)
                    assert crate.length_mm <= box.length_mm
                    assert crate.width_mm <= (box.door_width_mm or box.width_mm)
                    assert crate.height_mm <= (box.door_height_mm or box.height_mm)


def _with_inside(farm: Farm) -> Farm:
    """Return the farm with the inside of its containers stated in full (usual sizes, invented)."""
    services = tuple(
        replace(service, inside_width_mm=2350.0, inside_height_mm=2390.0)
        if service.basis is Basis.CONTAINER
        else service
        for service in farm.services
    )
    return replace(farm, services=services)


@mostly_long("seed", range(8), quick=[0, 3])
def test_every_container_of_random_farms_has_a_load_plan(seed: int) -> None:
    """Bookings and load plans agree, and the check written apart passes on all of them."""
    plan = price(_with_inside(random_farm(seed)), gap=1e-3, time_limit_s=20)
    for booking in plan.bookings:
        service = plan.farm.service_by_name[booking.service]
        assert len(booking.loads) == (booking.containers if service.box else 0)
    assert all(line.passed for line in recheck(plan))


def _tampered(plan: Plan, **changes: object) -> Plan:
    """Return the plan with its container booking changed."""
    bookings = tuple(
        replace(booking, **changes) if booking.loads else booking  # type: ignore[arg-type]
        for booking in plan.bookings
    )
    return replace(plan, bookings=bookings)


def test_tampered_load_plans_fail_the_check() -> None:
    """A load plan lost, a pack moved into another, made lighter, or put in a larger box."""
    plan = price(carried(12, FORTY, sides=(1850, 1350, 1200)), gap=1e-6, time_limit_s=60)
    booking = booked(plan, FORTY)
    first, *others = booking.loads
    head, second, *tail = first.placements
    moved = replace(first, placements=(head, replace(second, x=head.x), *tail))
    short = replace(first, placements=(head, *tail))
    wide = replace(first, box=replace(first.box, width_mm=2600))
    light = tuple(replace(one, mass_kg=1.0) for one in booking.stowed)
    for tampered in (
        _tampered(plan, loads=booking.loads[:1]),
        _tampered(plan, loads=(moved, *others)),
        _tampered(plan, loads=(short, *others)),
        _tampered(plan, loads=(wide, *others)),
        _tampered(plan, stowed=light),
        _tampered(plan, loads=()),
    ):
        assert any(not line.passed for line in recheck(tampered))
    assert all(line.passed for line in recheck(plan))


@LONG
def test_the_load_plan_sheet_draws_and_lists_every_container() -> None:
    """A picture for each different container, a row for each pack, and the numbers are drawn."""
    plan = price(carried(12, FORTY, sides=(1850, 1350, 1200)), gap=1e-6, time_limit_s=60)
    content = plan_workbook(plan)
    sheet = openpyxl.load_workbook(io.BytesIO(content))["Load plan"]
    different = {load.placements for booking in plan.bookings for load in booking.loads}
    assert len(sheet._images) == len(different)
    listed = sum(1 for (cell,) in sheet.iter_rows(max_col=1) if isinstance(cell.value, int))
    assert listed == sum(len(placements) for placements in different)


def test_how_many_fit_packed_and_bare() -> None:
    """Cubes of 1.2 m, four anchors in each: 20 packs are 80 anchors; bare ones of 2.3 × 1.2 × 1.2
    m stand across, 5 along and 2 up: 10."""
    farm = carried(
        4,
        CUBES,
        sides=(1200, 1200, 1200),
        pack_quantity=4,
        bare_length_mm=2300.0,
        bare_width_mm=1200.0,
        bare_height_mm=1200.0,
    )
    (fit,) = price(farm, gap=1e-6, time_limit_s=60).fits
    assert (fit.packs, fit.anchors, fit.bare) == (20, 80, 10)
    assert fit.fill_by_volume == pytest.approx(1.0)


def test_joins_are_kept_apart() -> None:
    """With a join for every 20 m at most, 10 m is cut whole and 30 m may be joined once."""

    def apart(metres: float) -> float:
        return metres // 20

    # Lengths of 25 m: 30 + 10 + 10 m from two lengths; the join must fall into the 30 m.
    cutting = fewest_joins([10.0, 30.0, 10.0], 25.0, 2, (), apart)
    fragments = [0, 0, 0]
    for stock in cutting.stocks:
        for piece, _ in stock.cuts:
            fragments[piece] += 1
    assert fragments == [1, 2, 1]
    with pytest.raises(ValueError, match="too many joins"):
        fewest_joins([15.0, 15.0, 15.0], 22.5, 2, (), apart)


def test_a_setting_keeps_the_joins_apart() -> None:
    """Without joins below 500 m every line's chain is one piece; the check agrees."""
    farm = farm_with(
        project=WORKING_LOAD,
        declared_holdings=HELD,
        legs=(replace(LEG, count=5),),
        chains=(replace(CHAIN, length_sold_m=160.0),),
    )
    free = price(farm, gap=1e-6, time_limit_s=60)
    apart = replace(farm, project=replace(farm.project, chain_between_joins_m=500.0))
    kept = price(apart, gap=1e-6, time_limit_s=60)
    assert any(piece.parts > 1 for cut in free.cuts for piece in cut.pieces)
    assert all(piece.parts == 1 for cut in kept.cuts for piece in cut.pieces)
    assert any(not line.passed for line in recheck(replace(free, farm=apart)))


def test_the_cutting_list_gives_patterns_marks_and_offcuts_to_keep() -> None:
    """Patterns add up to every piece, marks run on along each length, and what is left of it is
    kept from the shortest on."""
    farm = farm_with(project=WORKING_LOAD, declared_holdings=HELD, legs=(replace(LEG, count=3),))
    farm = replace(farm, project=replace(farm.project, shortest_offcut_m=2.0))
    plan = price(farm, gap=1e-6, time_limit_s=60)
    sheet = openpyxl.load_workbook(io.BytesIO(plan_workbook(plan)), data_only=True)["Cutting list"]
    rows = [row for row in sheet.iter_rows(min_row=5, values_only=True) if row[3] is not None]
    patterns = [row for row in rows if isinstance(row[5], str)]
    assert sum(row[3] for row in patterns) == len(plan.cuts)
    assert sum(row[7] for row in patterns) == sum(len(cut.pieces) for cut in plan.cuts)
    for row in patterns:
        pieces = [float(piece) for piece in row[5].split(" + ")]
        marks = [float(mark) for mark in row[6].split(", ")]
        assert marks == pytest.approx(list(accumulate(pieces)), abs=0.05)
        assert row[8] == pytest.approx(sum(pieces))
        assert row[9] == pytest.approx(row[2] - sum(pieces))
    kept = [cut.offcut_m for cut in plan.cuts if cut.offcut_m >= 2.0]
    assert kept
    listed = [
        row[1]
        for row in sheet.iter_rows(min_row=5, values_only=True)
        if isinstance(row[1], int | float) and not str(row[3]).startswith("bought")
        for _ in range(row[2])
    ]
    assert sorted(listed) == pytest.approx(sorted(kept))
