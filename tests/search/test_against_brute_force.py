"""Whole prices of small farms held against trying everything, by both solvers.

The least costs come from `brute_force`, which shares no code with the programme and is itself
held against farms worked by hand in `test_brute_force`.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest
from moorledger.models.goods.supplier import OnHand
from moorledger.optimiser.price import price
from moorledger.optimiser.recheck.recheck import recheck

from tests.brute.brute_force import least_cost
from tests.brute.brute_make_ups import every_make_up
from tests.farms.random_farms import random_farm
from tests.quick_run import LONG, mostly_long

SLOW_TO_TRY = {7, 13, 29, 30, 31, 34, 39}
"""Seeds whose brute force takes seconds; left out for the suite's sake, not for their answers."""

SEEDS = [seed for seed in range(42) if seed not in SLOW_TO_TRY]


@cache
def brute_force(seed: int) -> float:
    """Return the least cost of a random small farm by trying everything, once for both solvers."""
    farm = random_farm(seed)
    return least_cost(farm, every_make_up(farm))


@LONG
def test_brute_force_found_a_plan_for_every_farm() -> None:
    """Tests that the farms compared are at least thirty, and that each has a finite cost."""
    assert len(SEEDS) >= 30
    assert all(math.isfinite(brute_force(seed)) for seed in SEEDS)


@pytest.mark.parametrize("solver", ["highs", "cbc"])
@mostly_long("seed", SEEDS, quick=[0, 3])
def test_price_is_the_least_of_everything_tried(seed: int, solver: str) -> None:
    """Tests that the installed cost, and the bound proven, are the brute force's to 1e-6."""
    plan = price(random_farm(seed), gap=1e-7, time_limit_s=60.0, solver=solver)
    least = brute_force(seed)
    assert plan.installed_cost == pytest.approx(least, rel=1e-6)
    assert plan.proof.bound == pytest.approx(least, rel=1e-6)
    assert plan.proof.gap <= 1e-6
    assert plan.proof.proven


@mostly_long("seed", [2, 3, 7, 8, 14, 15, 17, 20, 22, 26, 35], quick=[8, 17])
def test_joins_beyond_the_connectors_on_hand_are_paid(seed: int) -> None:
    """Tests, on farms whose joins cost something, that with two connectors of each chain on hand
    the least is the brute force's, and that the recheck finds the same."""
    farm = random_farm(seed)
    there = tuple(OnHand(chain.name, 2.0, connectors=True) for chain in farm.chains)
    farm = replace(farm, on_hand=(*farm.on_hand, *there))
    plan = price(farm, gap=1e-7, time_limit_s=60.0)
    least = least_cost(farm, every_make_up(farm))
    assert plan.installed_cost == pytest.approx(least, rel=1e-6)
    assert plan.proof.bound == pytest.approx(least, rel=1e-6)
    assert plan.joins - plan.connectors_bought
    assert all(line.passed for line in recheck(plan))
