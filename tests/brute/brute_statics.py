"""How one line hangs, by ordinary catenary formulae and scipy's root finder.

The unknown is what the anchor feels from below: the vertical force V at the chain's lower end where
all of the chain is lifted, or the metres s that hang where some of it lies. From there up:
V_c = V + w s, V_t = V_c + w_r R, H = √(T² − V_t²); a part of weight w that turns from V_1 to V_2
rises (√(H² + V_2²) − √(H² + V_1²)) / w, and a weightless one R V / √(H² + V²).

Source: the catenary is standard mathematics; the formulae are those of MODEL section 1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from scipy.optimize import brentq

LIGHT = 1e-6
"""A part that weighs less than this share of its tension is taken as a straight line."""


@dataclass(frozen=True)
class Hanging:
    """Forces at the anchor (kN), chain on the seabed (m), horizontal reach (m)."""

    vertical_kn: float
    horizontal_kn: float
    grounded_m: float
    radius_m: float

    @property
    def pull_kn(self) -> float:
        return math.hypot(self.vertical_kn, self.horizontal_kn)

    @property
    def uplift_deg(self) -> float:
        return math.degrees(math.atan2(self.vertical_kn, self.horizontal_kn))


def _rise(h: float, low: float, up: float, length: float) -> float:
    """Return what a part rises between two vertical forces, m."""
    if length <= 0:
        return 0.0
    if abs(up - low) <= LIGHT * math.hypot(h, up):
        middle = (low + up) / 2
        return length * middle / math.hypot(h, middle)
    return length * (math.hypot(h, up) - math.hypot(h, low)) / (up - low)


def _reach(h: float, low: float, up: float, length: float) -> float:
    """Return the horizontal span of a part between two vertical forces, m."""
    if length <= 0 or h <= 0:
        return 0.0
    if abs(up - low) <= LIGHT * math.hypot(h, up):
        return length * h / math.hypot(h, (low + up) / 2)
    return length * h / (up - low) * (math.asinh(up / h) - math.asinh(low / h))


@lru_cache(maxsize=500_000)
def hanging(
    tension: float,
    depth: float,
    chain_m: float,
    chain_kn_m: float,
    rope_m: float,
    rope_kn_m: float,
    friction: float,
) -> Hanging | None:
    """Return how a line hangs; None where it cannot."""
    if rope_m + chain_m < depth or chain_kn_m <= 0 or tension <= 0:
        return None

    def forces(vertical: float, hung: float) -> tuple[float, float, float]:
        v_chain = vertical + chain_kn_m * hung
        v_top = v_chain + rope_kn_m * rope_m
        return v_chain, v_top, math.sqrt(max((tension - v_top) * (tension + v_top), 0.0))

    def above(vertical: float, hung: float) -> float:
        """Return by how much the attachment would come out above where it is, m."""
        v_chain, v_top, h = forces(vertical, hung)
        rise = _rise(h, vertical, v_chain, hung) + _rise(h, v_chain, v_top, rope_m)
        return rise - depth

    # As much as the tension can carry, or the whole of it.
    carried = min(chain_m, (tension - rope_kn_m * rope_m) / chain_kn_m)
    if carried < 0 or above(0.0, 0.0) > 0:
        return None  # too heavy, or the rope lies on the bottom
    if above(0.0, carried) >= 0:
        vertical = 0.0
        hung = brentq(lambda s: above(0.0, s), 0.0, carried, xtol=1e-13, rtol=1e-14)
    elif carried < chain_m:
        return None
    else:
        hung = chain_m
        most = tension - chain_kn_m * chain_m - rope_kn_m * rope_m
        if most < 0 or above(most, hung) < 0:
            return None
        vertical = brentq(lambda v: above(v, chain_m), 0.0, most, xtol=1e-13, rtol=1e-14)
    v_chain, v_top, h = forces(vertical, hung)
    if v_top < 0:
        return None  # a rope that floats above its attachment is no mooring
    lying = chain_m - hung
    radius = lying + _reach(h, vertical, v_chain, hung) + _reach(h, v_chain, v_top, rope_m)
    return Hanging(vertical, max(h - friction * chain_kn_m * lying, 0.0), lying, radius)
