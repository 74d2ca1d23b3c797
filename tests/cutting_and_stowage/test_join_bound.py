"""Rows that weigh joins beside lengths, against every way there is to cut small lists."""

from __future__ import annotations

import random

import pytest
from moorledger.optimiser.cutting.join_bound import join_inequality

from tests.brute.brute_cutting import cuttings


@pytest.mark.parametrize("seed", range(40))
def test_no_way_to_cut_breaks_the_row(seed: int) -> None:
    """Tests Σ worth·pieces ≤ lengths + per join × joins + free for every least way of cutting other
    pieces of the same sizes than the row was made for, with stock on hand and without."""
    draw = random.Random(seed)
    length = draw.choice((10.0, 27.5))
    sizes = sorted(draw.sample([0.5 * n for n in range(4, 80)], 4))
    hand = tuple(draw.sample((3.0, 8.5, 12.0, 26.0), draw.choice((0, 0, 1, 2))))
    per_join = draw.choice((0.03, 0.2, 0.7))
    counts = [draw.choice((0.4, 1.0, 3.0)) for _ in sizes]
    worth, free = join_inequality(sizes, counts, length, hand, per_join)
    assert max(worth) > 0
    for _ in range(12):
        pieces = tuple(sorted(draw.choices(sizes, k=draw.randint(1, 5)), reverse=True))
        total = sum(worth[sizes.index(piece)] for piece in pieces)
        for lengths, joins in cuttings(pieces, tuple(sorted(hand, reverse=True)), length, False):
            assert total <= lengths + per_join * joins + free + 1e-6, (pieces, lengths, joins)


def test_a_piece_longer_than_a_length_by_hand() -> None:
    """Tests pieces of 15 m from lengths of 10 m, a join at a tenth of a length: two fill three
    lengths with two joins, 3.2, so that each is worth 1.6; no group does better."""
    (worth,), free = join_inequality([15.0], [3.0], 10.0, (), 0.1)
    assert free == 0.0
    assert worth == pytest.approx(1.6, abs=1e-6)


def test_a_join_at_no_less_than_a_length_is_never_worth_it() -> None:
    """Tests pieces of 6 m from lengths of 10 m: two share no length, so each is worth one, where a
    join costs as much; where it costs next to nothing, they are worth their metres."""
    (dear,), _ = join_inequality([6.0], [4.0], 10.0, (), 1.0)
    (cheap,), _ = join_inequality([6.0], [4.0], 10.0, (), 0.02)
    assert dear == pytest.approx(1.0, abs=1e-6)
    assert 0.6 <= cheap <= 0.63
