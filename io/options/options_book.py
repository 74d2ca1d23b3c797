"""The options book: options compared, and break-even rates, each as a workbook."""

from __future__ import annotations

from ...models.asked.break_even import BreakEven
from ...models.asked.comparison import Comparison
from ...models.asked.reasons import Reasons
from ..paper.book import Book
from .break_even import write_break_even
from .differences import write_differences
from .reasons import write_reasons
from .side_by_side import PartsSheet, write_options_compared


def comparison_workbook(
    comparison: Comparison, project: str, reasons: Reasons | None = None
) -> bytes:
    """Return a comparison as a workbook, with the reasons for the order where they are given."""
    book = Book(f"{project}: options compared")
    write_comparison(book, comparison, reasons)
    return book.content()


def write_comparison(book: Book, comparison: Comparison, reasons: Reasons | None = None) -> None:
    """Write the sheets of a comparison at the end of a book."""
    compared, differences = book.page("Options compared"), book.page("Differences")
    if reasons is not None:
        write_reasons(book.page("Reasons"), reasons)
    parts = PartsSheet(book, comparison)
    parts.write()
    write_options_compared(compared, parts)
    others = comparison.done[1:]
    other = next(
        (o for o in others if o.total_cents != comparison.base.total_cents), comparison.base
    )
    write_differences(differences, parts, comparison.base, other)


def break_even_workbook(answer: BreakEven, project: str, currency: str) -> bytes:
    """Return the answer to a question of break-even as a workbook."""
    book = Book(f"{project}: break-even")
    write_break_even(book.page("Break-even"), book, answer, currency)
    return book.content()
