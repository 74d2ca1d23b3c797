"""Break-even: which plan is least from which rate to which, and where options cost the same."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, pairwise

from ..answer.plan import Plan, within_gap
from ..answer.stopped import Stopped
from ..rate import Rate


@dataclass(frozen=True)
class CostLine:
    """What one plan costs at a multiplier: fixed + rated × multiplier, project currency."""

    fixed: float
    rated: float

    def at(self, multiplier: float) -> float:
        """Return the cost at a multiplier."""
        return self.fixed + self.rated * multiplier

    def meets(self, other: CostLine) -> float | None:
        """Return the multiplier at which two lines cost the same; None where they never do."""
        if self.rated == other.rated:
            return None
        return (other.fixed - self.fixed) / (self.rated - other.rated)


@dataclass(frozen=True)
class Stretch:
    """From one multiplier to another one plan is least."""

    low: float
    high: float
    line: CostLine
    plan: Plan
    """As it stands at today's rates, or where the option has no plan there, as it was found."""
    gap: float
    """The most by which any plan could be cheaper anywhere on the stretch, as a share."""


@dataclass(frozen=True)
class OptionCosts:
    """The least cost of one option at every multiplier: stretches that join on to each other."""

    option: str
    stretches: tuple[Stretch, ...]
    bounds: tuple[tuple[float, float], ...]
    """Points (multiplier, cost) with straight lines between: no plan costs less."""
    why: str = ""
    """Why it has no plan, where it has none."""

    @property
    def break_points(self) -> tuple[float, ...]:
        """The multipliers at which the plan changes."""
        return tuple(stretch.low for stretch in self.stretches[1:])

    @property
    def gap(self) -> float:
        """The worst gap of any stretch."""
        return max((stretch.gap for stretch in self.stretches), default=0.0)

    def at(self, multiplier: float) -> float:
        """Return the cost of the best plan known at a multiplier."""
        return min(stretch.line.at(multiplier) for stretch in self.stretches)

    def bound_at(self, multiplier: float) -> float:
        """Return what no plan of the option costs less than at a multiplier."""
        return between(self.bounds, multiplier)


@dataclass(frozen=True)
class Crossing:
    """Two options cost the same at a multiplier, by the best plans known."""

    one: str
    other: str
    multiplier: float
    cost: float
    cheaper_below: str
    low: float
    """Below this, down to the next crossing, the cheaper one is proven cheaper."""
    high: float
    """Above this, up to the next crossing, the other is proven cheaper."""


@dataclass(frozen=True)
class Advantage:
    """By how much one option is cheaper than another at a multiplier."""

    multiplier: float
    cheaper: str
    dearer: str
    by: float
    """By the best plans known."""
    at_least: float
    """Proven: no plan of the dearer one comes nearer to the plan known of the cheaper one."""


@dataclass(frozen=True)
class BreakEven:
    """The answer to one question of break-even."""

    rate: Rate
    low: float
    high: float
    asked_gap: float
    options: tuple[OptionCosts, ...]
    crossings: tuple[Crossing, ...]
    solves: int
    seconds: float
    stopped: Stopped | None = None

    @property
    def advantages(self) -> tuple[Advantage, ...]:
        """Of every two options with plans, at both ends of the range and at today's rate."""
        ats = [at for at in (self.low, 1.0, self.high) if self.low <= at <= self.high]
        pairs = combinations([option for option in self.options if option.stretches], 2)
        return tuple(_advantage(*pair, at) for pair in pairs for at in dict.fromkeys(ats))

    @property
    def proven(self) -> bool:
        """Whether every stretch is within the gap asked."""
        return all(within_gap(one.gap, self.asked_gap) for one in self.options)


def _advantage(one: OptionCosts, other: OptionCosts, at: float) -> Advantage:
    cheaper, dearer = (one, other) if one.at(at) <= other.at(at) else (other, one)
    by = dearer.at(at) - cheaper.at(at)
    least = max(dearer.bound_at(at) - cheaper.at(at), 0.0)
    return Advantage(at, cheaper.option, dearer.option, by, least)


def between(points: tuple[tuple[float, float], ...], across: float) -> float:
    """Return the height at `across` of straight lines between points, in order from the left.

    Raises ValueError outside them.
    """
    for (x0, y0), (x1, y1) in pairwise(points):
        if x0 <= across <= x1:
            return y0 if x1 == x0 else y0 + (y1 - y0) * (across - x0) / (x1 - x0)
    if len(points) == 1 and across == points[0][0]:
        return points[0][1]
    raise ValueError(f"{across:g} lies outside the points")
