"""The lower envelope of plans along a rate: exact break points by recursive intersection.

A plan's cost is a straight line in the multiplier, so the least cost of all plans is concave and
piecewise linear. Where the lines of two optimal plans meet, either no plan is cheaper, and the
meeting is a break point; or a cheaper plan is found there, and its line is met with theirs in
turn (Eisner and Severance, 1976, Journal of the ACM 23(4), from memory). Here every solve also
gives a bound, and as the least cost is concave, straight lines between bounds are bounds too: so
the gap is known everywhere between the multipliers that were solved, not only at them.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from ...models.arrays import ROUNDING
from ...models.asked.break_even import CostLine, between

Answer = TypeVar("Answer")

SAME = 1e-9
"""Share by which costs, or multipliers, may differ and be the same."""

MOST_TRIES = 4
"""Most solves at one multiplier."""

Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Sample(Generic[Answer]):
    """What a solve at one multiplier found: a plan with its line (none: None), and a bound."""

    answer: Answer | None
    line: CostLine | None
    bound: float


@dataclass(frozen=True)
class EnvelopePiece(Generic[Answer]):
    """One stretch of the envelope."""

    low: float
    high: float
    line: CostLine
    answer: Answer
    gap: float


@dataclass(frozen=True)
class Envelope(Generic[Answer]):
    """The pieces from left to right (none: no plan was found), and the bound under them."""

    pieces: tuple[EnvelopePiece[Answer], ...]
    bounds: Points
    solves: int


class Intersection(Generic[Answer]):
    """The recursion, over any problem whose solutions cost straight lines in a multiplier."""

    def __init__(
        self,
        solve: Callable[[float], Sample[Answer]],
        low: float,
        high: float,
        *,
        gap: float = 0.0,
        going: Callable[[], bool] = lambda: True,
    ) -> None:
        """solve : the least solution at a multiplier. gap : share that is near enough.
        going : False once no further solve may begin; the ends are solved in any case."""
        if not low < high:
            raise ValueError(f"from {low:g} to {high:g} is no range")
        self.solve = solve
        self.low, self.high = low, high
        self.gap = gap
        self.going = going
        self.lines: list[tuple[CostLine, Answer]] = []
        self.bounds: dict[float, float] = {}
        self.tries: Counter[float] = Counter()

    def run(self) -> Envelope[Answer]:
        """Return the envelope; its gaps say how sure it is.

        A multiplier whose solve was broken off short of the gap is solved again while there is
        time, the widest gap first.
        """
        for end in (self.low, self.high):
            self._solve_at(end)
            if self.bounds[end] == math.inf:  # no solution, whatever the multiplier
                break
        if not self.lines:
            return Envelope((), (), self.tries.total())
        while self.going():
            worst = max(self._open_corners(), default=None)
            if worst is None:
                break
            self._solve_at(worst[1])
        hull = self._hull()
        pieces = []
        for low, high, line, answer in self._lower():
            # Cost and bound are straight between their corners, so the gap is worst at one.
            corners = [low, high, *(x for x, _ in hull if low < x < high)]
            gap = max(_gap(line.at(x), between(hull, x)) for x in corners)
            pieces.append(EnvelopePiece(low, high, line, answer, gap))
        return Envelope(tuple(pieces), hull, self.tries.total())

    def _solve_at(self, multiplier: float) -> None:
        solved = self.solve(multiplier)
        self.tries[multiplier] += 1
        self.bounds[multiplier] = max(solved.bound, self.bounds.get(multiplier, -math.inf))
        if solved.line is not None and solved.answer is not None:
            new = solved.line.at(multiplier)
            if not self.lines or new < self._cost_at(multiplier) - SAME * abs(new):
                self.lines.append((solved.line, solved.answer))

    def _cost_at(self, multiplier: float) -> float:
        return min(line.at(multiplier) for line, _ in self.lines)

    def _open_corners(self) -> list[tuple[float, float]]:
        """Return (gap, multiplier) of the envelope's corners and ends that are not proven, and not
        solved too often yet."""
        hull = self._hull()
        near = SAME * (self.high - self.low)
        found = []
        for corner in [*(low for low, _, _, _ in self._lower()), self.high]:
            at = min(self.bounds, key=lambda solved: abs(solved - corner))
            at = at if abs(at - corner) <= near else corner
            gap = _gap(self._cost_at(at), between(hull, at))
            if gap > self.gap + SAME and self.tries[at] < MOST_TRIES:
                found.append((gap, at))
        return found

    def _lower(self) -> list[tuple[float, float, CostLine, Answer]]:
        """Return the lower envelope of the lines known, from left to right."""
        pieces: list[tuple[float, float, CostLine, Answer]] = []
        at = self.low
        line, answer = min(self.lines, key=lambda one: (one[0].at(self.low), one[0].rated))
        while True:
            # The next line to undercut this one is the one of less slope that it meets first.
            after = [
                (max(meets, at), other[0].rated, n)
                for n, other in enumerate(self.lines)
                if other[0].rated < line.rated and (meets := line.meets(other[0])) is not None
            ]
            nearest = min(after, default=(math.inf, 0.0, -1))
            if nearest[0] >= self.high:
                pieces.append((at, self.high, line, answer))
                return pieces
            if nearest[0] > at:
                pieces.append((at, nearest[0], line, answer))
            at = nearest[0]
            line, answer = self.lines[nearest[2]]

    def _hull(self) -> Points:
        """Return the least concave function over the bounds: no solution costs less."""
        hull: list[tuple[float, float]] = []
        for point in sorted(self.bounds.items()):
            while len(hull) > 1 and _turns_up(hull[-2], hull[-1], point):
                hull.pop()
            hull.append(point)
        return tuple(hull)


def _turns_up(
    one: tuple[float, float], two: tuple[float, float], three: tuple[float, float]
) -> bool:
    """Tell whether the middle one of three points lies on or below the line of the others."""
    (x0, y0), (x1, y1), (x2, y2) = one, two, three
    if math.isinf(y1):
        return y1 < 0
    return (y1 - y0) * (x2 - x0) <= (y2 - y0) * (x1 - x0)


def _gap(cost: float, bound: float) -> float:
    """Return (cost − bound) ÷ |cost|."""
    if math.isinf(bound):
        return 0.0 if bound > 0 else math.inf
    return max(cost - bound, 0.0) / max(abs(cost), ROUNDING)


def crossings(
    one: Callable[[float], float], other: Callable[[float], float], knots: Sequence[float]
) -> list[float]:
    """Return where two functions, straight between the knots, change places."""
    found: list[float] = []
    was: tuple[float, float] | None = None
    for at in sorted(set(knots)):
        apart = one(at) - other(at)
        if apart == 0.0:
            continue
        if was is not None and was[1] * apart < 0:
            found.append(was[0] + (at - was[0]) * was[1] / (was[1] - apart))
        was = (at, apart)
    return found
