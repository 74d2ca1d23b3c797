"""What changed against an earlier order, item by item and line by line, and what it costs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any

from ..answer.change import Change, ChangeOf, SentOrder
from ..answer.plan import Plan
from ..farm import Farm
from ..goods.item import GoodT, offer_rows, without_own_offer
from ..goods.supplier import ORDERED_BEFORE
from .kept_goods import given_back, with_named_breaks, without_kept
from .ordered import laid_share, rows_by_line, spent

NOT_COMPARED = frozenset({"source", "given", "on_hand", "doubts", "origin_file", "whole", "laid"})
MOST_REASONS = 3
NO_MONEY = 1e-6
"""What rounding leaves of nothing."""


def after_plan(plan: Plan, old: Plan, name: str, sent: Sequence[SentOrder] = ()) -> Plan:
    """Return a plan with what was spent before it and its changes against the earlier order.

    name : the file of that order. sent : the orders that suppliers were sent by it.
    """
    now = replace(
        plan,
        after=name,
        before=spent(plan.farm, old),
        sent=(*old.sent, *sent),
    )
    return replace(now, changes=tuple(_changes(now, old)))


def _changes(new: Plan, old: Plan) -> Iterator[Change]:
    inputs = tuple(_inputs(new.farm, old.farm))
    yield from inputs
    yield from _lines(new, old, inputs)
    yield from _late(new)
    yield from _goods(new, old, inputs)
    yield from _connectors(new, old, inputs)
    yield from _charges(new)
    yield from _carriage(new, old, inputs)
    yield from _laying(new, old, inputs)


def _reason(inputs: tuple[Change, ...], *names: str) -> str:
    """Return the inputs said otherwise that name one of some records."""
    told = [
        f"{change.what}: {change.old} → {change.new}"
        for change in inputs
        if any(name and f"'{name}'" in change.what for name in names)
    ]
    more = f" and {len(told) - MOST_REASONS} more" if len(told) > MOST_REASONS else ""
    return "; ".join(told[:MOST_REASONS]) + more


def _inputs(new: Farm, old: Farm) -> Iterator[Change]:
    """Yield what the buyer says otherwise, record by record; lines laid are told with the lines."""
    new, old = (without_kept(with_named_breaks(farm)) for farm in (new, old))
    new, old = _offers_alike(new, old), _offers_alike(old, new)
    for field in fields(new):
        if field.name in NOT_COMPARED:
            continue
        before, now = getattr(old, field.name), getattr(new, field.name)
        sheet = field.name.replace("_", " ")
        if is_dataclass(now):
            yield from _record(sheet, before, now)
            continue
        was, by_key = _by_key(before), _by_key(now)
        for key in dict.fromkeys((*was, *by_key)):
            what = f"{sheet} '{key}'"
            if key not in by_key:
                yield Change(ChangeOf.INPUT, what, "there", "gone")
            elif key not in was:
                yield Change(ChangeOf.INPUT, what, "not there", "there")
            else:
                yield from _record(what, was[key], by_key[key])


def _offers_alike(farm: Farm, other: Farm) -> Farm:
    """Return a farm with the own offers of goods on Offers that the other farm has there: taken
    quotations move them, which is no change of what is asked."""
    apart = {good.name for good in other.goods if good.supplier is None}
    moved = [good for good in farm.goods if good.supplier is not None and good.name in apart]
    if not moved:
        return farm
    own = [offer for rows in offer_rows(moved, ()).values() for offer in rows]

    def blank(good: GoodT) -> GoodT:
        return without_own_offer(good) if good in moved else good

    return replace(farm.with_goods(blank), offers=(*own, *farm.offers))


def _by_key(records: Any) -> dict[str, Any]:
    """Return records by what names them; of those of one name, each by its number."""
    found: dict[str, Any] = {}
    for record in records:
        names = [str(record.name)] if hasattr(record, "name") else _names(record)
        key = "' '".join(names)
        number = 1
        while (f"{key}' '{number}" if number > 1 else key) in found:
            number += 1
        found[f"{key}' '{number}" if number > 1 else key] = record
    return found


def _names(record: Any) -> list[str]:
    """Return what tells apart records that have no name of their own."""
    fields_of = ("test", "item", "supplier", "anchor", "anchor_or_family", "family", "seabed")
    return [str(getattr(record, name)) for name in fields_of if getattr(record, name, None)]


def _record(what: str, old: Any, new: Any) -> Iterator[Change]:
    if not is_dataclass(new):
        if old != new:
            yield Change(ChangeOf.INPUT, what, _shown(old), _shown(new))
        return
    for field in fields(new):
        if field.name in NOT_COMPARED:
            continue
        was, now = getattr(old, field.name), getattr(new, field.name)
        if was != now:
            name = field.name.replace("_", " ")
            yield Change(ChangeOf.INPUT, f"{what} {name}", _shown(was), _shown(now))


def _shown(value: Any) -> str:
    if value is None or value == "" or value == ():
        return "blank"
    if isinstance(value, float):
        return f"{value:.10g}"
    return ", ".join(map(_shown, value)) if isinstance(value, tuple) else str(value)


def _lines(new: Plan, old: Plan, inputs: tuple[Change, ...]) -> Iterator[Change]:
    """Yield how lines are built or laid otherwise; those of a leg that change alike together."""
    before, now = _built(old), _built(new)
    runs: dict[tuple[str, str, str], list[int]] = {}
    for leg, line in sorted(before.keys() | now.keys()):
        was, is_now = before.get((leg, line), "no line"), now.get((leg, line), "no line")
        if was != is_now:
            runs.setdefault((leg, was, is_now), []).append(line)
    for (leg, was, is_now), numbers in runs.items():
        tags = f"{leg}/{', '.join(map(str, numbers))}"
        yield Change(ChangeOf.LINE, tags, was, is_now, reason=_reason(inputs, leg))


def _built(plan: Plan) -> Mapping[tuple[str, int], str]:
    found = {line: f"{row.make_up}, by {row.vessel}" for line, row in rows_by_line(plan).items()}
    return found | {(row.leg, row.first_line): f"{row.make_up}, laid already" for row in plan.laid}


def _late(new: Plan) -> Iterator[Change]:
    """Yield the goods of earlier orders that are not there when they are needed."""
    needed = new.farm.project.required_on_site
    late: dict[tuple[str, str, str], float] = {}
    for row in new.farm.on_hand:
        if not row.there_by(needed):
            item = f"connectors of {row.item}" if row.connectors else row.item
            key = (item, row.ordered_from, str(row.there_from))
            late[key] = late.get(key, 0.0) + row.quantity
    for (item, supplier, day), quantity in late.items():
        what = f"{item} from {supplier}, ordered before"
        told = f"{quantity:g} not there before {day}: not counted on"
        yield Change(ChangeOf.GOODS, what, "ordered", told, reason=f"needed {needed}")


def _goods(new: Plan, old: Plan, inputs: tuple[Change, ...]) -> Iterator[Change]:
    """Yield what is ordered more of every item from every supplier."""
    insured = new.farm.project.insurance_share
    had = {(line.item, line.supplier): line.quantity for line in old.orders}
    kept = {supplier.name for supplier in new.farm.suppliers if supplier.ordered_before}
    for (item, seller), there, back, money in given_back(new):
        if back:
            yield Change(
                ChangeOf.GOODS,
                f"{item} from {seller}, ordered before",
                f"{there} there",
                f"{back} given back, {there - back} kept",
                purchase=-money,
                reason=_reason(inputs, item, seller),
            )
    for line in new.orders:
        if line.supplier in kept:
            continue
        before = had.get((line.item, line.supplier), 0)
        purchase = line.money * (1 + insured) + line.duty
        yield Change(
            ChangeOf.GOODS,
            f"{line.item} from {line.supplier}",
            f"{before} ordered",
            f"{before + line.quantity} ordered, {line.quantity} of them now",
            purchase=purchase,
            reason=_reason(inputs, line.item, line.supplier, *_legs_with(new, line.item)),
        )


def _connectors(new: Plan, old: Plan, inputs: tuple[Change, ...]) -> Iterator[Change]:
    """Yield what is ordered more of the connectors of every chain."""
    had = old.connectors_bought
    for chain, number in new.connectors_bought.items():
        item, before = new.farm.item_by_name[chain], had[chain]
        yield Change(
            ChangeOf.JOINS,
            f"connectors of {chain}",
            f"{before} ordered",
            f"{before + number} ordered, {number} of them now",
            purchase=number * item.join_cost,
            reason=_reason(inputs, chain, *_legs_with(new, chain)),
        )


def _legs_with(plan: Plan, item: str) -> set[str]:
    """Return the legs that an item is laid on."""
    return {
        row.leg
        for row in plan.assignments
        if item in (row.make_up.anchor, row.make_up.chain, row.make_up.rope)
    }


def _charges(new: Plan) -> Iterator[Change]:
    for supplier, money in new.order_charges.items():
        if money:
            yield Change(ChangeOf.CHARGE, supplier, "charged before", "once more", purchase=money)


def _carriage(new: Plan, old: Plan, inputs: tuple[Change, ...]) -> Iterator[Change]:
    insured = new.farm.project.insurance_share
    had = {booking.service: sum(n for _, _, n in booking.packs) for booking in old.bookings}
    for booking in new.bookings:
        if booking.origin == ORDERED_BEFORE:
            continue
        packs, before = sum(n for _, _, n in booking.packs), had.get(booking.service, 0)
        yield Change(
            ChangeOf.CARRIAGE,
            booking.service,
            f"{before} packs",
            f"{before + packs} packs, {packs} of them now",
            freight=booking.money * (1 + insured) + booking.duty,
            reason=_reason(inputs, booking.service),
        )


def _laying(new: Plan, old: Plan, inputs: tuple[Change, ...]) -> Iterator[Change]:
    """Yield vessels by what is spent of them and what is still to be."""
    was = {campaign.vessel: campaign for campaign in old.campaigns}
    now = {campaign.vessel: campaign for campaign in new.campaigns}
    laid = laid_share(new.farm, old)
    for vessel in dict.fromkeys((*was, *now)):
        before = was[vessel].money if vessel in was else 0.0
        after = now[vessel].money if vessel in now else 0.0
        boat = after + laid.get(vessel, 0.0) * before - before
        lines = [c.legs if c else 0 for c in (was.get(vessel), now.get(vessel))]
        again = laid.get(vessel, 0.0) > 0 and vessel in now
        sails = "some of its lines lie, and it sails again for the others" if again else ""
        if abs(boat) > NO_MONEY or lines[0] != lines[1]:
            yield Change(
                ChangeOf.VESSEL,
                vessel,
                f"{lines[0]} lines to lay",
                f"{lines[1]} lines to lay",
                boat=boat,
                reason="; ".join(filter(None, (_reason(inputs, vessel), sails))),
            )
