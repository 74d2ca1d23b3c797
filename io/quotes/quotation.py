"""A quotation as it was taken from a file: who quotes, on which terms, and a line an item."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from ...models.fault import Fault
from ...models.goods.price import Scheme
from ...models.goods.supplier import LayoutWord
from ...models.site.delivery_term import DeliveryTerm


@dataclass(frozen=True)
class QuotedLine:
    """What is quoted for one item, as the Offers sheet holds it: per each or per m, by units as
    sold."""

    item: str
    unit_price: float
    place: str
    """The cell of its price: "Quotation!H14"."""
    minimum_order: int = 0
    order_multiple: int = 1
    available: int | None = None
    lead_time_days: int | None = None
    breaks: tuple[tuple[int, float], ...] = ()
    """From quantity, unit price."""
    scheme: Scheme = Scheme.ALL_UNITS


@dataclass(frozen=True)
class Quotation:
    """One file."""

    file: str
    supplier: str
    lines: tuple[QuotedLine, ...] = ()
    not_quoted: tuple[str, ...] = ()
    """Items that the file names and gives no price for."""
    reference: str = ""
    valid_until: date | None = None
    delivery_term: DeliveryTerm | None = None
    payment_terms: str = ""
    faults: tuple[Fault, ...] = ()
    """By sheet ("file: sheet") and cell."""
    proposed: tuple[LayoutWord, ...] = field(default=())
    """The map that was made up for it, where there was none."""


def quoted_twice(quotations: Sequence[Quotation]) -> Iterator[Fault]:
    """Yield an error where two files quote a supplier's price for the same item."""
    first: dict[tuple[str, str], Quotation] = {}
    for one in quotations:
        twice: dict[str, list[str]] = {}
        for line in one.lines:
            before = first.setdefault((one.supplier, line.item), one)
            if before is not one:
                twice.setdefault(before.file, []).append(line.item)
        for file, items in twice.items():
            message = (
                f"quotes {', '.join(items)} from '{one.supplier}', and so does '{file}': keep the "
                "file that counts, and move the other elsewhere"
            )
            yield Fault(one.file, 0, "", "", message)
