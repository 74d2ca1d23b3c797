"""Very many lines: cutting lists, decks and containers by a few kinds are as sound as by each."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from moorledger.models.goods.load import Box, Pack
from moorledger.optimiser.cutting.coarse_lists import coarse_bound, coarse_list
from moorledger.optimiser.cutting.cutting_list import fewest_lengths, fewest_packing
from moorledger.optimiser.cutting.knapsack import NEW
from moorledger.optimiser.cutting.quick_lists import new_lengths
from moorledger.optimiser.stowage import deck_packing
from moorledger.optimiser.stowage.deck_packing import least_trips, pack_decks
from moorledger.optimiser.stowage.like_loads import like_loads
from moorledger.optimiser.stowage.space_bound import least_containers

from tests.quick_run import LONG

BOX = Box("box", 5867, 2330, 2197, 2286, 2134, 21_700.0)
LARGE, FLAT = Pack("large", 1850, 1350, 1200, 268.0), Pack("flat", 1650, 1200, 1000, 195.0)
CRATE = Pack("crate", 1142, 571, 921, 980.0, this_side_up=True)


def pieces_of(seed: int, many: int, step: int) -> Counter[int]:
    """Return pieces, mm, of many sizes."""
    draw = random.Random(seed)
    return Counter(draw.randrange(29_000, 180_000) // step * step for _ in range(many))


@pytest.mark.parametrize("seed", range(6))
def test_coarse_list_holds_every_piece_and_its_bound_is_below_the_exact_list(seed: int) -> None:
    """Against the exact list of 14 pieces: no bound above it, no list below it, none too long."""
    pieces = pieces_of(seed, 14, 400)
    sizes, on_hand = sorted(pieces, reverse=True), {150_000: 1}
    counts = [pieces[size] for size in sizes]
    exact, proven = fewest_packing(pieces, 200_000, [150_000])
    assert exact is not None
    assert proven == new_lengths(exact)
    found = coarse_list(sizes, counts, 200_000, on_hand)
    assert found is not None
    cut = Counter(dict.fromkeys(sizes, 0))
    for mark, pattern in found:
        used = Counter(dict(zip(sizes, pattern, strict=True)))
        assert sum(size * n for size, n in used.items()) <= (200_000 if mark == NEW else mark)
        cut.update(used)
    assert cut == pieces
    assert coarse_bound(sizes, counts, 200_000, on_hand) <= proven <= new_lengths(found)


@LONG
def test_list_of_very_many_sizes_is_within_two_parts_in_a_hundred_of_its_bound() -> None:
    """A list of 210 sizes in millimetres, too many to be exact, is near its bound all the same."""
    pieces = [size / 1000 for size in pieces_of(1, 210, 1).elements()]
    cutting = fewest_lengths(pieces, 200.0)
    assert cutting.bound <= cutting.lengths <= cutting.bound * 1.02 + 2


def test_decks_of_three_hundred_loads_keep_their_limits() -> None:
    """Loads of many masses are counted in parts of a deck, and no deck is overloaded by it."""
    draw = random.Random(3)
    loads = tuple(
        sorted((draw.uniform(0.01, 0.2), draw.choice((0.0945, 0.0473, 0.0764))) for _ in range(300))
    )
    packed = pack_decks(loads)
    assert sorted(place for trip in packed.trips for place in trip) == list(range(300))
    for trip in packed.trips:
        assert all(sum(loads[place][at] for place in trip) <= deck_packing.FULL for at in (0, 1))
    assert packed.bound == least_trips(loads) <= len(packed.trips) <= packed.bound * 1.05


def test_like_loads_hold_every_pack_once_in_a_few_containers() -> None:
    """60 large, 60 flat and 90 crates: every pack is somewhere, no container holds too much."""
    packs = [LARGE] * 60 + [FLAT] * 60 + [CRATE] * 90
    plans = like_loads(packs, BOX)
    assert plans is not None
    inside = Counter(one.pack for plan in plans for one in plan.placements)
    assert inside == Counter(pack.name for pack in packs)
    for plan in plans:
        assert not plan.left_out
        assert plan.mass_kg <= (BOX.payload_kg or 0.0)
        for n, one in enumerate(plan.placements):
            assert one.x >= 0
            assert one.x + one.dx <= BOX.length_mm
            assert one.y + one.dy <= BOX.width_mm
            assert one.z + one.dz <= BOX.height_mm
            for other in plan.placements[:n]:
                assert (
                    one.x >= other.x + other.dx
                    or other.x >= one.x + one.dx
                    or one.y >= other.y + other.dy
                    or other.y >= one.y + one.dy
                    or one.z >= other.z + other.dz
                    or other.z >= one.z + one.dz
                )
    assert least_containers(packs, BOX) <= len(plans) <= 26
