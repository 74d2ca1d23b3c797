"""Settlement: with the lines decided, the least order, freight and campaign that serve them.

The choice of make-ups and vessels is made by the whole programme to its gap; what follows from
it (quantities, packs, containers, trips, days, cutting lists) is settled here exactly, so that
an order is never one shackle too many because a gap allowed it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from ...models.arrays import Floats, Ints
from ...models.farm import Farm
from ...models.goods.duty import landed_freight
from ...models.goods.item import Item, OfferKey
from ...models.goods.load import LoadPlan
from ..choices.choices import Choices
from ..choices.deck_lines import deck_lines
from ..cutting.cutting_list import Cutting, fewest_lengths
from ..cutting.joins import fewest_joins
from ..programme.consignments import filled_less
from ..programme.families import ColumnFamily, RowFamily
from ..programme.order_programme import OrderProgramme
from ..solvers.report import SolveOptions, Status
from ..solvers.solve import solve
from ..stowage.load_lessons import ALIKE, FEW, Stowage
from ..stowage.trip_loading import fewest_trips

SETTLE_GAP = 1e-7
"""The settlement is solved out, far finer than the price of anything."""

SETTLE_SECONDS = 60.0
"""Longest solve of a settlement."""

ROUNDS = 60
"""Most trials of lengths bought against joins (each adds one point of their exact trade), and of
containers booked against load plans."""


FILL_LESS = 0.97
"""Very many packs are then tried with containers filled so much less: the lessons alone could be
evaded one shackle at a time."""


LOAD_TRIALS = 2
"""Times that the settlement of very many packs is solved again for the sake of its load plans."""


@dataclass(frozen=True)
class PieceWanted:
    """One length of chain or rope that one line needs."""

    leg: str
    line: int
    length_m: float


@dataclass(frozen=True)
class Settlement:
    """Whole numbers that make an order of the decided lines."""

    choices: Choices
    """The choices that are used, and no others."""
    chosen: Ints
    """Their places among all the choices of the farm."""
    counts: Ints
    """Lines of each."""
    quantities: Mapping[OfferKey, int]
    """Ordered, by item and supplier."""
    packs: Mapping[str, Mapping[OfferKey, int]]
    """By service, then by item and supplier."""
    cuttings: Mapping[str, tuple[Cutting, tuple[PieceWanted, ...]]]
    """By chain or rope, with the pieces that the cutting list counts."""
    cost: float
    """By the programme; the plan's own sum must agree."""
    loads: Mapping[str, tuple[LoadPlan, ...]] = field(default_factory=dict)
    """A load plan for every container, by service; services without inside are not in it."""

    def least_joins(self, farm: Farm, name: str, lengths: int) -> int:
        """Return a lower bound on the joins of a chain if only so many lengths are ordered."""
        item = farm.item_by_name[name]
        metres = [piece.length_m for piece in self.cuttings[name][1]]
        try:
            return fewest_joins(metres, item.length_sold_m, lengths, item.on_hand).bound
        except ValueError:
            return 0  # so few lengths break the row of metres anyway


def pieces_by_item(
    farm: Farm, choices: Choices, counts: Ints
) -> dict[str, tuple[PieceWanted, ...]]:
    """Return the pieces that the decided lines need of every chain and rope."""
    pieces: dict[str, list[PieceWanted]] = {}
    line_of = {leg.name: 0 for leg in farm.legs}
    for index in range(len(choices)):
        make_up = choices.make_ups.make_up(farm, index)
        leg = farm.legs[int(choices.make_ups.leg[index])].name
        for _ in range(int(counts[index])):
            line_of[leg] += 1
            pieces.setdefault(make_up.chain, []).append(
                PieceWanted(leg, line_of[leg], make_up.chain_m)
            )
            if make_up.rope is not None:
                pieces.setdefault(make_up.rope, []).append(
                    PieceWanted(leg, line_of[leg], make_up.rope_piece_m(farm.project))
                )
    return {name: tuple(of_item) for name, of_item in pieces.items()}


def trips_needed(farm: Farm, choices: Choices, counts: Ints) -> dict[str, int]:
    """Return the trips that carry the decided lines whole, by vessel."""
    return {
        vessel.name: fewest_trips(deck_lines(farm, choices, counts, place), vessel)
        for place, vessel in enumerate(farm.vessels)
        if bool((counts[choices.vessel == place] > 0).any())
    }


def settle(
    farm: Farm,
    every_choice: Choices,
    chosen: Ints,
    counts: Ints,
    solver: str,
    stowage: Stowage | None = None,
    *,
    quick: bool = False,
    stopped: Callable[[], bool] = lambda: False,
) -> Settlement | None:
    """Return the least settlement of decided lines, or None where nothing can serve them.

    Containers are booked only with a load plan each. Where the packs need more containers than
    were booked, that is one settlement, and the programme is told and solved again for a better:
    until bookings and load plans agree, or, with very many packs, a few times.

    chosen, counts : the choices used, by their place among all, and the lines of each. stowage :
    the load plans known already; it is taught what is found here. quick : whether the first
    settlement found will do. stopped : asked between the steps whether to be content with that.
    """
    known = stowage or Stowage(farm)
    return _Settling(farm, every_choice.take(chosen), chosen, counts, solver, known).least(
        quick, stopped
    )


@dataclass(frozen=True)
class _Booked:
    """What the programme decided for the lines: the order, its packs, and what goes with them."""

    quantities: dict[OfferKey, int]
    packs: dict[str, dict[OfferKey, int]]
    """By service, then by item and supplier."""
    cost: float
    joins: dict[str, int]
    containers: dict[str, int]
    """By service that carries containers."""


class _Settling:
    """One settlement under way: what cutting lists and load plans have said of it so far."""

    def __init__(
        self,
        farm: Farm,
        choices: Choices,
        chosen: Ints,
        counts: Ints,
        solver: str,
        stowage: Stowage,
    ) -> None:
        self.farm, self.choices = farm, choices
        self.chosen, self.counts = chosen, counts
        self.options = SolveOptions(solver, SETTLE_GAP, SETTLE_SECONDS)
        self.stowage = stowage
        self.pieces = pieces_by_item(farm, choices, counts)
        self.trips = trips_needed(farm, choices, counts)
        """By vessel, trips that carry its lines whole: more, at times, than their sums need."""
        self.cut_whole: dict[str, Cutting] = {}
        self.least_lengths: dict[str, int] = {}
        """By item, new lengths that it cannot do without."""
        self.trades: dict[str, list[tuple[int, int]]] = {}
        """By chain, (lengths, joins): with no more lengths, no fewer joins."""
        self.fills: dict[str, float] = {}
        """By service, the share of its containers to fill, where load plans filled no more."""

    def least(self, quick: bool, stopped: Callable[[], bool]) -> Settlement | None:
        """Return the least settlement found; quick : the first; stopped : what is there."""
        if not self._cut_whole():
            return None
        best: Settlement | None = None
        trials = ROUNDS
        while trials > 0 and not stopped():
            trials -= 1
            booked = self._booked()
            if booked is None or (best is not None and booked.cost > best.cost * (1 - 1e-9)):
                break
            joined = self._joined(booked)
            if joined is None:
                continue
            settled = self._loaded(booked, joined)
            if math.isfinite(settled.cost) and (best is None or settled.cost < best.cost):
                best = settled
            short = [
                name
                for name, plans in settled.loads.items()
                if len(plans) > booked.containers[name]
            ]
            if not short or (best is not None and quick):
                break
            if any(len(settled.loads[name]) >= ALIKE for name in short):
                break  # loads that differ little: booked again they are no fewer
            if any(sum(booked.packs[name].values()) > FEW for name in short):
                trials = min(trials, LOAD_TRIALS)
                for name in short:
                    fewer = len(settled.loads[name]) - 1
                    self.fills[name] = _less(self.farm, name, booked.packs[name], fewer)
        return best

    def _cut_whole(self) -> bool:
        """Cut what is cut whole from the fewest lengths; tell whether that can be done."""
        for name, of_item in self.pieces.items():
            item = self.farm.item_by_name[name]
            if not item.cut_whole:
                continue
            metres = [piece.length_m for piece in of_item]
            try:
                cutting = fewest_lengths(metres, item.length_sold_m, item.on_hand)
            except ValueError:
                return False
            self.cut_whole[name] = cutting
            self.least_lengths[name] = cutting.lengths
        return True

    def _joined(self, booked: _Booked) -> dict[str, Cutting] | None:
        """Return the cutting lists of what may be joined; None where they need more lengths or
        joins than were booked, which the programme is then told."""
        joined: dict[str, Cutting] = {}
        agreed = True
        for name in sorted(set(self.pieces) - set(self.cut_whole)):
            item = self.farm.item_by_name[name]
            lengths = sum(count for (of, _), count in booked.quantities.items() if of == name)
            try:
                joined[name] = fewest_joins(
                    [piece.length_m for piece in self.pieces[name]],
                    item.length_sold_m,
                    lengths,
                    item.on_hand,
                    self.farm.project.most_joins,
                )
            except ValueError:  # joins too near each other: one more length, and so on
                self.least_lengths[name] = lengths + 1
                agreed = False
                continue
            if item.join_cost > 0 and joined[name].joins > booked.joins[name]:
                self.trades.setdefault(name, []).append((lengths, joined[name].joins))
                agreed = False
        return joined if agreed else None

    def _loaded(self, booked: _Booked, joined: Mapping[str, Cutting]) -> Settlement:
        """Return the settlement with its load plans, at what their containers cost."""
        loads = {
            name: self.stowage.loads(
                self.farm.service_by_name[name], of_items(carried), booked.containers[name]
            )
            for name, carried in booked.packs.items()
            if self.farm.service_by_name[name].box is not None
        }
        cost = booked.cost + _dearer(self.farm, booked.packs, booked.containers, loads)
        return Settlement(
            self.choices,
            self.chosen,
            self.counts,
            booked.quantities,
            booked.packs,
            {name: (cut, self.pieces[name]) for name, cut in {**joined, **self.cut_whole}.items()},
            cost,
            loads,
        )

    def _booked(self) -> _Booked | None:
        """Return the least order, the lines held fixed; None where there is none."""
        built = OrderProgramme(self.farm, self.choices, loads=self.stowage.lessons)
        for name, lengths in self.least_lengths.items():
            if lengths:
                terms = built.order_terms(self.farm.item_by_name[name], 1.0)
                if not terms:
                    return None
                built.programme.row(RowFamily.CUTTING_LIST, terms, low=lengths)
        for name, points in self.trades.items():
            _add_trade(built, self.farm.item_by_name[name], points)
        fill_less(built, self.fills)
        matrix = built.matrix()
        for sailing in built.sailings:
            trips = self.trips.get(sailing.vessel.name, 0)
            matrix.low[sailing.trips] = max(float(matrix.low[sailing.trips]), float(trips))
        matrix.low[built.lines] = matrix.high[built.lines] = self.counts / built.lines_each
        report = solve(matrix, self.options)
        if report.values is None or report.status not in (Status.OPTIMAL, Status.FEASIBLE):
            return None
        return _read(self.farm, built, report.values, report.objective)


def fill_less(built: OrderProgramme, fills: Mapping[str, float]) -> None:
    """Let containers be filled by no more than a share; fills : by service."""
    for terms in filled_less(built.services, built.farm.item_by_name, fills):
        built.programme.row(RowFamily.FILLED_LESS, terms, high=0)


def _read(farm: Farm, built: OrderProgramme, x: Floats, cost: float) -> _Booked:
    """Return what a solution of the programme books."""
    quantities = {}
    for key, order in built.orders.items():
        amount = round(sum(value * float(x[column]) for column, value in order.quantity))
        if amount:
            quantities[key] = amount
    packs: dict[str, dict[OfferKey, int]] = {}
    left = {key: farm.item_by_name[key[0]].packs(q) for key, q in quantities.items()}
    for service in built.services:
        for key, column in service.packs.items():
            # Spare room in a service costs nothing and may be filled with packs that are not there.
            carried = min(round(float(x[column])), left.get(key, 0))
            if carried:
                packs.setdefault(service.service.name, {})[key] = carried
                left[key] -= carried
    joins = {name: round(float(x[column])) for name, column in built.joins.items()}
    containers = {
        service.service.name: round(float(x[service.containers]))
        for service in built.services
        if service.containers is not None
    }
    return _Booked(quantities, packs, cost, joins, containers)


def of_items(packs: Mapping[OfferKey, int]) -> dict[str, int]:
    """Return packs by item, whoever they are bought from: a container asks only what they are."""
    found: dict[str, int] = {}
    for (item, _), count in packs.items():
        found[item] = found.get(item, 0) + count
    return found


def _less(farm: Farm, name: str, packs: Mapping[OfferKey, int], containers: int) -> float:
    """Return the share of a service's containers to fill, where these packs were too many."""
    volume = sum(farm.item_by_name[item].pack_m3 * count for (item, _), count in packs.items())
    return FILL_LESS * volume / (containers * farm.service_by_name[name].inside_m3)


def _dearer(
    farm: Farm,
    packs: Mapping[str, Mapping[OfferKey, int]],
    containers: Mapping[str, int],
    loads: Mapping[str, tuple[LoadPlan, ...]],
) -> float:
    """Return what the containers of the load plans cost more than those that the programme
    booked, less than nothing where they are fewer; infinite where there are not so many."""
    more = 0.0
    for name, plans in loads.items():
        service = farm.service_by_name[name]
        if service.available is not None and len(plans) > service.available:
            return math.inf
        goods = [(farm.item_by_name[item], count) for (item, _), count in packs[name].items()]
        tonnes = sum(item.pack_kg * count for item, count in goods) / 1000.0
        volume = sum(item.pack_m3 * count for item, count in goods)
        booked, needed = (
            service.charge(number, tonnes, volume) for number in (containers[name], len(plans))
        )
        landed = landed_freight(farm.project, farm.items, service.origin)
        more += (needed - booked) * service.exchange_rate * landed
    return more


def _add_trade(built: OrderProgramme, item: Item, points: list[tuple[int, int]]) -> None:
    """Say what is known of joins against lengths: with at most n lengths, at least j joins."""
    joins = built.joins[item.name]
    for lengths, least_joins in points:
        more = built.programme.column(ColumnFamily.MORE_LENGTHS, high=1, integer=True)
        built.programme.row(
            RowFamily.MORE_LENGTHS,
            [*built.order_terms(item, 1.0), (more, -float(lengths + 1))],
            low=0,
        )
        built.programme.row(
            RowFamily.JOINS, [(joins, 1.0), (more, float(least_joins))], low=float(least_joins)
        )
