"""Edits in an order's own sheets that say something of its inputs, taken up into the farm.

Taken up is what can mean one thing only: a price, a charge, a rate, a setting, a day on which goods
are ready, a quantity that is less than was ordered (no more is to be had). All else is refused by
cell, and what was written into fields, which are the old order's own, is told.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from ...models.answer.plan import Part, Plan
from ...models.farm import Farm
from ...models.fault import Fault
from ...models.goods.chain import Chain
from ...models.goods.fitting import Fitting
from ...models.goods.item import Good, OfferKey
from ...models.goods.rope import Rope
from ..buying import purchase_order
from ..laying import laying_plan
from ..layout.column import CellKind, InputColumn
from ..layout.farm import PROJECT
from ..order import assumptions, freight
from ..paper.page import Page
from ..words.orders import Line, priced_orders
from .order_file import Compared, shown

READY_BY = len(purchase_order.COLUMNS)
NOT_TAKEN = "that does not say for certain what is to be otherwise in its inputs"
RAISED = (
    "why more is wanted is not certain: say it as a count of legs, spare anchors or a minimum order"
)
ONE_OF_SEVERAL = "it is one of several prices or lots of the offer: change its price breaks"
OF_THIS_ORDER = "stays with this order and is not on the next: write it there again"
RECORDED = "moorledger laid takes it over"


class NotCertainError(Exception):
    """An edit does not say for certain what it is to be in the inputs; the message says why."""


@dataclass(frozen=True)
class Taken:
    """The farm with the edits of an order, and what there is to say of them."""

    farm: Farm
    told: tuple[str, ...]
    """A line an edit: what it was taken up as, or that it stays with the order."""
    refused: tuple[Fault, ...]


@dataclass(frozen=True)
class _Place:
    """A cell that says something of the inputs."""

    what: str
    take: Callable[[Farm, Any], Farm]
    """Returns the farm with a cell's new value; raises NotCertainError."""


def taken_up(compared: Compared, farm: Farm, plan: Plan) -> Taken:
    """Return a farm with what the edits in its order's sheets say.

    farm : of the order's Input sheets. plan : the order's, checked.
    """
    places = {
        (sheet, row, column): place
        for sheet, row, column, place in (
            *_of_orders(compared.book.pages, plan),
            *_of_freight(compared.book.pages, plan),
            *_of_vessels(compared.book.pages, plan),
            *_of_settings(compared.book.pages),
        )
    }
    told: list[str] = []
    refused = list(compared.gone)
    dated = _order_date(compared, plan)
    if dated is not None:
        farm = _setting(farm, "order_date", dated)
        told.append(f"order date {dated}, on every order: taken up")
    for edit in compared.edits:
        place = places.get((edit.sheet, *edit.at))
        where = f"{edit.sheet}!{edit.cell}: {shown(edit.was)} → {shown(edit.now)}"
        if edit.in_field:
            if dated is None or edit.at != purchase_order.DATE_CELL:
                laid = edit.at[1] in laying_plan.ON_BOARD and edit.sheet.startswith("Laying")
                told.append(f"{where}: {RECORDED if laid else OF_THIS_ORDER}")
            continue
        try:
            if place is None:
                raise NotCertainError(NOT_TAKEN)
            farm = place.take(farm, edit.now)
            told.append(f"{where}: taken up as {place.what}")
        except NotCertainError as why:
            refused.append(edit.refused(str(why)))
    return Taken(farm, tuple(told), tuple(refused))


Places = Iterator[tuple[str, int, int, _Place]]
"""Sheet, row, column, and what it says there."""


def _titled(pages: Sequence[Page], title: str) -> str:
    """Return the name of the sheet with a title; "": there is none."""
    return next((page.name for page in pages if page.title == title), "")


def _of_orders(pages: Sequence[Page], plan: Plan) -> Places:
    for supplier, lines in priced_orders(plan):
        sheet = _titled(pages, purchase_order.title_of(supplier.name))
        top = purchase_order.HEADING_ROW + 1
        for row, line in enumerate(lines, start=top):
            several = sum(other.item == line.item for other in lines) > 1
            yield from (
                (sheet, row, column, place)
                for column, place in _of_line(plan.farm, line, supplier.name, several)
            )
        take = _money_of("suppliers", supplier.name, "order_charge")
        charge = _Place(f"the order charge of {supplier.name}", take)
        yield sheet, top + len(lines) + 1, purchase_order.EXTENDED, charge


def _of_line(farm: Farm, line: Line, supplier: str, several: bool) -> Iterator[tuple[int, _Place]]:
    """Yield the columns of an order's line that say something, and what."""
    of = f"{line.item} from {supplier}"
    if line.goods is None:
        if line.part is Part.JOINS:
            chain = line.item.removeprefix("Connector for ")
            yield purchase_order.PRICE, _Place(f"the join cost of {chain}", _joins_of(chain))
        return
    key = (line.goods.name, supplier)
    seller = next(row for row in farm.suppliers if row.name == supplier)
    per_price = (line.goods.length_sold_m or 1.0) * seller.price_factor
    brackets = farm.offer_by_key[key].prices.brackets
    ordered = line.quantity

    def price(farm: Farm, now: Any) -> Farm:
        if several or len(brackets) > 1:
            raise NotCertainError(ONE_OF_SEVERAL)
        return _offer_with(farm, key, unit_price=_money(now) / per_price)

    def fewer(farm: Farm, now: Any) -> Farm:
        if several:
            raise NotCertainError(ONE_OF_SEVERAL)
        if not _is_number(now) or now != int(now) or not now >= 0:
            raise NotCertainError("a quantity is a whole number")
        if now >= ordered:
            raise NotCertainError(RAISED)
        return _offer_with(farm, key, available=int(now))

    def ready(farm: Farm, now: Any) -> Farm:
        begun = farm.project.order_date
        if not isinstance(now, date) or begun is None or _day(now) < begun:
            raise NotCertainError("a lead time is counted from the order date to a day after it")
        return _offer_with(farm, key, lead_time_days=(_day(now) - begun).days)

    yield purchase_order.PRICE, _Place(f"the price of {of}", price)
    yield purchase_order.QUANTITY, _Place(f"all that is to be had of {of}", fewer)
    yield READY_BY, _Place(f"the lead time of {of}", ready)


def _offer_with(farm: Farm, key: OfferKey, **terms: Any) -> Farm:
    """Return a farm with other terms of one offer, where they stand: its row on Offers, or the
    catalogue's; a price for chain and rope is per metre there."""
    item, supplier = key
    for at, offer in enumerate(farm.offers):
        if (offer.item, offer.supplier) == key:
            offers = (*farm.offers[:at], replace(offer, **terms), *farm.offers[at + 1 :])
            return replace(farm, offers=offers)
    for name in ("anchors", "chains", "ropes", "fittings"):
        goods: tuple[Good, ...] = getattr(farm, name)
        for at, good in enumerate(goods):
            if (good.name, good.supplier) != key:
                continue
            if isinstance(good, Chain | Rope) and "unit_price" in terms:
                terms["price_per_m"] = terms.pop("unit_price")
            if isinstance(good, Fitting) and "lead_time_days" in terms:
                raise NotCertainError("a fitting's lead time is its supplier's: change it there")
            otherwise: Any = (*goods[:at], replace(good, **terms), *goods[at + 1 :])
            return replace(farm, **{name: otherwise})
    raise NotCertainError(f"{item} from {supplier} is no longer on offer")


def _joins_of(chain: str) -> Callable[[Farm, Any], Farm]:
    def take(farm: Farm, now: Any) -> Farm:
        # The order may be in the currency of another offer than the chain's own cost of a join.
        item, own = farm.item_by_name[chain], farm.chain_by_name[chain].join_cost
        first = item.offers[0] if item.offers else None
        if first is None or len({offer.exchange_rate for offer in item.offers}) > 1 or not own:
            raise NotCertainError("whose currency the chain's join cost is in is not certain")
        return _renamed(farm, "chains", chain, join_cost=_money(now))

    return take


def _of_freight(pages: Sequence[Page], plan: Plan) -> Places:
    sheet = _titled(pages, "Freight bookings")
    for row, booking in enumerate(plan.bookings, start=freight.HEADING_ROW + 1):
        for field, column in freight.RATES.items():
            what = f"the {field.replace('_', ' ')} of {booking.service}"
            yield sheet, row, column, _Place(what, _money_of("services", booking.service, field))


def _of_vessels(pages: Sequence[Page], plan: Plan) -> Places:
    for campaign in plan.campaigns:
        sheet = _titled(pages, laying_plan.title_of(campaign.vessel))
        for field, (row, column) in laying_plan.CHARGES.items():
            what = f"the {field.replace('_', ' ')} of {campaign.vessel}"
            yield sheet, row, column, _Place(what, _money_of("vessels", campaign.vessel, field))


def _money_of(records: str, name: str, field: str) -> Callable[[Farm, Any], Farm]:
    def take(farm: Farm, now: Any) -> Farm:
        return _renamed(farm, records, name, **{field: _money(now)})

    return take


def _renamed(farm: Farm, records: str, name: str, **values: Any) -> Farm:
    """Return a farm with one record of a sheet otherwise."""
    rows: Any = tuple(
        replace(row, **values) if row.name == name else row for row in getattr(farm, records)
    )
    return replace(farm, **{records: rows})


def _of_settings(pages: Sequence[Page]) -> Places:
    sheet = _titled(pages, assumptions.TITLE)
    for row, setting in enumerate(PROJECT.columns, start=assumptions.HEADING_ROW + 1):
        yield sheet, row, assumptions.VALUE, _Place(setting.heading, _set(setting))


def _set(setting: InputColumn) -> Callable[[Farm, Any], Farm]:
    def take(farm: Farm, now: Any) -> Farm:
        match setting.kind:
            case CellKind.DATE if isinstance(now, date):
                return _setting(farm, setting.field, _day(now))
            case CellKind.COUNT if _is_number(now) and now == int(now):
                return _setting(farm, setting.field, int(now))
            case CellKind.NUMBER | CellKind.PERCENT | CellKind.SHARE if _is_number(now):
                return _setting(farm, setting.field, float(now))
        raise NotCertainError(f"{setting.heading} is read on the Input sheet Project only")

    return take


def _setting(farm: Farm, field: str, value: Any) -> Farm:
    given = farm.project.given | {field}
    return replace(farm, project=replace(farm.project, given=given, **{field: value}))


def _order_date(compared: Compared, plan: Plan) -> date | None:
    """Return the day that every order is dated by hand; None: not all, or not alike."""
    written = [e.now for e in compared.edits if e.in_field and e.at == purchase_order.DATE_CELL]
    days = {_day(now) if isinstance(now, date) else None for now in written}
    if len(days) != 1 or len(written) != len(list(priced_orders(plan))):
        return None
    return days.pop()


def _is_number(value: Any) -> bool:
    numeric = isinstance(value, int | float) and not isinstance(value, bool)
    return numeric and math.isfinite(value)


def _money(value: Any) -> float:
    if not _is_number(value) or value < 0:
        raise NotCertainError("an amount of money is a number, 0 or more")
    return float(value)


def _day(value: date) -> date:
    return value.date() if isinstance(value, datetime) else value
