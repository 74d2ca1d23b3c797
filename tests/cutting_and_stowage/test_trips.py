"""Trips: decks packed with whole lines, against every way of sharing them out."""

from __future__ import annotations

import itertools
import random
from collections import Counter
from dataclasses import replace

import numpy as np
import pulp
import pytest
from moorledger.models.answer.plan import Plan
from moorledger.models.answer.trip import DeckLine
from moorledger.models.site.vessel import Vessel
from moorledger.optimiser.recheck.recheck import recheck
from moorledger.optimiser.stowage.deck_packing import first_fit, in_parts, least_trips, pack_decks
from moorledger.optimiser.stowage.trip_loading import fewest_trips, loaded_trips, nearest_next

from tests.brute import brute_trips
from tests.quick_run import LONG

BOAT = Vessel("boat", 1000.0, 10.0, 5.0, 10.0, 20.0, 1.0, 10.0)


def drawn_deck(seed: int) -> tuple[Vessel, list[DeckLine], list[brute_trips.Line]]:
    """Return a vessel and a few lines at random; now and then one is more than its deck takes."""
    draw = random.Random(seed)
    vessel = replace(BOAT, deck_load_t=draw.choice((6.0, 10.0)), deck_area_m2=draw.choice((12, 20)))
    lines, plain = [], []
    for number in range(1, draw.randint(1, 8) + 1):
        anchors = draw.choice((1, 1, 2, 3))
        anchor_t = draw.choice((0.2, 0.8, 1.5))
        anchor_m2 = draw.choice((1.0, 2.5, 4.0, 6.0))
        mass = anchors * anchor_t + draw.choice((0.5, 1.9, 3.1, 4.4))
        own = vessel.own_trips(mass, anchors, anchor_t, anchor_m2)
        lines.append(DeckLine("leg", number, mass, anchors * anchor_m2, 1.0, own))
        plain.append((mass, float(anchors), anchor_t, anchor_m2))
    return vessel, lines, plain


@pytest.mark.parametrize("first", range(0, 200, 20))
def test_trips_are_the_fewest_by_brute_force(first: int) -> None:
    """200 small decks: the number is that of the best of every way of sharing the lines out."""
    for seed in range(first, first + 20):
        vessel, lines, plain = drawn_deck(seed)
        least = brute_trips.fewest_trips(tuple(plain), vessel.deck_load_t, vessel.deck_area_m2)
        assert fewest_trips(lines, vessel) == least, f"deck {seed}"


def test_some_of_the_decks_need_more_trips_than_their_sums() -> None:
    """The 200 decks are about something: whole lines often need more, and some lines need parts."""
    more = parts = 0
    for seed in range(200):
        vessel, lines, _ = drawn_deck(seed)
        mass = sum(line.mass_t for line in lines) / vessel.deck_load_t
        area = sum(line.area_m2 for line in lines) / vessel.deck_area_m2
        more += fewest_trips(lines, vessel) > -(-max(mass, area) // 1)
        parts += any(line.own_trips for line in lines)
    assert more > 20
    assert parts > 20


@pytest.mark.parametrize("seed", [3, 5, 6, 7, 8, 20, 27])
def test_nearly_full_decks_are_packed_where_first_fit_is_not_enough(seed: int) -> None:
    """Some hundred loads of a few kinds: as few trips as the bound, which first fit misses."""
    draw = random.Random(seed)
    kinds = [(draw.randint(2, 12) / 100, draw.randint(3, 12) / 100) for _ in range(8)]
    loads = tuple(kind for kind in kinds for _ in range(draw.randint(8, 16)))
    largest = sorted(range(len(loads)), key=lambda at: -max(loads[at]))
    packed = pack_decks(loads).trips
    assert len(packed) == least_trips(loads) < len(first_fit(loads, largest))
    assert sorted(place for trip in packed for place in trip) == list(range(len(loads)))
    for trip in packed:
        assert all(sum(loads[place][limit] for place in trip) <= 1 + 1e-9 for limit in range(2))


@pytest.mark.parametrize("seed", range(40))
def test_every_line_is_loaded_once_and_no_deck_is_overloaded(seed: int) -> None:
    """Each trip keeps mass and area; a line in parts has each of its parts once."""
    vessel, lines, _ = drawn_deck(seed)
    trips = loaded_trips(lines, vessel, fewest_trips(lines, vessel))
    seen = Counter((line, trip.part, trip.parts) for trip in trips for line in trip.lines)
    assert set(seen.values()) == {1}
    for line in lines:
        due = max(line.own_trips, 1)
        assert sum(one[0] == (line.leg, line.line) for one in seen) == due
    for trip in trips:
        assert trip.mass_t <= vessel.deck_load_t * (1 + 1e-9)
    assert sum(trip.mass_t for trip in trips) == pytest.approx(sum(line.mass_t for line in lines))


def test_a_bound_of_more_than_half_a_deck() -> None:
    """Five loads of 0.51 need five decks though their sum is 2.55: u(1) says so.

    Of Fekete and Schepers' u(2) at 0.34: floor(1.02) ÷ 2 = 0.5, so four such need two decks.
    """
    assert least_trips([(0.51, 0.1)] * 5) == 5
    assert least_trips([(0.34, 0.1)] * 4) == 2
    assert pack_decks(tuple([(0.51, 0.1)] * 5)).exact
    with pytest.raises(ValueError, match="more than a deck"):
        pack_decks(((1.2, 0.1),))


def fewest_by_patterns(sizes: list[int], counts: list[int], deck: int) -> int:
    """Return the fewest decks by one limit alone: CBC over every way to fill one."""
    ways = [
        way
        for way in itertools.product(*(range(deck // size + 1) for size in sizes))
        if sum(n * size for n, size in zip(way, sizes, strict=True)) <= deck
    ]
    problem = pulp.LpProblem("decks", pulp.LpMinimize)
    used = [pulp.LpVariable(f"w{n}", lowBound=0, cat="Integer") for n in range(len(ways))]
    problem += pulp.lpSum(used)
    for at, count in enumerate(counts):
        problem += pulp.lpSum(way[at] * one for way, one in zip(ways, used, strict=True)) >= count
    problem.solve(pulp.PULP_CBC_CMD(msg=False))
    return round(pulp.value(problem.objective))


def test_decks_short_of_one_limit_alone_are_as_few_as_another_solver_finds() -> None:
    """130 lines of five areas and twice as many masses: the 24 decks that their areas need by CBC,
    and known to be the fewest, where the sums say 23 and first fit finds 25."""
    sizes, counts = [11, 16, 21, 22, 26], [10, 2, 86, 14, 18]
    areas = [size / 120 for size, n in zip(sizes, counts, strict=True) for _ in range(n)]
    loads = tuple((0.06 + 0.01 * (n % 2 + area), area) for n, area in enumerate(areas))
    largest = sorted(range(len(loads)), key=lambda at: -max(loads[at]))
    assert least_trips(loads) == 23
    assert len(first_fit(loads, largest)) == 25
    packed = pack_decks(loads)
    assert len(packed.trips) == fewest_by_patterns(sizes, counts, 120) == 24
    assert packed.exact
    assert sorted(place for trip in packed.trips for place in trip) == list(range(len(loads)))
    for trip in packed.trips:
        assert all(sum(loads[place][limit] for place in trip) <= 1 + 1e-9 for limit in range(2))


@pytest.mark.parametrize("seed", range(20))
def test_parts_of_a_deck_never_say_that_what_fits_does_not(seed: int) -> None:
    """Random loads that fit one deck are no more parts than it has; tenths and such are exact."""
    draw = random.Random(seed)
    deck = draw.choice((12.0, 55.0, 17.3))
    step = draw.choice((0.1, 0.5, 0.0137))
    amounts = [step * draw.randint(1, 40) for _ in range(12)]
    sizes, parts = in_parts(np.array([min(amount / deck, 1.0) for amount in amounts]))
    for _ in range(60):
        some = draw.sample(range(12), draw.randint(1, 12))
        if sum(amounts[at] for at in some) <= deck:
            assert sum(int(sizes[at]) for at in some) <= parts
    exact, tenths = in_parts(np.array([2.1, 2.2, 2.6]) / 12.0)
    assert (exact.tolist(), tenths) == ([21, 22, 26], 120)


def test_lines_are_laid_in_turn_along_the_farm() -> None:
    """From the first line, each time the nearest that is left; one without a place comes last."""
    places = {1: (0.0, 0.0), 2: (50.0, 0.0), 3: (10.0, 0.0), 4: None, 5: (30.0, 0.0)}
    lines = [DeckLine("leg", number, 1.0, 1.0, 1.0, 0, place) for number, place in places.items()]
    assert [line.line for line in nearest_next(lines)] == [1, 3, 5, 2, 4]


def test_a_vessel_that_goes_home_is_given_no_more_than_a_day() -> None:
    """Six lines of 2 h and 9 h at sea a day: four go out at most, though the deck takes all six."""
    vessel = replace(BOAT, home_every_day=True)
    lines = [DeckLine("leg", n, 1.0, 1.0, 2.0, 0, (float(n), 0.0)) for n in range(1, 7)]
    assert fewest_trips(lines, vessel) == 1
    assert [len(trip.lines) for trip in loaded_trips(lines, vessel, 2)] == [4, 2]


@LONG
def test_trips_of_a_plan_are_rechecked(sample_plan: Plan) -> None:
    """A line left at the quay, one laid twice, and a deck overloaded each fail a check."""
    campaign = sample_plan.campaigns[0]
    assert all(line.passed for line in recheck(sample_plan))
    first, second, *others = campaign.loaded
    short = replace(first, lines=first.lines[1:])
    twice = replace(second, lines=(*second.lines, first.lines[0]))
    heaped = replace(first, lines=tuple(line for trip in campaign.loaded for line in trip.lines))
    for loaded, told in (
        ((short, second, *others), "every line is on a trip"),
        ((first, twice, *others), "every line goes out once, or in all its parts"),
        ((heaped,), "deck load of one trip"),
    ):
        changed = replace(campaign, loaded=loaded)
        plan = replace(sample_plan, campaigns=(changed, *sample_plan.campaigns[1:]))
        failed = {line.what for line in recheck(plan) if not line.passed}
        assert told in failed
