"""The search of large farms (relaxation, tree, leaves) against the whole programme."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest
from moorledger.models.answer.stopped import Stopped
from moorledger.models.farm import Farm
from moorledger.optimiser.price import moorable_choices, price
from moorledger.optimiser.search import incumbent, search
from moorledger.optimiser.solvers.report import SolveOptions

from tests.farms.random_farms import random_farm
from tests.quick_run import LONG, mostly_long

GAP = 1e-6

LONG_ENOUGH_S = 600.0
"""Far more than any of these takes, so that a busy machine does not end a search early."""

TAKE_LONG = (6, 7, 19, 23, 30, 31, 34, 38, 39, 44, 45, 51, 53, 54, 61, 64, 69, 72, 78, 96)
"""Small farms left out for their time alone: some seconds each, and they agree too."""

NOT_MOORABLE = (63,)
"""A leg of it cannot be moored."""

SMALL = [*(seed for seed in range(100) if seed not in (*TAKE_LONG, *NOT_MOORABLE)), 137]

MIDDLING = (0, 4, 6, 8, 9, 13, 17, 19, 22, 23, 26, 35, 39, 40, 47, 48, 52, 54, 57, 61)
"""With SMALL a hundred farms, all of which can be moored."""


def middling_farm(seed: int) -> Farm:
    """Return a middling farm's whole catalogue and trade with its first two leg groups, two lines
    of each at most: many choices, yet a programme that is solved to 1e-6 in seconds."""
    farm = random_farm(seed, "middling")
    return replace(farm, legs=tuple(replace(leg, count=min(leg.count, 2)) for leg in farm.legs[:2]))


def assert_tree_and_whole_agree(farm: Farm, monkeypatch: pytest.MonkeyPatch) -> None:
    """Price a farm whole and by the tree: the same least cost, neither bound above the other's
    plan."""
    costs, bounds = [], []
    for small in (10**9, -1):
        monkeypatch.setattr(search, "SMALL", small)
        plan = price(farm, gap=GAP, solver="highs", time_limit_s=LONG_ENOUGH_S)
        assert plan.proof.proven
        costs.append(plan.installed_cost)
        bounds.append(plan.proof.bound)
    assert costs[1] == pytest.approx(costs[0], rel=GAP)
    assert bounds[1] <= costs[0] * (1 + 1e-9)
    assert bounds[0] <= costs[1] * (1 + 1e-9)


@mostly_long("seed", SMALL, quick=[0, 1, 3, 4], most=16)
def test_tree_and_whole_programme_agree(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same least cost whether a small farm goes through the tree or to the solver whole, and
    neither bound lies above the other's plan."""
    assert_tree_and_whole_agree(random_farm(seed), monkeypatch)


@LONG
@mostly_long("seed", MIDDLING, quick=(23,), most=5)
def test_they_agree_on_many_choices(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same of farms with hundreds to thousands of choices."""
    farm = middling_farm(seed)
    assert len(moorable_choices(farm)) >= 300
    assert_tree_and_whole_agree(farm, monkeypatch)


@pytest.mark.parametrize("told", [False, True])
def test_a_settlement_that_stays_is_left_behind(
    told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Tests a settlement that takes 30 s: the time limit of 1 s, or being told to stop, holds
    within 2 s."""
    monkeypatch.setattr(search, "SMALL", -1)
    monkeypatch.setattr(incumbent, "settle", lambda *_given, **_named: time.sleep(30.0))
    farm = middling_farm(9)
    options = SolveOptions(
        "highs", GAP, 600.0 if told else 1.0, on_progress=lambda _cost, _bound: told
    )
    began = time.perf_counter()
    found = search.Search(farm, moorable_choices(farm), options).run()
    assert found.settlement is None
    assert found.stopped is (Stopped.INTERRUPTED if told else Stopped.TIME_LIMIT)
    assert time.perf_counter() - began < 1.0 + 2.0 + 2.0  # the last two: enumerating choices


def test_what_was_learnt_is_told_of_a_search_left_behind() -> None:
    """Tests that a search stopped after it set choices aside tells the choices that it was given
    to begin with, by their place among all."""
    farm = random_farm(4)
    choices = moorable_choices(farm)
    last = np.array([len(choices) - 1])
    begun = search.Search(
        farm, choices, SolveOptions("highs"), known=incumbent.SearchMemory(active=last)
    )
    begun.incumbent.keep_choices(np.array([0]))
    assert begun.learnt().active.tolist() == last.tolist()
