"""The commands before a price: a workbook to fill in, what is wrong with it, what anchors hold."""

from __future__ import annotations

import shutil
import sys
from dataclasses import astuple
from pathlib import Path

import click

from ...models.asked.next_tests import NextTests
from ...models.fault import FarmError
from ...optimiser.crew import crew_of
from ...optimiser.failures import NoPlanError, SolverFailedError
from ...optimiser.price import refuse_unmoorable
from ...optimiser.repricing.farm_pricer import FarmPricer
from ...optimiser.repricing.next_tests import next_tests
from ...optimiser.solvers.cbc_process import end_all
from ...optimiser.stowage.anchor_fits import anchor_fits
from ..evidence.evidence_book import holding_text, write_holding
from ..inputs.checked_copy import checked_copy
from ..inputs.template import sample_folder, write_template
from ..reading.workbook import columns_read, read_farm
from ..told.next_tests_text import next_tests_text
from ..whole_file import write_whole
from ..words.fault_table import fault_table, text_table
from .exit_codes import AT_FAULT, NO_PLAN, SOLVER_FAILED
from .terms import (
    as_errors,
    counted,
    end,
    errors_of,
    faults_told,
    force,
    quoted,
    read_and_warn,
    read_or_faults,
    refuse_target,
    searched,
    shared_out,
    strict,
    workbook,
)
from .watch import Watch


@click.command()
@click.argument("output", type=click.Path(path_type=Path))
@click.option("--sample", is_flag=True, help="Write the sample farm, all of it invented.")
@force
def template(output: Path, sample: bool, force: bool) -> None:
    """Write a workbook to fill in.

    It has every sheet and heading, with notes, lists to choose from and an example row each.

    \b
    Example:
      moorledger template farm.xlsx
    """
    with faults_told():
        write_template(output, read_farm(sample_folder()) if sample else None, overwrite=force)
    if sample:
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
@strict
@force
def check(workbook: Path, copy: Path | None, reading: bool, strict: bool, force: bool) -> None:
    """Say all that is wrong with a workbook, and what is doubted.

    Cell by cell; then, which legs no make-up on offer can hold, and what came nearest.

    \b
    Example:
      moorledger check farm.xlsx --comments "farm checked.xlsx"
    """
    if copy is not None:
        with faults_told():
            refuse_target(copy, workbook, force)
    farm, faults = read_or_faults(workbook)
    if farm is not None:
        try:
            refuse_unmoorable(farm)
        except FarmError as error:
            faults = (*faults, *error.faults)
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
    if copy is not None:
        with faults_told():
            write_whole(copy, checked_copy(workbook, faults), overwrite=force)
        click.echo(f"Comments: {copy}")
    if errors_of(faults):
        raise SystemExit(AT_FAULT)


@click.command()
@workbook
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), help="Also write the evidence as a workbook."
)
@click.option(
    "--next-tests",
    "with_next",
    is_flag=True,
    help="Also say what more pull tests are worth: the farm priced again with each.",
)
@shared_out
@searched
def holding(
    workbook: Path,
    output: Path | None,
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

    On each seabed: on what evidence, and at what price for a kilonewton. With --next-tests also
    what one, two, three more pull tests would save the farm, and where to stop testing.

    \b
    Example:
      moorledger holding farm.xlsx -o "farm holding.xlsx" --next-tests --gap 1% --time-limit 180
    """
    with faults_told():
        if output is not None:
            refuse_target(output, workbook, force)
        farm = read_and_warn(workbook)
        click.echo(holding_text(farm))
        tests: NextTests | None = None
        if with_next:
            pricing = FarmPricer(farm, gap=gap, solver=solver or "", workers=workers or 0)
            tests = worth_of_tests(pricing, time_limit, jobs, cluster)
            click.echo(f"\n{next_tests_text(tests)}")
        if output is not None:
            write_holding(farm, output, anchor_fits(farm), tests, overwrite=force)
            click.echo(f"\nEvidence: {output}")


def worth_of_tests(
    pricing: FarmPricer, time_limit: float, jobs: int | None, cluster: str | None
) -> NextTests:
    """Return what more tests are worth, or end with the exit code and why nobody knows."""
    with Watch(pricing.farm.project.currency, give_up=end_all) as watch:
        try:
            crew = crew_of(jobs or 1, cluster or "")
            return next_tests(pricing, time_limit_s=time_limit, progress=watch.about, crew=crew)
        except NoPlanError as error:
            watch.clear()
            end(NO_PLAN, f"no plan to hold tests against: {error}")
        except SolverFailedError as error:
            watch.clear()
            end(SOLVER_FAILED, str(error))
