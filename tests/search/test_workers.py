"""The tree's workers: any number of them proves the same, and one does it the same every time."""

from __future__ import annotations

import threading

import pytest
from moorledger.models.answer.plan import Plan
from moorledger.optimiser.price import moorable_choices, price
from moorledger.optimiser.search import search
from moorledger.optimiser.search.bettering import Bettering
from moorledger.optimiser.search.branching import Node
from moorledger.optimiser.search.incumbent import Incumbent, SearchMemory
from moorledger.optimiser.search.tree import Tree
from moorledger.optimiser.solvers.report import SolveOptions

from tests.farms.random_farms import random_farm
from tests.quick_run import LONG, mostly_long
from tests.search.test_search import middling_farm

GAP = 1e-6


def by_tree(seed: int, workers: int, monkeypatch: pytest.MonkeyPatch) -> Plan:
    """Return the plan of a farm that goes through the tree whatever its size."""
    monkeypatch.setattr(search, "SMALL", -1)
    return price(middling_farm(seed), gap=GAP, solver="highs", workers=workers)


@LONG
@mostly_long("seed", [4, 9, 17, 23], quick=[17])
def test_any_number_of_workers_proves_the_same(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Tests one, two and three workers: the same least cost, each proven."""
    plans = [by_tree(seed, workers, monkeypatch) for workers in (1, 2, 3)]
    assert all(plan.proof.proven for plan in plans)
    costs = [plan.installed_cost for plan in plans]
    assert costs == pytest.approx([costs[0]] * 3, rel=GAP)


@LONG
@mostly_long("seed", [4, 17], quick=[17])
def test_one_worker_does_it_the_same_every_time(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Tests that one worker gives the very same plan and bound twice."""
    first, second = (by_tree(seed, 1, monkeypatch) for _ in range(2))
    assert first.assignments == second.assignments
    assert first.orders == second.orders
    assert first.proof.bound == second.proof.bound


class _Broken:
    """Opens no node: something goes wrong in it."""

    def open(self, node: Node, new_number: object) -> tuple[float, list[Node]]:
        """Raise."""
        raise ArithmeticError(f"node {node.number}")


def test_what_goes_wrong_in_a_worker_is_raised() -> None:
    """Tests that a worker's error ends the tree, is raised where it was run, and leaves no thread
    and no bound above the node's own."""
    farm = random_farm(0)
    choices = moorable_choices(farm)
    incumbent = Incumbent(farm, choices, "highs", GAP, SearchMemory())
    none = choices.hours[:0]
    bettering = Bettering(incumbent, choices.hours, SolveOptions())
    tree = Tree(Node(7.0, 0, none, none), incumbent, bettering)
    before = threading.active_count()
    with pytest.raises(ArithmeticError, match="node 0"):
        tree.run([_Broken(), _Broken()], lambda _bound: None)  # type: ignore[list-item]
    assert threading.active_count() == before
    assert tree.bound == 7.0
