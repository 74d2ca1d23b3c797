"""Risk: how sure the cost is, what makes it so, and how many days each vessel may need."""

from __future__ import annotations

from typing import Any

from ...models.answer.spread import Percentiles, Spread
from ..paper.book import PlanBook
from ..paper.chart import ChartData, Run, scatter
from ..paper.page import Formula, Page, PlacedTable, SheetColumn, Value
from ..paper.stacked_bars import NOTHING, Bars, Fill, stacked_bars
from ..paper.style import Look
from ..told.risk_text import READ_RISK, risk_words
from ..words.cautions import CAUTIONS
from ..words.kinds import NumberKind
from ..words.unpriced import total_in_text, total_name

WIDTHS = (44.0, 14.0, 14.0, 14.0, 14.0, 16.0, 16.0, 16.0, 16.0)
ACROSS = len(WIDTHS)
HEADING_ROW = 5
MOST_SOURCES = 20
"""Sources that the sheet lists and draws, the widest first."""

STEPS = (
    ("P10 to P50", Fill("FFFFFF")),
    ("P50 to P80", Fill("", "wdUpDiag")),
    ("P80 to P90", Fill("595959")),
)
"""What a bar is made of from P10 on, each to its next column."""
BARS_CM, BAR_CM, CURVE_CM = 3.2, 0.6, 8.5
"""Heights of the charts: of the bars' without any, of a bar more, of the curve's."""
PAGE_CM = 17.5
"""Of charts that one printed page takes."""

P10 = 2
FIRST_STEP = 7
"""The columns of P10, and of the first step."""

DAYS = (
    SheetColumn("Vessel"),
    SheetColumn("Days of work", NumberKind.COUNT),
    SheetColumn("Workable", NumberKind.SHARE),
    SheetColumn("Charged", NumberKind.COUNT),
    SheetColumn("Chance within", NumberKind.SHARE),
    SheetColumn("P10 days", NumberKind.COUNT),
    SheetColumn("P50 days", NumberKind.COUNT),
    SheetColumn("P80 days", NumberKind.COUNT),
    SheetColumn("P90 days", NumberKind.COUNT),
)


def write_risk(book: PlanBook) -> None:
    """Write the sheet, where anything is uncertain."""
    plan, spread = book.plan, book.plan.spread
    if spread is None or not spread.uncertain:
        return
    project = plan.farm.project
    page = book.page("Risk")
    page.widths(WIDTHS)
    page.head(
        "Risk",
        f"Between which amounts the {total_in_text(plan.farm)} will lie, and what makes it so, in "
        f"{project.currency}; over {spread.draws:,} draws, the same every time.",
        of=project.name,
        across=ACROSS,
    )
    page.put(3, 1, risk_words(plan), look=Look.STRONG, across=ACROSS)
    page.put(4, 1, READ_RISK, look=Look.NOTE, across=ACROSS)
    sources = _sources(book, page, spread, project.currency)
    page.put(sources.next_row + 2, 1, "Charged days", look=Look.SECTION, across=ACROSS)
    rows: list[tuple[Value, ...]] = [
        (
            days.vessel,
            days.working_days,
            days.workable_share,
            days.charged_days,
            days.chance_within,
            *(days.p10, days.p50, days.p80, days.p90),
        )
        for days in spread.days
    ]
    below = page.table(sources.next_row + 3, DAYS, rows).next_row
    below = page.break_before(below + 1)
    bars = _bars(book, page, spread, sources)
    height_cm = BARS_CM + BAR_CM * (sources.last - sources.first + 1)
    below = page.place_chart(bars, below, 1, 26.0, height_cm)
    if height_cm + CURVE_CM > PAGE_CM:
        below = page.break_before(below)
    curve = _curve(book, spread, project.currency)
    below = page.place_chart(curve, below, 1, 26.0, CURVE_CM)
    page.paragraphs(below, CAUTIONS[:1], ACROSS, Look.NOTE)
    page.finish(project.name)


def _sources(book: PlanBook, page: Page, spread: Spread, currency: str) -> PlacedTable:
    """Write the sum and each source alone; return where."""
    columns = (
        SheetColumn("What varies"),
        *(SheetColumn(name, NumberKind.MONEY) for name in ("P10", "P50", "P80", "P90")),
        SheetColumn("P80 less as priced", NumberKind.MONEY),
        *(SheetColumn(name, NumberKind.MONEY) for name, _ in STEPS),
    )
    rows = [_row(page, HEADING_ROW + 1, "All together", spread.total, spread.cost)]
    for source in spread.sources[:MOST_SOURCES]:
        row = HEADING_ROW + 1 + len(rows)
        rows.append(_row(page, row, f"{source.name}, alone", source.cost, spread.cost))
    table = page.table(HEADING_ROW, columns, rows, looks=[Look.TOTAL])
    book.p80_cell = page.ref(table.first, P10 + 2)
    more = (
        f"As priced {currency} {spread.cost:,.2f}; mean of the draws {spread.mean:,.2f}; mean of "
        f"the dearest fifth of them {spread.dearest_fifth:,.2f}. Alone: everything else as priced."
    )
    page.put(table.next_row, 1, more, look=Look.NOTE, across=ACROSS)
    return table


def _bars(book: PlanBook, page: Page, spread: Spread, table: PlacedTable) -> Any:
    """Return the chart of the sum and each source alone."""
    bars = [Bars("up to P10", page.span(table.first, table.last, P10), NOTHING)]
    bars += [
        Bars(name, page.span(table.first, table.last, FIRST_STEP + number), fill)
        for number, (name, fill) in enumerate(STEPS)
    ]
    chart: Any = stacked_bars(
        f"{total_name(book.plan.farm)}, from P10 to P90: all together, and each source alone",
        book.plan.farm.project.currency,
        page.span(table.first, table.last, 1),
        bars,
        from_zero=False,
    )
    ranges = [spread.total, *(source.cost for source in spread.sources)]
    low, high = min(each.p10 for each in ranges), max(each.p90 for each in ranges)
    chart.y_axis.scaling.min, chart.y_axis.scaling.max = _scale(low, high)
    return chart


def _row(page: Page, row: int, name: str, cost: Percentiles, priced: float) -> tuple[Value, ...]:
    """Return the cells of one bar; its steps are live."""
    shares = (cost.p10, cost.p50, cost.p80, cost.p90)
    steps = [
        Formula(f"{page.at(row, P10 + n + 1)}-{page.at(row, P10 + n)}", shares[n + 1] - shares[n])
        for n in range(len(STEPS))
    ]
    return (name, *shares, cost.p80 - priced, *steps)


def _curve(book: PlanBook, spread: Spread, currency: str) -> Any:
    """Return the chart of the chance that the cost is no more."""
    data = ChartData(book.data_sheet("Risk data", ("Chart", "Series", "Cost", "Chance")))
    runs = [Run("chance that it is no more", spread.curve)]
    low, high = _scale(spread.curve[0][0], spread.curve[-1][0])
    total = spread.total
    for name, cost, chance in (
        ("as priced", spread.cost, spread.chance_within),
        ("P50", total.p50, 0.5),
        ("P80", total.p80, 0.8),
        ("P90", total.p90, 0.9),
    ):
        runs.append(Run(f"{name} {cost:,.0f}", ((cost, 0.0), (cost, chance)), upright=True))
    chart: Any = scatter(
        data,
        "The curve of the sum",
        f"{total_name(book.plan.farm)}, {currency}",
        "Chance that it is no more",
        runs,
        x_most=high,
    )
    chart.x_axis.scaling.min = low
    chart.x_axis.number_format = "#,##0"
    chart.y_axis.scaling.max, chart.y_axis.number_format = 1.0, "0%"
    for series in chart.series[:1]:
        series.marker.symbol = "none"
    return chart


def _scale(low: float, high: float) -> tuple[float, float]:
    """Return round ends of an axis for costs from `low` to `high`."""
    step = 10.0 ** (len(str(int(max(high - low, 1.0)))) - 1) / 2
    return (low - step / 4) // step * step, -(-(high + step / 4) // step) * step
