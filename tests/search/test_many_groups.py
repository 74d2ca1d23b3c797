"""Many leg groups: the time limit is kept, and what a relaxation leaves out bounds all the same."""

from __future__ import annotations

import numpy as np
import pytest
from moorledger.models.farm import Farm
from moorledger.optimiser.choices.choices import first_active
from moorledger.optimiser.failures import NoPlanError
from moorledger.optimiser.price import moorable_choices, price
from moorledger.optimiser.programme import choice_links
from moorledger.optimiser.programme.choice_links import priced, terms_of
from moorledger.optimiser.programme.order_programme import OrderProgramme
from moorledger.optimiser.search.relaxation import Relaxation

from tests.farms.random_farms import random_farm


def test_time_limit_holds_while_what_may_be_laid_is_listed(
    monkeypatch: pytest.MonkeyPatch, sample_farm: Farm
) -> None:
    """The sample, two leg groups at once, in no time: the refusal says how far the list is."""
    monkeypatch.setattr("moorledger.optimiser.choices.choices.LEGS_AT_ONCE", 2)
    with pytest.raises(NoPlanError, match=r"done with 2 of .* leg groups.*--time-limit"):
        price(sample_farm, time_limit_s=1e-3)


@pytest.mark.parametrize("seed", range(4))
def test_prices_of_choices_are_those_of_their_terms(
    monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    """Priced by tables, a part of the choices after the other, each costs what its column does."""
    monkeypatch.setattr(choice_links, "AT_ONCE", 7)
    farm = random_farm(seed)
    choices = moorable_choices(farm)
    built = OrderProgramme(farm, choices)
    duals = np.random.default_rng(seed).normal(size=built.programme.row_count)
    rows, places, values = terms_of(built.links, np.arange(len(choices)))
    by_column = np.bincount(places, duals[rows] * values, minlength=len(choices))
    assert priced(built.links, duals, len(choices)) == pytest.approx(by_column, abs=1e-9)


@pytest.mark.parametrize("seed", range(2))
def test_relaxation_that_stops_early_or_cuts_by_patterns_is_a_bound(seed: int) -> None:
    """Solved nearly, or with patterns of pieces rounded down, it is never above the proven cost."""
    farm = random_farm(seed)
    least = price(farm, gap=1e-7).proof.cost
    choices = moorable_choices(farm)
    for enough in (0.0, 0.05):
        for patterns in (None, {}):
            first = first_active(farm, choices, 1)
            relaxed = Relaxation(farm, choices, first, (), patterns)
            relaxed.enough, relaxed.patterns_at_once = enough, 16
            assert relaxed.solve()
            assert relaxed.objective <= least * (1 + 1e-9)
