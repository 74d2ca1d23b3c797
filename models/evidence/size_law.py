"""The size law: a family's holding against mass on one seabed, fitted to its pull tests.

The fit is evidence to look at. Nothing relies on it until the engineer of the farm writes it in
the Holding laws sheet: its numbers never enter a design holding by themselves.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..farm import Farm
from ..goods.anchor import Anchor, HoldsBy
from ..site.pull_test import PullTest
from .anchor_evidence import drags_on_m
from .student_t import quantile

FARTHEST = 2.0
"""Beyond this many times the largest mass tested (or one such part of the smallest), a fit is
extrapolated too far to go without saying so."""

ONE_SIDED = 0.95
"""Probability at each side: the lower limit is undercut by 5 % of further tests, which is the
level of the characteristic value of EN 1990."""


@dataclass(frozen=True)
class LogFit:
    """Least squares of ln load on ln mass: load = e^level × mass^exponent."""

    points: int
    exponent: float
    mean_log_mass: float
    mean_log_load: float
    spread: float
    """Sum of squares of ln mass about its mean."""
    deviation: float | None
    """Residual standard deviation of ln load; None with no degrees of freedom."""

    @property
    def freedom(self) -> int:
        """Degrees of freedom: the points less the two constants fitted."""
        return self.points - 2

    @property
    def exponent_error(self) -> float | None:
        """Standard error of the exponent; None with no degrees of freedom."""
        return None if self.deviation is None else self.deviation / math.sqrt(self.spread)

    def load_kn(self, mass_kg: float) -> float:
        """Return the load of the fitted line at a mass, in the unit of the loads fitted."""
        return math.exp(
            self.mean_log_load + self.exponent * (math.log(mass_kg) - self.mean_log_mass)
        )

    def margin(self, mass_kg: float) -> float | None:
        """Return ln(upper limit ÷ line) of one further test at a mass; None: no freedom.

        t × s × √(1 + 1/n + (x − x̄)²/S), the prediction interval of a straight line.
        """
        if self.deviation is None:
            return None
        away = (math.log(mass_kg) - self.mean_log_mass) ** 2 / self.spread
        t = quantile(ONE_SIDED, self.freedom)
        return t * self.deviation * math.sqrt(1 + 1 / self.points + away)


def log_fit(masses: Sequence[float], loads: Sequence[float]) -> LogFit:
    """Return the log-log fit of loads to masses, all above zero, of two masses or more.

    Raises ValueError where there are fewer than two different masses, or a load is not above zero.
    """
    if len(set(masses)) < 2 or min(masses) <= 0 or min(loads) <= 0:
        raise ValueError("needs loads above zero at two different masses or more")
    x, y = np.log(np.asarray(masses, float)), np.log(np.asarray(loads, float))
    dx, dy = x - x.mean(), y - y.mean()
    spread = float(dx @ dx)
    exponent = float(dx @ dy) / spread
    freedom = len(x) - 2
    residual = dy - exponent * dx
    deviation = math.sqrt(float(residual @ residual) / freedom) if freedom > 0 else None
    return LogFit(len(x), exponent, float(x.mean()), float(y.mean()), spread, deviation)


@dataclass(frozen=True)
class Prediction:
    """What a size law says of one anchor."""

    anchor: Anchor
    holding_kn: float
    lower_kn: float | None
    upper_kn: float | None
    remark: str
    """How its mass stands to those tested; "" for a size in between."""


@dataclass(frozen=True)
class SizeLaw:
    """One family on one seabed within one allowed drag; `fit` is None where refused."""

    family: str
    seabed: str
    allowed_drag_m: float
    masses_kg: tuple[float, ...]
    """The different masses tested, least first."""
    tests: int
    fit: LogFit | None
    refusal: str = ""
    stopped: int = 0
    """Tests stopped within the drag: fitted at what they held, which is a lower bound."""

    @property
    def remark(self) -> str:
        """What the fit cannot tell."""
        if self.fit is None:
            return self.refusal
        said = []
        if self.fit.freedom == 0:
            said.append(
                "two tests, no degrees of freedom: no standard error and no interval; test more"
            )
        elif len(self.masses_kg) == 2:
            said.append(
                "two sizes: the interval takes the form of the law for granted, which only a "
                "third size can test"
            )
        if self.stopped:
            said.append(
                f"{self.stopped} of the tests stopped while holding, fitted at what they held"
            )
        if self.fit.exponent <= 0:
            said.append("holding does not rise with mass: not a law to rely on")
        return "; ".join(said)

    def prediction(self, anchor: Anchor) -> Prediction | None:
        """Return what the law says of an anchor; None where there is no fit."""
        if self.fit is None:
            return None
        load, margin = self.fit.load_kn(anchor.mass_kg), self.fit.margin(anchor.mass_kg)
        return Prediction(
            anchor,
            load,
            None if margin is None else load * math.exp(-margin),
            None if margin is None else load * math.exp(margin),
            self.place_of(anchor.mass_kg),
        )

    def place_of(self, mass_kg: float) -> str:
        """Return how a mass stands to those tested; "" where it lies between them."""
        least, most = self.masses_kg[0], self.masses_kg[-1]
        if mass_kg > FARTHEST * most:
            return f"EXTRAPOLATED: beyond twice the largest mass tested ({most:g} kg)"
        if mass_kg > most:
            return f"above the largest mass tested ({most:g} kg)"
        if mass_kg < least / FARTHEST:
            return f"EXTRAPOLATED: under half the smallest mass tested ({least:g} kg)"
        if mass_kg < least:
            return f"below the smallest mass tested ({least:g} kg)"
        return ""

    @property
    def row_to_adopt(self) -> tuple[float, float, float] | None:
        """Reference mass (kg), reference holding (kN) and exponent of a Holding laws row.

        The fitted line lowered until it lies nowhere above the lower limit between the sizes
        tested. None where there is no lower limit, or where holding does not rise with mass.
        """
        if self.fit is None or self.fit.deviation is None or self.fit.exponent <= 0:
            return None
        mass = math.exp(self.fit.mean_log_mass)
        margin = max(self.fit.margin(end) or 0.0 for end in self.masses_kg)
        return mass, self.fit.load_kn(mass) * math.exp(-margin), self.fit.exponent


def size_laws(farm: Farm) -> tuple[SizeLaw, ...]:
    """Return the law of every family tested at two sizes or more on one seabed.

    One for each allowed drag of the legs there (in a farm without legs, asked for); anchors that
    hold by weight are left out.
    """
    laws = []
    for family in farm.families:
        masses = {
            a.name: a.mass_kg
            for a in farm.anchors
            if a.family == family and a.holds_by is HoldsBy.EMBEDDING
        }
        for seabed in farm.seabeds:
            tests = [t for t in farm.pull_tests if t.anchor in masses and t.seabed == seabed.name]
            if len({masses[t.anchor] for t in tests}) < 2:
                continue
            drags = drags_on_m(farm, seabed.name)
            laws += [size_law(family, seabed.name, drag, tests, masses) for drag in drags]
    return tuple(laws)


def size_law(
    family: str,
    seabed: str,
    allowed_drag_m: float,
    tests: Sequence[PullTest],
    masses_kg: dict[str, float],
) -> SizeLaw:
    """Return the law of a family's usable loads within one allowed drag.

    Refused where a test rolled out or broke within it: what is left after letting go follows
    no law of size.

    masses_kg : by the name of the anchor tested; two different ones or more.
    """
    loads = [test.usable_load_kn(allowed_drag_m) for test in tests]
    masses = [masses_kg[test.anchor] for test in tests]
    sizes = tuple(sorted(set(masses)))
    let_go = [
        test.name
        for test, load in zip(tests, loads, strict=True)
        if load <= 0 or not test.held_within(allowed_drag_m)
    ]
    if let_go:
        refusal = (
            f"no fit: no holding within {allowed_drag_m:g} m, or let go, in {', '.join(let_go)}"
        )
        return SizeLaw(family, seabed, allowed_drag_m, sizes, len(tests), None, refusal)
    fit = log_fit(masses, loads)
    stopped = sum(test.stopped_within(allowed_drag_m) for test in tests)
    return SizeLaw(family, seabed, allowed_drag_m, sizes, len(tests), fit, stopped=stopped)
