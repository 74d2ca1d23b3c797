"""The farm: everything that one order covers, held together and checked against itself."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Protocol

from .fault import Fault
from .goods.anchor import PACK_SIDES, Anchor, UpliftLoss
from .goods.chain import Chain
from .goods.fitting import Fitting
from .goods.freight import FreightService
from .goods.item import Good, GoodT, Item, ItemOffer, OfferKey, items_of
from .goods.price import PriceBreak
from .goods.rope import Rope
from .goods.supplier import LayoutWord, Offer, OnHand, Supplier
from .option import Option, Restriction, options_of
from .site.declared_holding import DeclaredHolding, HoldingLaw
from .site.laid_line import LaidLine
from .site.lease import LeaseCorner
from .site.leg import Leg
from .site.load_case import LoadCase
from .site.project import Project
from .site.pull_test import PullTest, Reading, SupposedTests, pull_tests
from .site.seabed import Seabed
from .site.uncertainty import Uncertainty
from .site.vessel import Vessel


class GoodChange(Protocol):
    """What makes of a row of a catalogue another of the same kind."""

    def __call__(self, good: GoodT, /) -> GoodT:
        """Return the row as it is to be."""
        ...


@dataclass(frozen=True)
class Farm:
    """A whole workbook as the model sees it: SI units, shares as fractions, names resolved."""

    project: Project
    legs: tuple[Leg, ...]
    seabeds: tuple[Seabed, ...]
    anchors: tuple[Anchor, ...]
    chains: tuple[Chain, ...]
    suppliers: tuple[Supplier, ...]
    services: tuple[FreightService, ...]
    vessels: tuple[Vessel, ...]
    ropes: tuple[Rope, ...] = ()
    fittings: tuple[Fitting, ...] = ()
    uplift_losses: tuple[UpliftLoss, ...] = ()
    declared_holdings: tuple[DeclaredHolding, ...] = ()
    holding_laws: tuple[HoldingLaw, ...] = ()
    readings: tuple[Reading, ...] = ()
    offers: tuple[Offer, ...] = ()
    """Those of the Offers sheet, beside the catalogues' own."""
    price_breaks: tuple[PriceBreak, ...] = ()
    on_hand: tuple[OnHand, ...] = ()
    laid: tuple[LaidLine, ...] = ()
    """The lines that lie already."""
    restrictions: tuple[Restriction, ...] = ()
    load_cases: tuple[LoadCase, ...] = ()
    """The engineer's own; none: the one case of the project's safety factors."""
    lease: tuple[LeaseCorner, ...] = ()
    """Corners in order; none: anchors may lie anywhere."""
    layout_words: tuple[LayoutWord, ...] = ()
    """How suppliers' own quotations are read."""
    uncertainties: tuple[Uncertainty, ...] = ()
    """How far rates, prices and currencies may turn out otherwise; none: as given."""
    supposed_tests: tuple[SupposedTests, ...] = ()
    """Counted as if they had been made; none: only what was tested counts."""
    drags_m: tuple[float, ...] = ()
    """Allowed drags that the evidence is asked for, where no leg states one."""
    origin_file: str = ""
    """Name of the workbook it was read from, for the record."""
    doubts: tuple[Fault, ...] = field(default=(), compare=False)
    """What was doubted when it was read, by cell: it goes with the plan."""
    whole: Farm | None = field(default=None, compare=False, repr=False)
    """Of the farm of the lines that are still to lay: the farm with those that lie already."""

    @cached_property
    def to_lay(self) -> Farm:
        """The farm as it is priced: of the lines that are not laid yet, and with the pulls of
        those that are among the tests."""
        if not self.laid:
            return self
        done = {(row.leg, row.line) for row in self.laid}
        left = (
            (leg, tuple(n for n in leg.numbers if (leg.name, n) not in done)) for leg in self.legs
        )
        legs = tuple(replace(leg, count=len(ns), still_to_lay=ns) for leg, ns in left if ns)
        readings = (*self.readings, *self.laid_pulls)
        return replace(self, legs=legs, readings=readings, laid=(), whole=self)

    @cached_property
    def laid_pulls(self) -> tuple[Reading, ...]:
        """The setting pulls of the lines laid, as readings of tests that were stopped."""
        found = (
            row.reading(self.leg_by_name[row.leg].seabed)
            for row in self.laid
            if row.leg in self.leg_by_name
        )
        return tuple(reading for reading in found if reading is not None)

    @cached_property
    def pull_tests(self) -> tuple[PullTest, ...]:
        """The readings, gathered into tests; the pulls of the lines laid are tests too."""
        return pull_tests((*self.readings, *self.laid_pulls))

    @cached_property
    def _tests_by_place(self) -> dict[tuple[str, str], tuple[PullTest, ...]]:
        places: dict[tuple[str, str], tuple[PullTest, ...]] = {}
        for test in self.pull_tests:
            key = (test.anchor, test.seabed)
            places[key] = (*places.get(key, ()), test)
        return places

    def tests_of(self, anchor: str, seabed: str) -> tuple[PullTest, ...]:
        """Return the pull tests of an anchor on a seabed, in the order of their first rows."""
        return self._tests_by_place.get((anchor, seabed), ())

    def supposed_of(self, anchor: str, seabed: str) -> int:
        """Return how many more tests of an anchor on a seabed are counted than were made."""
        rows = self.supposed_tests
        return sum(row.more for row in rows if (row.anchor, row.seabed) == (anchor, seabed))

    @cached_property
    def declared_by_place(self) -> dict[tuple[str, str], DeclaredHolding]:
        """The declared holdings by anchor and seabed."""
        return {(row.anchor, row.seabed): row for row in reversed(self.declared_holdings)}

    @cached_property
    def law_by_place(self) -> dict[tuple[str, str], HoldingLaw]:
        """The holding laws by family and seabed."""
        return {(law.family, law.seabed): law for law in reversed(self.holding_laws)}

    @cached_property
    def goods(self) -> tuple[Good, ...]:
        """The rows of all catalogues."""
        return (*self.anchors, *self.chains, *self.ropes, *self.fittings)

    def with_goods(self, change: GoodChange) -> Farm:
        """Return the farm with each row of its catalogues changed."""
        return replace(
            self,
            anchors=tuple(map(change, self.anchors)),
            chains=tuple(map(change, self.chains)),
            ropes=tuple(map(change, self.ropes)),
            fittings=tuple(map(change, self.fittings)),
        )

    @cached_property
    def items(self) -> tuple[Item, ...]:
        """Everything that can be ordered, anchors first."""
        return items_of(
            self.anchors,
            self.chains,
            self.ropes,
            self.fittings,
            self.suppliers,
            self.offers,
            self.price_breaks,
            [row for row in self.on_hand if row.there_by(self.project.required_on_site)],
        )

    @cached_property
    def item_by_name(self) -> dict[str, Item]:
        """The items by name."""
        return {item.name: item for item in self.items}

    @cached_property
    def offer_by_key(self) -> dict[OfferKey, ItemOffer]:
        """Every offer by its item and its supplier, in the order of the items."""
        return {offer.key: offer for item in self.items for offer in item.offers}

    @cached_property
    def anchor_by_name(self) -> dict[str, Anchor]:
        """The anchors by name."""
        return {anchor.name: anchor for anchor in self.anchors}

    @cached_property
    def chain_by_name(self) -> dict[str, Chain]:
        """The chains by name."""
        return {chain.name: chain for chain in self.chains}

    @cached_property
    def rope_by_name(self) -> dict[str, Rope]:
        """The ropes by name."""
        return {rope.name: rope for rope in self.ropes}

    @cached_property
    def seabed_by_name(self) -> dict[str, Seabed]:
        """The seabeds by name."""
        return {seabed.name: seabed for seabed in self.seabeds}

    @cached_property
    def leg_by_name(self) -> dict[str, Leg]:
        """The leg groups by name."""
        return {leg.name: leg for leg in self.legs}

    @cached_property
    def vessel_by_name(self) -> dict[str, Vessel]:
        """The vessels by name."""
        return {vessel.name: vessel for vessel in self.vessels}

    @cached_property
    def service_by_name(self) -> dict[str, FreightService]:
        """The freight services by name."""
        return {service.name: service for service in self.services}

    @property
    def options(self) -> tuple[Option, ...]:
        """The options of the Options sheet."""
        return options_of(self.restrictions)

    @property
    def families(self) -> tuple[str, ...]:
        """The anchor families, in the order of the catalogue."""
        return tuple(dict.fromkeys(anchor.family for anchor in self.anchors))

    @cached_property
    def sizes_assumed(self) -> frozenset[str]:
        """The items of which the workbook does not state how large a pack is."""
        sizes = {PACK_SIDES[0], "packed_volume_m3"}
        return frozenset(one.name for one in self.goods if one.stood_in & sizes)

    @property
    def freight_priced(self) -> bool:
        """Whether carriage is part of its cost; else goods are taken as delivered."""
        return not any("rate" in service.stood_in for service in self.services)

    @property
    def laying_priced(self) -> bool:
        """Whether vessels are part of its cost; else none of their limits is looked at."""
        return not any("day_rate" in vessel.stood_in for vessel in self.vessels)

    @property
    def leg_count(self) -> int:
        """The mooring lines of the farm."""
        return sum(leg.count for leg in self.legs)
