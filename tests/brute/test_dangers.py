"""What might endanger the sample's own plan, by code apart from the optimiser and its recheck.

The rows are those of our first review of the design basis: with the anchor's factor on what the
statics brought to it, and the chain's weight as new, 180 of 186 legs were over a limit once the
factor was put on the tension, 180 by worn chain, and all of them had passed.
"""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from moorledger.io.order.basis import WATER
from moorledger.io.order.order_workbook import plan_workbook
from moorledger.models.answer.plan import Assignment, Plan
from moorledger.models.constants import GRAVITY_M_S2, SEA_WATER_KG_M3, STEEL_KG_M3
from moorledger.models.farm import Farm
from openpyxl import load_workbook

from tests.brute.brute_make_ups import Case, hold_of, holds
from tests.brute.brute_statics import Hanging, hanging
from tests.quick_run import LONG

pytestmark = LONG

FACTOR = 1.5
"""Of UFC 4-159-03 Table 3-7, for stockless and balanced-fluke anchors."""


def hangs(
    farm: Farm, row: Assignment, tension_kn: float, more_m: float, left: float
) -> Hanging | None:
    """Return how a row's lines hang under a tension, in more water, so much of the chain left."""
    leg, made = farm.leg_by_name[row.leg], row.make_up
    steel = GRAVITY_M_S2 / 1000 * (1 - SEA_WATER_KG_M3 / STEEL_KG_M3)
    rope_kn_m = 0.0
    if made.rope is not None:
        rope = farm.rope_by_name[made.rope]
        buoyed = 1 - SEA_WATER_KG_M3 / rope.density_kg_m3
        rope_kn_m = rope.mass_kg_per_m * GRAVITY_M_S2 / 1000 * buoyed
    return hanging(
        tension_kn,
        leg.depth_m + more_m,
        made.chain_m,
        farm.chain_by_name[made.chain].mass_kg_per_m * steel * left,
        made.rope_m,
        rope_kn_m,
        farm.seabed_by_name[leg.seabed].chain_friction,
    )


def over(plan: Plan, *, worn: bool, more_m: float = 0.0) -> int:
    """Return how many lines are over a limit of their anchor with the factor on the tension."""
    farm, count = plan.farm, 0
    for row in plan.assignments:
        leg, anchor = farm.leg_by_name[row.leg], farm.anchor_by_name[row.make_up.anchor]
        chain = farm.chain_by_name[row.make_up.chain]
        lost_mm = farm.project.chain_wear_mm_per_year * farm.project.service_life_years
        left = ((chain.diameter_mm - lost_mm) / chain.diameter_mm) ** 2 if worn else 1.0
        tension = FACTOR * leg.design_tension_kn
        hold = hold_of(farm, leg, anchor)
        assert hold is not None, "an anchor laid is relied on"
        case = Case(tension, leg.depth_m, 1.0, 0.0, 0.0)
        line = hangs(farm, row, tension, more_m, left)
        if not holds(farm, anchor, hold, row.make_up.anchors, case, line):
            count += row.count
    return count


@pytest.mark.parametrize("worn", [False, True])
def test_no_leg_is_over_a_limit_with_the_factor_on_the_tension(
    sample_plan: Plan, worn: bool
) -> None:
    """Tests the rows that the basis covers: tension × 1.5, worn chain, the least scatter, all."""
    assert sample_plan.farm.project.least_pull_test_scatter == 0.10
    assert over(sample_plan, worn=worn) == 0


def test_the_count_would_tell(sample_plan: Plan) -> None:
    """Tests that a tenth more tension, and no less, is over some limits: the count can fail."""
    legs = tuple(
        replace(leg, design_tension_kn=leg.design_tension_kn * 1.1) for leg in sample_plan.farm.legs
    )
    strained = replace(sample_plan, farm=replace(sample_plan.farm, legs=legs))
    assert over(strained, worn=True) > 0


def test_more_water_is_not_covered_and_the_basis_page_says_so(sample_plan: Plan) -> None:
    """Tests that half a metre more is over limits, as no load case has it, and that it is said."""
    assert over(sample_plan, worn=True, more_m=0.5) > 0
    assert not any(case.extra_depth_m > 0 for case in sample_plan.farm.load_cases)
    book = load_workbook(io.BytesIO(plan_workbook(sample_plan)))
    told = [cell.value for row in book["Basis"] for cell in row]
    assert any(str(words).startswith(WATER[0]) for words in told)
