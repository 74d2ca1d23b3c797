"""Quantities: from what the farm needs to what is bought of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...models.answer.plan import OrderLine, Plan
from ..paper.book import PlanBook
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.style import Look
from ..words.grammar import counted, listed
from ..words.kinds import NumberKind

HEADING_ROW = 4

COLUMNS = (
    SheetColumn("Item", widest=24),
    SheetColumn("Supplier", widest=24),
    SheetColumn("Counted in", widest=14),
    SheetColumn("Needed", NumberKind.LENGTH_M),
    SheetColumn("Covered by stock on hand", NumberKind.LENGTH_M),
    SheetColumn("To cover", NumberKind.LENGTH_M),
    SheetColumn("Bought", NumberKind.COUNT),
    SheetColumn("Sold as", widest=20),
    SheetColumn("That is", NumberKind.LENGTH_M),
    SheetColumn("Over", NumberKind.LENGTH_M),
)
NEEDED, STOCK, COVER, BOUGHT, UNITS = 4, 5, 6, 7, 9


def write_quantities(book: PlanBook) -> None:
    """Write a row for every item that is bought or taken from stock."""
    project = book.plan.farm.project
    page = book.page("Quantities")
    page.head(
        "Quantities",
        "What the legs need, spare anchors in it, and what is bought to cover it.",
        of=project.name,
        across=len(COLUMNS),
    )
    table = page.table(HEADING_ROW, COLUMNS, _rows(book, page))
    page.paragraphs(
        table.next_row + 1,
        [
            "More is bought than needed where an order must be whole lengths, a minimum or a "
            "multiple, or where a larger order is the cheaper one.",
            *_connectors(book.plan),
        ],
        len(COLUMNS),
        Look.NOTE,
    )
    page.finish(project.name, heading_row=HEADING_ROW)


def _connectors(plan: Plan) -> Iterator[str]:
    """Yield of every chain with connectors on hand what its joins take of them."""
    for chain, joins in plan.joins.items():
        if plan.farm.item_by_name[chain].connectors:
            bought = plan.connectors_bought[chain]
            there = counted(joins - bought, "connector")
            yield f"{counted(joins, 'join')} of {chain}: {there} on hand, {bought} bought."


def _rows(book: PlanBook, page: Page) -> Iterator[tuple[Value, ...]]:
    """Yield a row an item: those bought, then those that stock on hand covers alone."""
    by_item: dict[str, list[OrderLine]] = {}
    for line in (*book.plan.orders, *_from_stock_alone(book.plan)):
        by_item.setdefault(line.item, []).append(line)
    for row, lines in enumerate(by_item.values(), start=HEADING_ROW + 1):
        yield _row(book, page, row, lines)


def _from_stock_alone(plan: Plan) -> Iterator[OrderLine]:
    """Yield a line of quantity 0 for every item that is used and not ordered."""
    needs = plan.needs
    ordered = {order.item for order in plan.orders}
    for item in plan.farm.items:
        needed = needs.get(item.name, 0.0)
        if needed > 0 and item.name not in ordered:
            sellers = " or ".join(offer.supplier for offer in item.offers)
            yield OrderLine(item.name, sellers, 0, needed, needed, 0.0, 0.0, 0.0)


def _row(book: PlanBook, page: Page, row: int, lines: Sequence[OrderLine]) -> tuple[Value, ...]:
    """Return the cells of one item, whoever it is bought from."""
    first, bought = lines[0], sum(line.quantity for line in lines)
    item = book.plan.farm.item_by_name[first.item]
    metres = item.length_sold_m or 1.0
    cover = first.needed - first.from_stock
    return (
        item.name,
        listed([line.supplier for line in lines]),
        "m" if item.length_sold_m else "each",
        first.needed,
        first.from_stock,
        Formula(f"{page.at(row, NEEDED)}-{page.at(row, STOCK)}", cover),
        bought,
        item.sold_as,
        Formula(f"{page.at(row, BOUGHT)}*{metres!r}", bought * metres),
        Formula(f"{page.at(row, UNITS)}-{page.at(row, COVER)}", bought * metres - cover),
    )
