"""The shape of one line at design tension, in its vertical plane, as a drawing needs it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..answer.plan import Assignment
from ..arrays import TINY, Floats
from ..farm import Farm
from ..standing.catenary import line_states, span_m

POINTS = 24
"""Points along each of chain and rope."""

Path = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class LineShape:
    """Points (m across from the anchor, m above the seabed), from the anchor upwards."""

    grounded_m: float
    """Chain that lies on the seabed, from the anchor on."""
    chain: Path
    """The chain that hangs."""
    rope: Path
    """Empty on an all-chain leg."""
    uplift_deg: float
    """At the anchor."""

    @property
    def attachment(self) -> tuple[float, float]:
        """Where the line ends: the leg's radius, and its depth."""
        return (self.rope or self.chain)[-1]


def line_shape(
    tension_kn: float,
    depth_m: float,
    chain_m: float,
    chain_kn_m: float,
    rope_m: float,
    rope_kn_m: float,
    chain_friction: float,
) -> LineShape | None:
    """Return a line's shape, or None where it cannot hang (see `catenary.line_states`).

    Source: the catenary; along a length l of weight w the vertical force grows by w × l, and the
    rise is l (V_upper + V_lower) / (T_upper + T_lower).
    """
    state = line_states(tension_kn, depth_m, chain_m, chain_kn_m, rope_m, rope_kn_m, chain_friction)
    if not bool(state.possible.all()):
        return None
    lying = float(state.grounded_m)
    foot = float(state.anchor_vertical_kn)
    hung = chain_m - lying
    knot = foot + chain_kn_m * hung
    h = float(np.sqrt(max(tension_kn**2 - (knot + rope_kn_m * rope_m) ** 2, 0.0)))
    chain = _path(h, foot, hung, chain_kn_m, (lying, 0.0))
    rope = _path(h, knot, rope_m, rope_kn_m, chain[-1]) if rope_m > 0 else ()
    return LineShape(lying, chain, rope, float(state.uplift_deg))


def _path(h: float, foot_kn: float, length_m: float, w: float, start: tuple[float, float]) -> Path:
    """Return points along a length of one material that leaves `start` upwards."""
    along: Floats = np.linspace(0.0, length_m, POINTS)
    level, low = np.full(POINTS, h), np.full(POINTS, foot_kn)
    up = low + w * along
    rise = along * (up + low) / np.maximum(np.hypot(h, up) + np.hypot(h, low), TINY)
    across = span_m(level, low, up, along)
    across[0] = 0.0  # a length of nothing has no direction
    return tuple(
        (start[0] + float(x), start[1] + float(z)) for x, z in zip(across, rise, strict=True)
    )


def assignment_shape(farm: Farm, row: Assignment) -> LineShape | None:
    """Return the shape of a planned leg, or None where it cannot hang."""
    leg, make_up = farm.leg_by_name[row.leg], row.make_up
    rope = farm.rope_by_name[make_up.rope] if make_up.rope is not None else None
    return line_shape(
        leg.design_tension_kn,
        leg.depth_m,
        make_up.chain_m,
        farm.chain_by_name[make_up.chain].submerged_weight_kn_m,
        make_up.rope_m,
        rope.submerged_weight_kn_m if rope is not None else 0.0,
        farm.seabed_by_name[leg.seabed].chain_friction,
    )
