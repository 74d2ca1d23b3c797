"""One leg's geometry: rope above, ground chain below, static and inextensible, flat seabed.

Source: the catenary is standard mathematics (Faltinsen, Sea Loads, 1990, ch. 8, from memory);
the two-material form is our own derivation and is checked against numerical integration.
With vertical force V and horizontal force H, a length l of submerged weight w per metre rises
(T_upper − T_lower) / w = l (V_upper + V_lower) / (T_upper + T_lower), which holds for w → 0 too.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..arrays import TINY, Floats

ROUNDS = 80
"""Most rounds of the root search; each at least halves the bracket, most do far better."""

TOLERANCE = 1e-13
"""Relative precision of the vertical force at which the root search rests."""

WEIGHTLESS = 1e-6
"""A length whose weight is a smaller share than this of its tension hangs straight."""


@dataclass(frozen=True)
class LineState:
    """How lines stand at design tension; every array has the broadcast shape of the inputs.

    Where `possible` is false the other arrays hold nan.
    """

    possible: NDArray[np.bool_]
    """False: too short, too heavy for its tension, rope on the bottom, or rope afloat above
    its attachment."""
    anchor_vertical_kn: Floats
    anchor_horizontal_kn: Floats
    """Horizontal force at the anchor, what the chain on the seabed rubs off taken away."""
    grounded_m: Floats
    radius_m: Floats

    @cached_property
    def anchor_tension_kn(self) -> Floats:
        """Tension at the anchor, kN."""
        return np.hypot(self.anchor_vertical_kn, self.anchor_horizontal_kn)

    @cached_property
    def uplift_deg(self) -> Floats:
        """Angle of the line above the seabed at the anchor, degrees."""
        angle = np.degrees(np.arctan2(self.anchor_vertical_kn, self.anchor_horizontal_kn))
        return np.asarray(angle, dtype=np.float64)


def _rise(
    vertical: Floats, chain_m: Floats, chain_w: Floats, rope_m: Floats, rope_w: Floats, t: Floats
) -> tuple[Floats, Floats]:
    """Return the rise (m) of a line with this vertical force at its lower end, and d rise/dV."""
    v_chain = vertical + chain_w * chain_m
    v_top = v_chain + rope_w * rope_m
    h_square = np.maximum(t * t - v_top * v_top, 0.0)
    t_low = np.sqrt(h_square + vertical * vertical)
    t_chain = np.sqrt(h_square + v_chain * v_chain)
    chain_sum = np.maximum(t_chain + t_low, TINY)
    rope_sum = t + t_chain
    chain_rise = chain_m * (v_chain + vertical) / chain_sum
    rope_rise = rope_m * (v_top + v_chain) / rope_sum
    # With T fixed at the top, dH²/dV = −2 V_top; the tensions lower down follow.
    d_low = (vertical - v_top) / np.maximum(t_low, TINY)
    d_chain = (v_chain - v_top) / np.maximum(t_chain, TINY)
    slope = (2 * chain_m - chain_rise * (d_chain + d_low)) / chain_sum + (
        2 * rope_m - rope_rise * d_chain
    ) / rope_sum
    return chain_rise + rope_rise, slope


def _root(
    value_and_slope: Callable[..., tuple[Floats, Floats]],
    given: tuple[Floats, ...],
    bracket: tuple[Floats, Floats],
    start: Floats,
    depth: Floats,
) -> Floats:
    """Return x in its bracket where value_and_slope(x, *given)[0], which increases, is `depth`.

    Newton's step where it stays inside the bracket, else the middle; all elements at once, and
    each rests where it has settled, so that no line's answer depends on the others in the call.
    start : where x is guessed to be.
    """
    low, high = bracket
    x = np.where((start > low) & (start < high), start, 0.5 * (low + high))
    found = x.copy()
    places: NDArray[np.int64] = np.arange(x.size)
    for _ in range(ROUNDS):
        value, slope = value_and_slope(x, *given)
        miss = value - depth
        below = miss < 0
        low = np.where(below, x, low)
        high = np.where(below, high, x)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = x - miss / slope
        close = TOLERANCE * np.maximum(np.abs(high), 1e-12)
        settled = np.abs(step - x) <= close
        inside = (step > low) & (step < high)
        new = np.where(inside, step, 0.5 * (low + high))
        new = np.where(settled, x, new)
        settled |= np.abs(new - x) <= close
        found[places] = x = new
        left = np.flatnonzero(~settled)
        if not left.size:
            break
        if left.size < x.size:
            x, low, high, depth = (one[left] for one in (x, low, high, depth))
            places, given = places[left], tuple(one[left] for one in given)
    return found


def line_states(
    tension_kn: Floats | float,
    depth_m: Floats | float,
    chain_m: Floats | float,
    chain_kn_m: Floats | float,
    rope_m: Floats | float,
    rope_kn_m: Floats | float,
    chain_friction: Floats | float,
) -> LineState:
    """Return how lines stand, for inputs of any shapes that broadcast together.

    tension_kn : at the attachment. depth_m : seabed to attachment. chain_m, rope_m : lengths.
    chain_kn_m, rope_kn_m : submerged weights per metre (a rope's may be negative).
    chain_friction : of chain on the seabed, dimensionless.

    The rope is uppermost. Where the chain is partly grounded, V = 0 at the touch-down point and
    friction takes μ w (L − s) off the horizontal force, to no less than zero.
    """
    arrays = np.broadcast_arrays(
        tension_kn, depth_m, chain_m, chain_kn_m, rope_m, rope_kn_m, chain_friction
    )
    shape = arrays[0].shape
    t, d, length, w, rope, w_rope, friction = (
        np.asarray(a, dtype=np.float64).reshape(-1) for a in arrays
    )
    zero = np.zeros_like(t)
    spare = t - w * length - w_rope * rope  # the most vertical force there can be at the anchor
    slack = (
        _rise(zero, length, w, rope, w_rope, t)[0] >= d
    )  # more line than a horizontal pull at the anchor needs
    grounded = slack | (spare <= 0)
    lifted = ~grounded & (rope + length >= d)
    possible = np.zeros(t.shape, dtype=bool)
    vertical = np.full(t.shape, np.nan)
    lying = np.full(t.shape, np.nan)

    if lifted.any():
        at = np.flatnonzero(lifted)
        # A taut line is nearly straight: half-way along it the vertical force is T × slope.
        straight = t[at] * d[at] / (length[at] + rope[at]) - 0.5 * (t[at] - spare[at])
        lifted_part = (length[at], w[at], rope[at], w_rope[at], t[at])
        vertical[at] = _root(_rise, lifted_part, (zero[at], spare[at]), straight, d[at])
        lying[at] = 0.0
        possible[at] = True
    if grounded.any():
        at = np.flatnonzero(grounded & (np.abs(w_rope * rope) < t))
        # The longest part of the chain that can hang: its weight and the rope's are all of T.
        most = np.minimum(length[at], (t[at] - w_rope[at] * rope[at]) / w[at])
        rope_alone = _rise(zero[at], zero[at], w[at], rope[at], w_rope[at], t[at])[0]
        reaches = _rise(zero[at], most, w[at], rope[at], w_rope[at], t[at])[0] >= d[at]
        at_ok = at[(rope_alone <= d[at]) & reaches]
        hang_most = most[(rope_alone <= d[at]) & reaches]
        part = (w[at_ok], rope[at_ok], w_rope[at_ok], t[at_ok])
        # Where the line is nearly flat, its rise is w s (s ÷ 2 + rope) ÷ T.
        flat = np.sqrt(part[1] ** 2 + 2 * d[at_ok] * part[3] / part[0]) - part[1]
        hanging = _root(_rise_of_hanging, part, (zero[at_ok], hang_most), flat, d[at_ok])
        vertical[at_ok] = 0.0
        lying[at_ok] = length[at_ok] - hanging
        possible[at_ok] = True

    hung = length - lying
    v_chain = vertical + w * hung
    v_top = v_chain + w_rope * rope
    possible &= v_top >= 0.0  # a rope that floats above its attachment is no mooring
    h = np.sqrt(np.maximum(t * t - v_top * v_top, 0.0))
    at_anchor = np.maximum(h - friction * w * lying, 0.0)
    radius = lying + span_m(h, vertical, v_chain, hung) + span_m(h, v_chain, v_top, rope)
    for array in (vertical, lying, at_anchor, radius):
        array[~possible] = np.nan
    return LineState(
        possible.reshape(shape),
        vertical.reshape(shape),
        at_anchor.reshape(shape),
        lying.reshape(shape),
        radius.reshape(shape),
    )


def _rise_of_hanging(
    hanging: Floats, w: Floats, rope: Floats, w_rope: Floats, t: Floats
) -> tuple[Floats, Floats]:
    """Return the rise when `hanging` metres of chain are off the bottom, and its slope."""
    zero = np.zeros_like(hanging)
    rise = _rise(zero, hanging, w, rope, w_rope, t)[0]
    v_chain = w * hanging
    v_top = v_chain + w_rope * rope
    h = np.sqrt(np.maximum(t * t - v_top * v_top, TINY))
    t_chain = np.hypot(h, v_chain)
    # rise = (T_chain − H)/w + R (V_top + V_chain)/(T + T_chain); dH/ds = −w V_top/H.
    d_h = -w * v_top / h
    d_t_chain = w * (v_chain - v_top) / t_chain
    d_rope = rope * (2 * w * (t + t_chain) - (v_top + v_chain) * d_t_chain) / (t + t_chain) ** 2
    return rise, (d_t_chain - d_h) / w + d_rope


def span_m(h: Floats, v_low: Floats, v_up: Floats, length: Floats) -> Floats:
    """Return the horizontal span of a length between two vertical forces, m.

    H/w (asinh(V_up/H) − asinh(V_low/H)), written with its difference quotient so that a
    weightless length comes out as its limit, length × H / T.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        rise_in_v = v_up - v_low
        spread = np.arcsinh(v_up / h) - np.arcsinh(v_low / h)
        heavy = np.abs(rise_in_v) > WEIGHTLESS * np.maximum(h, np.abs(v_up))
        mean = 0.5 * (v_up + v_low)
        curved = length * h * spread / rise_in_v
        straight = length * h / np.hypot(h, mean)
    span = np.where(heavy, curved, straight)
    return np.where(h > 0, span, 0.0)
