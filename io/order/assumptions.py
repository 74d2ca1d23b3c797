"""Assumptions: every setting and every piece of evidence that the plan rests on."""

from __future__ import annotations

from collections.abc import Iterator

from openpyxl.utils import get_column_letter

from ...models.answer.assumed import assumed
from ...models.answer.plan import Plan
from ...models.constants import GRAVITY_M_S2, SEA_WATER_KG_M3, STEEL_KG_M3
from ...models.goods.anchor import PACK_SIDES
from ...models.site.delivery_term import DeliveryTerm
from ...models.site.project import DutyOn
from ..layout.column import CellKind, InputColumn
from ..layout.farm import COMMON, PROJECT
from ..layout.sheets import SHEETS
from ..paper.book import PlanBook
from ..paper.page import Page, SheetColumn, Value
from ..paper.style import Look
from ..words.holding_evidence import evidence_text
from ..words.kinds import NumberKind

HEADING_ROW = 4

KINDS = {
    CellKind.NUMBER: NumberKind.FACTOR,
    CellKind.COUNT: NumberKind.COUNT,
    CellKind.PERCENT: NumberKind.SHARE_FINE,
    CellKind.SHARE: NumberKind.SHARE_FINE,
    CellKind.DATE: NumberKind.DATE,
}
"""How a setting of each kind is shown; metres apart, and the others as text."""
AS_FACTORS = ("second_anchor_share", "cutting_step_m")
"""Settings that are read as factors, a share and a length though they are."""
METRES = "m"

TITLE = "Assumptions"

DUTY_WORDS = {
    DutyOn.PRICE: "Duty: each item's rate on its price.",
    DutyOn.LANDED: (
        "Duty: each item's rate on its price and the insurance of it; on freight and the "
        "insurance of that the highest rate among the goods of the service's origin, ordered or "
        "not, as a charge for goods of unlike rates is not parted among them. Joins and order "
        "charges bear neither duty nor insurance."
    ),
}

COLUMNS = (
    SheetColumn("Setting", widest=32),
    SheetColumn("Value", NumberKind.PLAIN),
    SheetColumn("Unit", widest=26),
    SheetColumn("Given or default", widest=16),
    SheetColumn("Source of the default", widest=34),
)
VALUE = 2

EVIDENCE = (
    SheetColumn("Anchor", widest=32),
    SheetColumn("Seabed", widest=18),
    SheetColumn("Legs", NumberKind.COUNT),
    SheetColumn("Allowed drag (m)", NumberKind.LENGTH_M),
    SheetColumn("Evidence for the holding", widest=34),
)
SEABEDS = (
    SheetColumn("Seabed", widest=32),
    SheetColumn("Chain friction", NumberKind.FACTOR),
    SheetColumn("Deadweight friction", NumberKind.FACTOR),
    SheetColumn("Legs on it", NumberKind.COUNT),
    SheetColumn("Source", widest=34),
)
RATES = (
    SheetColumn("Currency", widest=32),
    SheetColumn("Project currency per unit", NumberKind.EXCHANGE),
    SheetColumn("Used by", widest=26),
)
STOOD_IN = (
    SheetColumn("Fact not stated", widest=32),
    SheetColumn("Value", NumberKind.FACTOR),
    SheetColumn("Of", widest=26),
    SheetColumn("Sheet", widest=16),
    SheetColumn("What is assumed", widest=34),
)
TERMS = (
    SheetColumn("Incoterms 2020", widest=32),
    SheetColumn("Who pays the main carriage", widest=24),
)


def setting_cell(field: str) -> str:
    """Return the cell that holds a setting, for a formula on a sheet written before this one."""
    row = [setting.field for setting in PROJECT.columns].index(field) + HEADING_ROW + 1
    return f"'{TITLE}'!${get_column_letter(VALUE)}${row}"


def write_assumptions(book: PlanBook) -> None:
    """Write every setting, then holdings, seabeds, exchange rates and constants."""
    plan = book.plan
    project = plan.farm.project
    page = book.page(TITLE)
    read_from = f" Read from {plan.farm.origin_file}." if plan.farm.origin_file else ""
    page.head(
        TITLE,
        "What the plan rests on; change it and the plan may no longer be the "
        f"right one.{read_from}",
        of=project.name,
        across=len(COLUMNS),
    )
    table = page.table(HEADING_ROW, COLUMNS, _settings(plan))
    for row, setting in enumerate(PROJECT.columns, start=table.first):
        value = getattr(project, setting.field)
        if value is not None and not isinstance(value, str | tuple | bool):
            page.put(row, VALUE, value, _kind(setting))
        book.settings[setting.field] = page.ref(row, VALUE)
    row = table.next_row + 1
    for heading, columns, rows in (
        *([("Assumed until stated", STOOD_IN, stood)] if (stood := _stood_in(plan)) else []),
        ("Holding of the anchors chosen", EVIDENCE, list(_evidence(plan))),
        ("Seabeds", SEABEDS, list(_seabeds(plan))),
        ("Exchange rates", RATES, list(_rates(plan))),
    ):
        page.put(row, 1, heading, look=Look.SECTION, across=len(COLUMNS))
        row = page.table(row + 1, columns, rows).next_row + 1
    row = _write_terms(book, page, row)
    page.paragraphs(
        row,
        [
            f"Constants: gravity {GRAVITY_M_S2} m/s²; sea water {SEA_WATER_KG_M3:g} kg/m³ and "
            f"steel {STEEL_KG_M3:g} kg/m³ ({COMMON}).",
            DUTY_WORDS[project.duty_on],
            "Model: each leg hangs as a static catenary of rope and chain that do not stretch, on "
            "a flat seabed, at its design tension. Waves, current on the line, fatigue, marine "
            "growth and legs that share an anchor are not in it.",
        ],
        len(COLUMNS),
        Look.NOTE,
    )
    page.finish(project.name)


def _write_terms(book: PlanBook, page: Page, row: int) -> int:
    """Write the delivery terms that orders choose from; return the row below."""
    page.put(row, 1, "Delivery terms", look=Look.SECTION, across=len(COLUMNS))
    terms = [
        (f"{term} {term.in_words}", "the buyer" if term.buyer_carries else "the supplier")
        for term in DeliveryTerm
    ]
    table = page.table(row + 1, TERMS, terms)
    for order, at, column in book.term_cells:
        source = page.span(table.first, table.last, 1)
        order.offer(at, column, source, "That is not a rule of Incoterms 2020.")
    return table.next_row + 1


def _settings(plan: Plan) -> Iterator[tuple[Value, ...]]:
    """Yield a row for every setting."""
    project = plan.farm.project
    for setting in PROJECT.columns:
        value = getattr(project, setting.field)
        shown: Value = value
        if isinstance(value, bool):
            # A word, as it is typed: other programs save TRUE and FALSE as formulas.
            shown = "yes" if value else "no"
        elif isinstance(value, tuple):
            shown = ", ".join(f"{number:g}" for number in value)
        elif value is None or value == "":
            shown = "no limit" if setting.kind is CellKind.COUNT else "not given"
        given = setting.field in project.given
        yield (
            setting.heading,
            shown,
            _measure(setting) if value is not None else "",
            "given" if given else "default",
            "" if given else setting.basis,
        )


def _measure(setting: InputColumn) -> str:
    """Return what is said of a setting beside its value; percentages are shown as such."""
    return setting.measure or ("" if setting.kind is CellKind.PERCENT else setting.unit)


def _kind(setting: InputColumn) -> NumberKind:
    """Return how the value of a setting is shown."""
    if setting.field in AS_FACTORS:
        return NumberKind.FACTOR
    if _measure(setting) == METRES:
        return NumberKind.LENGTH_M
    return KINDS.get(setting.kind, NumberKind.TEXT)


def _evidence(plan: Plan) -> Iterator[tuple[Value, ...]]:
    """Yield a row for every anchor, seabed and drag in use, with what its holding rests on."""
    legs: dict[tuple[str, str, float, str], int] = {}
    for row in plan.assignments:
        leg = plan.farm.leg_by_name[row.leg]
        key = (row.make_up.anchor, leg.seabed, leg.allowed_drag_m, evidence_text(row.evidence))
        legs[key] = legs.get(key, 0) + row.count
    for (anchor, seabed, drag, source), count in sorted(legs.items()):
        yield anchor, seabed, count, drag, source


def _seabeds(plan: Plan) -> Iterator[tuple[Value, ...]]:
    """Yield a row for every seabed that a leg stands on."""
    for seabed in plan.farm.seabeds:
        legs = sum(leg.count for leg in plan.farm.legs if leg.seabed == seabed.name)
        if legs:
            yield (
                seabed.name,
                seabed.chain_friction,
                seabed.deadweight_friction,
                legs,
                seabed.reference or "no source given",
            )


def _stood_in(plan: Plan) -> list[tuple[Value, ...]]:
    """Return a row for every stand-in that the price rests on; a pack's size as its volume."""
    sheets = {sheet.farm_field: sheet for sheet in SHEETS}
    rows: list[tuple[Value, ...]] = []
    for one in assumed(plan.farm):
        column = sheets[one.catalogue].by_field[one.field]
        assert column.stand_in is not None
        sides = one.field == PACK_SIDES[0]
        title = "Pack size (m³)" if sides else column.title
        sheet = sheets[one.catalogue].title
        rows.append((title, one.value, one.name, sheet, column.stand_in.words))
    return rows


def _rates(plan: Plan) -> Iterator[tuple[Value, ...]]:
    """Yield a row for every foreign currency that the plan pays in."""
    farm = plan.farm
    sellers = {order.supplier for order in plan.orders}
    booked = {booking.service for booking in plan.bookings}
    users: dict[tuple[str, float], list[str]] = {}
    for seller in farm.suppliers:
        if seller.name in sellers and seller.currency != farm.project.currency:
            users.setdefault((seller.currency, seller.exchange_rate), []).append(seller.name)
    for service in farm.services:
        if service.name in booked and service.currency != farm.project.currency:
            users.setdefault((service.currency, service.exchange_rate), []).append(service.name)
    for (currency, rate), names in users.items():
        yield currency, rate, ", ".join(names)
