"""The catenary against published cable examples and against integration of the line's equations.

Half of a cable between level supports is a line whose lower end is horizontal: chain only, its
depth the sag, its tension the tension at the support. `line_states` asks for one consistent set
of units, so examples in pounds and feet are put in as they are printed.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from moorledger.models.standing.catenary import LineState, line_states
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

Floats = NDArray[np.float64]


def half_cable(tension: float, sag: float, half_length: float, weight: float) -> LineState:
    """Return how a chain-only line without seabed friction stands."""
    return line_states(tension, sag, half_length, weight, 0.0, 0.0, 0.0)


def off_level(tension: float, sag: float, half_length: float, weight: float) -> float:
    """Return how far the low end is from just touching: force up, or less the weight lying."""
    state = half_cable(tension, sag, half_length, weight)
    return float(state.anchor_vertical_kn - weight * state.grounded_m)


def support_tension(sag: float, half_length: float, weight: float) -> float:
    """Find the tension at which the whole half cable hangs with its low end horizontal."""
    least, most = weight * half_length * 1.0001, weight * half_length * 100
    found = brentq(off_level, least, most, args=(sag, half_length, weight), xtol=1e-12, rtol=1e-14)
    return float(found)


def test_wire_of_625_feet() -> None:
    """A 625 ft wire of 2 lb/ft sagging 25 ft between level supports.

    Source: a published solution sheet "Catenary Problems" (seen in a copy): a = 1940.625 ft,
    T = 3931.25 lb, span about 622.33 ft, end angle about 9°; 9.148° is recomputed.
    """
    tension = support_tension(25.0, 312.5, 2.0)
    state = half_cable(3931.25, 25.0, 312.5, 2.0)
    assert tension == pytest.approx(3931.25, abs=1e-6)
    assert state.anchor_horizontal_kn / 2.0 == pytest.approx(1940.625, abs=1e-6)
    assert 2 * state.radius_m == pytest.approx(622.33, abs=0.01)
    end_angle = math.degrees(math.acos(float(state.anchor_horizontal_kn) / 3931.25))
    assert end_angle == pytest.approx(9.148, abs=5e-4)


@pytest.mark.parametrize(
    ("length", "weight", "sag", "span", "tension", "span_shown", "tension_shown"),
    [
        pytest.param(25.0, 30.0 / 25.0, 10.0, 12.3594, 15.375, 12.36, 15.38, id="7.127"),
        pytest.param(500.0, 2.8, 125.0, 411.980, 875.0, 412.0, 875.0, id="7.128"),
    ],
)
def test_textbook_level_cables(
    length: float,
    weight: float,
    sag: float,
    span: float,
    tension: float,
    span_shown: float,
    tension_shown: float,
) -> None:
    """Cables of given length, weight and sag: find the span and the largest tension.

    Source: Beer & Johnston, Vector Mechanics: Statics, problems 7.127 and 7.128; the statements
    were seen in a copy, the printed answers are from memory, the exact ones recomputed.
    """
    found = support_tension(sag, length / 2, weight)
    found_span = 2 * float(half_cable(found, sag, length / 2, weight).radius_m)
    assert found == pytest.approx(tension, abs=1e-6)
    assert found_span == pytest.approx(span, abs=5e-4)
    assert found == pytest.approx(tension_shown, abs=0.006)
    assert found_span == pytest.approx(span_shown, abs=0.03)


def test_measuring_tape() -> None:
    """A 50 m tape of 1.6 kg held level with 60 N at each end spans 49.86 m.

    Source: Beer & Johnston problem 7.130: statement seen in a copy, answer recomputed with
    g = 9.81 m/s².
    """
    weight = 1.6 * 9.81 / 50.0
    sag = brentq(lambda d: off_level(60.0, d, 25.0, weight), 1e-3, 20.0, xtol=1e-13)
    assert 2 * float(half_cable(60.0, sag, 25.0, weight).radius_m) == pytest.approx(49.86, abs=5e-3)


def test_tension_and_length_from_span_and_sag() -> None:
    """A 3 lb/ft cable spans 500 ft and sags 100 ft: find tension and length (inverse problem).

    Source: Beer & Johnston's sample problem on the uniform cable, from memory (T_min 984 lb,
    T_max 1284 lb, length 550 ft); the exact values are recomputed.
    """

    def hanging_span(tension: float) -> float:
        state = half_cable(tension, 100.0, 2000.0, 3.0)
        return float(state.radius_m - state.grounded_m)

    tension = brentq(lambda t: hanging_span(t) - 250.0, 400.0, 5000.0, xtol=1e-10)
    state = half_cable(tension, 100.0, 2000.0, 3.0)
    assert tension == pytest.approx(1283.79, abs=0.01)
    assert float(state.anchor_horizontal_kn) == pytest.approx(983.79, abs=0.01)
    assert 2 * float(2000.0 - state.grounded_m) == pytest.approx(549.86, abs=0.01)


def test_stud_link_chain_of_32_mm_leaves_the_seabed() -> None:
    """Our own use: 32 mm stud-link chain, 60 kN horizontal, 40 m deep, part of it lying.

    Source: recomputed, no publication: 0.0219 d² kg/m, submerged factor 0.87, g = 9.81 m/s².
    """
    weight = 0.0219 * 32**2 * 0.87 * 9.81 / 1000.0
    assert weight == pytest.approx(0.191396, abs=5e-7)
    state = line_states(67.6558, 40.0, 250.0, weight, 0.0, 0.0, 0.0)
    hanging = 250.0 - float(state.grounded_m)
    assert float(state.anchor_horizontal_kn) == pytest.approx(60.0, abs=1e-4)
    assert hanging == pytest.approx(163.337, abs=2e-3)
    assert float(state.radius_m - state.grounded_m) == pytest.approx(156.726, abs=2e-3)
    assert math.hypot(60.0, weight * hanging) == pytest.approx(67.6558, abs=1e-4)


@pytest.mark.parametrize(
    ("height", "tension", "hanging", "span"),
    [(1 / 4, 5 / 4, 3 / 4, math.log(2)), (2 / 3, 5 / 3, 4 / 3, math.log(3))],
)
def test_whole_number_catenaries(
    height: float, tension: float, hanging: float, span: float
) -> None:
    """Heights at which a catenary of a = 1 has rational lengths and tensions (mathematics)."""
    state = line_states(tension, height, 3.0, 1.0, 0.0, 0.0, 0.0)
    assert 3.0 - float(state.grounded_m) == pytest.approx(hanging, abs=1e-9)
    assert float(state.anchor_horizontal_kn) == pytest.approx(1.0, abs=1e-9)
    assert float(state.radius_m - state.grounded_m) == pytest.approx(span, abs=1e-9)
    assert float(state.uplift_deg) == 0.0


def test_weightless_line_is_straight() -> None:
    """A weightless rope on a short light chain is a 3-4-5 triangle (mathematics)."""
    state = line_states(10.0, 30.0, 1e-6, 1e-6, 50.0, 0.0, 0.7)
    assert float(state.uplift_deg) == pytest.approx(math.degrees(math.asin(0.6)), abs=1e-4)
    assert float(state.anchor_tension_kn) == pytest.approx(10.0, abs=1e-6)
    assert float(state.radius_m) == pytest.approx(40.0, abs=1e-4)


@pytest.mark.parametrize(("friction", "left"), [(0.0, 1.0), (0.4, 0.6), (1.0, 0.0), (3.0, 0.0)])
def test_chain_on_the_seabed_takes_friction_off(friction: float, left: float) -> None:
    """One metre of unit weight lies: μ × 1 comes off a pull of 1, never below nothing."""
    state = line_states(1.25, 0.25, 1.75, 1.0, 0.0, 0.0, friction)
    assert float(state.anchor_tension_kn) == pytest.approx(left, abs=1e-9)
    assert float(state.grounded_m) == pytest.approx(1.0, abs=1e-9)


def integrate_line(start: Floats, horizontal: Floats, length: Floats, weight: Floats) -> Floats:
    """Integrate dx/ds = cos θ, dz/ds = sin θ, dV/ds = w up a length of each of many lines.

    start : (3, n), x and z (m) and V (kN) at the lower end. Returns the same at the upper end.
    Arc length runs from 0 to 1 for every line, so that all go up together.
    """
    count = horizontal.size

    def slope(_: float, flat: Floats) -> Floats:
        vertical = flat.reshape(3, count)[2]
        tension = np.hypot(horizontal, vertical)
        rates = np.array([horizontal / tension, vertical / tension, weight])
        return np.asarray((rates * length).ravel())

    solved = solve_ivp(slope, (0.0, 1.0), start.ravel(), method="DOP853", rtol=1e-11, atol=1e-11)
    assert solved.success
    return np.asarray(solved.y[:, -1].reshape(3, count), dtype=np.float64)


def random_lines(count: int) -> tuple[Floats, Floats, Floats, Floats, Floats, Floats]:
    """Return tension, depth, chain, chain weight, rope, rope weight: heavy, weightless, afloat."""
    random = np.random.default_rng(20240611)
    depth = random.uniform(5.0, 80.0, count)
    rope = depth * random.choice([0.0, 0.5, 1.0, 1.5, 2.0, 3.0], count)
    rope_weight = random.choice([0.0, 1e-9, -0.004, -0.0006, 0.002, 0.01], count)
    chain = random.uniform(2.0, 110.0, count)
    weight = random.uniform(0.03, 0.6, count)
    tension = 10 ** random.uniform(0.7, 3.0, count)
    return tension, depth, chain, weight, rope, rope_weight


def test_lands_where_the_integrated_line_lands() -> None:
    """200 random lines, built up from the returned anchor forces, reach D with tension T."""
    tension, depth, chain, weight, rope, rope_weight = random_lines(400)
    state = line_states(tension, depth, chain, weight, rope, rope_weight, 0.0)
    chosen = np.flatnonzero(state.possible)[:200]
    hangs = (chain - state.grounded_m)[chosen]
    horizontal = state.anchor_horizontal_kn[chosen]
    grounded = state.grounded_m[chosen] > 0
    assert chosen.size == 200
    for kind in (grounded, ~grounded):
        for heavy in (rope_weight > 1e-6, np.abs(rope_weight) < 1e-6, rope_weight < -1e-6):
            assert np.count_nonzero(kind & heavy[chosen] & (rope[chosen] > 0)) >= 10

    foot = np.zeros((3, 200))
    foot[0] = state.grounded_m[chosen]
    foot[2] = state.anchor_vertical_kn[chosen]
    joint = integrate_line(foot, horizontal, hangs, weight[chosen])
    x, z, vertical = integrate_line(joint, horizontal, rope[chosen], rope_weight[chosen])
    np.testing.assert_allclose(z, depth[chosen], atol=1e-6)
    np.testing.assert_allclose(np.hypot(horizontal, vertical), tension[chosen], rtol=1e-6)
    np.testing.assert_allclose(x, state.radius_m[chosen], atol=1e-6)


def test_finds_lines_built_from_the_anchor_up() -> None:
    """200 lines built by integration from chosen anchor forces are all found possible again."""
    random = np.random.default_rng(7)
    chain = random.uniform(5.0, 80.0, 200)
    weight = random.uniform(0.03, 0.6, 200)
    rope = random.choice([0.0, 30.0, 100.0], 200)
    rope_weight = random.choice([0.0, -0.001, 0.002, 0.01], 200)
    horizontal = 10 ** random.uniform(0.5, 2.5, 200)
    grounded = random.choice([0.0, 0.0, 12.5], 200)
    vertical = np.where(grounded > 0, 0.0, horizontal * random.uniform(0.02, 1.5, 200))

    foot = np.array([grounded, np.zeros(200), vertical])
    joint = integrate_line(foot, horizontal, chain, weight)
    x, depth, top = integrate_line(joint, horizontal, rope, rope_weight)
    state = line_states(
        np.hypot(horizontal, top), depth, chain + grounded, weight, rope, rope_weight, 0.0
    )
    assert state.possible.all()
    np.testing.assert_allclose(state.anchor_vertical_kn, vertical, atol=1e-6, rtol=1e-6)
    np.testing.assert_allclose(state.anchor_horizontal_kn, horizontal, rtol=1e-6)
    np.testing.assert_allclose(state.grounded_m, grounded, atol=1e-5)
    np.testing.assert_allclose(state.radius_m, x, rtol=1e-6)


@pytest.mark.parametrize(
    ("tension", "depth", "chain", "weight", "rope", "rope_weight"),
    [
        pytest.param(50.0, 40.0, 9.0, 0.1, 30.0, 0.001, id="too short to reach"),
        pytest.param(10.0, 60.0, 80.0, 0.3, 0.0, 0.0, id="chain heavier than the tension"),
        pytest.param(10.0, 60.0, 2.0, 0.1, 80.0, 0.3, id="rope heavier than the tension"),
        pytest.param(2.0, 5.0, 20.0, 0.1, 100.0, 0.05, id="rope on the bottom"),
        pytest.param(2.0, 5.0, 1.0, 0.1, 60.0, -0.02, id="rope afloat above its attachment"),
    ],
)
def test_impossible_lines_are_flagged(
    tension: float, depth: float, chain: float, weight: float, rope: float, rope_weight: float
) -> None:
    """A line that cannot stand is not possible and offers no number to go on with."""
    state = line_states(tension, depth, chain, weight, rope, rope_weight, 0.5)
    assert not state.possible
    for value in (state.uplift_deg, state.anchor_tension_kn, state.radius_m, state.grounded_m):
        assert np.isnan(value)


@pytest.mark.parametrize(
    ("change", "possible"),
    [
        pytest.param({}, True, id="sound"),
        pytest.param({"depth_m": 131.0}, False, id="deeper than the line is long"),
        pytest.param({"tension_kn": 0.12}, False, id="so slack that rope lies on the bottom"),
        pytest.param({"rope_kn_m": 0.6}, False, id="rope heavier than the tension"),
    ],
)
def test_each_cause_alone_makes_a_sound_line_impossible(
    change: dict[str, float], possible: bool
) -> None:
    """One sound line, then with each cause of failure put in by itself."""
    sound = {
        "tension_kn": 40.0,
        "depth_m": 40.0,
        "chain_m": 30.0,
        "chain_kn_m": 0.1,
        "rope_m": 100.0,
        "rope_kn_m": 0.001,
        "chain_friction": 0.7,
    }
    assert bool(line_states(**(sound | change)).possible) is possible


@settings(max_examples=150, deadline=None, derandomize=True)
@given(
    tension=st.floats(5.0, 500.0),
    depth=st.floats(5.0, 100.0),
    shorter=st.floats(1.0, 110.0),
    more=st.floats(0.01, 60.0),
    weight=st.floats(0.03, 0.6),
    rope_by_depth=st.floats(0.0, 3.0),
    rope_weight=st.floats(-0.005, 0.02),
    friction=st.floats(0.0, 1.0),
)
def test_longer_chain_never_lifts_or_pulls_the_anchor_harder(
    tension: float,
    depth: float,
    shorter: float,
    more: float,
    weight: float,
    rope_by_depth: float,
    rope_weight: float,
    friction: float,
) -> None:
    """At one tension, under rope lighter than chain, more chain eases uplift and anchor pull."""
    state = line_states(
        tension,
        depth,
        np.array([shorter, shorter + more]),
        weight,
        rope_by_depth * depth,
        rope_weight,
        friction,
    )
    assume(state.possible[0])
    if rope_weight >= 0:
        assert state.possible[1]
    assume(state.possible[1])
    uplift, pull = state.uplift_deg, state.anchor_tension_kn
    assert uplift[1] <= uplift[0] + 1e-7
    assert pull[1] <= pull[0] + 1e-9 * tension


def test_many_lines_at_once_stand_as_each_alone() -> None:
    """A line's answer is the same whatever other lines are asked for in the same call."""
    lines = random_lines(150)
    together = line_states(*lines, 0.7)
    for at in range(150):
        t, d, c, w, r, rw = (values[at] for values in lines)
        alone = line_states(t, d, c, w, r, rw, 0.7)
        assert alone.possible == together.possible[at]
        for name in ("anchor_vertical_kn", "anchor_horizontal_kn", "grounded_m", "radius_m"):
            np.testing.assert_allclose(
                getattr(alone, name), getattr(together, name)[at], rtol=1e-13, equal_nan=True
            )


def test_inputs_broadcast() -> None:
    """Tensions down a column against chain lengths along a row make a table of lines."""
    state = line_states(
        np.array([[20.0], [60.0], [90.0]]), 30.0, np.array([20.0, 40.0]), 0.1, 45.0, 0.001, 0.5
    )
    assert state.possible.shape == state.uplift_deg.shape == (3, 2)
    corner = line_states(90.0, 30.0, 20.0, 0.1, 45.0, 0.001, 0.5)
    assert state.uplift_deg[2, 0] == pytest.approx(float(corner.uplift_deg), rel=1e-12)
