"""The commands before a price: a workbook to fill in, what is wrong with it, what anchors hold."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import astuple, replace
from pathlib import Path

import click

from ...models.asked.next_tests import NextTests
from ...models.farm import Farm
from ...models.fault import FarmError
from ...optimiser.crew import crew_of
from ...optimiser.failures import NoPlanError, SolverFailedError
from ...optimiser.price import DEFAULT_GAP, refuse_unmoorable
from ...optimiser.repricing.farm_pricer import FarmPricer
from ...optimiser.repricing.next_facts import next_facts
from ...optimiser.repricing.next_tests import next_tests
from ...optimiser.solvers.cbc_process import end_all
from ...optimiser.stowage.anchor_fits import anchor_fits
from ..evidence.evidence_book import holding_text, write_holding
from ..evidence.evidence_page import evidence_page
from ..inputs.checked_copy import checked_copy
from ..inputs.enough import Reading, enough_words
from ..inputs.template import sample_folder, write_template
from ..layout.sheets import SHEETS
from ..layout.short import SHORT
from ..needs.needs import EVIDENCE, PRICE
from ..options.next_facts import next_text, next_workbook
from ..reading.workbook import columns_read, read_farm
from ..told.next_tests_text import next_tests_text
from ..whole_file import write_whole
from ..words.fault_table import fault_table, text_table
from ..words.unpriced import first_price_words
from .exit_codes import AT_FAULT, NO_PLAN, SOLVER_FAILED
from .terms import (
    as_errors,
    counted,
    end,
    errors_of,
    faults_told,
    finite,
    force,
    quoted,
    read_and_warn,
    read_or_faults,
    refuse_target,
    refuse_targets,
    save,
    searched,
    shared_out,
    strict,
    workbook,
)
from .watch import Watch


@click.command()
@click.argument("output", type=click.Path(path_type=Path))
@click.option("--sample", is_flag=True, help="Write the sample farm, all of it invented.")
@click.option("--short", is_flag=True, help="Only what a first price takes: 5 sheets, 25 columns.")
@click.option(
    "--from",
    "source",
    type=click.Path(exists=True, path_type=Path),
    help="Carry the rows of a workbook, such as a short one, over into the full template.",
)
@force
def template(output: Path, sample: bool, short: bool, source: Path | None, force: bool) -> None:
    """Write a workbook to fill in.

    It has every sheet and heading, with notes, lists to choose from and an example row each.

    \b
    Examples:
      moorledger template farm.xlsx
      moorledger template short.xlsx --short
    """
    if sample + short + (source is not None) > 1:
        raise click.UsageError("give one of --sample, --short and --from")
    with faults_told():
        farm = read_farm(sample_folder()) if sample else None
        if source is not None:
            refuse_target(output, source, force)
            farm = read_and_warn(source)
        write_template(output, farm, sheets=SHORT if short else SHEETS, overwrite=force)
    if source is not None:
        click.echo(f"Wrote {output}, with what {source} states: what is still blank may wait")
    elif sample:
        click.echo(f"Wrote {output}, an invented farm: moorledger price {quoted(output)}")
    else:
        click.echo(f"Wrote {output}: fill it in, then: moorledger check {quoted(output)}")


READING = ("Sheet", "Cell", "Heading found", "Taken as", "Unit", "First cell", "Read as")


@click.command()
@workbook
@click.option(
    "--comments",
    "copy",
    type=click.Path(path_type=Path),
    help="Also write a copy of the workbook with a comment in each faulty cell.",
)
@click.option("--reading", is_flag=True, help="List every column: what it was taken for.")
@click.option(
    "--next",
    "rank",
    is_flag=True,
    help="Rank the facts that defaults stand in for, by the money that finding out may be worth.",
)
@click.option("-o", "--output", type=click.Path(path_type=Path), help="That ranking as a workbook.")
@click.option(
    "--time-limit",
    type=click.FloatRange(min=1),
    callback=finite,
    default=120.0,
    show_default=True,
    help="Seconds for --next.",
)
@strict
@force
def check(
    workbook: Path,
    copy: Path | None,
    reading: bool,
    rank: bool,
    output: Path | None,
    time_limit: float,
    strict: bool,
    force: bool,
) -> None:
    """Say all that is wrong with a workbook, and what is doubted.

    Cell by cell; then, which legs no make-up on offer can hold, and what came nearest.

    \b
    Example:
      moorledger check farm.xlsx --comments "farm checked.xlsx"
    """
    with faults_told():
        refuse_targets({"--comments": copy, "-o": output}, workbook, force)
    readings = [Reading(needs, *read_or_faults(workbook, needs)) for needs in (EVIDENCE, PRICE)]
    evidence, pricing = readings
    # A workbook of evidence without legs is not meant to be priced yet; one whose Legs have a
    # heading that cannot be read, and every other sheet, is.
    alone = evidence.farm is not None and not evidence.farm.legs and pricing.lacks_a_sheet
    read = evidence if alone and pricing.farm is None else pricing
    if read is pricing and read.farm is not None:
        try:
            refuse_unmoorable(read.farm)
        except FarmError as error:
            read = pricing = Reading(PRICE, None, (*read.faults, *error.faults))
    faults = read.faults
    if strict:
        faults = as_errors(faults)
    wide = sys.stdout is not None and sys.stdout.isatty()
    width = shutil.get_terminal_size().columns if wide else None
    if reading:
        with faults_told():
            rows = [astuple(column) for column in columns_read(workbook)]
        for line in [*text_table(READING, rows, width), ""]:
            click.echo(line)
    for line in fault_table(faults, width):
        click.echo(line)
    click.echo(f"{counted(faults)} in {workbook}")
    for line in enough_words((evidence, pricing)):
        click.echo(line)
    if copy is not None:
        with faults_told():
            write_whole(copy, checked_copy(workbook, faults), overwrite=force)
        click.echo(f"Comments: {copy}")
    if errors_of(faults):
        raise SystemExit(AT_FAULT)
    if rank and pricing.farm is not None:
        _say_next(pricing.farm, output, time_limit, force)


def _say_next(farm: Farm, output: Path | None, time_limit: float, force: bool) -> None:
    """Rank what to find out next; write it as a workbook too where that is asked for."""
    project = farm.project
    with _watched(farm) as watch:
        found = next_facts(farm, gap=DEFAULT_GAP, time_limit_s=time_limit, progress=watch.about)
    click.echo(next_text(found, project.currency))
    if output is not None:
        content = next_workbook(found, project.name, project.currency)
        click.echo(save(output, "To find out next", content, force))


@click.command()
@workbook
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), help="Also write the evidence as a workbook."
)
@click.option(
    "--page",
    "page_file",
    type=click.Path(path_type=Path),
    help="Also write it as one HTML page with charts.",
)
@click.option(
    "--drag",
    "drags",
    type=click.FloatRange(min=0, max=500),
    multiple=True,
    metavar="METRES",
    help="Allowed drag to show the holding for, where there are no legs; may be repeated.",
)
@click.option(
    "--scatter",
    type=click.FloatRange(min=0, max=100, min_open=True),
    metavar="PERCENT",
    help="Coefficient of variation of holding between like tests, where no Project sheet states "
    "it: without it one or two tests are not relied on.",
)
@click.option(
    "--next-tests",
    "with_next",
    is_flag=True,
    help="Also say what more pull tests are worth: the farm priced again with each; it takes a "
    "workbook that can be priced.",
)
@shared_out
@searched
def holding(
    workbook: Path,
    output: Path | None,
    page_file: Path | None,
    drags: tuple[float, ...],
    scatter: float | None,
    with_next: bool,
    jobs: int | None,
    cluster: str | None,
    gap: float,
    time_limit: float,
    solver: str | None,
    workers: int | None,
    force: bool,
) -> None:
    """Show what each anchor is relied on to hold.

    On each seabed and on what evidence; with prices and freight, at what price for a kilonewton.
    The sheets Pull tests and Anchors (name, family, mass) are enough, or a single CSV file of
    readings: anchor, mass, seabed, drag, load, event. With --next-tests also what one, two, three
    more pull tests would save the farm, and where to stop testing.

    \b
    Examples:
      moorledger holding farm.xlsx -o "farm holding.xlsx" --next-tests --gap 1% --time-limit 180
      moorledger holding pulls.csv --page pulls.html --drag 3
    """
    with faults_told():
        refuse_targets({"-o": output, "--page": page_file}, workbook, force)
        farm = read_and_warn(workbook, PRICE if with_next else EVIDENCE)
        if drags and farm.legs:
            raise click.BadParameter("the legs state theirs", param_hint="--drag")
        if scatter is not None and "pull_test_scatter" in farm.project.given:
            raise click.BadParameter("the Project sheet states it", param_hint="--scatter")
        farm = replace(farm, drags_m=tuple(sorted(set(drags))))
        if scatter is not None:
            project = replace(farm.project, pull_test_scatter=scatter / 100)
            farm = replace(farm, project=project)
        click.echo(holding_text(farm))
        fits = anchor_fits(farm) if output is not None or page_file is not None else ()
        tests: NextTests | None = None
        if with_next:
            pricing = FarmPricer(farm, gap=gap, solver=solver or "", workers=workers or 0)
            tests = worth_of_tests(pricing, time_limit, jobs, cluster)
            click.echo("\n".join(["", *first_price_words(farm), next_tests_text(tests)]))
        if output is not None:
            write_holding(farm, output, fits, tests, overwrite=force)
            click.echo(f"\nEvidence: {output}")
        if page_file is not None:
            write_whole(page_file, evidence_page(farm, fits).encode(), overwrite=force)
            click.echo(f"Page: {page_file}")


def worth_of_tests(
    pricing: FarmPricer, time_limit: float, jobs: int | None, cluster: str | None
) -> NextTests:
    """Return what more tests are worth, or end with the exit code and why nobody knows."""
    with _watched(pricing.farm, "no plan to hold tests against: ") as watch:
        crew = crew_of(jobs or 1, cluster or "")
        return next_tests(
            pricing,
            time_limit_s=time_limit,
            progress=watch.about,
            crew=crew,
            done=watch.shared,
        )


@contextmanager
def _watched(farm: Farm, no_plan: str = "") -> Iterator[Watch]:
    """Give a watch over searches that end with the exit code and why where one finds no plan.

    no_plan : said before the reason that there is none.
    """
    with Watch(farm.project.currency, give_up=end_all) as watch:
        try:
            yield watch
        except NoPlanError as error:
            watch.clear()
            end(NO_PLAN, f"{no_plan}{error}")
        except SolverFailedError as error:
            watch.clear()
            end(SOLVER_FAILED, str(error))
