"""Faults between the records of a farm: unknown names, doubles, what cannot agree or be meant."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from .after.laid_faults import laid_faults
from .arrays import ROUNDING
from .basis_faults import basis_faults
from .farm import Farm
from .fault import Fault, Severity, closest, rounded
from .goods.anchor import PACK_SIDES, HoldsBy
from .goods.freight import Basis, FreightService
from .goods.supplier import Supplier
from .offer_faults import offer_faults
from .option import FREE, WHOLE_FARM, Rule, What
from .option_menu import leanings, left_out, names_of, single_models
from .site.pull_test import Reading
from .standing.holding import contradicts
from .standing.own_tests import own_tests
from .uncertainty_faults import uncertainty_faults

SAME_VOLUME = 0.01
"""Relative difference up to which a stated volume and one by density agree: rounding."""

SIDE_HEADINGS = dict(zip(PACK_SIDES, ("Pack length", "Pack width", "Pack height"), strict=True))

MOST_COMPARED = 20_000
"""Pairs of names compared, each some 30 µs, to find what an unknown one may be meant for."""


def farm_faults(farm: Farm) -> tuple[Fault, ...]:
    """Return every fault between the records, sorted: unknown names, doubles, contradictions."""
    return tuple(sorted(_faults(farm)))


def _faults(farm: Farm) -> Iterator[Fault]:
    yield from _doubles(farm)
    yield from _evidence_doubles(farm)
    yield from _unknown_names(farm)
    yield from offer_faults(farm)
    yield from _pull_tests(farm)
    yield from _declared(farm)
    yield from _displaced(farm)
    yield from _seabeds(farm)
    yield from _currencies(farm)
    yield from _senseless(farm)
    yield from basis_faults(farm)
    yield from laid_faults(farm)
    yield from option_faults(farm)
    yield from uncertainty_faults(farm)


def _doubles(farm: Farm) -> Iterator[Fault]:
    """Names must be unique on their sheet; items must be unique across the catalogues."""
    goods: tuple[Any, ...] = farm.goods
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

    sellers: tuple[tuple[Any, ...], ...] = (farm.anchors, farm.chains, farm.ropes, farm.fittings)
    sellers += (farm.offers, farm.price_breaks, farm.layout_words)
    for catalogue in sellers:
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
    yield from refer(farm.offers, "Item", lambda r: [r.item], goods, catalogues)
    yield from refer(farm.price_breaks, "Item", lambda r: [r.item], goods, catalogues)
    legs, ropes = [leg.name for leg in farm.legs], [rope.name for rope in farm.ropes]
    yield from refer(farm.laid, "Leg", lambda r: [r.leg], legs, "Legs")
    yield from refer(farm.laid, "Anchor", lambda r: [r.anchor], anchors, "Anchors")
    yield from refer(farm.laid, "Chain", lambda r: [r.chain], chains, "Chain")
    yield from refer(farm.laid, "Rope", lambda r: [r.rope], ropes, "Rope")
    yield from refer(farm.on_hand, "Item", lambda r: [r.item], goods, catalogues)


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


def _declared(farm: Farm) -> Iterator[Fault]:
    """A declared holding is no more than the anchor's own tests support, or overrides them."""
    drags: dict[str, set[float]] = {}
    for leg in farm.legs:
        if not math.isnan(leg.allowed_drag_m):
            drags.setdefault(leg.seabed, set()).add(leg.allowed_drag_m)
    for row in farm.declared_holdings:
        read = [r for test in farm.tests_of(row.anchor, row.seabed) for r in test.readings]
        if row.overrides_tests or not read or any(math.isnan(r.drag_m + r.load_kn) for r in read):
            continue  # what could not be read is said of its cell
        first = min(r.drag_m for r in read)  # within less, no test has a reading
        asked = [drag for drag in drags.get(row.seabed, ()) if drag >= first]
        held = [own_tests(farm, row.anchor, row.seabed, drag) for drag in asked]
        own = min(held, key=lambda each: each.supported_kn, default=None)
        if own is None or not contradicts(row, own):
            continue
        support = "supports" if len(own.tests) == 1 else "support"
        message = (
            f"{row.holding_kn:g} kN, but its {own.counted} on '{row.seabed}' {support} "
            f"{rounded(own.supported_kn, 4)} kN within {own.allowed_drag_m:g} m: declare no more, "
            "or write yes under Overrides tests, and the Summary will say so"
        )
        yield Fault.at(row.source, "Holding", message)


def _displaced(farm: Farm) -> Iterator[Fault]:
    """What an anchor displaces is said once; where it holds by weight it must be said."""
    for anchor in farm.anchors:
        volume, density = anchor.stated_volume_m3, anchor.stated_density_kg_m3
        if volume is not None and density is not None:
            owed = anchor.mass_kg / density
            if abs(owed - volume) > SAME_VOLUME * volume:
                message = (
                    f"{anchor.mass_kg:g} kg at {density:g} kg/m³ displace {rounded(owed, 4)} m³, "
                    f"but the submerged volume is {volume:g} m³: keep the one that is right"
                )
                yield Fault.at(anchor.source, "Density", message)
        elif volume is None and density is None and anchor.holds_by is HoldsBy.WEIGHT:
            message = (
                "blank, and no submerged volume either: an anchor that holds by weight needs one "
                "of them, since steel is not assumed (concrete is often about 2400 kg/m³)"
            )
            yield Fault.at(anchor.source, "Density", message)
        if anchor.submerged_weight_kn <= 0 and (volume is not None or density is not None):
            message = (
                f"{anchor.displaced_m3:g} m³ of sea water weigh more than its "
                f"{anchor.mass_kg:g} kg: check {'density' if volume is None else 'volume'}, mass "
                "and units"
            )
            heading = "Density" if volume is None else "Submerged volume"
            yield Fault.at(anchor.source, heading, message)


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
    sellers: tuple[Supplier | FreightService, ...] = (*farm.suppliers, *farm.services)
    given: dict[str, Counter[float]] = {}
    for seller in sellers:
        given.setdefault(seller.currency.casefold(), Counter())[seller.exchange_rate] += 1
    # The rate that most have is the one the others are measured by, the first of equals.
    rates = {code: each.most_common(1)[0][0] for code, each in given.items()}
    rates[farm.project.currency.casefold()] = 1.0
    for seller in sellers:
        rate = rates[seller.currency.casefold()]
        if abs(rate - seller.exchange_rate) > ROUNDING * rate:
            yield Fault.at(
                seller.source,
                "Project currency per unit",
                f"{seller.exchange_rate:g}, but {seller.currency} is at {rate:g} elsewhere; "
                "give a currency one rate (the project's own is 1)",
            )


def _senseless(farm: Farm) -> Iterator[Fault]:
    """Yield what each cell allows but the row, or the farm, cannot mean."""
    project = farm.project
    if project.days_to_deliver is not None and project.days_to_deliver < 0:
        message = f"{project.required_on_site} is before the order date, {project.order_date}"
        yield Fault.at(project.source, "Required on site", message)
    for anchor in farm.anchors:
        blank = [side for side in PACK_SIDES if side in anchor.stood_in]
        if 0 < len(blank) < len(PACK_SIDES):
            message = "blank, but other sides of the pack are there: give all three, or none"
            yield Fault.at(anchor.source, SIDE_HEADINGS[blank[0]], message)
        contents = anchor.pack_quantity * anchor.mass_kg
        if anchor.pack_mass_kg < contents * (1 - ROUNDING):
            message = f"{anchor.pack_mass_kg:g} kg is less than its anchors weigh, {contents:g} kg"
            yield Fault.at(anchor.source, "Pack mass", message, Severity.WARNING)
    each = {anchor.name for anchor in farm.anchors} | {fitting.name for fitting in farm.fittings}
    for stock in farm.on_hand:
        if stock.connectors and stock.item not in farm.chain_by_name:
            message = f"yes, but '{stock.item}' is no chain: connectors join pieces of chain"
            yield Fault.at(stock.source, "Connectors", message)
        if (stock.connectors or stock.item in each) and stock.quantity % 1 > 0:
            message = f"found {stock.quantity:g}; '{stock.item}' is counted: needs a whole number"
            yield Fault.at(stock.source, "Quantity", message)
    for service in farm.services:
        for heading, value in (("Volume", service.volume_m3), ("Payload", service.payload_t)):
            if service.basis is Basis.CONTAINER and value is None:
                message = "blank: one container is taken to have no limit of it"
                yield Fault.at(service.source, heading, message, Severity.WARNING)


SHEET_OF = {
    What.FAMILIES: "Anchors",
    What.ANCHORS: "Anchors",
    What.CHAINS: "Chain",
    What.ROPES: "Rope",
    What.VESSELS: "Vessels",
    What.SUPPLIERS: "Suppliers",
    What.SERVICES: "Freight",
}
"""Kind of thing → the sheet that names things of that kind."""


def option_faults(farm: Farm) -> Iterator[Fault]:
    """Yield what is wrong with the rows of the Options sheet: unknown names, senseless rules."""
    legs = [leg.name for leg in farm.legs]
    taken = {option.name.casefold() for option in (FREE, *left_out(farm), *single_models(farm))}
    taken |= {option.name.casefold() for pair in leanings(farm) for option in pair}
    for row in farm.restrictions:
        if row.option.casefold() in taken:
            message = f"'{row.option}' is compared without being asked for; give it another name"
            yield Fault.at(row.source, "Name", message)
        known = names_of(farm, row.what)
        for name in row.which:
            if name in known:
                continue
            if row.what is What.TRANSPORT_FORM:
                message = f"'{name}' is no transport form; needs {' or '.join(known)}"
            else:
                message = f"'{name}' is not one of the {row.what} in {SHEET_OF[row.what]}"
            yield Fault.at(row.source, "Which", message + closest(name, known))
        for name in row.legs:
            if name not in legs:
                message = f"'{name}' is not in Legs{closest(name, legs)}"
                yield Fault.at(row.source, "Legs", message)
        if row.what in WHOLE_FARM and row.legs:
            message = f"{row.what} serve the whole farm; leave it blank"
            yield Fault.at(row.source, "Legs", message)
        if row.what in WHOLE_FARM and row.rule is Rule.PREFER:
            message = f"'{Rule.PREFER}' is for what a leg can choose; {row.what} need "
            message += f"'{Rule.ALLOW}' or '{Rule.FORBID}'"
            yield Fault.at(row.source, "Allow / Forbid", message)
