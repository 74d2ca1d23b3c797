"""Load cases against integration of the line's equations, and the basis's own check values.

The line of B1: tension 8 kN, depth 8.5 m, 20 mm chain of 8.7 kg/m below 34 m of rope of 1.2 kg/m
and 1380 kg/m³, chain friction 0.6. Source of its figures: BASIS B1 and B2, own arithmetic there,
made again here by scipy's integrator and root finder. That the factor goes on the action where the
effect grows faster: EN 1990:2002 6.3.2(4)(a), quoted in a designers' guide; the factor on the
anchor's load: UFC 4-159-03.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from moorledger.io.order.basis import LINE_LOST
from moorledger.models.farm import Farm
from moorledger.models.goods.chain import Chain
from moorledger.models.goods.fitting import UsedPer
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.load_case import CaseTension, LoadCase
from moorledger.models.site.project import FactorActsOn, Project
from moorledger.models.standing.catenary import line_states
from moorledger.optimiser.choices.make_ups import enumerate_make_ups
from moorledger.optimiser.recheck.statics import hang
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from tests.brute.brute_make_ups import every_make_up
from tests.brute.brute_statics import hanging
from tests.farms.small_farm import ANCHOR, CHAIN, FARM, LEG, ROPE, SEABED

TENSION, DEPTH, ROPE_M, FRICTION = 8.0, 8.5, 34.0, 0.6
CHAIN_KN_M = 8.7 * 9.80665e-3 * (1 - 1025 / 7850)
ROPE_KN_M = 1.2 * 9.80665e-3 * (1 - 1025 / 1380)

UPLIFT = {1.0: 0.0, 1.02: 0.01, 1.05: 0.27, 1.10: 0.67, 1.25: 1.68, 1.50: 2.91}
"""Share of the tension → degrees at the anchor with 20.5 m of chain (BASIS B1)."""


def integrated(tension: float, chain_m: float, left: float = 1.0) -> tuple[float, float]:
    """Return uplift (degrees) and chain on the seabed (m) of B1's line, integrated from the top.

    left : share of the chain's weight. The vertical force at the attachment is found with which
    the line's low end is on the seabed: where the chain comes in flat, or at its end.
    """
    weight = left * CHAIN_KN_M

    def low_end(top: float) -> tuple[float, float, float]:
        """Return height over the seabed, vertical force and chain not yet paid out."""
        h = math.sqrt(tension**2 - top**2)

        def down(_: float, y: list[float], w: float) -> list[float]:
            return [-y[1] / math.hypot(h, y[1]), -w]

        def flat(_: float, y: list[float], __: float) -> float:
            return y[1]

        flat.terminal = True  # type: ignore[attr-defined]
        tight = {"rtol": 1e-11, "atol": 1e-12}
        rope = solve_ivp(down, (0, ROPE_M), [DEPTH, top], args=(ROPE_KN_M,), **tight)
        start = rope.y[:, -1]
        chain = solve_ivp(down, (0, chain_m), start, args=(weight,), events=flat, **tight)
        return float(chain.y[0, -1]), float(chain.y[1, -1]), chain_m - float(chain.t[-1])

    least = ROPE_KN_M * ROPE_M + 1e-9
    top = brentq(lambda v: low_end(v)[0], least, 0.99 * tension, xtol=1e-12)
    _, vertical, lying = low_end(top)
    h = math.sqrt(tension**2 - top**2)
    if lying < 1e-9:
        return math.degrees(math.atan2(vertical, h)), 0.0
    return 0.0, lying


def least_chain(tension: float, left: float = 1.0) -> float:
    """Return the shortest chain in steps of 0.5 m that comes in flat, by integration, m."""
    return next(m for m in np.arange(10.0, 60.0, 0.5) if integrated(tension, m, left)[0] < 1e-6)


@pytest.mark.parametrize("share", UPLIFT)
def test_uplift_grows_faster_than_the_tension(share: float) -> None:
    """B1's angles, by integration and by each of the three statics of the house, apart."""
    tension = share * TENSION
    line = (tension, DEPTH, 20.5, CHAIN_KN_M, ROPE_M, ROPE_KN_M, FRICTION)
    uplift, lying = integrated(tension, 20.5)
    assert uplift == pytest.approx(UPLIFT[share], abs=0.005)
    state, checked, brute = line_states(*line), hang(*line), hanging(*line)
    assert checked is not None
    assert brute is not None
    for ours in (float(state.uplift_deg), checked.uplift_deg, brute.uplift_deg):
        assert ours == pytest.approx(uplift, abs=1e-6)
    for ours in (float(state.grounded_m), checked.grounded_m, brute.grounded_m):
        assert ours == pytest.approx(lying, abs=1e-6)


def test_chain_on_the_seabed_at_the_tension_itself() -> None:
    """B1: 0.32 m of the 20.5 m lie at 8 kN, by integration."""
    assert integrated(TENSION, 20.5)[1] == pytest.approx(0.32, abs=0.005)


def test_statics_of_the_brute_force_agree_with_the_model() -> None:
    """Random lines of all sorts: grounded, lifted, floating rope, no rope, impossible."""
    draw = np.random.default_rng(14)
    hung = 0
    for _ in range(500):
        line = (
            draw.uniform(2, 150),
            draw.uniform(4, 50),
            draw.uniform(0.5, 110),
            draw.uniform(0.03, 0.8),
            draw.choice((0.0, draw.uniform(5, 120))),
            draw.choice((0.0, draw.uniform(-0.01, 0.02))),
            draw.choice((0.0, 0.7)),
        )
        theirs, ours = line_states(*line), hanging(*line)
        assert bool(theirs.possible) == (ours is not None), line
        if ours is not None:
            hung += 1
            assert ours.vertical_kn == pytest.approx(float(theirs.anchor_vertical_kn), abs=1e-7)
            assert ours.pull_kn == pytest.approx(float(theirs.anchor_tension_kn), abs=1e-7)
            assert ours.grounded_m == pytest.approx(float(theirs.grounded_m), abs=1e-6)
            assert ours.radius_m == pytest.approx(float(theirs.radius_m), abs=1e-6)
    assert hung > 300


def b1_farm(**settings: object) -> Farm:
    """Return a farm of the one leg of B1, its anchor strong enough and without any uplift."""
    plain = Project(
        anchor_safety_factor=1.0,
        rope_lengths_tried=(ROPE_M / DEPTH,),
        longest_chain_m=60.0,
    )
    return replace(
        FARM,
        project=replace(plain, **settings),
        legs=(replace(LEG, design_tension_kn=TENSION, depth_m=DEPTH),),
        seabeds=(replace(SEABED, chain_friction=FRICTION),),
        chains=(replace(CHAIN, mass_kg_per_m=8.7),),
        ropes=(replace(ROPE, mass_kg_per_m=1.2, density_kg_m3=1380.0),),
        declared_holdings=(DeclaredHolding(ANCHOR.name, SEABED.name, 500.0, "invented"),),
    )


def chain_of(farm: Farm) -> float:
    """Return the chain of the farm's only make-up, m, by the optimiser and by brute force alike."""
    made = enumerate_make_ups(farm)
    (found,) = (made.make_up(farm, index) for index in range(len(made)))
    ((brute, _),) = every_make_up(farm)[LEG.name]
    assert brute == found
    return found.chain_m


ON_TENSION, ON_ANCHOR = FactorActsOn.TENSION, FactorActsOn.ANCHOR_LOAD


@pytest.mark.parametrize(
    ("factor", "acts_on", "metres"),
    [
        (1.0, ON_TENSION, 20.5),
        (1.5, ON_TENSION, 28.5),
        (1.0, ON_ANCHOR, 20.5),
        (1.5, ON_ANCHOR, 20.5),
    ],
)
def test_least_chain_without_uplift(factor: float, acts_on: FactorActsOn, metres: float) -> None:
    """B1: 20.5 m at the tension itself and 28.5 m at 1.5 times it; on the anchor's load the factor
    asks for no chain at all. The lengths are integrated too."""
    farm = b1_farm(anchor_safety_factor=factor, safety_factor_acts_on=acts_on)
    assert chain_of(farm) == metres
    assert least_chain(TENSION * (factor if acts_on is ON_TENSION else 1.0)) == metres


def test_own_factor_of_an_anchor_replaces_the_projects() -> None:
    """The same 28.5 m where the anchor itself asks for 1.5 and the project for 1.0."""
    farm = b1_farm()
    assert chain_of(replace(farm, anchors=(replace(ANCHOR, safety_factor=1.5),))) == 28.5


def test_load_cases_replace_both() -> None:
    """With load cases neither factor counts: 1.0 gives 20.5 m, and the hardest case decides."""
    intact = LoadCase("intact", CaseTension.DESIGN, 1.0, 1.0, 3.0, 3.0)
    lost = LoadCase("line lost", CaseTension.LINE_LOST, 1.0, 1.0, 2.0, 2.0)
    deep = LoadCase("surge", CaseTension.DESIGN, 1.0, 1.0, 2.0, 2.0, extra_depth_m=1.0)
    farm = b1_farm(anchor_safety_factor=1.5)
    farm = replace(farm, anchors=(replace(ANCHOR, safety_factor=2.0),))
    farm = replace(farm, legs=(replace(farm.legs[0], line_lost_tension_kn=12.0, group="bay"),))
    assert chain_of(replace(farm, load_cases=(intact,))) == 20.5
    assert chain_of(replace(farm, load_cases=(intact, lost))) == 28.5
    assert chain_of(replace(farm, load_cases=(lost, deep, intact))) == 28.5
    assert chain_of(replace(farm, load_cases=(intact, replace(deep, legs=("bay",))))) > 20.5
    elsewhere = replace(lost, legs=("another leg",))
    assert chain_of(replace(farm, load_cases=(intact, elsewhere))) == 20.5


def test_worn_chain_is_lighter() -> None:
    """B2: 13 mm after 2 mm has (11 / 13)² = 0.716 of its weight, and of its strength."""
    project = Project(service_life_years=10.0, chain_wear_mm_per_year=0.2)
    chain = replace(CHAIN, diameter_mm=13.0, breaking_load_kn=100.0)
    assert chain.share_after_wear(project) == pytest.approx(0.716, abs=5e-4)
    assert chain.worn_breaking_load_kn(project) == pytest.approx(71.6, abs=0.05)


def test_worn_chain_must_be_longer() -> None:
    """B1's line with 2 of its 20 mm worn off, 0.81 of the weight: the length that integration
    finds, and longer than as new."""
    farm = b1_farm(service_life_years=10.0, chain_wear_mm_per_year=0.2)
    worn = least_chain(TENSION, left=0.81)
    assert chain_of(farm) == worn > 20.5


def test_chain_kept_on_the_seabed() -> None:
    """0.32 m lie of 20.5 m; 3 m asked for are there with the first length at which integration
    finds them, and none are asked for where the anchor stands uplift."""
    lengths = np.arange(20.5, 40.0, 0.5)
    owed = next(m for m in lengths if integrated(TENSION, m)[1] >= 3.0)
    farm = b1_farm(chain_on_seabed_m=3.0)
    assert chain_of(farm) == owed > 20.5
    lifted = replace(farm, anchors=(replace(ANCHOR, largest_uplift_deg=1e-3),))
    assert chain_of(lifted) == 20.5


def test_shortest_chain() -> None:
    """A project's shortest chain of 24.8 m is 25 m in steps of half a metre."""
    assert chain_of(b1_farm(shortest_chain_m=24.8)) == 25.0


@pytest.mark.parametrize("weak", ["connector", "wet rope", "worn fitting"])
def test_weakest_part_refuses(weak: str) -> None:
    """A connector, a wet rope or a worn fitting of 23.9 kN refuses a leg that asks for 24 kN, and
    one of 24.1 kN does not: chain and rope factors act on the 8 kN themselves."""
    for strength in (23.9, 24.1):
        farm = b1_farm(anchor_safety_factor=1.5, rope_splice_share=1.0)
        match weak:
            case "connector":
                chain: Chain = replace(farm.chains[0], connector_breaking_load_kn=strength)
                farm = replace(farm, chains=(chain,))
            case "wet rope":
                rope = replace(farm.ropes[0], breaking_load_kn=strength / 0.85)
                farm = replace(farm, ropes=(replace(rope, wet_strength_share=0.85),))
            case _:
                settings = {"service_life_years": 10.0, "chain_wear_mm_per_year": 0.2}
                farm = replace(farm, project=replace(farm.project, **settings))
                shackle = replace(farm.fittings[0], wears_with_chain=True)
                shackle = replace(shackle, breaking_load_kn=strength / 0.81)
                farm = replace(farm, fittings=(shackle,))
        made = int(strength > 24)
        assert len(enumerate_make_ups(farm)) == made
        assert len(every_make_up(farm)[LEG.name]) == made


def test_fitting_of_an_extra_anchor_is_asked_only_of_two() -> None:
    """A bridle too weak for the leg bars two anchors, and says nothing of one."""
    farm = b1_farm(most_anchors_per_leg=2)
    bridle = replace(
        farm.fittings[0], name="bridle", breaking_load_kn=5.0, used_per=UsedPer.EXTRA_ANCHOR
    )
    farm = replace(farm, fittings=(*farm.fittings, bridle))
    made = enumerate_make_ups(farm)
    assert [made.make_up(farm, at).anchors for at in range(len(made))] == [1]
    assert [make_up.anchors for make_up, _ in every_make_up(farm)[LEG.name]] == [1]


def test_neighbours_of_a_lost_line_take_what_the_basis_sheet_says() -> None:
    """Three equal legs at 150°, 180° and 210°, 100 kN along 0°: 34.641, 40.000 and 34.641 kN are
    the shares (BASIS C1); without the middle one 57.735 each, 1.667 times as much.

    K = Σ k n nᵀ, u = K⁻¹ F, T = −k n·u with n towards the anchor: statics of a small displacement.
    """

    def taken(bearings_deg: tuple[float, ...]) -> np.ndarray:
        angles = np.radians(bearings_deg)
        towards = np.column_stack([np.cos(angles), np.sin(angles)])
        moved = np.linalg.solve(towards.T @ towards, np.array([100.0, 0.0]))
        tensions = -towards @ moved
        assert (tensions > 0).all()
        return np.asarray(tensions)

    intact, lost = taken((150.0, 180.0, 210.0)), taken((150.0, 210.0))
    assert intact == pytest.approx([34.641, 40.0, 34.641], abs=5e-4)
    assert lost == pytest.approx([57.735, 57.735], abs=5e-4)
    assert f"{lost[0] / intact[0]:.2f} times theirs" in LINE_LOST[1]
