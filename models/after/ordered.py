"""Goods of an earlier order: there, or on their way, less what lies on the seabed since."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from ..answer.plan import Assignment, Part, Plan
from ..farm import Farm
from ..goods.item import ItemKind
from ..goods.supplier import OnHand
from ..site.laid_line import LaidLine
from ..standing.laid_standing import make_up_of
from ..standing.make_up import MakeUp
from .kept_goods import could_be_given_back, on_offer, seller_of, without_kept

LEAST_M = 1e-6
"""A shorter piece is none."""

UNNAMED = "an earlier order"
"""Where connectors come from of a chain that nobody offers."""


def farm_after(farm: Farm, old: Plan) -> Farm:
    """Return a farm with the goods of an earlier order on hand, less what was laid of them since.

    What stands on its On hand sheet is what was there before those lines were laid. Rows that an
    earlier pricing wrote of an order are written anew.
    """
    farm = without_kept(farm)
    own = tuple(row for row in farm.on_hand if not row.ordered_from)
    return on_offer(farm, _Stock(farm, old).left(own), old)


def laid_since(farm: Farm, old: Plan) -> tuple[LaidLine, ...]:
    """Return the lines that lie now and did not when the earlier order was priced."""
    known = {(row.leg, row.line) for row in old.farm.laid}
    return tuple(row for row in farm.laid if (row.leg, row.line) not in known)


def spent(farm: Farm, old: Plan) -> dict[Part, float]:
    """Return what an earlier order and those before it cost, whatever is ordered now.

    Its goods, connectors and carriage whole, less what is paid back for goods that can be given
    back, which are on offer in the farm; of laying the share of its lines that lie since.
    """
    found = dict.fromkeys(Part, 0.0)
    for part in Part:
        found[part] += old.before.get(part, 0.0)
        if part not in (Part.MOBILISATION, Part.VESSEL_DAYS, Part.FUEL):
            found[part] += old.parts.get(part, 0.0)
    laid = laid_share(farm, old)
    for campaign in old.campaigns:
        share = laid.get(campaign.vessel, 0.0)
        found[Part.MOBILISATION] += share * campaign.mobilisation
        found[Part.VESSEL_DAYS] += share * campaign.day_money
        found[Part.FUEL] += share * campaign.fuel
    for part, money in could_be_given_back(farm).items():
        found[part] -= money
    return found


def laid_share(farm: Farm, old: Plan) -> dict[str, float]:
    """Return of every vessel of an earlier order the share of its lines that lie since."""
    lying = {(row.leg, row.line) for row in farm.laid}
    lines: dict[str, list[bool]] = defaultdict(list)
    for line, row in rows_by_line(old).items():
        lines[row.vessel].append(line in lying)
    return {vessel: sum(done) / len(done) for vessel, done in lines.items()}


def rows_by_line(plan: Plan) -> dict[tuple[str, int], Assignment]:
    """Return the row of every line that a plan lays, by leg and number."""
    return {
        (row.leg, row.first_line + n): row for row in plan.assignments for n in range(row.count)
    }


class _Piece:
    """A length of chain or rope, what is left of it, and where it comes from."""

    def __init__(self, row: OnHand) -> None:
        self.row, self.left_m = row, row.quantity


class _Stock:
    """What an earlier order had on hand and bought, as lines are taken out of it."""

    def __init__(self, farm: Farm, old: Plan) -> None:
        self.farm, self.old = farm, old
        self.since = laid_since(farm, old)
        self.needed = old.farm.project.required_on_site
        self.bought = tuple(self._bought())
        self.bought_by_kind, self.stock_by_kind = _by_kind(self.bought), _by_kind(old.farm.on_hand)
        self.planned = rows_by_line(old)
        self.done = {(row.leg, row.line): make_up_of(row) for row in self.since}
        self.as_planned = {
            line
            for line, made in self.done.items()
            if line in self.planned and self.planned[line].make_up == made
        }
        self.joined = Counter(
            cut.item
            for cut in old.cuts
            for piece in cut.pieces
            if piece.part > 1 and (piece.leg, piece.line) in self.as_planned
        )
        """By chain, the connectors that the lines laid since took."""

    def left(self, own: tuple[OnHand, ...]) -> Iterator[OnHand]:
        """Yield what is on hand now; own : the buyer's own stock, as the farm says it."""
        before = Counter(_key(row) for row in self.old.farm.on_hand if not row.ordered_from)
        unchanged = before == Counter(_key(row) for row in own)
        rows = [row for row in self.old.farm.on_hand if row.ordered_from]
        rows += self.bought
        took = self._used()
        own_by_kind, rows_by_kind = _by_kind(own), _by_kind(rows)
        # Connectors come last: what is cut of the chains says how many were taken.
        for name, connectors in sorted({**own_by_kind, **rows_by_kind}, key=lambda kind: kind[1]):
            mine, theirs = own_by_kind[name, connectors], rows_by_kind[name, connectors]
            item = self.old.farm.item_by_name.get(name)
            if item is None:
                yield from (*mine, *theirs)
            elif not connectors and item.kind in (ItemKind.CHAIN, ItemKind.ROPE):
                yield from self._pieces(name, mine, unchanged)
            else:
                # Own stock comes last: of it, what the orders' goods did not serve is gone.
                gone = self.joined[name] if connectors else took.get(name, 0.0)
                for row in (*theirs, *(mine if unchanged else ())):
                    used = min(gone, row.quantity)
                    gone -= used
                    if row.quantity > used:
                        yield replace(row, quantity=row.quantity - used)
                yield from () if unchanged else mine

    def _bought(self) -> Iterator[OnHand]:
        """Yield what the earlier order bought, a row for each length of chain or rope; then the
        connectors of each chain."""
        for line in self.old.orders:
            item = self.old.farm.item_by_name[line.item]
            day = self._there_from(line.item, line.supplier)
            seller = seller_of(line.supplier)
            if item.length_sold_m:
                piece = OnHand(item.name, item.length_sold_m, seller, day)
                yield from [piece] * line.quantity
            elif line.quantity:
                yield OnHand(item.name, float(line.quantity), seller, day)
        for chain, number in self.old.connectors_bought.items():
            seller = self.old.connectors_from(chain)
            day = self._there_from(chain, seller) if seller else None
            whose = seller_of(seller) or UNNAMED
            yield OnHand(chain, float(number), whose, day, connectors=True)

    def _there_from(self, item: str, supplier: str) -> date | None:
        """Return the day that the last of an order is on site; None: no dates were given."""
        farm = self.old.farm
        if farm.project.order_date is None or seller_of(supplier) != supplier:
            return None
        lead = farm.offer_by_key[item, supplier].lead_time_days or 0
        transit = (
            farm.service_by_name[booking.service].transit_days or 0
            for booking in self.old.bookings
            if any((i, s) == (item, supplier) and n for i, s, n in booking.packs)
        )
        days = lead + max(transit, default=0) + farm.project.delivery_margin_days
        return farm.project.order_date + timedelta(days=days)

    def _used(self) -> Mapping[str, float]:
        """Return the anchors and fittings that the lines laid since took, by name."""
        used: dict[str, float] = defaultdict(float)
        for row in self.since:
            used[row.anchor] += row.anchors
            for fitting in self.old.farm.fittings:
                if fitting.applies_to(row.chain):
                    used[fitting.name] += fitting.needed(row.anchors)
        return used

    def _pieces(self, name: str, mine: list[OnHand], unchanged: bool) -> Iterator[OnHand]:
        """Yield what is left of the lengths of one chain or rope."""
        bought, stock = self.bought_by_kind[name, False], self.stock_by_kind[name, False]
        held = [row for row in stock if row.there_by(self.needed)]
        held.sort(key=lambda row: -row.quantity)
        pool = {(False, n): _Piece(row) for n, row in enumerate(bought, 1)}
        pool |= {(True, n): _Piece(row) for n, row in enumerate(held, 1)}
        whole = self.old.farm.item_by_name[name].cut_whole
        for cut in self.old.cuts:
            if cut.item == name:
                taken = sum(p.length_m for p in cut.pieces if (p.leg, p.line) in self.as_planned)
                pool[cut.on_hand, cut.number].left_m -= taken
        for line, made in self.done.items():
            if line not in self.as_planned:
                pieces = _cut(list(pool.values()), self._metres(name, made))
                self.joined[name] += 0 if whole else max(pieces - 1, 0)
        late = [row for row in stock if row.ordered_from and not row.there_by(self.needed)]
        for piece in pool.values():
            if piece.left_m > LEAST_M and (piece.row.ordered_from or unchanged):
                yield replace(piece.row, quantity=round(piece.left_m, 9))
        yield from late
        yield from () if unchanged else mine

    def _metres(self, name: str, made: MakeUp) -> float:
        """Return what a line takes of a chain or rope, m."""
        if name == made.chain:
            return made.chain_m
        return made.rope_piece_m(self.old.farm.project) if name == made.rope else 0.0


def _by_kind(rows: Sequence[OnHand]) -> dict[tuple[str, bool], list[OnHand]]:
    """Return the rows of each item, its connectors apart."""
    found: dict[tuple[str, bool], list[OnHand]] = defaultdict(list)
    for row in rows:
        found[row.item, row.connectors].append(row)
    return found


def _key(row: OnHand) -> tuple[str, float, bool]:
    return row.item, row.quantity, row.connectors


def _cut(pool: list[_Piece], metres: float) -> int:
    """Take a piece that was built otherwise than planned: of the shortest length that will do, or
    of the longest ones together. Return of how many."""
    enough = [piece for piece in pool if piece.left_m >= metres]
    if enough:
        min(enough, key=lambda piece: piece.left_m).left_m -= metres
        return 1
    pieces = 0
    for piece in sorted(pool, key=lambda piece: -piece.left_m):
        taken = min(piece.left_m, metres)
        piece.left_m -= taken
        metres -= taken
        pieces += taken > LEAST_M
        if math.isclose(metres, 0.0, abs_tol=LEAST_M):
            break
    return pieces
