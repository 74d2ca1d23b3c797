"""Load plans, and the check of them that shares no code with the packer."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace

import pytest
from moorledger.io.buying.load_plans import off_middle_words
from moorledger.models.goods.load import Binding, Box, LoadPlan, Pack, Placement
from moorledger.optimiser.recheck.packing import violations
from moorledger.optimiser.stowage.load_planner import (
    QUICK,
    THOROUGH,
    USUAL,
    how_many,
    pack,
    pack_into,
)

from tests.quick_run import LONG, mostly_long

# Usual inside sizes, doors and payloads; from memory, no source: the plate on the box governs.
TWENTY = Box("20 ft", 5898, 2352, 2393, 2340, 2280, 28_000.0)
FORTY = Box("40 ft", 12032, 2352, 2393, 2340, 2280, 26_500.0)


def _consignment(draw: random.Random) -> tuple[list[Pack], Box]:
    """Return up to 240 packs of up to eight kinds, with every rule among them."""
    packs: list[Pack] = []
    for kind in range(draw.randint(1, 8)):
        one = Pack(
            f"kind {kind}",
            draw.randint(300, 2600),
            draw.randint(200, 1500),
            draw.randint(150, 1300),
            float(draw.randint(20, 2500)),
            this_side_up=draw.random() < 0.4,
            stackable=draw.random() < 0.7,
            most_on_top_kg=draw.choice([None, None, float(draw.randint(100, 5000))]),
        )
        packs += [one] * draw.choice([1, 2, 5, 10, 30])
    return packs, draw.choice([TWENTY, FORTY])


def _cut_up(box: Box, blocks: int, draw: random.Random) -> list[Pack]:
    """Cut a container across again and again, then each block into a grid of equal packs."""
    parts = [(box.length_mm, box.width_mm, box.height_mm)]
    while len(parts) < blocks:
        part = parts.pop(
            max(range(len(parts)), key=lambda i: parts[i][0] * parts[i][1] * parts[i][2])
        )
        axis = max(range(3), key=lambda a: part[a] * draw.random())
        at = int(part[axis] * draw.uniform(0.3, 0.7))
        parts += [(*part[:axis], side, *part[axis + 1 :]) for side in (at, part[axis] - at)]
    packs: list[Pack] = []
    for number, part in enumerate(parts):
        grid = [max(1, min(4, side // draw.randint(300, 900))) for side in part]
        a, b, c = (side // n for side, n in zip(part, grid, strict=True))
        packs += [Pack(f"block {number}", a, b, c, 50.0)] * (grid[0] * grid[1] * grid[2])
    return packs


@mostly_long("consignments", [500, 50], quick=[50])
def test_five_hundred_consignments_pass_the_check(consignments: int) -> None:
    """Nothing is wrong with any load plan of random consignments, some searched longer."""
    draw = random.Random(11)
    bindings = set()
    for number in range(consignments):
        packs, box = _consignment(draw)
        plan = pack(packs, box, QUICK if number % 20 else USUAL)
        assert violations(plan, packs) == []
        assert (plan.binding is Binding.NOTHING) == (not plan.left_out)
        bindings.add(plan.binding)
    assert {Binding.NOTHING, Binding.SPACE, Binding.PAYLOAD} <= bindings


def _good_plan() -> tuple[LoadPlan, list[Pack]]:
    """Return a plan of crates on the floor, with drums that bear nothing and a crate on a crate."""
    crate = Pack("crate", 1000, 1000, 800, 500.0, this_side_up=True, most_on_top_kg=600.0)
    drum = Pack("drum", 600, 600, 900, 200.0, this_side_up=True, stackable=False)
    placements = (
        Placement("crate", 1800, 0, 0, 1000, 1000, 800, 500.0),
        Placement("crate", 1800, 0, 800, 1000, 1000, 800, 500.0),
        Placement("crate", 3000, 0, 0, 1000, 1000, 800, 500.0),
        Placement("crate", 3000, 1000, 0, 1000, 1000, 800, 500.0),
        Placement("drum", 2000, 1400, 0, 600, 600, 900, 200.0),
        Placement("drum", 2600, 1700, 0, 400, 600, 900, 200.0),
    )
    packs = [crate] * 4 + [drum, drum]
    placements = (*placements[:5], replace(placements[5], x=4100, y=0, dx=600))
    return LoadPlan(TWENTY, placements, (), Binding.NOTHING), packs


def _with(plan: LoadPlan, number: int, **changes: object) -> LoadPlan:
    placements = list(plan.placements)
    placements[number] = replace(placements[number], **changes)  # type: ignore[arg-type]
    return replace(plan, placements=tuple(placements))


def test_the_check_passes_a_plan_made_by_hand() -> None:
    """A sound plan set out by hand has no violation."""
    plan, packs = _good_plan()
    assert violations(plan, packs) == []


@pytest.mark.parametrize(
    ("number", "changes", "said"),
    [
        (2, {"x": 2500}, "take the same space"),
        (3, {"y": 1400}, "through a wall"),
        (0, {"x": -1}, "through a wall"),
        (1, {"z": 900}, "only 0% of its base is supported"),
        (1, {"y": 350}, "only 65% of its base is supported"),
        (5, {"x": 3100, "y": 200, "z": 800, "dx": 600, "dy": 900, "dz": 600}, "not this side up"),
        (1, {"dx": 900}, "its sides are not those of the pack"),
        (1, {"mass_kg": 50.0}, "its mass is not that of the pack"),
        (1, {"x": 2000, "y": 1400, "z": 900}, "may not be stacked on"),
        (2, {"x": 1800, "y": 0, "z": 1600}, "the most on top is 600 kg"),
        (1, {"x": 4800, "y": 600, "z": 0}, "in the half nearer the door"),
        (0, {"pack": "cask"}, "cask: 1 placed and 0 left out of 0"),
    ],
)
def test_tampered_plans_are_caught(number: int, changes: dict[str, object], said: str) -> None:
    """Each way to spoil the sound plan is named."""
    plan, packs = _good_plan()
    assert any(said in violation for violation in violations(_with(plan, number, **changes), packs))


def test_a_pack_lost_from_the_plan_is_caught() -> None:
    """A pack that is neither placed nor left out is missed."""
    plan, packs = _good_plan()
    short = replace(plan, placements=plan.placements[:-1])
    assert violations(short, packs) == ["drum: 1 placed and 0 left out of 2"]


def test_a_load_over_the_payload_is_caught() -> None:
    """The plan made by hand weighs 2 400 kg."""
    plan, packs = _good_plan()
    assert violations(replace(plan, box=replace(TWENTY, payload_kg=2400.0)), packs) == []
    assert violations(replace(plan, box=replace(TWENTY, payload_kg=2399.0)), packs) == [
        "the load is 2400 kg; the payload is 2399 kg"
    ]


def test_a_pack_too_large_for_the_door_is_caught() -> None:
    """The crate would lie inside, but a door 950 mm wide does not let it through."""
    plan, packs = _good_plan()
    narrow = replace(plan, box=replace(TWENTY, door_width_mm=950))
    assert sum("does not go through the door" in v for v in violations(narrow, packs)) == 4


def test_tampered_plans_of_the_packer_are_caught() -> None:
    """Moving any one pack of a full container, along or up, is always found out."""
    packs = _cut_up(TWENTY, 5, random.Random(3))
    plan = pack(packs, replace(TWENTY, door_width_mm=None, door_height_mm=None), QUICK)
    assert violations(plan, packs) == []
    for number, placed in enumerate(plan.placements):
        assert violations(_with(plan, number, z=placed.z + 1), packs) != []
        assert violations(_with(plan, number, x=placed.x + TWENTY.length_mm), packs) != []
        assert violations(_with(plan, number, y=placed.y - TWENTY.width_mm), packs) != []


def test_like_packs_are_never_fewer_than_the_best_grid() -> None:
    """For 60 sizes, as many fit as by floor division in the best of six ways up (or two)."""
    draw = random.Random(12)
    more = 0
    inside = (TWENTY.length_mm, TWENTY.width_mm, TWENTY.height_mm)
    for _ in range(60):
        one = Pack(
            "like",
            draw.randint(250, 2200),
            draw.randint(250, 1500),
            draw.randint(200, 1200),
            30.0,
            this_side_up=draw.random() < 0.3,
        )
        sides = (one.length_mm, one.width_mm, one.height_mm)
        ways = (
            itertools.permutations(sides)
            if not one.this_side_up
            else [
                sides,
                (sides[1], sides[0], sides[2]),
            ]
        )
        grid = max((inside[0] // a) * (inside[1] // b) * (inside[2] // c) for a, b, c in ways)
        found = how_many(one, TWENTY, QUICK)
        assert found >= grid
        more += found > grid
    assert more >= 10


@pytest.mark.parametrize(
    ("length", "width", "box", "known"),
    [(1200, 800, TWENTY, 11), (1200, 1000, TWENTY, 10), (1200, 800, FORTY, 25)],
)
def test_pallets_on_the_floor(length: int, width: int, box: Box, known: int) -> None:
    """The pallets that a container takes in one layer (common practice, from memory)."""
    pallet = Pack("pallet", length, width, 1500, 500.0, this_side_up=True, stackable=False)
    assert how_many(pallet, box) >= known


@LONG
def test_containers_cut_up_are_filled_again() -> None:
    """Of 12 containers cut across into 61 to 140 packs, 96 % of the volume is packed on average."""
    draw = random.Random(13)
    fills = []
    bare = Box("20 ft, open end", TWENTY.length_mm, TWENTY.width_mm, TWENTY.height_mm)
    for _ in range(12):
        packs = _cut_up(bare, draw.randint(5, 12), draw)
        plan = pack(packs, bare, THOROUGH)
        assert violations(plan, packs) == []
        fills.append(plan.fill_by_volume)
    assert min(fills) >= 0.90
    assert sum(fills) / len(fills) >= 0.95


def test_payload_binds_before_space() -> None:
    """Packs of 3 t: nine make 27 t of the 28 t; the tenth is left out for its mass."""
    plan = pack([Pack("block", 1000, 1000, 1000, 3000.0)] * 12, TWENTY)
    assert len(plan.placements) == 9
    assert plan.binding is Binding.PAYLOAD
    assert plan.fill_by_mass == pytest.approx(27 / 28)


def test_one_heavy_pack_stands_amid_the_length() -> None:
    """A heavy pack with light ones is moved until neither half has more than 60 % of the mass."""
    heavy = Pack("block", 1200, 1200, 1200, 9000.0, stackable=False)
    light = Pack("bale", 1000, 1000, 1000, 50.0, stackable=False)
    packs = [heavy] + [light] * 6
    plan = pack(packs, TWENTY)
    assert plan.left_out == ()
    assert 0.4 <= plan.front_share <= 0.6
    assert violations(plan, packs) == []


def test_what_does_not_pass_the_door_is_named() -> None:
    """A pack lower than the ceiling but higher than the door is left out, by the door."""
    tall = Pack("mast", 2300, 2300, 2300, 100.0)
    plan = pack([tall], TWENTY)
    assert (plan.left_out, plan.binding) == ((tall,), Binding.DOOR)
    assert pack_into([tall], TWENTY, 5) is None
    assert how_many(tall, TWENTY) == 0


def test_mass_to_one_side_of_a_container_is_cautioned_of() -> None:
    """9 t along the left wall and 1 t on the right, each 1 m wide: by moments the centre of mass
    is (9 × 500 + 1 × (width − 500)) ÷ 10 from the left. As much on both sides is no caution."""
    wide = TWENTY.width_mm
    left = Placement("a", 0, 0, 0, 1000, 1000, 1000, 9000.0)
    right = Placement("b", 0, wide - 1000, 0, 1000, 1000, 1000, 1000.0)
    load = LoadPlan(TWENTY, (left, right), (), Binding.NOTHING)
    off_mm = (9 * 500 + wide - 500) / 10 - wide / 2
    assert load.right_of_middle_mm == pytest.approx(off_mm)
    assert f"lies {-off_mm:,.0f} mm to the left of the middle" in off_middle_words(load)
    even = replace(load, placements=(left, replace(right, mass_kg=9000.0)))
    assert off_middle_words(even) == ""
    assert off_middle_words(replace(load, placements=())) == ""


def test_line_load_of_the_handbook() -> None:
    """15 t over 6 m is 2.5 t/m, 16 t over 4 m is 4 t/m: above the 40 ft caution, not the 20 ft one.

    Source: GDV Transport Information Service, "Permissible loading capacity".
    """
    long = LoadPlan(
        FORTY, (Placement("a", 0, 0, 0, 6000, 2000, 1000, 15_000.0),), (), Binding.NOTHING
    )
    short = LoadPlan(
        FORTY, (Placement("b", 0, 0, 0, 4000, 2000, 1000, 16_000.0),), (), Binding.NOTHING
    )
    assert long.line_load_t_per_m == pytest.approx(2.5)
    assert short.line_load_t_per_m == pytest.approx(4.0)
    assert FORTY.line_load_caution_t_per_m < 4.0 < TWENTY.line_load_caution_t_per_m


def test_packs_shared_among_containers() -> None:
    """All packs travel in the containers booked, heavy ones shared out; one fewer is refused."""
    heavy = [Pack("block", 900, 900, 500, 2500.0)] * 20
    light = [Pack("bale", 1100, 1000, 900, 100.0)] * 30
    packs = light + heavy
    plans = pack_into(packs, TWENTY, 2)
    assert plans is not None
    assert len(plans) == 2
    for plan in plans:
        carried = [one for one in packs if any(p.pack == one.name for p in plan.placements)]
        names = [placed.pack for placed in plan.placements]
        inside = [one for one in dict.fromkeys(carried) for _ in range(names.count(one.name))]
        assert violations(plan, inside) == []
    placed = [p.pack for plan in plans for p in plan.placements]
    assert sorted(placed) == sorted(one.name for one in packs)
    assert pack_into(packs, TWENTY, 1) is None


def test_loading_order_brings_in_what_is_below_first() -> None:
    """No pack comes before one that it stands on."""
    packs = _cut_up(TWENTY, 8, random.Random(4))
    order = pack(packs, replace(TWENTY, door_width_mm=None, door_height_mm=None)).placements
    upper = 0
    for number, placed in enumerate(order):
        for later in order[number + 1 :]:
            under = (
                later.z + later.dz == placed.z
                and max(later.x, placed.x) < min(later.x + later.dx, placed.x + placed.dx)
                and max(later.y, placed.y) < min(later.y + later.dy, placed.y + placed.dy)
            )
            assert not under
        upper += placed.z > 0
    assert upper > 5


def test_impossible_packs_are_refused_in_words() -> None:
    """A side of nothing, and one name for two packs, are named."""
    with pytest.raises(ValueError, match="crate: every side must be longer than nothing"):
        pack([Pack("crate", 0, 10, 10, 1.0)], TWENTY)
    with pytest.raises(ValueError, match="crate: two different packs have this name"):
        pack([Pack("crate", 10, 10, 10, 1.0), Pack("crate", 20, 10, 10, 1.0)], TWENTY)


def test_no_packs_need_no_container() -> None:
    """Nothing to load: no plan of a container, and an empty one is balanced."""
    assert pack_into([], TWENTY, 3) == ()
    plan = pack([], TWENTY)
    assert (plan.placements, plan.binding, plan.front_share) == ((), Binding.NOTHING, 0.5)
