"""What a farm is told when a leg, or the farm as a whole, cannot be moored.

All lines of these cases are chain alone, 8.8 kg/m in a depth of 30 m at 40 kN, in one length:
w = 8.8 × 9.80665 × (1 − 1025/7850) / 1000 = 0.075032 kN/m. Along a hanging chain tension falls by
w for each metre of height (the catenary of mooring texts; Faltinsen, Sea Loads, 1990, ch. 8, from
memory), so at the seabed it is 40 − 30 w = 37.749 kN.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.models.goods.freight import Basis
from moorledger.models.goods.supplier import Supplier
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.project import FactorActsOn, Project
from moorledger.models.site.seabed import Seabed
from moorledger.models.standing.make_up import LimitName
from moorledger.optimiser.choices.nearest_miss import NearestMiss, UnmoorableError
from moorledger.optimiser.price import price

from tests.farms.small_farm import ANCHOR, CHAIN, LEG, ROPE, SERVICE, SHACKLE, VESSEL, farm_with

W_KN_M = 8.8 * 9.80665 * (1 - 1025 / 7850) / 1000
BOTTOM_KN = 40 - 30 * W_KN_M
HANGING_M = math.sqrt(30 * (30 + 2 * BOTTOM_KN / W_KN_M))
"""Chain that hangs when the rest lies on the seabed: √(D (D + 2 H/w)), 176.3 m."""


def project(length_m: float = 180.0, **changes: Any) -> Project:
    """Return a project in which a ground chain has one length to choose from, and whose safety
    factor acts on the anchor load, unless said otherwise: so the statics are those of 40 kN."""
    fields: dict[str, Any] = {"safety_factor_acts_on": FactorActsOn.ANCHOR_LOAD} | changes
    return Project(longest_chain_m=length_m, cutting_step_m=length_m, **fields)


def sound(**changes: Any) -> Farm:
    """Return a farm of one leg that can be moored, on a seabed without chain friction."""
    fields: dict[str, Any] = {
        "project": project(),
        "seabeds": (Seabed("sand", chain_friction=0.0, deadweight_friction=0.5),),
        "ropes": (),
        "declared_holdings": (DeclaredHolding(ANCHOR.name, "sand", 100.0, "invented"),),
    }
    return farm_with(**(fields | changes))


def holds(holding_kn: float) -> tuple[DeclaredHolding, ...]:
    """Return the small farm's anchor declared to hold so much."""
    return (DeclaredHolding(ANCHOR.name, "sand", holding_kn, "invented"),)


def uplift_deg(length_m: float) -> float:
    """Return the angle at the anchor of a chain lifted whole.

    Vertical forces at its ends differ by w L and their squares by T² − T_a², the horizontal force
    being the same at both: V_a = ½ [(T² − T_a²) / (w L) − w L].
    """
    lifted = W_KN_M * length_m
    vertical = ((40**2 - BOTTOM_KN**2) / lifted - lifted) / 2
    return math.degrees(math.asin(vertical / BOTTOM_KN))


def misses_of(farm: Farm) -> tuple[NearestMiss, ...]:
    """Return what pricing the farm says of its legs."""
    with pytest.raises(UnmoorableError) as caught:
        price(farm)
    return caught.value.misses


def shortage_of(farm: Farm, solver: str = "") -> list[str]:
    """Return what pricing a farm says whose every leg can be moored by itself."""
    with pytest.raises(FarmError) as caught:
        price(farm, time_limit_s=20.0, solver=solver)
    assert not isinstance(caught.value, UnmoorableError)
    return [str(fault) for fault in caught.value.faults]


def test_sound_farm_is_priced() -> None:
    """Tests that the farm which the cases below each spoil in one way has a plan."""
    assert price(sound()).installed_cost > 0


CASES: dict[str, tuple[Callable[[], Farm], LimitName, float, float, str]] = {
    # 1.5 × 37.749 = 56.62 kN on 50 kN
    "holding": (
        lambda: sound(declared_holdings=holds(50.0)),
        LimitName.HOLDING, 1.5 * BOTTOM_KN, 50.0, "kN",
    ),
    # the factor on the tension: 1.5 × 40 − 30 w = 57.75 kN at the anchor; 217 m of chain hang
    "holding, factor on tension": (
        lambda: sound(
            project=project(240.0, safety_factor_acts_on=FactorActsOn.TENSION),
            declared_holdings=holds(50.0),
        ),
        LimitName.HOLDING, 1.5 * 40 - 30 * W_KN_M, 50.0, "kN",
    ),
    # two anchors: 2 × 0.8 × 30 = 48 kN is nearer than one's 30 kN
    "holding of two": (
        lambda: sound(project=project(most_anchors_per_leg=2), declared_holdings=holds(30.0)),
        LimitName.HOLDING, 1.5 * BOTTOM_KN, 48.0, "kN",
    ),
    "anchor structure": (
        lambda: sound(anchors=(replace(ANCHOR, structural_limit_kn=45.0),)),
        LimitName.STRUCTURE, 1.5 * BOTTOM_KN, 45.0, "kN",
    ),
    # 100 m is too short to lie down: about 12° where 6° is the largest
    "uplift": (
        lambda: sound(project=project(100.0), anchors=(replace(ANCHOR, largest_uplift_deg=6.0),)),
        LimitName.UPLIFT, uplift_deg(100.0), 6.0, "deg",
    ),
    # 3 × 40 = 120 kN
    "chain": (
        lambda: sound(chains=(replace(CHAIN, breaking_load_kn=100.0),)),
        LimitName.CHAIN, 120.0, 100.0, "kN",
    ),
    # 2 mm of 20 mm worn off: 140 × 0.9² = 113.4 kN; of a chain so much lighter 195 m hang
    "worn chain": (
        lambda: sound(
            project=project(200.0, service_life_years=10.0, chain_wear_mm_per_year=0.2),
            chains=(replace(CHAIN, breaking_load_kn=140.0),),
        ),
        LimitName.CHAIN, 120.0, 113.4, "kN",
    ),
    "fitting": (
        lambda: sound(fittings=(replace(SHACKLE, breaking_load_kn=110.0),)),
        LimitName.FITTING, 120.0, 110.0, "kN",
    ),
    # 125 × 0.9 = 112.5 kN at the splices
    "rope": (
        lambda: sound(ropes=(replace(ROPE, breaking_load_kn=125.0),)),
        LimitName.ROPE, 120.0, 112.5, "kN",
    ),
    # H/w × asinh(w s / H) over the hanging part, and the rest lies on the seabed
    "radius": (
        lambda: sound(legs=(replace(LEG, longest_radius_m=150.0),)),
        LimitName.RADIUS,
        BOTTOM_KN / W_KN_M * math.asinh(W_KN_M * HANGING_M / BOTTOM_KN) + 180 - HANGING_M,
        150.0, "m",
    ),
    # 0.3 t × 1.3
    "crane": (
        lambda: sound(vessels=(replace(VESSEL, crane_limit_t=0.3),)),
        LimitName.CRANE, 0.39, 0.3, "t",
    ),
    "deck": (
        lambda: sound(vessels=(replace(VESSEL, deck_area_m2=1.5),)),
        LimitName.DECK, 2.0, 1.5, "m²",
    ),
    # half of 40 kN
    "bollard pull": (
        lambda: sound(
            project=project(setting_pull_share=0.5),
            vessels=(replace(VESSEL, bollard_pull_kn=15.0),),
        ),
        LimitName.BOLLARD, 20.0, 15.0, "kN",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_limit_missed_and_by_how_much(name: str) -> None:
    """Tests the limit named, what it requires and what is there, worked by hand, in the record
    and in the words."""
    build, limit, required, available, unit = CASES[name]
    (miss,) = misses_of(build())
    assert miss.missed is not None
    assert miss.make_up is not None
    assert miss.missed.name is limit
    assert miss.missed.required == pytest.approx(required, rel=1e-6)
    assert miss.missed.available == pytest.approx(available, rel=1e-9)
    words = str(miss)
    assert words.startswith("leg 'north' cannot be moored; the nearest make-up is ")
    assert str(miss.make_up) in words
    assert f"misses its {limit}: {required:.4g} {unit} required, {available:.4g} {unit}" in words
    assert f"{required - available:.3g} {unit} short" in words


def test_nearest_of_several_anchors_is_named() -> None:
    """Tests that of anchors worth 20, 50 and 40 kN where 56.6 is needed, that of 50 is named."""
    anchors = tuple(replace(ANCHOR, name=name) for name in ("small", "large", "middle"))
    worth = zip(("small", "large", "middle"), (20.0, 50.0, 40.0), strict=True)
    declared = tuple(DeclaredHolding(name, "sand", kn, "invented") for name, kn in worth)
    (miss,) = misses_of(sound(anchors=anchors, declared_holdings=declared))
    assert miss.make_up is not None
    assert miss.make_up.anchor == "large"


def test_every_leg_that_cannot_be_met_is_named_and_no_other() -> None:
    """Tests three legs at once: one wants holding, one chain strength, and one is well.

    South: 3 × 90 = 270 kN on the chain's 240; its anchor of 1000 kN holds. East: 40 kN.
    """
    strong = replace(ANCHOR, name="strong")
    farm = sound(
        legs=(
            replace(LEG, fixed_anchor=ANCHOR.name),
            replace(LEG, name="south", design_tension_kn=90.0, fixed_anchor="strong"),
            replace(LEG, name="east", fixed_anchor="strong"),
        ),
        project=project(400.0),
        anchors=(ANCHOR, strong),
        declared_holdings=(*holds(50.0), DeclaredHolding("strong", "sand", 1000.0, "invented")),
    )
    north, south = misses_of(farm)
    assert (north.leg.name, south.leg.name) == ("north", "south")
    assert north.missed is not None
    assert south.missed is not None
    assert north.missed.name is LimitName.HOLDING
    assert south.missed.name is LimitName.CHAIN
    assert (south.missed.required, south.missed.available) == (270.0, 240.0)
    with pytest.raises(FarmError) as caught:
        price(farm)
    assert "leg 'north'" in str(caught.value)
    assert "leg 'south'" in str(caught.value)
    assert "leg 'east'" not in str(caught.value)


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        pytest.param(
            {"declared_holdings": ()},
            "no anchor may be relied on there: no declared holding, pull test or law on seabed "
            "'sand'",
            id="no evidence",
        ),
        pytest.param(
            {"anchors": (replace(ANCHOR, available=0),)},
            "no anchor may be relied on there: cannot be delivered",
            id="no anchor to be had",
        ),
        pytest.param(
            {"chains": (replace(CHAIN, available=0),)},
            "no chain that it may use can be delivered",
            id="no chain to be had",
        ),
        pytest.param(
            {"ropes": (replace(ROPE, available=0),)},
            "no rope that it may use can be delivered",
            id="no rope to be had",
        ),
        pytest.param(
            {"project": project(20.0)},
            "no line of the ropes and chains listed hangs right: every one is too short for the "
            "depth, too heavy for the tension, or lies with its rope on the bottom",
            id="chain shorter than the depth",
        ),
    ],
)
def test_leg_without_any_make_up_to_name(changes: dict[str, Any], why: str) -> None:
    """Tests the reason given where there is no make-up to come near with."""
    (miss,) = misses_of(sound(**changes))
    assert miss.make_up is None
    assert str(miss) == f"leg 'north' cannot be moored: {why}"


def three_lines(**changes: Any) -> Farm:
    """Return the sound farm with three lines."""
    return sound(**({"legs": (replace(LEG, count=3),)} | changes))


def two_anchors() -> dict[str, Any]:
    """Return two legs, each with its own anchor, from two suppliers."""
    other = replace(ANCHOR, name="other", supplier="west works")
    return {
        "legs": (
            replace(LEG, fixed_anchor=ANCHOR.name),
            replace(LEG, name="south", fixed_anchor="other"),
        ),
        "anchors": (ANCHOR, other),
        "suppliers": (
            Supplier("east works", "east port", "EUR", 1.0),
            Supplier("west works", "east port", "EUR", 1.0),
        ),
        "declared_holdings": (*holds(100.0), DeclaredHolding("other", "sand", 100.0, "invented")),
    }


def two_chains() -> dict[str, Any]:
    """Return two legs, each with its own chain."""
    return {
        "legs": (
            replace(LEG, fixed_chain=CHAIN.name),
            replace(LEG, name="south", fixed_chain="other"),
        ),
        "chains": (CHAIN, replace(CHAIN, name="other")),
    }


BOX = replace(
    SERVICE,
    name="box",
    basis=Basis.CONTAINER,
    volume_m3=33.0,
    payload_t=4.0,
    inside_length_mm=5900.0,
    inside_width_mm=2350.0,
    inside_height_mm=2390.0,
    door_width_mm=2340.0,
    door_height_mm=2280.0,
    available=1,
)

SHORTAGES: dict[str, tuple[Callable[[], Farm], str]] = {
    "anchors": (
        lambda: three_lines(anchors=(replace(ANCHOR, available=2),)),
        "Available: 2 of 'hinged 300'",
    ),
    # 3 × 180 m of 27.5 m lengths: 540 / 27.5 = 19.6
    "chain": (
        lambda: three_lines(chains=(replace(CHAIN, available=19),)),
        "Available: 19 of 'stud 20'",
    ),
    # 20 lengths of 242 kg and 3 anchors of 300 kg: 5.74 t in one container of 4 t
    "containers": (lambda: three_lines(services=(BOX,)), "Available: 1 containers of 'box'"),
    # 3 + 3 × (30 + 20 + 30 + 18 × 5) min = 11.5 h, in days of 10 h
    "days": (
        lambda: three_lines(vessels=(replace(VESSEL, most_days=1),)),
        "Most days: 1 days of 'work boat'",
    ),
    # the round trip of 3 h takes all of a day of 3 h
    "home": (
        lambda: three_lines(
            vessels=(replace(VESSEL, working_hours_per_day=3.0, home_every_day=True),)
        ),
        "Home every day: the working day of 'work boat', which goes home every day,",
    ),
    "models": (
        lambda: sound(**two_anchors(), project=project(most_anchor_models=1)),
        "Most anchor models: Most anchor models 1",
    ),
    "chains": (
        lambda: sound(**two_chains(), project=project(most_chains=1)),
        "Most chains: Most chains 1",
    ),
    "ropes": (
        lambda: three_lines(ropes=(ROPE,), project=project(most_ropes=0)),
        "Most ropes: Most ropes 0",
    ),
    "suppliers": (
        lambda: sound(**two_anchors(), project=project(most_suppliers=1)),
        "Most suppliers: Most suppliers 1",
    ),
}


@pytest.mark.parametrize("solver", ["highs", "cbc"])
@pytest.mark.parametrize("name", SHORTAGES)
def test_shortage_of_the_whole_farm_is_named(name: str, solver: str) -> None:
    """Tests that the one amount which is too little for all lines together is named, alone."""
    build, found = SHORTAGES[name]
    (told,) = shortage_of(build(), solver)
    assert told.startswith(f"{found} is too little for the whole farm: with more of it alone")


@pytest.mark.parametrize(
    "enough",
    [
        {"anchors": (replace(ANCHOR, available=3),)},
        {"chains": (replace(CHAIN, available=20),)},
        {"services": (replace(BOX, available=2),)},
        {"vessels": (replace(VESSEL, most_days=2),)},
    ],
    ids=["anchors", "chain", "containers", "days"],
)
def test_just_enough_is_enough(enough: dict[str, Any]) -> None:
    """Tests that one more of what was too little gives a plan, so each case stands at its edge."""
    assert price(three_lines(**enough)).installed_cost > 0


def test_two_shortages_at_once_are_called_joint() -> None:
    """Tests that where no single amount would be enough, none is blamed alone."""
    (told,) = shortage_of(
        three_lines(
            anchors=(replace(ANCHOR, available=2),), vessels=(replace(VESSEL, most_days=1),)
        )
    )
    assert "easing any one of them alone is not enough" in told
