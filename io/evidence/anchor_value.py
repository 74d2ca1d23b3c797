"""Anchor value: what a kilonewton held costs in price, carriage and boat time."""

from __future__ import annotations

from collections.abc import Sequence

from ...models.evidence.anchor_value import AnchorValue, Billed, Carriage
from ...models.farm import Farm
from ...models.goods.freight import Basis, FreightLimit
from ...models.goods.load import Binding
from ...models.standing.holding import efficiency
from ..paper.book import Book
from ..paper.page import SheetColumn, Value
from ..paper.style import Look
from ..words.kinds import NumberKind

HEADING_ROW = 5

LEFT_OUT = (
    "Price before price breaks and duty; freight of full packs (and full containers) before "
    "insurance, duty and a consignment's fixed and least charges, so a small order pays more; boat "
    "minutes are assembly, lowering and setting of one anchor, without shifting, chain and trips. "
    "Comparing by the kilonewton says nothing of a leg that needs less, or of the chain that an "
    "anchor's uplift asks for: only the whole plan does."
)
FITS = (
    "Packs per container with nothing else aboard: as many as a load plan was found for, by space, "
    "door, stacking, payload and balance. A remark says where a service states no inside "
    "dimensions: there by usable volume and payload only. If bare: anchors as they are laid, out "
    "of their packs, where the workbook states those sides; by space and payload alone, without "
    "dunnage between them."
)
NOT_DESIGN = (
    "The holdings are evidence, not design values: a licensed engineer accepts them, with pull "
    "tests on the site's own seabed."
)


def write_anchor_value(book: Book, farm: Farm, values: Sequence[AnchorValue]) -> None:
    """Write a row for every anchor and seabed with legs: price, freight and boat time per kN."""
    currency = farm.project.currency
    columns = (
        SheetColumn("Seabed", widest=17),
        SheetColumn("Anchor", widest=19),
        SheetColumn("Allowed drag (m)", NumberKind.LENGTH_M),
        SheetColumn("Relied on (kN)", NumberKind.FORCE_KN),
        SheetColumn("÷ weight", NumberKind.EFFICIENCY),
        SheetColumn(f"Price ({currency} each)", NumberKind.MONEY),
        SheetColumn(f"Price per kN ({currency})", NumberKind.MONEY),
        SheetColumn(f"Least freight per kN ({currency})", NumberKind.MONEY),
        SheetColumn("by", widest=24),
        SheetColumn(f"Both per kN ({currency})", NumberKind.MONEY),
        SheetColumn("Boat (min each)", NumberKind.COUNT),
        SheetColumn("Boat (min per kN)", NumberKind.FACTOR),
        SheetColumn("Remark", widest=36),
    )
    page = book.page("Anchor value")
    page.head(
        "Anchor value",
        "What a kilonewton relied on costs, on each seabed within the drag "
        "that most of its lines allow. The cheapest to buy and ship stands first.",
        of=farm.project.name,
        across=len(columns),
    )
    page.put(3, 1, LEFT_OUT, look=Look.NOTE, across=len(columns))
    table = page.table(HEADING_ROW, columns, [_row(value, farm) for value in values])
    page.paragraphs(table.next_row + 1, [NOT_DESIGN], len(columns), Look.STRONG)
    page.finish(farm.project.name, heading_row=HEADING_ROW)


def _row(value: AnchorValue, farm: Farm) -> tuple[Value, ...]:
    least = value.least_carriage
    remark = value.refusal
    if not remark and least is None:
        remark = "no service can carry it in time" if value.carriages else _not_carried(value, farm)
    return (
        value.seabed,
        value.anchor.name,
        value.allowed_drag_m,
        "refused" if value.refusal else value.relied_on_kn,
        None if value.refusal else efficiency(value.relied_on_kn, value.anchor.mass_kg),
        value.price,
        value.price_per_kn,
        value.freight_per_kn,
        least.service.name if least else "",
        value.delivered_per_kn,
        value.boat_min,
        value.boat_min_per_kn,
        remark,
    )


def _not_carried(value: AnchorValue, farm: Farm) -> str:
    """Return why nothing is said of its carriage."""
    if not farm.freight_priced:
        return "freight is not priced"
    return "pack sides not stated" if value.anchor.name in farm.sizes_assumed else "no service"


def write_anchor_freight(book: Book, farm: Farm, values: Sequence[AnchorValue]) -> None:
    """Write a row for every anchor and service of its origin: packs, anchors, freight per kN.

    No sheet where freight is not priced.
    """
    if not farm.freight_priced:
        return
    currency = farm.project.currency
    seabeds = tuple(dict.fromkeys(value.seabed for value in values))
    columns = (
        SheetColumn("Anchor", widest=19),
        SheetColumn("Anchors per pack", NumberKind.COUNT),
        SheetColumn("Pack (m³)", NumberKind.VOLUME_M3),
        SheetColumn("Pack (kg)", NumberKind.MASS_KG),
        SheetColumn("Service", widest=26),
        SheetColumn("Basis", widest=12),
        SheetColumn("Packs per container", NumberKind.COUNT),
        SheetColumn("Anchors per container", NumberKind.COUNT),
        SheetColumn("Fill by volume", NumberKind.SHARE),
        SheetColumn("Limited by", widest=20),
        SheetColumn("If bare", NumberKind.COUNT),
        SheetColumn(f"Freight ({currency} an anchor)", NumberKind.MONEY),
        SheetColumn(f"If bare ({currency} an anchor)", NumberKind.MONEY),
        *(SheetColumn(f"per kN, {seabed} ({currency})", NumberKind.MONEY) for seabed in seabeds),
    )
    page = book.page("Anchor freight")
    page.head(
        "Anchor freight",
        "How each anchor travels by each service from its quay, and what "
        "carriage adds to a kilonewton relied on.",
        of=farm.project.name,
        across=len(columns),
    )
    page.put(3, 1, FITS, look=Look.NOTE, across=len(columns))
    by_anchor: dict[str, dict[str, AnchorValue]] = {}
    for value in values:
        by_anchor.setdefault(value.anchor.name, {})[value.seabed] = value
    rows: list[tuple[Value, ...]] = []
    for anchor in farm.anchors:
        places = by_anchor.get(anchor.name, {})
        if not places:
            continue
        for way in next(iter(places.values())).carriages:
            holds = [places[seabed].relied_on_kn for seabed in seabeds]
            rows.append(
                (
                    anchor.name,
                    anchor.pack_quantity,
                    anchor.pack_volume_m3,
                    anchor.pack_mass_kg,
                    way.service.name,
                    "container" if way.service.basis is Basis.CONTAINER else "measure",
                    way.packs_per_container,
                    way.anchors_per_container,
                    way.fit.fill_by_volume if way.fit else _unplanned(way),
                    _limited(way),
                    way.fit.bare if way.fit else None,
                    way.money_per_anchor,
                    way.money_per_bare_anchor,
                    *(way.per_kn(kn) for kn in holds),
                )
            )
    table = page.table(HEADING_ROW, columns, rows)
    page.paragraphs(table.next_row + 1, [LEFT_OUT, NOT_DESIGN], len(columns), Look.NOTE)
    page.finish(farm.project.name, heading_row=HEADING_ROW)


def _unplanned(way: Carriage) -> str | None:
    """Return the remark on containers whose packs were counted without a load plan."""
    counted = way.service.basis is Basis.CONTAINER and way.packs_per_container
    return "not load-planned" if counted else None


LIMITS = {
    FreightLimit.DOOR: "barred: door or length",
    FreightLimit.VOLUME: "volume",
    FreightLimit.PAYLOAD: "payload",
    FreightLimit.DATES: "barred: too late",
    Binding.SPACE: "space",
    Binding.PAYLOAD: "payload",
    Binding.BALANCE: "balance",
    Binding.DOOR: "barred: door or length",
    Billed.MASS: "billed by mass",
    Billed.VOLUME: "billed by volume",
}


def _limited(way: Carriage) -> str:
    """Return what limits a service, in words that stand by themselves."""
    return " and ".join(LIMITS[limit] for limit in way.limited_by) or "no limit stated"
