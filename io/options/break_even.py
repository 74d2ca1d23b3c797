"""Break-even: a table of which plan is least from where to where, and its chart."""

from __future__ import annotations

from ...models.asked.break_even import BreakEven, OptionCosts
from ..paper.book import Book
from ..paper.chart import ChartData, Mark, Run, scatter
from ..paper.openpyxl_parts import Chart
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.style import Look
from ..told.option_text import advantage_words, changes, crossing_words, laid, unpriced_of
from ..words.grammar import as_asked
from ..words.kinds import NumberKind
from ..words.stopped import in_brackets
from ..words.unpriced import total_name

WIDTHS = (26.0, 10.0, 10.0, 15.0, 15.0, 15.0, 15.0, 9.0, 34.0, 44.0)
ACROSS = len(WIDTHS)
DATA_HEADINGS = ("Chart", "Series", "Multiplier", "Cost")

MOST_LINES = 4
"""Lines of a table that leave room for the chart on its page."""

READ = (
    "A plan costs its fixed part plus its rated part × the multiplier, its orders, bookings and "
    "days held fast. Between two break points no plan is cheaper than the one named by more than "
    "the gap stated, anywhere."
)


def write_break_even(page: Page, book: Book, answer: BreakEven, currency: str) -> None:
    """Write the sheet, and what its chart draws on a sheet at the end of the book."""
    page.widths(WIDTHS)
    page.head(
        f"Break-even: {answer.rate}",
        f"Multiplied from {answer.low:g} to {answer.high:g}; today it is 1. Money in {currency}.",
        across=ACROSS,
    )
    row = 3
    if first := unpriced_of(answer):
        row = page.paragraphs(row, first, ACROSS, Look.ALERT)
    row = page.paragraphs(row, [READ, _standing(answer)], ACROSS, Look.NOTE) + 1
    row = _stretches(page, answer, row)
    for option in answer.options:
        if not option.stretches:
            page.put(row, 1, option.option)
            page.put(row, 2, option.why, across=ACROSS - 1)
            row += 1
    texts = [crossing_words(crossing, currency) for crossing in answer.crossings]
    texts += [advantage_words(one, currency) for one in answer.advantages]
    if texts:
        title = "Where two options cost the same, and who is cheaper by how much"
        page.put(row + 1, 1, title, look=Look.SECTION, across=ACROSS)
        row = page.paragraphs(row + 2, texts, ACROSS, Look.STRONG)
    if any(option.stretches for option in answer.options):
        data = ChartData(book.data_sheet("Chart data", DATA_HEADINGS))
        lines = sum(1 + len(laid(s.plan)) // 34 for one in answer.options for s in one.stretches)
        if lines + len(texts) > MOST_LINES:
            row = page.break_before(row + 1)
        page.place_chart(_chart(data, answer, currency), row + 1, 1, 26.0, 12.5)
    page.finish("Break-even")


def _standing(answer: BreakEven) -> str:
    if answer.proven:
        return f"Exact to a gap of {as_asked(answer.asked_gap)}, by {answer.solves} solves."
    why = in_brackets(answer.stopped)
    return (
        f"NOT proven to the gap of {as_asked(answer.asked_gap)} asked, everywhere{why}: read the "
        "gap of each stretch. With more time (--time-limit) break points may move or be added."
    )


def _stretches(page: Page, answer: BreakEven, top: int) -> int:
    columns = (
        SheetColumn("Option"),
        SheetColumn("From ×", NumberKind.EXCHANGE),
        SheetColumn("To ×", NumberKind.EXCHANGE),
        SheetColumn("Fixed part", NumberKind.MONEY),
        SheetColumn("Rated part", NumberKind.MONEY),
        SheetColumn("Cost at from", NumberKind.MONEY),
        SheetColumn("Cost at to", NumberKind.MONEY),
        SheetColumn("Gap", NumberKind.SHARE_FINE),
        SheetColumn("Anchors laid"),
        SheetColumn("Otherwise than the plan before"),
    )
    rows: list[tuple[Value, ...]] = []
    for option in answer.options:
        for number, stretch in enumerate(option.stretches):
            row = top + 1 + len(rows)
            fixed, rated = page.at(row, 4), page.at(row, 5)
            before = option.stretches[number - 1] if number else None
            rows.append(
                (
                    option.option,
                    stretch.low,
                    stretch.high,
                    stretch.line.fixed,
                    stretch.line.rated,
                    Formula(f"{fixed}+{rated}*{page.at(row, 2)}", stretch.line.at(stretch.low)),
                    Formula(f"{fixed}+{rated}*{page.at(row, 3)}", stretch.line.at(stretch.high)),
                    stretch.gap,
                    laid(stretch.plan),
                    changes(before, stretch) if before else "",
                )
            )
    return page.table(top, columns, rows).next_row


def _chart(data: ChartData, answer: BreakEven, currency: str) -> Chart:
    """Return cost against multiplier: every line, the lower envelope, today and the crossings."""
    able = [option for option in answer.options if option.stretches]
    runs = []
    if len(able) == 1:
        for number, stretch in enumerate(able[0].stretches, start=1):
            ends = tuple((x, stretch.line.at(x)) for x in (answer.low, answer.high))
            runs.append(Run(f"plan {number}, least from × {stretch.low:.3g}", ends))
    else:
        runs += [Run(option.option, _corners(option)) for option in able]
    runs.append(Run("lower envelope", _envelope(able, answer)))
    costs = [y for run in runs for _, y in run.points]
    low, high = min(costs), max(costs)
    room = 0.08 * (high - low) or 0.05 * high
    if answer.low <= 1.0 <= answer.high:
        runs.append(Run("today", ((1.0, low - room), (1.0, high)), upright=True))
    met = tuple((c.multiplier, c.cost) for c in answer.crossings)
    for at in met:
        runs.append(Run(f"same at × {at[0]:.3g}", (at,), Mark("circle", 10)))
    return scatter(
        data,
        f"{_total(answer)} against {answer.rate}",
        f"{answer.rate}, × today's",
        f"{_total(answer)} ({currency})",
        runs,
        x_least=_round_down(answer.low),
        x_most=answer.high,
        y_least=_round_down(low - room),
        heavy="lower envelope",
    )


def _total(answer: BreakEven) -> str:
    """Return what the sum of the parts is."""
    return next((total_name(s.plan.farm) for one in answer.options for s in one.stretches), "Cost")


def _corners(option: OptionCosts) -> tuple[tuple[float, float], ...]:
    ends = [(s.low, s.line.at(s.low)) for s in option.stretches]
    last = option.stretches[-1]
    return (*ends, (last.high, last.line.at(last.high)))


def _envelope(able: list[OptionCosts], answer: BreakEven) -> tuple[tuple[float, float], ...]:
    corners = {answer.low, answer.high, *(c.multiplier for c in answer.crossings)}
    corners |= {x for option in able for x in option.break_points}
    return tuple((x, min(option.at(x) for option in able)) for x in sorted(corners))


def _round_down(cost: float) -> float:
    """Return a round number not above a cost, for the foot of an axis."""
    step = 10.0 ** max(len(str(int(abs(cost)))) - 1, 0) / 2
    return max(cost // step * step, 0.0)
