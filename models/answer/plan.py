"""The plan: the answer to a farm. What is laid, bought, cut, shipped and sailed, and the proof."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import Enum, StrEnum

from ..arrays import ROUNDING
from ..farm import Farm
from ..goods.fit import Fit
from ..goods.item import ItemKind
from ..goods.load import LoadPlan, Pack
from ..standing.holding_evidence import HoldingEvidence
from ..standing.make_up import Limit, MakeUp
from .change import Change, SentOrder
from .check_line import CheckLine
from .left_out import LeftOut
from .needs import needs_of
from .spread import Spread, SureChoice
from .stopped import Stopped
from .trip import Trip


class Part(StrEnum):
    """The parts of the installed cost; together they are the whole of it."""

    ANCHORS = "anchors"
    CHAIN = "chain"
    ROPE = "rope"
    FITTINGS = "fittings"
    JOINS = "joins"
    ORDER_CHARGES = "order charges"
    FREIGHT = "freight"
    INSURANCE = "insurance"
    DUTY = "duty"
    MOBILISATION = "mobilisation"
    VESSEL_DAYS = "vessel days"
    FUEL = "fuel"


PART_OF_KIND = {
    ItemKind.ANCHOR: Part.ANCHORS,
    ItemKind.CHAIN: Part.CHAIN,
    ItemKind.ROPE: Part.ROPE,
    ItemKind.FITTING: Part.FITTINGS,
}
"""The part of the cost that an item's price is summed in."""


class PartGroup(Enum):
    """The parts of the cost that are drawn and summed together: every part is in one group."""

    ANCHORS = (Part.ANCHORS,)
    LINES = (Part.CHAIN, Part.ROPE, Part.FITTINGS, Part.JOINS)
    FREIGHT = (Part.FREIGHT,)
    CHARGES = (Part.INSURANCE, Part.DUTY, Part.ORDER_CHARGES)
    VESSELS = (Part.MOBILISATION, Part.VESSEL_DAYS, Part.FUEL)


@dataclass(frozen=True)
class Assignment:
    """`count` lines of one leg group, built one way and laid by one vessel."""

    leg: str
    make_up: MakeUp
    vessel: str
    """That lays them; "" where they lie already."""
    count: int
    uplift_deg: float
    """The largest of all load cases."""
    anchor_tension_kn: float
    """The largest of all load cases, load factors in."""
    radius_m: float
    """At design tension, chain as new."""
    grounded_m: float
    """Chain on the seabed, the least of all load cases."""
    evidence: HoldingEvidence
    """What the holding rests on."""
    limits: tuple[Limit, ...]
    first_line: int = 1
    """The number of its first line in the leg group; the others follow."""

    @property
    def required_kn(self) -> float:
        """Holding required of the anchors together, kN, factors in, in the nearest load case."""
        return self.limits[0].required

    @property
    def available_kn(self) -> float:
        """Holding available from the anchors together, kN."""
        return self.limits[0].available

    @property
    def binding(self) -> Limit:
        """The limit nearest to being reached."""
        return max(self.limits, key=lambda limit: limit.utilisation)


@dataclass(frozen=True)
class OrderLine:
    """One item ordered from one supplier; money before duty."""

    item: str
    supplier: str
    quantity: int
    """Units as sold: each, or lengths."""
    needed: float
    """Each, or metres: what the farm uses of the item, spares in, whoever it is bought from."""
    from_stock: float
    """Each, or metres, of `needed` that stock on hand covers."""
    money_supplier: float
    """Goods in the supplier's currency."""
    money: float
    """Goods in the project's currency."""
    duty: float
    """Duty in the project's currency: on the price, and on its insurance where duty is on it."""


@dataclass(frozen=True)
class Piece:
    """One length cut for one leg; `part` of `parts` where a leg's chain is joined of several."""

    leg: str
    line: int
    """Which of the group's lines, from 1."""
    length_m: float
    part: int = 1
    parts: int = 1


@dataclass(frozen=True)
class Cut:
    """One length sold (or one piece on hand), and what is cut from it in order."""

    item: str
    number: int
    """Which of the lengths bought, or of the pieces on hand (the longest first); from 1."""
    stock_m: float
    pieces: tuple[Piece, ...]
    on_hand: bool = False
    """Whether it is cut from a piece on hand; else from a length bought."""

    @property
    def offcut_m(self) -> float:
        """What is left, m."""
        return self.stock_m - sum(piece.length_m for piece in self.pieces)


@dataclass(frozen=True)
class Booking:
    """The packs that one service carries, and its charge in the project's currency."""

    service: str
    origin: str
    containers: int
    packs: tuple[tuple[str, str, int], ...]
    """Item, whom it is bought from, packs of it."""
    volume_m3: float
    tonnes: float
    revenue_tonnes: float
    money: float
    stowed: tuple[Pack, ...] = ()
    """The kinds of pack that its load plans place; several of an item's packs may share one."""
    loads: tuple[LoadPlan, ...] = ()
    """A load plan for every container; none where the service states no inside."""
    duty: float = 0.0
    """On the charge and its insurance, in the project's currency, where duty is on them too."""

    @property
    def suppliers_of(self) -> Mapping[str, Mapping[str, int]]:
        """By item, the packs of it by whom they are bought from."""
        found: dict[str, dict[str, int]] = {}
        for item, supplier, count in self.packs:
            of_item = found.setdefault(item, {})
            of_item[supplier] = of_item.get(supplier, 0) + count
        return found


@dataclass(frozen=True)
class Campaign:
    """What one vessel does, and its charges."""

    vessel: str
    legs: int
    anchors: int
    mass_t: float
    area_m2: float
    trips: int
    hours: float
    days: int
    mobilisation: float
    day_money: float
    fuel: float
    loaded: tuple[Trip, ...] = ()
    """The trips one by one, as they are sailed; where they are fewer than `trips`, hours and not
    the deck make the number."""

    @property
    def money(self) -> float:
        """All that the vessel costs."""
        return self.mobilisation + self.day_money + self.fuel


def within_gap(gap: float, asked: float) -> bool:
    """Tell whether a gap is the one that was asked for, or less; rounding is forgiven."""
    return gap <= asked * (1 + ROUNDING) + ROUNDING


@dataclass(frozen=True)
class Proof:
    """How sure the plan is of being least."""

    cost: float
    bound: float
    """No plan can cost less than this, by the solver's word."""
    asked_gap: float
    solver: str
    seconds: float
    stopped: Stopped | None = None
    """Why the search ended early; None: it did not."""

    @property
    def gap(self) -> float:
        """(cost − bound) ÷ cost."""
        return max(self.cost - self.bound, 0.0) / self.cost if self.cost > 0 else 0.0

    @property
    def proven(self) -> bool:
        """Whether the gap is within what was asked; a time limit alone proves nothing."""
        return within_gap(self.gap, self.asked_gap)


@dataclass(frozen=True)
class Plan:
    """A whole order: it answers `farm`, and its parts add up to the installed cost."""

    farm: Farm
    assignments: tuple[Assignment, ...]
    orders: tuple[OrderLine, ...]
    order_charges: Mapping[str, float]
    """Supplier → charge in the project's currency; every supplier ordered from."""
    cuts: tuple[Cut, ...]
    bookings: tuple[Booking, ...]
    campaigns: tuple[Campaign, ...]
    parts: Mapping[Part, float]
    proof: Proof
    fits: tuple[Fit, ...] = ()
    """How many of each anchor model fit into the containers of each service."""
    checks: tuple[CheckLine, ...] = ()
    """Every limit, checked again on the finished plan by code apart from the optimiser."""
    left_out: tuple[LeftOut, ...] = ()
    """What stands in the catalogues and no plan can use."""
    spread: Spread | None = None
    """How sure its cost is; None: not worked out."""
    sure_choice: SureChoice | None = None
    """How it was chosen by its cost at a certainty; None: by its cost at the rates as given."""
    laid: tuple[Assignment, ...] = ()
    """The lines that lie already, a row each: they are no part of the cost."""
    after: str = ""
    """The file of the earlier order that it was priced after; "": none."""
    before: Mapping[Part, float] = field(default_factory=dict)
    """What earlier orders cost and what laying by them cost so far, by part: no part of the
    installed cost, which is what is still to be paid."""
    changes: tuple[Change, ...] = ()
    """Against the earlier order; their money adds up to the difference of the totals."""
    sent: tuple[SentOrder, ...] = ()
    """The orders that suppliers were sent before it, the first ones first."""
    kept: bool = False
    """Whether every leg group that could be as in the earlier order was held so."""
    change_cost: float = 0.0
    """What a line had to save to be built otherwise than in the earlier order, project currency:
    a weight in the choice, no part of the cost."""

    def with_checks(self, lines: tuple[CheckLine, ...]) -> Plan:
        """Return the plan with the lines of its recheck."""
        return replace(self, checks=lines)

    @property
    def contingency(self) -> float:
        """What is held beside the cost, project currency: the project's share of it where that is
        typed, else what makes the cost enough four times in five."""
        project = self.farm.project
        if "contingency_share" in project.given or self.spread is None:
            return self.installed_cost * project.contingency_share
        return self.spread.contingency

    @property
    def needs(self) -> Mapping[str, float]:
        """What is needed of every item that is used: each, or metres; spare anchors in, whole."""
        return needs_of(self.farm, ((row.make_up, row.count) for row in self.assignments))

    @property
    def anchors_laid(self) -> Counter[str]:
        """How many of each anchor model lie on the legs; spares are not among them."""
        laid: Counter[str] = Counter()
        for row in self.assignments:
            laid[row.make_up.anchor] += row.count * row.make_up.anchors
        return laid

    def connectors_from(self, chain: str) -> str:
        """Return who supplies the connectors of a chain: the first of its offers that is ordered
        from, else the first of all."""
        offers = self.farm.item_by_name[chain].offers
        ordered = {line.supplier for line in self.orders if line.item == chain and line.quantity}
        first = (offer.supplier for offer in offers if offer.supplier in ordered)
        return next(first, offers[0].supplier if offers else "")

    @property
    def joins(self) -> Counter[str]:
        """How many joins are made in each chain, by the cutting list."""
        made: Counter[str] = Counter()
        for cut in self.cuts:
            made[cut.item] += sum(piece.part > 1 for piece in cut.pieces)
        return +made

    @property
    def connectors_bought(self) -> Counter[str]:
        """How many connectors of each chain are bought: for the joins that those on hand do not
        serve."""
        items = self.farm.item_by_name
        return +Counter({name: items[name].connectors_to_buy(n) for name, n in self.joins.items()})

    @property
    def total_cost(self) -> float:
        """The installed cost, and what earlier orders cost; project currency."""
        return self.installed_cost + sum(self.before.values())

    @property
    def installed_cost(self) -> float:
        """The sum of the parts, project currency; contingency not in it."""
        return sum(self.parts.values())
