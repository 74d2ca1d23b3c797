"""How time and memory grow with the leg groups: `python -m benchmarks.growth 20 50 100`."""

from __future__ import annotations

import math
import time
from dataclasses import dataclass

import click
from moorledger.optimiser.price import moorable_choices
from moorledger.optimiser.search.search import Search
from moorledger.optimiser.solvers.report import SolveOptions

from benchmarks.growth_chart import growth_drawing
from benchmarks.many_groups import farm_of_groups
from benchmarks.methods import peak_mib
from benchmarks.run import README, apart

CHART = README.with_name("growth.svg")

SIZES = (20, 50, 100, 200, 500, 1000, 2000, 5000)


@dataclass(frozen=True)
class Grown:
    """What one farm took; seconds are wall seconds but for `processor_s`."""

    groups: int
    choices: int
    choices_s: float
    first_s: float
    seconds: float
    processor_s: float
    cost: float
    bound: float
    peak_mib: float

    @property
    def row(self) -> str:
        """A row of the table."""
        gap = 100 * (self.cost - self.bound) / self.cost
        return (
            f"| {self.groups:,} | {self.choices:,} | {self.choices_s:.1f} | {self.first_s:.1f} | "
            f"{self.seconds:.1f} | {self.processor_s:.1f} | {self.cost:,.0f} | "
            f"{self.bound:,.0f} | {gap:.2f} | {self.peak_mib:,.0f} |"
        )


HEAD = (
    "| leg groups | choices | choices s | first plan s | all s | processor s | cost | bound "
    "| gap % | peak MiB |\n| ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |"
)


def grown(groups: int, gap: float, limit_s: float) -> Grown:
    """Search one farm until the gap is met or the time is over."""
    farm = farm_of_groups(groups)
    began, spent = time.perf_counter(), time.process_time()
    choices = moorable_choices(farm)
    there = time.perf_counter() - began
    first: list[float] = []

    def progress(cost: float, _bound: float) -> bool:
        if math.isfinite(cost) and not first:
            first.append(time.perf_counter() - began)
        return False

    asked = SolveOptions("", gap, max(limit_s - there, 1.0), on_progress=progress)
    found = Search(farm, choices, asked).run()
    return Grown(
        groups,
        len(choices),
        there,
        first[0] if first else math.nan,
        time.perf_counter() - began,
        time.process_time() - spent,
        found.settlement.cost if found.settlement else math.nan,
        found.bound,
        peak_mib(),
    )


LINES = {
    "all": ("s", "all s"),
    "first plan": ("s", "first plan s"),
    "choices": ("s", "choices s"),
    "peak memory": ("MiB", "peak MiB"),
}
"""Line of the chart: unit, and the column of the table that it draws."""


def drawn(table: str) -> str:
    """Return the chart of a table of rows, as an SVG file."""
    head, _, *rows = [
        [cell.strip() for cell in line.strip("| ").split("|")] for line in table.strip().split("\n")
    ]
    amounts = [[float(cell.replace(",", "")) for cell in row] for row in rows]
    lines = [
        (name, unit, [(row[0], row[head.index(column)]) for row in amounts])
        for name, (unit, column) in LINES.items()
    ]
    plain = '<svg font-family="sans-serif" style="background:#ffffff" '
    return growth_drawing(lines).svg().replace("<svg ", plain, 1) + "\n"


@click.command()
@click.argument("sizes", type=click.IntRange(min=1), nargs=-1)
@click.option("--gap", type=float, default=0.01, help="Share at which a farm is done with.")
@click.option("--limit", type=float, default=600.0, help="Seconds for each farm.")
@click.option("--draw", is_flag=True, help="Only draw the table of benchmarks/README.md anew.")
def main(sizes: tuple[int, ...], gap: float, limit: float, draw: bool) -> None:
    """Print a table of farms of so many leg groups, each in a process of its own."""
    if draw:
        table = README.read_text(encoding="utf-8").split("<!-- growth -->\n")[1]
        CHART.write_text(drawn(table.split("<!-- end of growth -->")[0]), encoding="utf-8")
        return
    click.echo(HEAD)
    for groups in sizes or SIZES:
        click.echo(apart(grown, groups, gap, limit).row)


if __name__ == "__main__":
    main()
