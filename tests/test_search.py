"""The search of large farms (relaxation, tree, leaves) against the whole programme."""

from __future__ import annotations

import pytest
from moorledger.models.fault import FarmError
from moorledger.optimiser import search
from moorledger.optimiser.price import price

from .random_farms import random_farm

GAP = 1e-6


@pytest.mark.parametrize("seed", range(60))
def test_tree_and_whole_programme_agree(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same least cost whether a farm goes through the tree or to the solver whole, and
    neither bound lies above the other's plan."""
    farm = random_farm(seed)
    try:
        whole = price(farm, gap=GAP, solver="highs", time_limit_s=60)
    except FarmError:
        pytest.skip("this draw has no plan; the refusals are tested elsewhere")
    monkeypatch.setattr(search, "SMALL", -1)
    tree = price(farm, gap=GAP, solver="highs", time_limit_s=60)
    assert tree.installed_cost == pytest.approx(whole.installed_cost, rel=2 * GAP)
    assert tree.proof.bound <= whole.installed_cost * (1 + 1e-9)
    assert whole.proof.bound <= tree.installed_cost * (1 + 1e-9)
    assert tree.proof.proven
    assert whole.proof.proven
