"""Options compared: the options side by side, with every part of their cost on the next sheet."""

from __future__ import annotations

from collections.abc import Sequence

from ...models.answer.plan import Part, PartGroup
from ...models.asked.comparison import Amounts, Comparison, Outcome, Step, amounts_of
from ...models.farm import Farm
from ...models.option import OptionKind
from ...models.risk.chain_years import chain_years, present_worth
from ...models.risk.cost_spread import spread_of_options
from ..paper.book import Book
from ..paper.page import Formula, Page, SheetColumn, Value
from ..paper.stacked_bars import SOLID, Bars, stacked_bars
from ..paper.style import Look
from ..words.grammar import as_asked
from ..words.kinds import NumberKind
from ..words.stopped import ended_early
from ..words.unpriced import first_price_words, part_name, total_in_text, total_name

GROUPS = {
    PartGroup.ANCHORS: "Anchors",
    PartGroup.LINES: "Chain, rope, fittings",
    PartGroup.FREIGHT: "Freight",
    PartGroup.CHARGES: "Charges, duty, insurance",
    PartGroup.VESSELS: "Vessels",
}
"""The groups of parts, as the columns and the chart have them."""

PARTS_HEAD = 3
"""The row of the parts sheet that names the options."""
ACROSS = 11
FIRST_GROUP = 7
"""The column of the first group in the table of costs."""

PAGE_CM, ROW_CM = 16.0, 0.5
"""What fits on a page, and about what a row takes."""

READ = (
    "Each option is priced by a search of its own. “At least” is proven: the least plan of the "
    "option costs at least so much more than the plan found for the free choice. “Gap” is the "
    "most by which a plan of the option could still be cheaper than the one found."
)


class PartsSheet:
    """Where each step of each option's cost stands."""

    def __init__(self, book: Book, comparison: Comparison) -> None:
        self.comparison = comparison
        self.outcomes = comparison.done
        plan = comparison.base.plan
        assert plan is not None, "the free choice has a plan"
        self.farm = plan.farm
        self.page: Page = book.page("Option parts")
        order = list(Part)
        steps = {step for outcome in self.outcomes for step in outcome.cents}
        self.steps: list[Step] = sorted(
            steps, key=lambda step: (order.index(step.part), step.service)
        )
        self.first = PARTS_HEAD + 1
        self.last = PARTS_HEAD + len(self.steps)

    @property
    def names(self) -> str:
        """The cells that name the options."""
        low, high = (self.page.at(PARTS_HEAD, column) for column in (2, 1 + len(self.outcomes)))
        return f"'{self.page.name}'!{low}:{high}"

    def row_of(self, step: Step) -> str:
        """Return the cells that hold one step of every option."""
        row = self.first + self.steps.index(step)
        low, high = (self.page.at(row, column) for column in (2, 1 + len(self.outcomes)))
        return f"'{self.page.name}'!{low}:{high}"

    def sum_of(self, outcome: Outcome, parts: Sequence[Part]) -> Formula:
        """Return the live sum of some parts of one option."""
        column = 2 + self.outcomes.index(outcome)
        rows = [n for n, step in enumerate(self.steps) if step.part in parts]
        cells = ",".join(self.page.ref(self.first + n, column) for n in rows)
        cents = sum(c for step, c in outcome.cents.items() if step.part in parts)
        return Formula(f"SUM({cells})" if rows else "0", cents / 100)

    def total_of(self, outcome: Outcome) -> Formula:
        """Return the live cost of one option."""
        column = 2 + self.outcomes.index(outcome)
        return Formula(self.page.ref(self.last + 1, column), outcome.total_cents / 100)

    def write(self) -> None:
        """Write the sheet."""
        page, currency = self.page, self.comparison.currency
        across = 1 + len(self.outcomes)
        page.head(
            "Option parts",
            f"Every part of the {total_in_text(self.farm)} of every option that can be done, "
            f"{currency}.",
            across=across,
        )
        columns = [SheetColumn("Part")]
        columns += [
            SheetColumn(outcome.option.name, NumberKind.MONEY, turned=True)
            for outcome in self.outcomes
        ]
        rows: list[tuple[Value, ...]] = [
            (step_title(step, self.farm), *(o.cents.get(step, 0) / 100 for o in self.outcomes))
            for step in self.steps
        ]
        page.table(PARTS_HEAD, columns, rows)
        page.put(self.last + 1, 1, total_name(self.farm), look=Look.TOTAL)
        for column, outcome in enumerate(self.outcomes, start=2):
            cells = f"SUM({page.at(self.first, column)}:{page.at(self.last, column)})"
            total = Formula(cells, outcome.total_cents / 100)
            page.put(self.last + 1, column, total, NumberKind.MONEY, Look.TOTAL)
        page.finish("Options compared", heading_row=PARTS_HEAD)


def step_title(step: Step, farm: Farm) -> str:
    """Return a step with a capital; the name of its service stays as it is."""
    if not step.service:
        return part_name(farm, step.part)
    words = str(step)
    return words[:1].upper() + words[1:]


def write_options_compared(page: Page, parts: PartsSheet) -> None:
    """Write the table, its chart, what each option moves, and which cannot be done."""
    comparison = parts.comparison
    page.head("Options compared", _lead(comparison), across=ACROSS)
    row = 3
    if first := first_price_words(parts.farm):
        row = page.paragraphs(row, first, ACROSS, Look.ALERT)
    row = page.paragraphs(row, [READ], ACROSS, Look.NOTE) + 1
    row = _costs(page, parts, row)
    row = page.break_before(row + 1)
    row = _moved(page, comparison, row)
    row = _sure(page, comparison, row + 1)
    barred = [outcome for outcome in comparison.outcomes if outcome.plan is None]
    if barred or comparison.single_models:
        row = _barred(page, comparison, barred, row + 1)
    page.finish("Options compared")


def _lead(comparison: Comparison) -> str:
    count = len(comparison.done)
    return (
        f"{count} options that can be done, each priced to a gap of "
        f"{as_asked(comparison.asked_gap)} where the time allowed it."
        f"{ended_early(comparison.stopped)}"
    )


def _costs(page: Page, parts: PartsSheet, top: int) -> int:
    """Write the table of costs and its chart; return the next row."""
    comparison = parts.comparison
    money = comparison.currency
    columns = (
        SheetColumn("Option", widest=30.0),
        SheetColumn(f"{total_name(parts.farm)}, {money}", NumberKind.MONEY),
        SheetColumn("Dearer by", NumberKind.MONEY),
        SheetColumn("Dearer by, %", NumberKind.SHARE_FINE),
        SheetColumn("At least", NumberKind.MONEY),
        SheetColumn("Gap", NumberKind.SHARE_FINE),
        *(SheetColumn(name, NumberKind.MONEY) for name in GROUPS.values()),
    )
    base = page.at(top + 1, 2)
    rows: list[tuple[Value, ...]] = []
    base_cents = comparison.base.total_cents
    for number, outcome in enumerate(comparison.done):
        here = page.at(top + 1 + number, 2)
        more = outcome.total_cents - base_cents
        assert outcome.plan is not None
        least = comparison.dearer_by(outcome)[1]
        is_base = outcome is comparison.base
        rows.append(
            (
                outcome.option.name,
                parts.total_of(outcome),
                None if is_base else Formula(f"{here}-{base}", more / 100),
                None if is_base else Formula(f"{here}/{base}-1", more / base_cents),
                None if is_base else least,
                outcome.plan.proof.gap,
                *(parts.sum_of(outcome, group.value) for group in GROUPS),
            )
        )
    table = page.table(top, columns, rows)
    series = [
        Bars(name, page.span(table.first, table.last, column), fill)
        for column, (name, fill) in enumerate(
            zip(GROUPS.values(), SOLID, strict=True), start=FIRST_GROUP
        )
    ]
    chart = stacked_bars(
        f"{total_name(parts.farm)} of each option",
        money,
        page.span(table.first, table.last, 1),
        series,
    )
    height = min(3.5 + 0.8 * len(rows), 16.0)
    at = table.next_row + 1
    if height + ROW_CM * at > PAGE_CM:
        at = page.break_before(at)
    return page.place_chart(chart, at, 1, 24.0, height)


def _moved(page: Page, comparison: Comparison, top: int) -> int:
    page.put(top, 1, "What each moves, lays and sails", look=Look.SECTION, across=ACROSS)
    columns = (
        SheetColumn("Option", widest=30.0),
        SheetColumn("Shipped, t", NumberKind.MASS_T),
        SheetColumn("Shipped, m³", NumberKind.VOLUME_M3),
        SheetColumn("Containers", NumberKind.COUNT),
        SheetColumn("Revenue tonnes", NumberKind.MASS_T),
        SheetColumn("Trips", NumberKind.COUNT),
        SheetColumn("Days", NumberKind.COUNT),
        SheetColumn("Ground chain, m", NumberKind.LENGTH_M),
        SheetColumn("Anchors", NumberKind.COUNT),
        SheetColumn("Models", NumberKind.COUNT),
    )
    rows = [(o.option.name, *_cells(amounts_of(o.plan))) for o in comparison.done if o.plan]
    return page.table(top + 1, columns, rows).next_row


def _cells(amounts: Amounts) -> tuple[Value, ...]:
    return (
        amounts.mass_t,
        amounts.volume_m3,
        amounts.containers,
        amounts.revenue_tonnes,
        amounts.trips,
        amounts.days,
        amounts.chain_m,
        amounts.anchors,
        amounts.models,
    )


def _sure(page: Page, comparison: Comparison, top: int) -> int:
    """Write P50 and P80 of every option on the same draws, how often each is cheapest, and what
    its replacements of chain are worth now; return the next row."""
    plans = {o.option.name: o.plan for o in comparison.done if o.plan}
    spread = spread_of_options(plans)
    page.put(top, 1, "How sure each is, on the same draws", look=Look.SECTION, across=ACROSS)
    columns = (
        SheetColumn("Option", widest=30.0),
        *(SheetColumn(name, NumberKind.MONEY) for name in ("P10", "P50", "P80", "P90")),
        SheetColumn("Cheapest in", NumberKind.SHARE),
        SheetColumn("Replacing chain, present worth", NumberKind.MONEY),
    )
    rows: list[tuple[Value, ...]] = []
    for name, plan in plans.items():
        costs = spread.ranges[name]
        counted = plan.farm.project.replacement_horizon_years > 0
        worth = present_worth(chain_years(plan)) if counted else None
        shares = (costs.p10, costs.p50, costs.p80, costs.p90)
        rows.append((name, *shares, spread.cheapest[name], worth))
    return page.table(top + 1, columns, rows).next_row


def _barred(page: Page, comparison: Comparison, barred: Sequence[Outcome], top: int) -> int:
    """Write which options have no plan, and why."""
    page.put(top, 1, "What cannot be done, and why", look=Look.SECTION, across=ACROSS)
    row = top + 1
    for outcome in barred:
        page.put(row, 1, outcome.option.name)
        known = "" if outcome.impossible else " (not proven impossible)"
        page.put(row, 2, f"{outcome.why}{known}", across=ACROSS - 1)
        row += 1
    able = sum(o.option.kind is OptionKind.SINGLE_MODEL for o in comparison.outcomes)
    words = f"Of {comparison.single_models} anchor models, {able or 'none'} can serve every leg."
    page.put(row, 1, "One model alone")
    page.put(row, 2, words, across=ACROSS - 1)
    return row + 1
