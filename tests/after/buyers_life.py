"""Ten changes of a buyer's life, as edits of a farm and its last plan; every figure invented."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

from moorledger.models.after.kept_goods import with_named_breaks
from moorledger.models.answer.plan import Plan
from moorledger.models.farm import Farm
from moorledger.models.goods.supplier import Offer
from moorledger.models.site.laid_line import LaidLine
from moorledger.models.site.pull_test import Event, Reading
from moorledger.models.standing.laid_standing import laid_standing

from tests.after.laid_farms import recorded

Change = Callable[[Farm, Plan], Farm]


def _most_used(plan: Plan) -> str:
    """Return the anchor model that most lines are laid on."""
    models = [row.make_up.anchor for row in plan.assignments for _ in range(row.count)]
    return max(sorted(set(models)), key=models.count)


def price_up(farm: Farm, plan: Plan) -> Farm:
    """The anchors' prices rise by 12 %."""
    dearer = tuple(
        a if a.unit_price is None else replace(a, unit_price=a.unit_price * 1.12)
        for a in farm.anchors
    )
    return replace(farm, anchors=dearer)


def vessel_away(farm: Farm, plan: Plan) -> Farm:
    """The vessel with most days of those that another could stand in for is not to be had."""
    days = {campaign.vessel: campaign.days for campaign in plan.campaigns}
    largest = max(farm.vessels, key=lambda vessel: vessel.crane_limit_t).name
    away = max((name for name in days if name != largest), key=lambda n: days[n], default="")
    return replace(farm, vessels=tuple(v for v in farm.vessels if v.name != away))


def only_twenty(farm: Farm, plan: Plan) -> Farm:
    """Of the anchor used most only 20 more are to be had."""
    name = _most_used(plan)
    few = tuple(replace(a, available=20) if a.name == name else a for a in farm.anchors)
    return replace(farm, anchors=few)


def half_laid(farm: Farm, plan: Plan) -> Farm:
    """About half of the lines lie, some with their pulls."""
    return replace(farm, laid=recorded(plan, random.Random(20), 0.5).laid)


def date_forward(farm: Farm, plan: Plan) -> Farm:
    """The goods are needed two weeks earlier."""
    project = farm.project
    if project.required_on_site is None:
        return farm
    sooner = project.required_on_site - timedelta(days=14)
    return replace(farm, project=replace(project, required_on_site=sooner))


def leg_added(farm: Farm, plan: Plan) -> Farm:
    """A leg group more: two lines like the first group's."""
    first = farm.legs[0]
    return replace(farm, legs=(*farm.legs, replace(first, name="added", count=2)))


def tension_up(farm: Farm, plan: Plan) -> Farm:
    """The tension of the last leg group of which no line lies rises by 15 %."""
    lying = {row.leg for row in farm.laid}
    (*_, last) = (leg for leg in farm.legs if leg.name not in lying)
    harder = replace(last, design_tension_kn=last.design_tension_kn * 1.15)
    legs = tuple(harder if leg is last else leg for leg in farm.legs)
    return replace(farm, legs=legs)


def currency_moved(farm: Farm, plan: Plan) -> Farm:
    """Every foreign currency costs 6 % more."""
    own = farm.project.currency

    def moved(currency: str, rate: float) -> float:
        return rate if currency == own else rate * 1.06

    suppliers = tuple(
        replace(s, exchange_rate=moved(s.currency, s.exchange_rate)) for s in farm.suppliers
    )
    services = tuple(
        replace(s, exchange_rate=moved(s.currency, s.exchange_rate)) for s in farm.services
    )
    return replace(farm, suppliers=suppliers, services=services)


def new_offer(farm: Farm, plan: Plan) -> Farm:
    """A new supplier offers the anchor used most, 10 % cheaper, from where it comes now; price
    breaks that named no supplier are still those of the one that there was."""
    name = _most_used(plan)
    anchor = farm.anchor_by_name[name]
    if anchor.unit_price is None:
        return farm
    now = next(s for s in farm.suppliers if s.name == anchor.supplier)
    other = replace(now, name="Newcomer", order_charge=0.0, price_factor=1.0, source=None)
    price = 0.9 * anchor.unit_price * now.price_factor
    offer = Offer(name, other.name, round(price, 2), quotation="Q 7")
    farm = with_named_breaks(farm)
    return replace(farm, suppliers=(*farm.suppliers, other), offers=(*farm.offers, offer))


def pull_failed(farm: Farm, plan: Plan) -> Farm:
    """An anchor rolls out in a pull test at half of what its leg asks of it, where lines are still
    to be laid on it, and lie on it where there are such. What was declared of it there is taken
    back; of the lines that no longer stand an engineer accepts each by name."""
    places: dict[tuple[str, str], float] = {}
    for row in plan.assignments:
        leg = farm.leg_by_name[row.leg]
        places.setdefault((row.make_up.anchor, leg.seabed), leg.design_tension_kn)
    lying = {(row.anchor, farm.leg_by_name[row.leg].seabed) for row in farm.laid}
    place = next((at for at in places if at in lying), next(iter(places)))
    failed = (
        Reading("failed", *place, 0.5, 0.5 * places[place]),
        Reading("failed", *place, 1.0, 0.25 * places[place], Event.ROLLED_OUT),
    )
    declared = tuple(row for row in farm.declared_holdings if (row.anchor, row.seabed) != place)
    readings = (*farm.readings, *failed)
    farm = replace(farm, readings=readings, declared_holdings=declared)
    return replace(farm, laid=tuple(_accepted(farm, row) for row in farm.laid))


def _accepted(farm: Farm, row: LaidLine) -> LaidLine:
    """Return a line that lies, accepted by name where it no longer stands."""
    stands = row.accepted_by or laid_standing(farm, row).stands
    return row if stands else replace(row, accepted_by="A. N. Engineer")


TEN: tuple[Change, ...] = (
    price_up,
    vessel_away,
    only_twenty,
    half_laid,
    date_forward,
    leg_added,
    tension_up,
    currency_moved,
    new_offer,
    pull_failed,
)
