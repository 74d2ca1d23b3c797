"""Bettering the plan beside the tree: a few leg groups choose again, and the plan stays a plan."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from moorledger.models.farm import Farm
from moorledger.optimiser.choices.choices import least_of_each_leg, rough_cost
from moorledger.optimiser.price import moorable_choices
from moorledger.optimiser.search import bettering
from moorledger.optimiser.search.bettering import Bettering
from moorledger.optimiser.search.incumbent import Incumbent, SearchMemory
from moorledger.optimiser.search.search import Search
from moorledger.optimiser.solvers.report import SolveOptions

from tests.farms.random_farms import random_farm
from tests.quick_run import LONG


def farm_of_groups(seed: int) -> Farm:
    """Return a middling farm's catalogue and trade with four leg groups of a line each."""
    farm = random_farm(seed, "middling")
    return replace(farm, legs=tuple(replace(leg, count=1) for leg in farm.legs[:4]))


def dearest_plan(farm: Farm) -> Incumbent:
    """Return an incumbent whose plan has the dearest choice of every leg group."""
    choices = moorable_choices(farm)
    dear = -rough_cost(farm, choices)
    chosen = np.sort(least_of_each_leg(choices.make_ups.leg, dear, 1))
    incumbent = Incumbent(farm, choices, "highs", 1e-6, SearchMemory())
    assert incumbent.settle(chosen, np.ones(len(chosen), dtype=int)) is not None
    return incumbent


@LONG
def test_turns_better_a_dear_plan_and_none_makes_it_dearer() -> None:
    """Tests that turns never make the plan dearer, keep a choice for every leg group, and bring
    the dearest plan most of the way down to what the whole programme proves least."""
    farm = farm_of_groups(9)
    known = dearest_plan(farm)
    least = Search(farm, known.choices, SolveOptions("highs", 1e-6)).run().settlement
    assert least is not None
    assert known.cost > least.cost * 1.05
    turns = Bettering(known, rough_cost(farm, known.choices), SolveOptions("highs", 1e-6))
    costs = [known.cost]
    for _ in range(4):
        turns.take_turn(1e9, 0.0)
        costs.append(known.cost)
        assert known.best is not None
        assert set(known.choices.make_ups.leg[known.best.chosen]) == set(range(len(farm.legs)))
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] >= least.cost * (1 - 1e-6)
    assert costs[-1] - least.cost < (costs[0] - least.cost) / 4


def test_a_turn_waits_for_the_tree_the_longer_the_nearer_its_bound(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Tests that a second turn is due after enough work, later where the bound is near, and that
    there is none without a plan."""
    known = dearest_plan(farm_of_groups(9))
    taken: list[int] = []
    monkeypatch.setattr(Bettering, "_try", lambda self: taken.append(1))
    turns = Bettering(known, known.choices.hours, SolveOptions())
    turns.take_turn(0.0, 0.0)
    assert len(taken) == 1
    turns.take_turn(bettering.OFTEN, known.cost * (1 - bettering.FAR / 2))
    assert len(taken) == 1
    turns.take_turn(0.0, known.cost * (1 - bettering.FAR))
    assert len(taken) == 2
    known.best = None
    turns.take_turn(1e9, 0.0)
    assert len(taken) == 2
