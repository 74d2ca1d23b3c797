"""Cutting lists: fewest lengths of whole pieces, fewest joins, and the bound that proves them."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Sequence
from functools import cache

import pytest
from moorledger.optimiser.cutting.bound import valid_inequality
from moorledger.optimiser.cutting.cutting_list import Cutting, fewest_lengths
from moorledger.optimiser.cutting.groups import Yard, all_groups
from moorledger.optimiser.cutting.joins import fewest_joins

from tests.quick_run import LONG, mostly_long

PAPER_ROLLS_MM = {
    1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
    2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
}  # fmt: skip
"""Source: Wikipedia, "Cutting stock problem", the worked example: master rolls
of 5600 mm; 73 rolls, 0.401 % waste."""

CHVATAL = {14: 211, 31: 395, 36: 610, 45: 97}
"""Source: V. Chvátal, Linear Programming (1983), chapter 13, rolls of 100; the fewest, 453, is the
linear programme's 452.25 rounded up."""


def _list_of(counts: dict[int, int], unit_m: float) -> list[float]:
    return [size * unit_m for size, count in counts.items() for _ in range(count)]


def _check(
    cutting: Cutting, pieces: Sequence[float], length: float, on_hand: Sequence[float]
) -> None:
    """Assert that every piece is cut in full from stock that is there."""
    cut_mm = [0] * len(pieces)
    used = []
    for stock in cutting.stocks:
        if stock.on_hand is None:
            assert stock.length_m == pytest.approx(length)
        else:
            used.append(stock.on_hand)
            assert stock.length_m == pytest.approx(on_hand[stock.on_hand])
        assert sum(metres for _, metres in stock.cuts) <= stock.length_m + 1e-9
        for piece, metres in stock.cuts:
            assert metres > 0
            cut_mm[piece] += round(metres * 1000)
    assert cut_mm == [round(piece * 1000) for piece in pieces]
    assert len(used) == len(set(used))
    assert cutting.lengths == sum(stock.on_hand is None for stock in cutting.stocks)
    assert cutting.joins == sum(len(stock.cuts) for stock in cutting.stocks) - len(pieces)


def _fewest_by_trial(
    pieces: Sequence[float], length: float, on_hand: Sequence[float]
) -> int | None:
    """Try every stock for every piece; None where no way holds them all."""
    ordered = sorted(pieces, reverse=True)
    best = len(pieces) + 1

    def place(index: int, room: list[float], new: int) -> None:
        nonlocal best
        if new >= best:
            return
        if index == len(ordered):
            best = new
            return
        for at in range(len(room)):
            if room[at] >= ordered[index]:
                room[at] -= ordered[index]
                place(index + 1, room, new)
                room[at] += ordered[index]
        if ordered[index] <= length:
            place(index + 1, [*room, length - ordered[index]], new + 1)

    place(0, list(on_hand), 0)
    return None if best > len(pieces) else best


def _fewest_joins_by_trial(pieces: Sequence[float], stocks: Sequence[float]) -> int:
    """Try every way to share pieces and stocks among groups (half metres are exact in binary)."""

    def metres(of: Sequence[float], members: int) -> float:
        return sum(value for index, value in enumerate(of) if members >> index & 1)

    piece_sum = [metres(pieces, members) for members in range(1 << len(pieces))]
    stock_sum = [metres(stocks, members) for members in range(1 << len(stocks))]

    @cache
    def least(wanted: int, there: int) -> float:
        if not wanted:
            return 0
        first = wanted & -wanted
        best = math.inf
        others = wanted ^ first
        while True:
            group = others | first
            taken = there
            while taken:
                if stock_sum[taken] >= piece_sum[group]:
                    rest = least(wanted ^ group, there ^ taken)
                    best = min(best, taken.bit_count() - 1 + rest)
                taken = (taken - 1) & there
            if not others:
                return best
            others = (others - 1) & (wanted ^ first)

    return int(least((1 << len(pieces)) - 1, (1 << len(stocks)) - 1))


def test_published_rolls_of_5600() -> None:
    """The 219 pieces of the published example, 407 160 mm, need 73 rolls and waste 0.401 %."""
    pieces = _list_of(PAPER_ROLLS_MM, 0.001)
    assert round(sum(pieces) * 1000) == 407_160
    cutting = fewest_lengths(pieces, 5.6)
    _check(cutting, pieces, 5.6, ())
    assert (cutting.lengths, cutting.bound) == (73, 73)
    assert sum(stock.offcut_m for stock in cutting.stocks) / (73 * 5.6) == pytest.approx(
        0.00401, abs=5e-6
    )


def test_published_rolls_of_100() -> None:
    """Chvátal's order needs 453 rolls; its pieces' metres alone would say 416."""
    pieces = _list_of(CHVATAL, 1.0)
    assert math.ceil(sum(pieces) / 100) == 416
    cutting = fewest_lengths(pieces, 100.0)
    _check(cutting, pieces, 100.0, ())
    assert (cutting.lengths, cutting.bound) == (453, 453)


def test_bound_of_the_published_rolls_is_the_published_linear_programme() -> None:
    """The valid inequality at Chvátal's counts is worth the published 452.25."""
    pi, constant = valid_inequality(list(CHVATAL), list(CHVATAL.values()), 100.0)
    worth = sum(price * count for price, count in zip(pi, CHVATAL.values(), strict=True))
    assert worth - constant == pytest.approx(452.25, abs=1e-4)


def test_fewest_lengths_against_every_way() -> None:
    """On 200 small lists, with and without stock on hand, no other way cuts fewer lengths."""
    draw = random.Random(5)
    refused = 0
    for _ in range(200):
        length = draw.choice([10.0, 12.5, 20.0])
        on_hand = [draw.randint(2, 50) / 2 for _ in range(draw.choice([0, 0, 1, 2]))]
        longest = max([length, *on_hand])
        most_half_metres = int(2 * (longest if draw.random() < 0.2 else length))
        pieces = [draw.randint(1, most_half_metres) / 2 for _ in range(draw.randint(1, 8))]
        fewest = _fewest_by_trial(pieces, length, on_hand)
        if fewest is None:
            refused += 1
            with pytest.raises(ValueError, match="stock on hand"):
                fewest_lengths(pieces, length, on_hand)
            continue
        cutting = fewest_lengths(pieces, length, on_hand)
        _check(cutting, pieces, length, on_hand)
        assert (cutting.lengths, cutting.bound, cutting.joins) == (fewest, fewest, 0)
    assert 0 < refused < 20


@mostly_long("lists", [200, 30], quick=[30])
def test_fewest_joins_against_every_way(lists: int) -> None:
    """On small lists, some with pieces of several lengths, no other way makes fewer joins."""
    draw = random.Random(6)
    joined = 0
    for _ in range(lists):
        length = draw.choice([10.0, 12.5, 20.0])
        on_hand = [draw.randint(2, 30) / 2 for _ in range(draw.choice([0, 0, 1, 2]))]
        pieces = [draw.randint(1, int(5 * length)) / 2 for _ in range(draw.randint(1, 5))]
        lengths = max(0, math.ceil((sum(pieces) - sum(on_hand)) / length))
        if lengths + len(on_hand) > 7:
            pieces = pieces[:2]
            lengths = max(0, math.ceil((sum(pieces) - sum(on_hand)) / length))
        fewest = _fewest_joins_by_trial(pieces, [length] * lengths + on_hand)
        cutting = fewest_joins(pieces, length, lengths, on_hand)
        _check(cutting, pieces, length, on_hand)
        assert cutting.lengths <= lengths
        assert (cutting.joins, cutting.bound) == (fewest, fewest)
        joined += fewest > 0
    assert joined > lists / 2


def test_inequality_holds_for_any_counts() -> None:
    """Prices made at some counts never claim more lengths than the least, at any other counts."""
    draw = random.Random(7)
    tight = 0
    for _ in range(60):
        length = draw.choice([10.0, 12.5, 20.0])
        on_hand = [draw.randint(2, 40) / 2 for _ in range(draw.choice([0, 1, 2]))]
        sizes = sorted({draw.randint(1, int(2 * length)) / 2 for _ in range(5)})
        at = [draw.choice([0, 1, 2, 3]) for _ in sizes]
        pi, constant = valid_inequality(sizes, at, length, on_hand)
        for counts in [at, *([draw.randint(0, 2) for _ in sizes] for _ in range(8))]:
            pieces = [size for size, n in zip(sizes, counts, strict=True) for _ in range(n)]
            least = fewest_lengths(pieces, length, on_hand).lengths
            claim = sum(p * n for p, n in zip(pi, counts, strict=True)) - constant
            assert claim <= least + 1e-9
            tight += counts is at and math.ceil(claim - 1e-6) == least
    assert tight >= 50


def test_sizes_with_no_count_are_lifted_as_far_as_they_go() -> None:
    """With only thirds of a length wanted, a half is worth 1/2, and nothing more stays valid."""
    pi, constant = valid_inequality([10.0, 15.0, 30.0], [5, 0, 0], 30.0)
    assert pi == pytest.approx((1 / 3, 1 / 2, 1.0), abs=1e-6)
    assert constant == 0.0


@LONG
def test_long_list_is_cut_and_proven() -> None:
    """A thousand pieces of sixty sizes get a proven list, whole or joined."""
    draw = random.Random(8)
    sizes = [draw.randint(4, 100) / 2 for _ in range(60)]
    pieces = [draw.choice(sizes) for _ in range(1000)]
    whole = fewest_lengths(pieces, 55.0, [30.0, 80.0])
    _check(whole, pieces, 55.0, [30.0, 80.0])
    assert whole.proven
    enough = math.ceil((sum(pieces) - 110.0) / 55.0)
    joined = fewest_joins(pieces, 55.0, enough, [30.0, 80.0])
    _check(joined, pieces, 55.0, [30.0, 80.0])
    assert joined.bound <= joined.joins <= joined.bound + 2


def test_joinable_chain_that_need_not_be_joined_is_not() -> None:
    """Where the lengths bought hold all pieces whole, the list has no join."""
    cutting = fewest_joins([20.0, 7.5, 15.0, 12.5], 27.5, 2)
    assert (cutting.joins, cutting.lengths, cutting.bound) == (0, 2, 0)


def test_one_more_length_saves_the_joins() -> None:
    """Four pieces of 20 m from 27.5 m: by hand, 3 lengths leave 2.5 m over, so a join at each end
    but one, or 2; 4 lengths hold each piece whole.
    """
    assert fewest_joins([20.0] * 4, 27.5, 3).joins == 2
    assert fewest_joins([20.0] * 4, 27.5, 4).joins == 0


def test_what_cannot_be_cut_is_refused_in_words() -> None:
    """Too long a piece, too few lengths and too few metres each say what is short."""
    with pytest.raises(ValueError, match="no stock is long enough for a piece of 30 m"):
        fewest_lengths([30.0, 5.0], 27.5)
    with pytest.raises(ValueError, match=r"at least 2 lengths of 27\.5 m; 1 are there"):
        fewest_lengths([20.0, 20.0], 27.5, most=1)
    with pytest.raises(ValueError, match="need 60 m and 55 m are there"):
        fewest_joins([30.0, 30.0], 27.5, 2)
    with pytest.raises(ValueError, match="longer than nothing"):
        fewest_lengths([0.0], 27.5)


def test_nothing_to_cut() -> None:
    """No pieces: no stock is cut, proven."""
    for cutting in (fewest_lengths([], 27.5, [10.0]), fewest_joins([], 27.5, 0)):
        assert (cutting.stocks, cutting.lengths, cutting.joins) == ((), 0, 0)
        assert cutting.proven


def test_groups_are_all_there_or_none_is_looked_at() -> None:
    """Small yards' groups are those of trying every count of pieces and stocks: whole within the
    limit, None above it; and a yard of many lengths on hand is let be at once, where a list of
    few groups would take very many ways to look through."""
    draw = random.Random(3)
    for _ in range(20):
        sizes, stocks = draw.sample(range(1, 30), 2), [20, *draw.sample(range(1, 45), 2)]
        counts, there = (2, draw.randint(1, 3)), (draw.randint(0, 3), 2, 1)
        yard = Yard(tuple(sizes), counts, tuple(stocks), there)
        tried = {
            (pieces, lengths)
            for pieces in itertools.product(*(range(n + 1) for n in counts))
            for lengths in itertools.product(*(range(n + 1) for n in there))
            if any(pieces)
            and (left := _metres(lengths, stocks) - _metres(pieces, sizes)) >= 0
            and all(left < mm for mm, n in zip(stocks, lengths, strict=True) if n)
        }
        groups = all_groups(yard, len(tried))
        assert groups is not None
        assert len(groups) == len(tried)
        assert {(group.pieces, group.stocks) for group in groups} == tried
        assert all_groups(yard, len(tried) - 1) is None
    many = tuple(range(20_001, 20_025))
    assert all_groups(Yard((26_000, 9_000), (4, 12), (27_500, *many), (9, *[2] * 24)), 10) is None


def _metres(counts: Sequence[int], each: Sequence[int]) -> int:
    return sum(n * mm for n, mm in zip(counts, each, strict=True))
