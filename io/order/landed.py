"""Landed cost: what the orders come to in the project's currency, and their duty; for the buyer."""

from __future__ import annotations

from collections.abc import Iterator

from ...models.answer.plan import Part, Plan
from ...models.goods.supplier import Supplier
from ...models.site.delivery_term import DeliveryTerm
from ...models.site.project import DutyOn
from ..paper.book import OrderedLine, PlanBook
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.style import Look
from ..words.kinds import NumberKind
from ..words.orders import KINDS, duty_of
from .assumptions import setting_cell

HEADING_ROW = 4

SELLERS = (
    SheetColumn("Supplier", widest=30),
    SheetColumn("Currency", widest=24),
    SheetColumn("Project currency per unit", NumberKind.EXCHANGE),
    SheetColumn("Goods, its currency", NumberKind.MONEY),
    SheetColumn("Order charge, its currency", NumberKind.MONEY),
    SheetColumn("To pay, its currency", NumberKind.MONEY),
    SheetColumn("Goods ({currency})", NumberKind.MONEY),
    SheetColumn("Order charge ({currency})", NumberKind.MONEY),
    SheetColumn("Duty, estimate ({currency})", NumberKind.MONEY),
    SheetColumn("With duty ({currency})", NumberKind.MONEY),
)
RATE, OWN_GOODS, OWN_CHARGE, TO_PAY, GOODS, CHARGE, DUTY, WITH_DUTY = 3, 4, 5, 6, 7, 8, 9, 10

LINES = (
    SheetColumn("Supplier", widest=30),
    SheetColumn("Item", widest=24),
    SheetColumn("Kind", widest=12),
    SheetColumn("Quantity", NumberKind.COUNT),
    SheetColumn("As priced", NumberKind.COUNT),
    SheetColumn("Extended, its currency", NumberKind.MONEY),
    SheetColumn("Extended ({currency})", NumberKind.MONEY),
    SheetColumn("Duty rate", NumberKind.SHARE_FINE),
    SheetColumn("Duty ({currency})", NumberKind.MONEY),
    SheetColumn("Changed", widest=24),
)
KIND, QUANTITY, PRICED, EXTENDED, HERE, DUTY_RATE, LINE_DUTY = 3, 4, 5, 6, 7, 8, 9

CHANGED = "changed: price again"
"""What a quantity that is not the priced one says beside itself."""


def write_landed_cost(book: PlanBook) -> None:
    """Write a row a supplier, then a row a line, and tell the book the sums."""
    plan = book.plan
    project = plan.farm.project
    page = book.page("Landed cost")
    page.head(
        "Landed cost",
        f"What the orders come to in {project.currency}, with exchange rates and duty. Rates may "
        "be changed, quantities and prices on the orders: everything here follows.",
        of=project.name,
        across=len(SELLERS),
    )
    sellers = [s for s in plan.farm.suppliers if s.name in book.charges]
    first_line = HEADING_ROW + len(sellers) + 5
    last_line = first_line + len(book.ordered) - 1
    rate_row = {s.name: HEADING_ROW + 1 + n for n, s in enumerate(sellers)}
    rows = [
        _seller(book, page, rate_row[s.name], s, (first_line, last_line), plan) for s in sellers
    ]
    table = page.table(HEADING_ROW, _in(SELLERS, project.currency), rows)
    _write_totals(book, page, table.next_row, sellers)
    page.put(first_line - 2, 1, "Line by line", look=Look.SECTION, across=len(LINES))
    lines = [
        _line(book, page, first_line + n, line, rate_row[line.supplier])
        for n, line in enumerate(book.ordered)
    ]
    below = page.table(first_line - 1, _in(LINES, project.currency), lines).next_row
    for part in dict.fromkeys(line.line.part for line in book.ordered):
        kinds, money = (page.span(first_line, last_line, column) for column in (KIND, HERE))
        book.part_terms[part].append(f'SUMIF({kinds},"{KINDS[part]}",{money})')
    page.paragraphs(below + 1, _notes(plan, sellers), len(LINES), Look.NOTE)
    page.finish(project.name, freeze=False)


def _in(columns: tuple[SheetColumn, ...], currency: str) -> list[SheetColumn]:
    return [
        SheetColumn(c.heading.format(currency=currency), c.kind, c.widest, c.turned)
        for c in columns
    ]


def _seller(
    book: PlanBook,
    page: Page,
    row: int,
    supplier: Supplier,
    lines: tuple[int, int],
    plan: Plan,
) -> tuple[Value, ...]:
    """Return one supplier's cells; all but its exchange rate are live."""
    mine = [line for line in book.ordered if line.supplier == supplier.name]
    goods = sum(line.line.extended for line in mine)
    charge = supplier.order_charge if supplier.name in plan.order_charges else 0.0
    duty = sum(duty_of(plan.farm.project, line.line) for line in mine)
    rate = supplier.exchange_rate
    names = page.span(*lines, 1)

    def total(column: int) -> str:
        return f"SUMIF({names},{page.at(row, 1)},{page.span(*lines, column)})"

    at = {column: page.at(row, column) for column in range(1, len(SELLERS) + 1)}
    return (
        supplier.name,
        supplier.currency,
        rate,
        Formula(total(EXTENDED), goods),
        Formula(book.charges[supplier.name], charge),
        Formula(f"{at[OWN_GOODS]}+{at[OWN_CHARGE]}", goods + charge),
        Formula(total(HERE), goods * rate),
        Formula(f"{at[OWN_CHARGE]}*{at[RATE]}", charge * rate),
        Formula(total(LINE_DUTY), duty * rate),
        Formula(f"{at[GOODS]}+{at[CHARGE]}+{at[DUTY]}", (goods + charge + duty) * rate),
    )


def _write_totals(book: PlanBook, page: Page, row: int, sellers: list[Supplier]) -> None:
    """Write the sums over the suppliers, and tell the book of charges, duty and each total."""
    plan = book.plan
    for column in range(1, len(SELLERS) + 1):
        page.put(row, column, None, look=Look.TOTAL)
    page.put(row, 1, "Total", look=Look.TOTAL)
    if not sellers:
        return
    first, last = HEADING_ROW + 1, row - 1
    by_name = {s.name: s for s in sellers}
    rates = [(line, by_name[line.supplier].exchange_rate) for line in book.ordered]
    goods = sum(line.line.extended * rate for line, rate in rates)
    charges = sum(plan.order_charges.get(s.name, 0.0) for s in sellers)
    duty = sum(duty_of(plan.farm.project, line.line) * rate for line, rate in rates)
    values = ((GOODS, goods), (CHARGE, charges), (DUTY, duty), (WITH_DUTY, goods + charges + duty))
    for column, value in values:
        cells = f"SUM({page.at(first, column)}:{page.at(last, column)})"
        page.put(row, column, Formula(cells, value), NumberKind.MONEY, Look.TOTAL)
    book.part_terms[Part.ORDER_CHARGES].append(page.ref(row, CHARGE))
    book.part_terms[Part.DUTY].append(page.ref(row, DUTY))
    for at, supplier in enumerate(sellers, start=first):
        mine = [line.line for line in book.ordered if line.supplier == supplier.name]
        own = sum(line.extended for line in mine)
        own += supplier.order_charge if supplier.name in plan.order_charges else 0.0
        owed = sum(duty_of(plan.farm.project, line) for line in mine)
        book.supplier_totals[supplier.name] = (
            Formula(page.ref(at, TO_PAY), own),
            Formula(page.ref(at, WITH_DUTY), (own + owed) * supplier.exchange_rate),
        )


def _line(
    book: PlanBook, page: Page, row: int, ordered: OrderedLine, rate_row: int
) -> tuple[Value, ...]:
    """Return the cells of one line of an order; the duty rate may be changed."""
    line, project = ordered.line, book.plan.farm.project
    rate = next(s for s in book.plan.farm.suppliers if s.name == ordered.supplier).exchange_rate
    dutiable = f"{page.at(row, HERE)}*{page.at(row, DUTY_RATE)}"
    if project.duty_on is DutyOn.LANDED:
        dutiable += f"*(1+{setting_cell('insurance_share')})"
    changed = f'IF({page.at(row, QUANTITY)}={page.at(row, PRICED)},"","{CHANGED}")'
    return (
        ordered.supplier,
        line.item,
        KINDS[line.part],
        Formula(ordered.quantity, line.quantity),
        line.quantity,
        Formula(ordered.extended, line.extended),
        Formula(f"{page.at(row, EXTENDED)}*{page.at(rate_row, RATE)}", line.extended * rate),
        line.duty_share,
        Formula(dutiable, duty_of(project, line) * rate),
        Formula(changed, ""),
    )


def _notes(plan: Plan, sellers: list[Supplier]) -> Iterator[str]:
    """Yield what the buyer must know of these sums."""
    yield (
        "Freight and insurance are not in these sums: see Freight bookings and the Summary. The "
        "importer answers for the customs codes. A changed quantity is not a new choice: unit "
        "prices stay as they are, and legs, containers and cutting lists too, until the farm is "
        "priced again."
    )
    if plan.farm.project.duty_on is DutyOn.LANDED:
        yield (
            "Duty here is on the price and its insurance; that on the freight is in Freight "
            "bookings."
        )
    carried: dict[DeliveryTerm, list[str]] = {}
    for seller in sellers:
        term = seller.delivery_term or plan.farm.project.delivery_term
        if term is not None and not term.buyer_carries:
            carried.setdefault(term, []).append(seller.origin)
    for term, origins in carried.items():
        places = ", ".join(dict.fromkeys(origins))
        yield (
            f"Mind: under {term} the suppliers pay the carriage, which the freight priced here "
            f"would pay again. Ask for prices at {places} (EXW, FCA, FAS or FOB), or take the "
            "freight out."
        )
