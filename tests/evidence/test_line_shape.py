"""The shape of a line as it is drawn, against an integration that knows no catenary."""

from __future__ import annotations

import math

import numpy as np
import pytest
from moorledger.models.evidence.line_shape import assignment_shape, line_shape
from scipy.integrate import solve_ivp

from tests.farms.plan_fixture import example_plan

LINES = {
    "lifted chain, sinking rope": (60.0, 20.0, 15.0, 0.075, 60.0, 0.001),
    "grounded chain, sinking rope": (20.0, 10.0, 40.0, 0.2, 20.0, 0.002),
    "lifted chain, floating rope": (40.0, 25.0, 20.0, 0.09, 70.0, -0.0005),
    "chain alone": (50.0, 15.0, 80.0, 0.12, 0.0, 0.0),
    "weightless rope": (30.0, 12.0, 25.0, 0.1, 30.0, 0.0),
}


@pytest.mark.parametrize("line", LINES.values(), ids=LINES)
def test_shape_is_that_of_a_cable_integrated_from_its_top(line: tuple[float, ...]) -> None:
    """Downwards from the attachment, dx/ds = H/T and dz/ds = V/T carry every point drawn.

    Statics of an element of cable: its weight is the change of the vertical force (common
    practice, no source). The integration knows the tension and the end point, and no catenary.
    """
    tension, depth, chain_m = line[:3]
    shape = line_shape(*line, 0.7)
    assert shape is not None
    assert shape.attachment[1] == pytest.approx(depth, abs=1e-9)
    # The horizontal force is shot for, until the cable's foot comes to the seabed.
    low, high = 0.5 * tension, tension
    for _ in range(60):
        h = 0.5 * (low + high)
        cable = _integrated(h, tension, line, shape.attachment, chain_m - shape.grounded_m)
        low, high = (h, high) if cable[-1][1] < 0 else (low, h)
    for x, z in (*shape.chain, *shape.rope):
        assert min(math.hypot(x - a, z - b) for a, b in cable) < 0.02
    assert cable[-1] == pytest.approx((shape.grounded_m, 0.0), abs=1e-4)


def _integrated(
    h: float,
    tension: float,
    line: tuple[float, ...],
    top: tuple[float, float],
    chain_m: float,
) -> list[tuple[float, float]]:
    """Return points of the cable from its top down, every 1 cm or so."""
    _, _, _, chain_w, rope_m, rope_w = line
    vertical = math.sqrt(tension**2 - h**2)
    points = [top]
    for length, weight in ((rope_m, rope_w), (chain_m, chain_w)):
        if length <= 0:
            continue

        def slope(s: float, _: object, v: float = vertical, w: float = weight) -> list[float]:
            here = v - w * s
            return [-h / math.hypot(h, here), -here / math.hypot(h, here)]

        run = solve_ivp(slope, (0.0, length), points[-1], rtol=1e-10, atol=1e-12,
                        t_eval=np.linspace(0.0, length, 4000))  # fmt: skip
        points += list(zip(*run.y.tolist(), strict=True))
        vertical -= weight * length
    return points


def test_a_line_that_is_too_short_has_no_shape() -> None:
    """25 m of line cannot reach 30 m up."""
    assert line_shape(50.0, 30.0, 15.0, 0.1, 10.0, 0.001, 0.7) is None


def test_a_planned_leg_is_drawn_with_its_own_items() -> None:
    """Leg north of the example: 20 m of chain and 60 m of rope reach up its 20 m of depth."""
    plan = example_plan()
    shape = assignment_shape(plan.farm, plan.assignments[0])
    assert shape is not None
    assert shape.attachment[1] == pytest.approx(20.0)
    assert shape.rope
    length = sum(math.dist(a, b) for a, b in zip(shape.rope, shape.rope[1:], strict=False))
    assert length == pytest.approx(60.0, rel=1e-4)
