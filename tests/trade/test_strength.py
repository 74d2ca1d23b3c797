"""Chain and rope strength, wear and weight in water, against published rules and tables.

The rules live here only: the models take a breaking load and a mass from the catalogue.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from moorledger.models.constants import GRAVITY_M_S2, SEA_WATER_KG_M3, STEEL_KG_M3
from moorledger.models.site.project import Project

from tests.farms.small_farm import ANCHOR, CHAIN, ROPE

STEEL_FACTOR = 0.86943
"""Share of its weight that steel keeps in sea water: 1 − 1025/7850, recomputed."""

EN_818_3_BREAKING_KN = {
    7: 30.8,
    8: 40.2,
    10: 62.8,
    13: 106.0,
    16: 161.0,
    18: 204.0,
    19: 227.0,
    20: 251.0,
    22: 304.0,
    23: 332.0,
    25: 393.0,
    26: 425.0,
    28: 493.0,
    32: 643.0,
    36: 814.0,
    40: 1010.0,
    45: 1270.0,
}
"""Short-link grade 4: EN 818-3 Table 5, d mm → breaking force kN (BSI 09-1999, seen in a copy)."""

STUD_LINK_BREAK = {1: 0.00981, 2: 0.01373, 3: 0.01961}
"""Grade → coefficient of d² (44 − 0.08 d): IACS UR W18, from memory, checked on seen tables."""

STUD_LINK_TABLE_LBF = {
    0.75: (34_000, 47_600, 68_000),
    1.0: (59_700, 83_600, 119_500),
    1.25: (92_200, 129_000, 184_000),
    1.5: (131_000, 183_500, 262_000),
}
"""d in inches → breaking load of grades 1, 2, 3 in lbf: a published table (seen in a copy)."""


def short_link_kn(diameter_mm: float) -> float:
    """Return the rule that EN 818-3 Table 5 follows: 400 N/mm² over both legs of the link."""
    return 400.0 * 2.0 * math.pi * diameter_mm**2 / 4.0 / 1000.0


def stud_link_kn(diameter_mm: float, grade: int) -> float:
    """Return the breaking load of stud-link chain by IACS UR W18."""
    return STUD_LINK_BREAK[grade] * diameter_mm**2 * (44.0 - 0.08 * diameter_mm)


def worn(diameter_mm: float, breaking_kn: float, worn_to_mm: float) -> float:
    """Return the model's breaking load of a chain worn to a smaller diameter over ten years."""
    chain = replace(CHAIN, diameter_mm=diameter_mm, breaking_load_kn=breaking_kn)
    per_year = (diameter_mm - worn_to_mm) / 10.0
    return chain.worn_breaking_load_kn(
        Project(service_life_years=10.0, chain_wear_mm_per_year=per_year)
    )


@pytest.mark.parametrize(
    ("new_mm", "worn_mm"), [(16, 13), (20, 16), (20, 10), (26, 13), (32, 16), (40, 32), (45, 36)]
)
def test_worn_short_link_is_worth_the_next_size_down(new_mm: int, worn_mm: int) -> None:
    """Short-link chain worn to a tabulated diameter has that size's tabulated breaking force.

    EN 818-3 goes with d² throughout; 1 % for the rounding of two of its printed values.
    """
    left = worn(new_mm, EN_818_3_BREAKING_KN[new_mm], worn_mm)
    assert left == pytest.approx(EN_818_3_BREAKING_KN[worn_mm], rel=0.01)


@pytest.mark.parametrize("diameter", EN_818_3_BREAKING_KN)
def test_short_link_rule_reproduces_its_table(diameter: int) -> None:
    """Chain worn from twice a size down to it keeps what EN 818-3 prints for that size (0.5 %)."""
    left = worn(2 * diameter, short_link_kn(2 * diameter), diameter)
    assert left == pytest.approx(EN_818_3_BREAKING_KN[diameter], rel=0.005)


@pytest.mark.parametrize("grade", [1, 2, 3])
def test_worn_stud_link_never_beats_new_chain_of_its_size(grade: int) -> None:
    """d² is a touch safer than UR W18, whose 44 − 0.08 d favours smaller chain, by 5 % at most."""
    for new_mm, worn_mm in ((38.0, 32.0), (32.0, 26.0), (20.5, 16.0), (50.0, 40.0)):
        left = worn(new_mm, stud_link_kn(new_mm, grade), worn_mm)
        assert 0.95 * stud_link_kn(worn_mm, grade) <= left <= stud_link_kn(worn_mm, grade)


@pytest.mark.parametrize("inches", STUD_LINK_TABLE_LBF)
def test_stud_link_rule_reproduces_a_published_table(inches: float) -> None:
    """Unworn chain keeps its catalogue load, and UR W18 gives the table's loads within 0.2 %."""
    diameter = 25.4 * inches
    for grade, pounds in zip((1, 2, 3), STUD_LINK_TABLE_LBF[inches], strict=True):
        kept = worn(diameter, stud_link_kn(diameter, grade), diameter)
        assert kept == pytest.approx(pounds * 4.4482216e-3, rel=0.002)


@pytest.mark.parametrize(("grade", "load"), [(1, 981.0), (2, 1373.0), (3, 1961.0)])
def test_stud_link_of_50_mm_worn_by_a_tenth(grade: int, load: float) -> None:
    """At 50 mm, d² (44 − 0.08 d) is 100 000 exactly; 5 mm of wear leaves 0.9² = 81 % of it."""
    assert stud_link_kn(50.0, grade) == pytest.approx(load, rel=1e-12)
    assert worn(50.0, stud_link_kn(50.0, grade), 45.0) == pytest.approx(0.81 * load, rel=1e-12)


def test_chain_worn_through_carries_nothing() -> None:
    """Wear of the whole diameter, or more, leaves zero and never a square of a negative."""
    assert worn(16.0, 161.0, 0.0) == 0.0
    assert worn(16.0, 161.0, -4.0) == 0.0


def test_no_wear_without_a_service_life() -> None:
    """A wear rate alone, or a life alone, takes nothing off."""
    assert CHAIN.worn_breaking_load_kn(Project(chain_wear_mm_per_year=0.5)) == 240.0
    assert CHAIN.worn_breaking_load_kn(Project(service_life_years=10.0)) == 240.0


def test_submerged_weight_of_32_mm_stud_link() -> None:
    """22.426 kg/m (0.0219 d²) weighs 191.396 N/m in water by the rounded factor 0.87 and g 9.81.

    The model uses 1 − 1025/7850 = 0.86943 and g = 9.80665, which is 0.1 % lighter: 191.204 N/m.
    Mass rule: 0.0219 d² kg/m, d in mm (seen in a copy).
    """
    chain = replace(CHAIN, diameter_mm=32.0, mass_kg_per_m=0.0219 * 32**2)
    rounding = (STEEL_FACTOR / 0.87) * (9.80665 / 9.81)
    assert chain.submerged_weight_kn_m * 1000.0 == pytest.approx(191.396 * rounding, abs=2e-3)
    assert chain.submerged_weight_kn_m * 1000.0 == pytest.approx(191.204, abs=2e-3)
    assert chain.submerged_weight_kn_m * 1000.0 == pytest.approx(191.396, rel=0.0015)


@pytest.mark.parametrize(("inches", "shot_lb"), [(1.0, 860.0), (1.25, 1350.0), (1.5, 1940.0)])
def test_a_shot_of_chain_weighs_what_its_table_says(inches: float, shot_lb: float) -> None:
    """A 90 ft shot packed as sold: 0.0219 d² against a published table in pounds, 1.5 %.

    The rule is low by about 1 % because the table's shots carry joining links.
    """
    shot = replace(CHAIN, mass_kg_per_m=0.0219 * (25.4 * inches) ** 2, length_sold_m=90 * 0.3048)
    assert shot.packed_mass_kg == pytest.approx(shot_lb * 0.45359237, rel=0.015)


def test_stated_packed_mass_goes_before_the_metres() -> None:
    """A drum's own mass is the supplier's word."""
    assert replace(CHAIN, stated_packed_mass_kg=300.0).packed_mass_kg == 300.0
    assert CHAIN.packed_mass_kg == pytest.approx(27.5 * 8.8)


@pytest.mark.parametrize(("density", "factor"), [(7850.0, 0.869), (2400.0, 0.573), (2300.0, 0.554)])
def test_weight_kept_under_water(density: float, factor: float) -> None:
    """Steel keeps 0.869 of its weight in sea water, concrete 0.573 or 0.554 (recomputed)."""
    block = replace(ANCHOR, mass_kg=1000.0, stated_volume_m3=1000.0 / density)
    assert block.submerged_weight_kn / block.weight_kn == pytest.approx(factor, abs=5e-4)


def test_an_anchor_is_of_solid_steel_unless_its_volume_is_stated() -> None:
    """With no stated volume an anchor keeps steel's 0.86943; standard gravity is 9.80665 m/s²."""
    assert ANCHOR.submerged_weight_kn == pytest.approx(0.3 * 9.80665 * STEEL_FACTOR, rel=1e-5)
    assert (GRAVITY_M_S2, SEA_WATER_KG_M3, STEEL_KG_M3) == (9.80665, 1025.0, 7850.0)


@pytest.mark.parametrize(
    ("density", "weight_n"), [(1380.0, 2.5227), (1140.0, 0.9893), (910.0, -1.2393), (1025.0, 0.0)]
)
def test_rope_sinks_or_floats_by_its_density(density: float, weight_n: float) -> None:
    """1 kg/m of polyester, nylon, polypropylene, and rope of sea water's own density, by hand.

    Densities 1.38, 1.14 and 0.91 from a supplier's guide (seen). By hand: 9.80665 × (1 −
    1025/density).
    """
    rope = replace(ROPE, mass_kg_per_m=1.0, density_kg_m3=density)
    assert rope.submerged_weight_kn_m * 1000.0 == pytest.approx(weight_n, abs=1e-4)


def test_a_rope_keeps_nine_tenths_at_its_splices() -> None:
    """The default share is that of spliced polyester of BS 4928: 40 mm, 24.0 t unspliced, 21.6.

    Source: BS 4928 (1985) by OCIMF's mooring guidelines, "spliced strength about 90 %" (seen in
    a copy).
    """
    unspliced = replace(ROPE, breaking_load_kn=24.0 * 9.80665)
    spliced = unspliced.breaking_load_kn * Project().rope_splice_share
    assert spliced == pytest.approx(21.6 * 9.80665)


def test_default_safety_factors() -> None:
    """Anchors 1.5, chain 3.0, synthetic line 3.0: UFC 4-159-03 (2005) Table 3-7 (seen)."""
    project = Project()
    assert project.anchor_safety_factor == 1.5
    assert project.chain_safety_factor == 3.0
    assert project.rope_safety_factor == 3.0
