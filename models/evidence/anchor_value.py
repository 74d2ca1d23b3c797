"""The value of an anchor: what a kilonewton held costs in price, carriage and boat time."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum, auto

from ..arrays import ROUNDING
from ..farm import Farm
from ..goods.anchor import Anchor
from ..goods.fit import Fit, Fits
from ..goods.freight import Basis, FreightLimit, FreightService, revenue_tonnes
from ..goods.item import Item
from ..goods.load import Binding
from .anchor_evidence import AnchorEvidence, WithinDrag, allowed_drags_m, anchor_evidence


class Billed(Enum):
    """What by-measure freight of a pack is billed by: the larger of the two."""

    MASS = auto()
    VOLUME = auto()


@dataclass(frozen=True)
class Carriage:
    """How one anchor model travels by one service, in whole packs and whole containers.

    Fixed charges and least charges of a consignment are left out: they are not the anchor's.
    """

    service: FreightService
    packs_per_container: int | None
    """As found to fit, or by usable volume and payload; nothing else aboard. None by measure, or
    where the service states neither."""
    anchors_per_container: int | None
    limited_by: tuple[FreightLimit | Binding | Billed, ...]
    """What bars the pack, else what its container is full by, as found to fit or by usable volume
    and payload, else what it is billed by; none where the service states no limit."""
    money_per_anchor: float | None
    """In the project's currency, of a full container or of one full pack; None: barred, or not
    known."""
    fit: Fit | None = None
    """Where its containers are load-planned."""

    @property
    def money_per_bare_anchor(self) -> float | None:
        """What it would be if the anchors travelled out of their packs; None: not known."""
        if self.fit is None or not self.fit.bare or self.money_per_anchor is None:
            return None
        return self.service.rate * self.service.exchange_rate / self.fit.bare

    def per_kn(self, holding_kn: float) -> float | None:
        """Return the freight of a kilonewton held; None where it cannot go or nothing holds."""
        if self.money_per_anchor is None or holding_kn <= 0:
            return None
        return self.money_per_anchor / holding_kn


@dataclass(frozen=True)
class AnchorValue:
    """One anchor on one seabed at one allowed drag: what its holding costs."""

    anchor: Anchor
    seabed: str
    allowed_drag_m: float
    relied_on_kn: float
    refusal: str
    price: float | None
    """Of one anchor, the least of its offers, before price breaks and duty, in the project's
    currency; None: not stated."""
    carriages: tuple[Carriage, ...]

    @property
    def price_per_kn(self) -> float | None:
        """Price ÷ holding relied on; None where nothing is."""
        if self.price is None or self.relied_on_kn <= 0:
            return None
        return self.price / self.relied_on_kn

    @property
    def boat_min(self) -> float | None:
        """Minutes of the vessel for one anchor: assembly, lowering, setting; None: not stated."""
        anchor = self.anchor
        if anchor.stood_in & {"lowering_min", "setting_min"}:
            return None
        return anchor.assembly_min + anchor.lowering_min + anchor.setting_min

    @property
    def boat_min_per_kn(self) -> float | None:
        """Minutes ÷ holding relied on; None where nothing is."""
        if self.boat_min is None or self.relied_on_kn <= 0:
            return None
        return self.boat_min / self.relied_on_kn

    @property
    def least_carriage(self) -> Carriage | None:
        """The service that carries it for least; None where none can."""
        able = [c for c in self.carriages if c.money_per_anchor is not None]
        return min(able, key=lambda c: c.money_per_anchor or 0.0, default=None)

    @property
    def freight_per_kn(self) -> float | None:
        """Least freight ÷ holding relied on."""
        return self.least_carriage.per_kn(self.relied_on_kn) if self.least_carriage else None

    @property
    def delivered_per_kn(self) -> float | None:
        """Price and least freight ÷ holding relied on."""
        if self.price_per_kn is None or self.freight_per_kn is None:
            return None
        return self.price_per_kn + self.freight_per_kn


def carriage(farm: Farm, item: Item, service: FreightService, fit: Fit | None = None) -> Carriage:
    """Return how an item's full packs travel by a service of one of its origins.

    fit : what was found to fit by load plans; None: by usable volume and payload.
    """
    barred = item.pack_barred_from(service)
    if barred is not None or service.origin not in item.origins:
        return Carriage(service, 0, 0, (barred,) if barred else (), None)
    days = farm.project.days_to_deliver
    late = not any(item.travels_by(service, offer, days) for offer in item.offers)
    too_late = (FreightLimit.DATES,) if late else ()
    rate = service.rate * service.exchange_rate
    if service.basis is Basis.MEASURE:
        tonnes = revenue_tonnes(item.pack_kg / 1000.0, item.pack_m3, service.m3_per_tonne)
        money = rate * tonnes / item.pack_quantity
        billed = Billed.MASS if item.pack_kg / 1000.0 >= tonnes else Billed.VOLUME
        return Carriage(service, None, None, too_late or (billed,), None if late else money)
    if fit is not None:
        money_fit = rate / fit.anchors if fit.anchors and not late else None
        by = too_late or (fit.limited_by,)
        return Carriage(service, fit.packs, fit.anchors, by, money_fit, fit)
    usable = (service.volume_m3 or math.inf) * farm.project.container_stowage_share
    payload = (service.payload_t or math.inf) * 1000.0
    by_volume, by_payload = _whole(usable / item.pack_m3), _whole(payload / item.pack_kg)
    packs = min(by_volume, by_payload)
    if math.isinf(packs):
        return Carriage(service, None, None, too_late, None)
    limits = {FreightLimit.VOLUME: by_volume, FreightLimit.PAYLOAD: by_payload}
    binding = tuple(limit for limit, count in limits.items() if count == packs)
    anchors = int(packs) * item.pack_quantity
    money_each = rate / anchors if anchors and not late else None
    return Carriage(service, int(packs), anchors, too_late or binding, money_each)


def _whole(number: float) -> float:
    """Return the whole packs in so many, rounding forgiven: 3.0000000001 of a volume is three."""
    return number if math.isinf(number) else float(math.floor(number * (1 + ROUNDING)))


def typical_drag_m(farm: Farm, seabed: str) -> float | None:
    """Return the allowed drag of most lines on a seabed, the least of equals; None: no legs there.

    Where the whole farm has no legs, the middle one of those that the evidence is shown for.
    """
    if not farm.legs:
        drags = allowed_drags_m(farm)
        return drags[(len(drags) - 1) // 2]
    lines: Counter[float] = Counter()
    for leg in farm.legs:
        if leg.seabed == seabed:
            lines[leg.allowed_drag_m] += leg.count
    return min(lines, key=lambda drag: (-lines[drag], drag), default=None)


def anchor_values(
    farm: Farm, evidence: tuple[AnchorEvidence, ...] | None = None, fits: Fits | None = None
) -> tuple[AnchorValue, ...]:
    """Return a row for every anchor on every seabed that has legs, at their typical drag.

    By seabed in the order of its sheet; those relied on first, by price and least freight per
    kilonewton, then the others. fits : what load plans found to fit, where there are any.
    """
    rows = []
    for row in evidence if evidence is not None else anchor_evidence(farm):
        drag = typical_drag_m(farm, row.seabed)
        if drag is None:
            continue
        at = next(within for within in row.within if within.allowed_drag_m == drag)
        rows.append(_value(farm, row, at, fits or {}))
    order = {seabed.name: number for number, seabed in enumerate(farm.seabeds)}

    def rank(value: AnchorValue) -> tuple[int, float, float]:
        return (
            order[value.seabed],
            math.inf if value.delivered_per_kn is None else value.delivered_per_kn,
            math.inf if value.price_per_kn is None else value.price_per_kn,
        )

    return tuple(sorted(rows, key=rank))


def _value(farm: Farm, row: AnchorEvidence, at: WithinDrag, fits: Fits) -> AnchorValue:
    item = farm.item_by_name[row.anchor.name]
    services: Iterable[FreightService] = ()
    if farm.freight_priced and not row.anchor.stood_in & {"pack_length_mm"}:
        services = (service for service in farm.services if service.origin in item.origins)
    return AnchorValue(
        row.anchor,
        row.seabed,
        at.allowed_drag_m,
        at.relied_on_kn,
        at.holding.refusal,
        None if "unit_price" in row.anchor.stood_in else item.list_price,
        tuple(
            carriage(farm, item, service, fits.get((item.name, service.name)))
            for service in services
        ),
    )
