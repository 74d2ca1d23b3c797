"""The envelope of plans along a rate, on problems that have nothing to do with moorings."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from moorledger.models.asked.break_even import CostLine
from moorledger.optimiser.repricing.envelope import Envelope, Intersection, Sample, crossings
from scipy.optimize import linprog

Vertex = tuple[float, ...]


def textbook(multiplier: float) -> Sample[Vertex]:
    """Solve the textbook's parametric programme: maximise (3 + 2θ) x1 + (5 − θ) x2."""
    cost = [-(3 + 2 * multiplier), -(5 - multiplier)]
    done = linprog(cost, A_ub=[[1, 0], [0, 2], [3, 2]], b_ub=[4, 12, 18])
    x1, x2 = (float(value) for value in done.x)
    return Sample((round(x1, 6), round(x2, 6)), CostLine(-3 * x1 - 5 * x2, -2 * x1 + x2), done.fun)


def test_textbook_parametric_programme() -> None:
    """Hillier and Lieberman, Introduction to Operations Research, parametric linear programming
    of the Wyndor Glass problem (from memory, and worked by hand from its three corners): least
    costs −36 + 2θ to θ = 9/7, −27 − 5θ to θ = 5, then −12 − 8θ."""
    found = Intersection(textbook, 0.0, 8.0).run()
    assert [piece.answer for piece in found.pieces] == [(2, 6), (4, 3), (4, 0)]
    assert [piece.low for piece in found.pieces] == pytest.approx([0.0, 9 / 7, 5.0])
    lines = [(piece.line.fixed, piece.line.rated) for piece in found.pieces]
    assert np.allclose(lines, [(-36, 2), (-27, -5), (-12, -8)])
    assert max(piece.gap for piece in found.pieces) < 1e-8


def test_textbook_against_a_sweep() -> None:
    """The same programme solved by scipy at 200 multipliers never undercuts the envelope."""
    found = Intersection(textbook, 0.0, 8.0).run()
    for theta in np.linspace(0.0, 8.0, 200):
        here = min(piece.line.at(theta) for piece in found.pieces)
        assert here == pytest.approx(textbook(float(theta)).bound, abs=1e-7)


def many_lines(draw: random.Random) -> list[CostLine]:
    """Return lines of which the dear ones at little are the cheap ones at much, more or less."""
    shares = [draw.random() for _ in range(40)]
    return [
        CostLine(50 + 60 * s**2 + draw.random(), 60 * (1 - s) ** 2 + draw.random()) for s in shares
    ]


def choose(lines: list[CostLine], gap: float = 0.0, worse: int = 0) -> Envelope[int]:
    """Return the envelope over lines given outright; `worse` solves with a plan that is dearer
    than the least by up to the gap, and a bound below it by as much."""
    draw = random.Random(worse)

    def solve(at: float) -> Sample[int]:
        costs = [line.at(at) for line in lines]
        least = min(costs)
        near = [n for n, cost in enumerate(costs) if cost <= least * (1 + gap / 2)]
        chosen = draw.choice(near) if worse else costs.index(least)
        bound = costs[chosen] * (1 - gap) if worse else least
        return Sample(chosen, lines[chosen], min(bound, least))

    return Intersection(solve, 0.2, 3.0, gap=gap).run()


@pytest.mark.parametrize("seed", range(20))
def test_no_break_point_is_missed(seed: int) -> None:
    """Over random lines the envelope is the least of them at 400 points, and is concave: the
    slopes of its pieces only fall."""
    draw = random.Random(seed)
    lines = many_lines(draw)
    found = choose(lines)
    for at in np.linspace(0.2, 3.0, 400):
        (piece,) = [p for p in found.pieces if p.low <= at <= p.high][:1]
        assert piece.line.at(at) == pytest.approx(min(line.at(at) for line in lines))
    slopes = [piece.line.rated for piece in found.pieces]
    assert slopes == sorted(slopes, reverse=True)
    assert len(found.pieces) > 1
    assert [p.high for p in found.pieces[:-1]] == [p.low for p in found.pieces[1:]]


@pytest.mark.parametrize("seed", range(1, 11))
def test_a_gap_is_kept_everywhere(seed: int) -> None:
    """With a solver that stops within a gap, no line lies below the envelope by more than the
    gap that is stated, at 400 points; and it states no more than was asked."""
    draw = random.Random(seed)
    lines = many_lines(draw)
    found = choose(lines, gap=0.02, worse=seed)
    for at in np.linspace(0.2, 3.0, 400):
        (piece,) = [p for p in found.pieces if p.low <= at <= p.high][:1]
        least = min(line.at(at) for line in lines)
        assert piece.line.at(at) * (1 - piece.gap) <= least + 1e-9
    assert max(piece.gap for piece in found.pieces) <= 0.02 + 1e-9


def test_time_that_ends_is_said_in_the_gap() -> None:
    """Where no further solve may begin, the ends are all there is, and the gap says what a plan
    between them may still save: here the least line would save 30 of 80 at the corner."""
    lines = [CostLine(50.0, 30.0), CostLine(80.0, 0.0), CostLine(49.9, 0.1)]

    def solve(at: float) -> Sample[int]:
        ends = lines[:2]
        best = min(ends, key=lambda line: line.at(at))
        return Sample(lines.index(best), best, 49.9)

    found = Intersection(solve, 0.0, 2.0, going=lambda: False).run()
    assert [piece.line for piece in found.pieces] == lines[:2]
    assert max(piece.gap for piece in found.pieces) == pytest.approx(1 - 49.9 / 80)


def test_nothing_found_is_no_envelope() -> None:
    """A problem without a solution has no pieces, after one solve."""
    found = Intersection(lambda _: Sample[int](None, None, math.inf), 0.0, 1.0).run()
    assert (found.pieces, found.solves) == ((), 1)


def test_a_solve_that_was_broken_off_is_taken_up_again() -> None:
    """Each first solve at a multiplier ends early, at one end without a plan: the envelope is the
    same as of whole solves (lines 1 + x and 2, which meet at 1), and proven."""
    lines = [CostLine(1.0, 1.0), CostLine(2.0, 0.0)]
    seen: set[float] = set()

    def solve(at: float) -> Sample[int]:
        early = at not in seen
        seen.add(at)
        if early and at == 0.0:
            return Sample[int](None, None, 0.0)
        best = min(lines, key=lambda line: line.at(at))
        return Sample(lines.index(best), best, best.at(at) - (0.5 if early else 0.0))

    found = Intersection(solve, 0.0, 3.0).run()
    assert [(piece.low, piece.high, piece.line) for piece in found.pieces] == [
        (0.0, 1.0, lines[0]),
        (1.0, 3.0, lines[1]),
    ]
    assert max(piece.gap for piece in found.pieces) == pytest.approx(0.0, abs=1e-9)


def test_crossings_of_two_functions() -> None:
    """Straight lines cross once, where they meet, at a knot or between; touching is no crossing."""
    knots = [0.0, 1.0, 2.0]
    assert crossings(lambda x: x, lambda x: 2 - x, knots) == [1.0]
    assert crossings(lambda x: x, lambda x: 1.5 - x, knots) == pytest.approx([0.75])
    assert crossings(lambda x: abs(x - 1), lambda _: 0.0, knots) == []
