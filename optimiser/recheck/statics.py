"""How one line hangs, worked from its top downwards, for the check of a finished plan.

The line's own equilibrium is all there is: the tension T at the attachment is known, so a guess
of its vertical part V_t gives H = √(T² − V_t²). Going down the rope leaves V_c = V_t − w_r R and
T_c = √(H² + V_c²), and takes up R (V_t + V_c)/(T + T_c) of the depth. The chain must do the
rest, and loses w_c per metre of rise: T_low = T_c − w_c × rise. Where T_low = H it comes in
along the seabed; where T_low > H it is lifted, and is as long as (V_c − √(T_low² − H²))/w_c.

Source: equilibrium of a heavy inextensible line, our own derivation.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from dataclasses import dataclass

STRAIGHT = 1e-7
"""A length whose weight is a smaller share than this of its tension hangs straight."""


@dataclass(frozen=True)
class HangingLine:
    """Forces at the anchor (kN), chain on the seabed (m), horizontal reach (m)."""

    vertical_kn: float
    horizontal_kn: float
    """What friction of the grounded chain takes is off."""
    grounded_m: float
    radius_m: float

    @property
    def tension_kn(self) -> float:
        """Tension at the anchor, kN."""
        return math.sqrt(self.vertical_kn**2 + self.horizontal_kn**2)

    @property
    def uplift_deg(self) -> float:
        """Angle of the line above the seabed at the anchor, degrees."""
        return math.degrees(math.atan2(self.vertical_kn, self.horizontal_kn))


def hang(
    tension_kn: float,
    depth_m: float,
    chain_m: float,
    chain_kn_m: float,
    rope_m: float,
    rope_kn_m: float,
    chain_friction: float,
) -> HangingLine | None:
    """Return how the line hangs, or None where it cannot: short, too heavy, rope on the bottom.

    Weights are submerged, per metre; a rope's may be negative (it floats). Nor can it where the
    tension is not known (nan), or wear has left no chain.
    """
    if math.isnan(tension_kn) or chain_kn_m <= 0:
        return None

    def below_rope(v_top: float) -> tuple[float, float, float, float]:
        """Return H, V_c, T_c and the rise left to the chain."""
        h = math.sqrt(max((tension_kn - v_top) * (tension_kn + v_top), 0.0))
        v_chain = v_top - rope_kn_m * rope_m
        t_chain = math.sqrt(h * h + v_chain * v_chain)
        return h, v_chain, t_chain, depth_m - rope_m * (v_top + v_chain) / (tension_kn + t_chain)

    def over_horizontal(v_top: float) -> float:
        """T_low − H: below zero, the chain is flat before it has come down to the seabed."""
        h, _, t_chain, rise = below_rope(v_top)
        return t_chain - chain_kn_m * rise - h

    def chain_used(v_top: float) -> float:
        h, v_chain, t_chain, rise = below_rope(v_top)
        if rise <= 0:
            return 0.0
        t_low = t_chain - chain_kn_m * rise
        return (v_chain - math.sqrt(max((t_low - h) * (t_low + h), 0.0))) / chain_kn_m

    least = max(0.0, rope_kn_m * rope_m)  # the chain cannot push, nor the rope pull downwards
    if rope_m + chain_m < depth_m or least > tension_kn or over_horizontal(tension_kn) < 0:
        return None
    floats_up = over_horizontal(least) > 0
    touching = least if floats_up else _crossing(over_horizontal, least, tension_kn)
    if not floats_up and below_rope(touching)[1] <= chain_kn_m * chain_m:
        v_top = touching
        hung = max(below_rope(v_top)[1], 0.0) / chain_kn_m
        v_anchor = 0.0
    elif chain_used(touching) < chain_m:
        return None  # the rope lies on the bottom, or stands above its attachment
    else:
        v_top = _crossing(lambda v: chain_m - chain_used(v), touching, tension_kn)
        hung = chain_m
        v_anchor = max(below_rope(v_top)[1] - chain_kn_m * chain_m, 0.0)
    h, v_chain, _, _ = below_rope(v_top)
    grounded = chain_m - hung
    radius = grounded + _reach(h, v_anchor, v_chain, hung) + _reach(h, v_chain, v_top, rope_m)
    at_anchor = max(h - chain_friction * chain_kn_m * grounded, 0.0)
    return HangingLine(v_anchor, at_anchor, grounded, radius)


def _crossing(rising: Callable[[float], float], low: float, high: float) -> float:
    """Return where a function that rises through zero does so, by halving to the last bit."""
    while True:
        middle = 0.5 * (low + high)
        if middle <= low or middle >= high:
            return high
        if rising(middle) < 0:
            low = middle
        else:
            high = middle


def _reach(h: float, v_lower: float, v_upper: float, length_m: float) -> float:
    """Return the horizontal reach of a length of line, m."""
    if h <= 0 or length_m <= 0:
        return 0.0
    weight = v_upper - v_lower
    if abs(weight) < STRAIGHT * math.hypot(h, v_upper):
        return length_m * h / math.hypot(h, 0.5 * (v_lower + v_upper))
    return length_m * h * (math.asinh(v_upper / h) - math.asinh(v_lower / h)) / weight


def towards(bearing_deg: float) -> complex:
    """Return a metre along a bearing: east the real part, north the imaginary."""
    return 1j * cmath.exp(-1j * math.radians(bearing_deg))


def reach_m(corners: list[complex], start: complex, ahead: complex, radius_m: float) -> float:
    """Return how far out an anchor may lie along a bearing, m.

    Inside the lease (its boundary turns once round the anchor), to the boundary beyond it;
    outside, to the boundary that it has passed, or 0.
    """
    sides = list(zip(corners, corners[1:] + corners[:1], strict=True))
    seen = [corner - (start + radius_m * ahead) for corner in corners]
    turned = math.fsum(
        cmath.phase(after / before) if before and after else 0.0
        for before, after in zip(seen, seen[1:] + seen[:1], strict=True)
    )
    crossed = []
    for first, last in sides:
        # Turned so that the bearing is the real axis, a side is crossed where it meets that axis.
        near, far = (first - start) / ahead, (last - start) / ahead
        if near.imag * far.imag <= 0 and near.imag != far.imag:
            share = near.imag / (near.imag - far.imag)
            crossed.append(near.real + share * (far.real - near.real))
    if abs(turned) > math.pi:
        return min((m for m in crossed if m >= radius_m), default=radius_m)
    return max((m for m in crossed if 0 <= m <= radius_m), default=0.0)
