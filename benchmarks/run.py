"""Time the ways of pricing one invented farm: `python -m benchmarks.run sound`."""

from __future__ import annotations

import math
import multiprocessing
import os
import platform
import re
import tempfile
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TypeVar

import click

from benchmarks.farms import SIZES
from benchmarks.methods import METHODS, Task, Timing, peak_mib, write_farm

README = Path(__file__).with_name("README.md")

HEADINGS = (
    "way", "cost", "settled cost", "bound", "gap %", "seconds", "÷ ours", "whole job s",
    "peak MiB", "columns", "rows", "note",
)  # fmt: skip


@dataclass(frozen=True)
class Terms:
    """The gap asked of everyone, and the limits in seconds."""

    gap: float
    straight_s: float
    ours_s: float


TERMS = {
    "cove": Terms(1e-4, 60.0, 60.0),
    "sound": Terms(1e-3, 120.0, 60.0),
    "coast": Terms(1e-3, 120.0, 60.0),
}

Answer = TypeVar("Answer")


def apart(job: Callable[..., Answer], *given: object) -> Answer:
    """Run a job in a new process and return its answer."""
    fresh = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=fresh) as pool:
        return pool.submit(job, *given).result()


def timed(method: str, task: Task) -> Timing:
    """Run one method and note the peak memory of its process."""
    timing = METHODS[method](task)
    return replace(timing, peak_mib=peak_mib())


def table(timings: list[Timing]) -> str:
    """Return the timings as a Markdown table."""
    own = next((one.seconds for one in timings if one.method == "ours"), math.nan)
    lines = [
        [
            one.method,
            number(one.cost, 0),
            number(one.settled, 0),
            number(one.bound, 0),
            number(100 * one.gap, 3),
            number(one.seconds, 2),
            number(one.seconds / own, 2),
            number(one.whole_job_s, 2),
            number(one.peak_mib, 0),
            number(one.columns, 0),
            number(one.rows, 0),
            one.note,
        ]
        for one in timings
    ]
    rule = ["---", *["---:"] * (len(HEADINGS) - 2), "---"]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in (HEADINGS, rule, *lines))


def number(value: float | None, places: int) -> str:
    """Return a number for the table; a dash for none."""
    return "–" if value is None or math.isnan(value) else f"{value:,.{places}f}"


def keep(farm: str, text: str) -> None:
    """Put a farm's table between its markers in README.md."""
    marked = re.compile(rf"(<!-- {farm} -->\n).*?(<!-- end of {farm} -->)", re.DOTALL)
    page = README.read_text(encoding="utf-8")
    page = marked.sub(lambda found: f"{found[1]}{text}\n{found[2]}", page)
    README.write_text(page, encoding="utf-8")


@click.command()
@click.argument("farm", type=click.Choice(list(SIZES)))
@click.option("--limit", type=click.FloatRange(min=1), help="Seconds for each way, ours too.")
@click.option("--only", type=click.Choice(list(METHODS)), multiple=True, help="Run these alone.")
@click.option("--write", is_flag=True, help="Keep the table in benchmarks/README.md.")
def main(farm: str, limit: float | None, only: tuple[str, ...], write: bool) -> None:
    """Price FARM in every way, each in a process of its own, and print how they did."""
    terms = TERMS[farm]
    timings = []
    load = os.getloadavg()[0]
    with tempfile.TemporaryDirectory(prefix="moorledger") as folder:
        book = Path(folder) / f"{farm}.xlsx"
        apart(write_farm, farm, book)
        for method in only or METHODS:
            seconds = terms.ours_s if method == "ours" else terms.straight_s
            timing = apart(timed, method, Task(book, terms.gap, limit or seconds))
            timings.append(timing)
            click.echo(f"{timing.method}: {timing.seconds:.2f} s, {timing.note}", err=True)
    limits = f"{limit or terms.ours_s:g} s ours, {limit or terms.straight_s:g} s the others"
    text = (
        f"{date.today()}, {os.cpu_count()} cores, {platform.machine()}, Python "
        f"{platform.python_version()}; load {load:.1f} at the start, {os.getloadavg()[0]:.1f} at "
        f"the end; gap asked {100 * terms.gap:g} %; limits {limits}.\n\n{table(timings)}"
    )
    click.echo(text)
    if write:
        keep(farm, text)


if __name__ == "__main__":
    main()
