"""What to find out next: each stand-in by the money that it may move, as a sheet and as text."""

from __future__ import annotations

import math

from ...models.answer.assumed import LOOSE_KG_M3, Assumed
from ...models.answer.finding import Finding, Findings, How
from ...models.fault import rounded
from ...models.goods.anchor import PACK_SIDES
from ..paper.book import Book
from ..paper.page import SheetColumn, Value
from ..paper.style import Look
from ..words.grammar import listed
from ..words.kinds import NumberKind
from ..words.unpriced import FACTS

HEADING_ROW = 4
NOTHING = "Nothing to find out: no default stands in for a fact."


def next_workbook(found: Findings, project: str, currency: str) -> bytes:
    """Return the ranking as a workbook."""
    book = Book(f"{project}: what to find out next")
    write_next_facts(book, found, project, currency)
    return book.content()


def write_next_facts(book: Book, found: Findings, project: str, currency: str) -> None:
    """Write the ranking as a sheet at the end of a book."""
    columns = (
        SheetColumn("What to find out", widest=44),
        SheetColumn("Assumed now", widest=16),
        SheetColumn(f"Moves the cost by up to ({currency})", NumberKind.MONEY),
        SheetColumn(f"Cost with less ({currency})", NumberKind.MONEY),
        SheetColumn(f"Cost with more ({currency})", NumberKind.MONEY),
        SheetColumn("How found", widest=24),
    )
    page = book.page("Find out next")
    lead = "Facts that defaults stand in for, by the money that the true figure may move."
    page.head("What to find out next", lead, of=project, across=len(columns))
    rows: list[tuple[Value, ...]] = [
        (
            about(one.assumed),
            cell_words(one.assumed),
            one.worth if math.isfinite(one.worth) else "may have no plan",
            "none found" if one.lower is None else one.lower,
            "none found" if one.higher is None else one.higher,
            one.how.value,
        )
        for one in found.ranked
    ]
    rows += [(about(one), cell_words(one), "not tried", "", "", "") for one in found.not_tried]
    table = page.table(HEADING_ROW, columns, rows or [(NOTHING, "", "", "", "", "")])
    page.paragraphs(table.next_row + 1, method_words(found, currency), len(columns), Look.NOTE)
    page.finish(project, heading_row=HEADING_ROW)


UNITS = {
    "deck_area_m2": "m²",
    "lowering_min": "min",
    "setting_min": "min",
    "pack_length_mm": "m³",
    "packed_volume_m3": "m³",
    "rope_in_each_eye_m": "m",
    "shortest_chain_m": "m",
    "container_stowage_share": "of the inside",
}


def about(one: Assumed) -> str:
    """Return "deck area of Folding plate 150"."""
    return f"{FACTS[one.field]} of {one.name}" if one.name else f"{FACTS[one.field]} (Project)"


def cell_words(one: Assumed) -> str:
    """Return what is assumed now: "1.5 m²"."""
    return f"{rounded(one.value)} {UNITS[one.field]}"


def next_text(found: Findings, currency: str) -> str:
    """Return the ranking as lines of text, the most money first."""
    if not found.ranked and not found.not_tried:
        return NOTHING
    telling = [one for one in found.ranked if one.worth >= found.cost * found.gap]
    lines = ["To find out next, by the money that it may move:"]
    lines += [f"  {line(one, currency)}" for one in telling]
    if len(telling) < len(found.ranked):
        rest = [about(one.assumed) for one in found.ranked if one not in telling]
        lines.append(f"  within the gap of the search, if anything: {listed(rest)}")
    lines += [f"  {about(one)}: not tried for want of time" for one in found.not_tried]
    return "\n".join([*lines, *method_words(found, currency)])


def line(one: Finding, currency: str) -> str:
    """Return "deck area of Folding plate 150: up to EUR 1,900 (now 1.5 m²; priced again)"."""
    worth = "there may be no plan"
    if math.isfinite(one.worth):
        worth = f"up to {currency} {one.worth:,.0f}"
    return f"{about(one.assumed)}: {worth} (now {cell_words(one.assumed)}; {one.how})"


def method_words(found: Findings, currency: str) -> tuple[str, ...]:
    """Return how it was found, and what it cannot tell apart."""
    said = [
        f"Each was tried a half lower and a half higher, one at a time; as assumed the cost is "
        f"{currency} {found.cost:,.0f}. Differences below {currency} {found.cost * found.gap:,.0f} "
        "are within the gap of the search."
    ]
    if any(one.assumed.field == PACK_SIDES[0] for one in found.ranked):
        said.append(
            f"A pack's size was tried from its steel, as assumed, up to {LOOSE_KG_M3:g} kg/m³ "
            "(common practice, no source)."
        )
    if any(one.how is How.KNOWN for one in found.ranked):
        said.append("'By the plan known': its lines are held fast, so another may cost less.")
    return tuple(said)
