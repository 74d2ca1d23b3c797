"""Rival offers side by side in words and rows: for sheet, page and terminal alike."""

from __future__ import annotations

from collections.abc import Iterator

from ...models.answer.plan import Plan
from ...models.asked.rival_offers import RivalOffer, rival_offers
from ..words.grammar import counted
from ..words.kinds import NumberKind

TITLE = "Offers side by side"
MOST_ITEMS = 8
"""Items that the terminal names."""

Row = tuple[str | int | float | None, ...]


def columns_of(currency: str) -> tuple[tuple[str, NumberKind], ...]:
    """Return the headings of an offer's row, and what each holds."""
    return (
        ("Item", NumberKind.TEXT),
        ("Supplier", NumberKind.TEXT),
        ("Quotation", NumberKind.TEXT),
        ("Currency", NumberKind.TEXT),
        ("Price asked (each, or per m)", NumberKind.PRICE),
        ("Bought", NumberKind.COUNT),
        ("Compared for", NumberKind.COUNT),
        (f"Landed ({currency}, each or per m)", NumberKind.PRICE),
        (f"Than is paid ({currency}, each or per m)", NumberKind.PRICE),
        (f"On all ordered ({currency})", NumberKind.MONEY),
        ("Mind", NumberKind.TEXT),
    )


def rows_of(plan: Plan) -> list[Row]:
    """Return a row for every offer that has a rival."""
    return [
        (
            one.item,
            one.supplier,
            one.quotation,
            one.currency,
            one.price,
            one.bought,
            one.quantity,
            one.landed,
            one.than_paid,
            one.money,
            one.mind,
        )
        for one in rival_offers(plan)
    ]


def how(plan: Plan) -> str:
    """Return what the figures are, and which command says more."""
    book = f'"{plan.farm.origin_file}"' if plan.farm.origin_file else "WORKBOOK"
    return (
        "Landed: the price at the quantity compared, with duty and insurance, without carriage, "
        "order charges and what fewer suppliers or fewer models save: a dearer offer may well be "
        "in the least order. Than is paid: beside what this order pays for the item on average, "
        "or where it buys none beside the cheapest. At which price each offer would be bought, or "
        f"lost, was not worked out here: run moorledger offers {book}."
    )


def rival_lines(plan: Plan) -> Iterator[str]:
    """Yield the offers item by item, for the terminal: nothing where no item has several."""
    items: dict[str, list[RivalOffer]] = {}
    for one in rival_offers(plan):
        items.setdefault(one.item, []).append(one)
    if not items:
        return
    currency = plan.farm.project.currency
    yield f"{TITLE}, landed at the quantity ordered ({currency}, each or per m, no carriage)"
    for item, offers in list(items.items())[:MOST_ITEMS]:
        told = [
            f"{one.supplier} {one.landed:,.2f}"
            + (f" ({one.bought} bought)" if one.bought else "")
            + (f" ({one.mind})" if one.mind else "")
            for one in sorted(offers, key=lambda one: (-one.bought, one.landed))
        ]
        yield f"  {item}: {', '.join(told)}"
    more = len(items) - MOST_ITEMS
    if more > 0:
        yield f"  and {counted(more, 'item')} more on the sheet {TITLE}"
    yield "  The price at which each would be bought or lost: moorledger offers."
