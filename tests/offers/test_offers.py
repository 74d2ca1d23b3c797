"""Rival offers of one item: whole prices against trying everything, and what must not matter."""

from __future__ import annotations

import random
from functools import cache

import pytest
from moorledger.optimiser.price import price
from moorledger.optimiser.recheck.recheck import recheck

from tests.brute.brute_force import least_cost as brute_force
from tests.brute.brute_make_ups import every_make_up
from tests.farms.rival_offers import RIVAL, farm_with_rivals
from tests.offers.offer_relations import split_offer, with_dearer_offer
from tests.quick_run import LONG, mostly_long
from tests.search.relations import Relation, held, least_cost, tiny_farm

SEEDS = [seed for seed in range(40) if seed not in {7, 13, 29, 30, 31, 34, 39}]
"""As in `test_against_brute_force`."""


@cache
def tried(seed: int) -> float:
    """Return the least cost of a farm with rivals by trying everything."""
    farm = farm_with_rivals(seed)
    return brute_force(farm, every_make_up(farm))


@pytest.mark.parametrize("solver", ["highs", "cbc"])
@mostly_long("seed", SEEDS, quick=(SEEDS[0], SEEDS[2]), most=8)
def test_price_is_the_least_of_everything_tried(seed: int, solver: str) -> None:
    """Tests that cost and bound are the brute force's to 1e-6, and that the recheck agrees."""
    plan = price(farm_with_rivals(seed), gap=1e-7, time_limit_s=60.0, solver=solver)
    assert plan.installed_cost == pytest.approx(tried(seed), rel=1e-6)
    assert plan.proof.bound == pytest.approx(tried(seed), rel=1e-6)
    assert [line for line in recheck(plan) if not line.passed] == []


@LONG
def test_some_rivals_win_and_some_items_are_split() -> None:
    """Tests that the farms tried do buy from rivals, and some item from two suppliers at once."""
    won = split = 0
    for seed in SEEDS[:12]:
        orders = price(farm_with_rivals(seed), gap=1e-3, time_limit_s=20.0).orders
        won += any(line.supplier.startswith(RIVAL) for line in orders)
        split += len({line.item for line in orders}) < len(orders)
    assert won >= 3
    assert split >= 1


@mostly_long("seed", range(20), quick=[3, 5], most=6)
def test_offers_that_must_change_nothing(seed: int) -> None:
    """Tests that an offer made by two suppliers alike, and a dearer one, leave the least cost."""
    farm = tiny_farm(seed)
    before = least_cost(farm)
    for other in (
        split_offer(farm, random.Random(seed)),
        with_dearer_offer(farm, random.Random(1)),
    ):
        if other is not None:
            after = least_cost(other)
            assert held(Relation("offer", other), before, after), (before, after)
