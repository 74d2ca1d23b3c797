"""Differences: the steps that lead from one option's cost to another's, for any two options."""

from __future__ import annotations

from ...models.asked.comparison import Outcome, waterfall
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.stacked_bars import CHEAPER, DEARER, NOTHING, WHOLE, Bars, stacked_bars
from ..paper.style import Look
from ..words.kinds import NumberKind
from ..words.unpriced import total_name
from .side_by_side import PartsSheet, step_title

WIDTHS = (34.0, 18.0, 18.0, 16.0, 16.0, 3.0, *[13.0] * 7)
FROM_ROW, TO_ROW = 4, 5
TOP = 7
ACROSS = 5
BELOW, ABOVE = 7, 8
"""Columns of the invisible feet of the bars, below and above nothing."""

READ = (
    "Choose any two options in the framed cells: the steps, their sum and the chart follow. A "
    "step is dearer where it is more than nothing, cheaper where it is less; together they are "
    "the whole difference, to the cent."
)

NO_OPTION = "No option that was compared has this name."


def write_differences(page: Page, parts: PartsSheet, one: Outcome, other: Outcome) -> None:
    """Write the sheet, from one option to another at first."""
    page.widths(WIDTHS)
    page.head("Differences", READ, across=ACROSS)
    for row, label, outcome in ((FROM_ROW, "From", one), (TO_ROW, "To", other)):
        page.put(row, 1, label)
        page.put(row, 2, outcome.option.name, look=Look.ALERT, across=3)
        page.offer(row, 2, parts.names, NO_OPTION)
    changes = dict(waterfall(one, other))
    columns = (
        SheetColumn("Step"),
        SheetColumn("From", NumberKind.MONEY),
        SheetColumn("To", NumberKind.MONEY),
        SheetColumn("Step, dearer +", NumberKind.MONEY),
        SheetColumn("So far", NumberKind.MONEY),
    )
    first = TOP + 1
    last = TOP + len(parts.steps)
    rows: list[tuple[Value, ...]] = []
    so_far = 0
    for number, step in enumerate(parts.steps):
        row = first + number
        change = changes.get(step, 0)
        so_far += change
        before = page.at(row - 1, 5) if number else "0"
        rows.append(
            (
                step_title(step, parts.farm),
                Formula(
                    _chosen(page, parts.row_of(step), FROM_ROW, parts), one.cents.get(step, 0) / 100
                ),
                Formula(
                    _chosen(page, parts.row_of(step), TO_ROW, parts), other.cents.get(step, 0) / 100
                ),
                Formula(f"ROUND({page.at(row, 3)}-{page.at(row, 2)},2)", change / 100),
                Formula(f"ROUND({before}+{page.at(row, 4)},2)", so_far / 100),
            )
        )
    page.table(TOP, columns, rows)
    total = last + 1
    page.put(total, 1, total_name(parts.farm), look=Look.TOTAL)
    sums = (one.total_cents, other.total_cents, so_far)
    for column, cents in zip((2, 3, 4), sums, strict=True):
        cells = f"SUM({page.at(first, column)}:{page.at(last, column)})"
        page.put(total, column, Formula(cells, cents / 100), NumberKind.MONEY, Look.TOTAL)
    page.put(total, 5, None, look=Look.TOTAL)
    apart = f"ABS({page.at(total, 3)}-{page.at(total, 2)}-{page.at(total, 4)})<0.005"
    page.put(total + 1, 1, "Steps and totals")
    words = Formula(f'IF({apart},"agree to the cent","do NOT agree")', "agree to the cent")
    page.put(total + 1, 4, words)
    _drawn(page, first, last, total, [changes.get(step, 0) for step in parts.steps])

    def drawn(column: int) -> str:
        return page.span(first, total, column)

    chart = stacked_bars(
        "Steps from the one option to the other",
        parts.comparison.currency,
        page.span(first, total, 1),
        [
            Bars("below", drawn(BELOW), NOTHING, in_legend=False),
            Bars("above", drawn(ABOVE), NOTHING, in_legend=False),
            Bars("dearer", drawn(BELOW + 2), DEARER),
            Bars("whole difference", drawn(BELOW + 6), WHOLE),
            Bars("cheaper", drawn(BELOW + 4), CHEAPER),
            # As many without a place in the legend as above: some programs count from the end.
            Bars("dearer, below nothing", drawn(BELOW + 3), DEARER, in_legend=False),
            Bars("cheaper, below nothing", drawn(BELOW + 5), CHEAPER, in_legend=False),
        ],
        from_zero=False,
    )
    height = min(4.0 + 0.5 * (total - first), 16.0)
    below = page.place_chart(chart, page.break_before(total + 3), 1, 16.5, height)
    page.print_only(below, ACROSS)
    page.finish("Options compared")


def _chosen(page: Page, cells: str, row: int, parts: PartsSheet) -> str:
    """Return the formula of the cell, of a row of all options, that the option chosen has."""
    return f"INDEX({cells},1,MATCH({page.at(row, 2)},{parts.names},0))"


def _drawn(page: Page, first: int, last: int, total: int, changes: list[int]) -> None:
    """Write what the chart draws: each step as a bar between what is so far before and after.

    A bar is split where it passes nothing: a stack counts upwards and downwards apart.
    """
    headings = ("foot −", "foot +", "dearer +", "dearer −", "cheaper +", "cheaper −", "whole")
    for offset, heading in enumerate(headings):
        page.put(TOP, BELOW + offset, heading, NumberKind.MONEY, Look.NOTE)
    so_far = 0
    for row, change in zip(range(first, last + 1), changes, strict=True):
        start = page.at(row - 1, 5) if row > first else "0"
        end = page.at(row, 5)
        low, high = f"MIN({start},{end})", f"MAX({start},{end})"
        before, so_far = so_far, so_far + change
        bottom, top = min(before, so_far), max(before, so_far)
        foot_down, foot_up = min(0, top), max(0, bottom)
        up, down = max(0, top) - foot_up, min(0, bottom) - foot_down
        dearer = f"{page.at(row, 4)}>0"
        cells = (
            (f"MIN(0,{high})", foot_down),
            (f"MAX(0,{low})", foot_up),
            (f"IF({dearer},MAX(0,{high})-MAX(0,{low}),0)", up if change > 0 else 0),
            (f"IF({dearer},MIN(0,{low})-MIN(0,{high}),0)", down if change > 0 else 0),
            (f"IF({dearer},0,MAX(0,{high})-MAX(0,{low}))", up if change <= 0 else 0),
            (f"IF({dearer},0,MIN(0,{low})-MIN(0,{high}))", down if change <= 0 else 0),
        )
        for offset, (text, cents) in enumerate(cells):
            page.put(row, BELOW + offset, Formula(text, cents / 100), NumberKind.MONEY, Look.NOTE)
    whole = Formula(page.at(total, 4), so_far / 100)
    page.put(total, BELOW + 6, whole, NumberKind.MONEY, Look.NOTE)
