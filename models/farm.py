"""The farm: everything that one order covers, held together and checked against itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from .anchor import Anchor, HoldsBy, UpliftLoss
from .chain import Chain
from .fault import Fault, Severity, closest
from .fitting import Fitting
from .freight import FreightService
from .holding_evidence import DeclaredHolding, HoldingLaw
from .item import Item, items_of
from .leg import Leg
from .option import Option, Restriction, option_faults, options_of
from .price import PriceBreak
from .project import Project
from .pull_test import PullTest, Reading, pull_tests
from .rope import Rope
from .seabed import Seabed
from .supplier import OnHand, Supplier
from .vessel import Vessel

MOST_COMPARED = 20_000
"""Pairs of names compared, each some 30 µs, to find what an unknown one may be meant for."""


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
    price_breaks: tuple[PriceBreak, ...] = ()
    on_hand: tuple[OnHand, ...] = ()
    restrictions: tuple[Restriction, ...] = ()
    origin_file: str = ""
    """Name of the workbook it was read from, for the record."""

    @cached_property
    def pull_tests(self) -> tuple[PullTest, ...]:
        """The readings, gathered into tests."""
        return pull_tests(self.readings)

    @cached_property
    def items(self) -> tuple[Item, ...]:
        """Everything that can be ordered, anchors first."""
        return items_of(self)

    @cached_property
    def item_by_name(self) -> dict[str, Item]:
        """The items by name."""
        return {item.name: item for item in self.items}

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

    @property
    def leg_count(self) -> int:
        """The mooring lines of the farm."""
        return sum(leg.count for leg in self.legs)

    def faults(self) -> tuple[Fault, ...]:
        """Return every fault between the records: unknown names, doubles, what cannot agree."""
        return tuple(sorted(_faults(self)))


def _faults(farm: Farm) -> Iterator[Fault]:
    yield from _doubles(farm)
    yield from _evidence_doubles(farm)
    yield from _unknown_names(farm)
    yield from _price_breaks(farm)
    yield from _pull_tests(farm)
    yield from _seabeds(farm)
    yield from _currencies(farm)
    yield from option_faults(farm)


def _doubles(farm: Farm) -> Iterator[Fault]:
    """Names must be unique on their sheet; items must be unique across the catalogues."""
    goods: tuple[Any, ...] = (*farm.anchors, *farm.chains, *farm.ropes, *farm.fittings)
    for heading, records in (
        ("Leg", farm.legs),
        ("Seabed", farm.seabeds),
        ("Supplier", farm.suppliers),
        ("Service", farm.services),
        ("Vessel", farm.vessels),
        ("", goods),
    ):
        seen: dict[str, Any] = {}
        for record in records:
            first = seen.setdefault(record.name.casefold(), record)
            if first is record:
                continue
            place = first.source
            where = f" (first on {place.sheet} row {place.row})" if place else ""
            column = heading or type(record).__name__
            yield Fault.at(
                record.source,
                column,
                f"'{record.name}' is named twice{where}; give each its own name",
            )


def _evidence_doubles(farm: Farm) -> Iterator[Fault]:
    """One thing may be said once: a holding, a law, the share kept at an angle."""
    said: dict[tuple[str, ...], Any] = {}
    rows: list[tuple[str, tuple[str, str, str], Any]] = []
    rows += (("Holding", (d.anchor, "on", d.seabed), d) for d in farm.declared_holdings)
    rows += (("Reference holding", (w.family, "on", w.seabed), w) for w in farm.holding_laws)
    rows += (
        ("Uplift", (p.anchor_or_family, "at", f"{p.uplift_deg:g}°"), p) for p in farm.uplift_losses
    )
    for heading, key, record in rows:
        first = said.setdefault((heading, *key), record)
        if first is not record:
            place = first.source
            where = f" (first on {place.sheet} row {place.row})" if place else ""
            name, joint, other = key
            message = f"'{name}' {joint} {other} is there twice{where}; keep one"
            yield Fault.at(record.source, heading, message)


def _unknown_names(farm: Farm) -> Iterator[Fault]:
    """Every name that refers to another sheet must be there."""
    suppliers = [supplier.name for supplier in farm.suppliers]
    seabeds = [seabed.name for seabed in farm.seabeds]
    anchors = [anchor.name for anchor in farm.anchors]
    chains = [chain.name for chain in farm.chains]
    goods = [*anchors, *chains, *(r.name for r in farm.ropes), *(f.name for f in farm.fittings)]
    origins = list(dict.fromkeys(service.origin for service in farm.services))
    families = list(farm.families)

    def refer(
        records: Iterable[Any],
        heading: str,
        names: Callable[[Any], Iterable[str | None]],
        known: list[str],
        sheet: str,
    ) -> Iterator[Fault]:
        there = set(known)
        near: dict[str, str] = {}
        for record in records:
            for name in names(record):
                if name is None or name in there:
                    continue
                if name not in near and len(near) * len(known) < MOST_COMPARED:
                    near[name] = closest(name, known)
                message = f"'{name}' is not in {sheet}{near.get(name, '')}"
                yield Fault.at(record.source, heading, message)

    for catalogue in (farm.anchors, farm.chains, farm.ropes, farm.fittings):
        yield from refer(catalogue, "Supplier", lambda r: [r.supplier], suppliers, "Suppliers")
    yield from refer(farm.suppliers, "Origin", lambda r: [r.origin], origins, "Freight")
    for users in (farm.legs, farm.declared_holdings, farm.holding_laws, farm.readings):
        yield from refer(users, "Seabed", lambda r: [r.seabed], seabeds, "Seabeds")
    yield from refer(
        farm.legs, "Allowed families", lambda r: r.allowed_families, families, "Anchors"
    )
    yield from refer(farm.legs, "Fixed anchor", lambda r: [r.fixed_anchor], anchors, "Anchors")
    yield from refer(farm.legs, "Fixed chain", lambda r: [r.fixed_chain], chains, "Chain")
    for evidence in (farm.declared_holdings, farm.readings):
        yield from refer(evidence, "Anchor", lambda r: [r.anchor], anchors, "Anchors")
    yield from refer(farm.holding_laws, "Family", lambda r: [r.family], families, "Anchors")
    yield from refer(
        farm.uplift_losses,
        "Anchor or family",
        lambda r: [r.anchor_or_family],
        anchors + families,
        "Anchors",
    )
    yield from refer(farm.fittings, "For chain", lambda r: [r.for_chain], chains, "Chain")
    catalogues = "Anchors, Chain, Rope or Fittings"
    yield from refer(farm.price_breaks, "Item", lambda r: [r.item], goods, catalogues)
    yield from refer(farm.on_hand, "Item", lambda r: [r.item], goods, catalogues)


def _price_breaks(farm: Farm) -> Iterator[Fault]:
    """The breaks of one item share a scheme and start at different quantities."""
    first: dict[str, PriceBreak] = {}
    starts: set[tuple[str, int]] = set()
    for price_break in farm.price_breaks:
        head = first.setdefault(price_break.item, price_break)
        if head.scheme is not price_break.scheme:
            yield Fault.at(
                price_break.source,
                "Scheme",
                f"'{price_break.item}' has breaks of both schemes; use one for all its rows",
            )
        key = (price_break.item, price_break.from_quantity)
        if key in starts:
            yield Fault.at(
                price_break.source,
                "From quantity",
                f"'{price_break.item}' has two breaks from {price_break.from_quantity}; keep one",
            )
        starts.add(key)


def _pull_tests(farm: Farm) -> Iterator[Fault]:
    """Drag may not run backwards within a test; a test is of one anchor on one seabed."""
    known = farm.anchor_by_name.keys() | farm.seabed_by_name.keys()
    first: dict[str, Reading] = {}
    last: dict[str, Reading] = {}
    torn: set[str] = set()
    for reading in farm.readings:
        if not {reading.anchor, reading.seabed} <= known:
            continue  # said of its name
        head = first.setdefault(reading.test, reading)
        before = last.setdefault(reading.test, reading)
        if (head.anchor, head.seabed) != (reading.anchor, reading.seabed):
            if reading.test not in torn:
                yield Fault.at(
                    reading.source,
                    "Test",
                    f"test '{reading.test}' is already of '{head.anchor}' on '{head.seabed}'; "
                    "give each test its own name",
                )
            torn.add(reading.test)
            continue
        if reading.drag_m < before.drag_m:
            yield Fault.at(
                reading.source,
                "Drag",
                f"drag runs backwards in test '{reading.test}' "
                f"({before.drag_m:g} m, then {reading.drag_m:g} m); put its rows in order of drag",
            )
        last[reading.test] = reading


def _seabeds(farm: Farm) -> Iterator[Fault]:
    """A deadweight needs a seabed with a friction for it: say where none of the legs has one."""
    used = {leg.seabed for leg in farm.legs}
    if not any(anchor.holds_by is HoldsBy.WEIGHT for anchor in farm.anchors):
        return
    for seabed in farm.seabeds:
        if seabed.name in used and seabed.deadweight_friction is None:
            yield Fault.at(
                seabed.source,
                "Deadweight friction",
                f"blank: anchors that hold by weight are not considered on '{seabed.name}'",
                Severity.WARNING,
            )


def _currencies(farm: Farm) -> Iterator[Fault]:
    """One currency has one rate; the project's own has the rate 1."""
    rates: dict[str, float] = {farm.project.currency.casefold(): 1.0}
    sellers: tuple[Supplier | FreightService, ...] = (*farm.suppliers, *farm.services)
    for seller in sellers:
        rate = rates.setdefault(seller.currency.casefold(), seller.exchange_rate)
        if abs(rate - seller.exchange_rate) > 1e-9 * rate:
            yield Fault.at(
                seller.source,
                "Project currency per unit",
                f"{seller.exchange_rate:g}, but {seller.currency} is at {rate:g} elsewhere; "
                "give a currency one rate (the project's own is 1)",
            )
