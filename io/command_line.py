"""The command line: `moorledger`, its commands, what they say and their exit codes."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import click

from ..models.answer.plan import Plan
from ..models.farm import Farm
from ..models.fault import FarmError
from ..optimiser.failures import NoPlanError, PlanFaultError, SolverFailedError
from ..optimiser.price import price, refuse_unmoorable
from ..optimiser.solvers.cbc_process import end_all
from ..optimiser.stowage.anchor_fits import anchor_fits
from .command_compare import breakeven, compare
from .command_terms import (
    counted,
    end,
    errors_of,
    faults_told,
    force,
    quoted,
    read_and_warn,
    read_or_faults,
    refuse_target,
    refuse_targets,
    save,
    searched,
    workbook,
)
from .evidence.evidence_book import holding_text, write_holding
from .exit_codes import AT_FAULT, CHECK_FAILED, NO_PLAN, SOLVER_FAILED
from .inputs.checked_copy import checked_copy
from .inputs.template import sample_folder, write_template
from .order.order_workbook import plan_workbook
from .plan_json import plan_json
from .plan_page import plan_page
from .reading.workbook import read_farm
from .watch import Watch
from .whole_file import write_whole
from .words.fault_table import fault_table
from .words.plan_text import plan_summary

EPILOG = (
    "Exit codes: 0 done; 1 the workbook or the farm is at fault, or a file cannot be written; 2 "
    "the command line is at fault; 3 no plan within the time limit; 4 the solver failed; "
    "5 the finished plan failed its own checks, nothing written; 130 stopped by Ctrl-C."
)


@click.group(epilog=EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="moorledger")
def main() -> None:
    """Price an aquaculture farm's seabed moorings: the least order that holds, and its proof.

    WORKBOOK is an .xlsx file, or a folder of CSV files, one a sheet. It is never changed.
    """


def run() -> int:
    """Run the command of `sys.argv` and return its exit code; Ctrl-C raises KeyboardInterrupt."""
    try:
        # click makes a KeyboardInterrupt an Abort, whether or not it is to end by itself.
        code = main.main(standalone_mode=False)
    except click.exceptions.Abort:
        raise KeyboardInterrupt from None
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except SystemExit as ended:
        code = ended.code
    except OSError as error:
        click.echo(f"moorledger: {error}", err=True)  # such as standard output on a full disk
        return AT_FAULT
    return code if isinstance(code, int) else 0


@main.command()
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


@main.command()
@workbook
@click.option(
    "--comments",
    "copy",
    type=click.Path(path_type=Path),
    help="A copy of the workbook with a comment in each faulty cell, too.",
)
@force
def check(workbook: Path, copy: Path | None, force: bool) -> None:
    """Say all that is wrong with a workbook.

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
    width = shutil.get_terminal_size().columns if sys.stdout.isatty() else None
    for line in fault_table(faults, width):
        click.echo(line)
    click.echo(f"{counted(faults)} in {workbook}")
    if copy is not None:
        with faults_told():
            write_whole(copy, checked_copy(workbook, faults), overwrite=force)
        click.echo(f"Comments: {copy}")
    if errors_of(faults):
        raise SystemExit(AT_FAULT)


@main.command()
@workbook
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), help="The evidence as a workbook, too."
)
@force
def holding(workbook: Path, output: Path | None, force: bool) -> None:
    """Show what each anchor is relied on to hold.

    On each seabed: on what evidence, and at what price for a kilonewton.

    \b
    Example:
      moorledger holding farm.xlsx -o "farm holding.xlsx"
    """
    with faults_told():
        if output is not None:
            refuse_target(output, workbook, force)
        farm = read_and_warn(workbook)
        click.echo(holding_text(farm))
        if output is not None:
            write_holding(farm, output, anchor_fits(farm), overwrite=force)
            click.echo(f"\nEvidence: {output}")


@main.command("price")
@workbook
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    help="The order workbook. [default: '<WORKBOOK's name> order.xlsx' in the current folder]",
)
@click.option(
    "--json", "json_file", type=click.Path(path_type=Path), help="The plan for programs, as JSON."
)
@click.option(
    "--page",
    "page_file",
    type=click.Path(path_type=Path),
    help="The case as one HTML page, for those who open no spreadsheet.",
)
@searched
def price_command(
    workbook: Path,
    output: Path | None,
    json_file: Path | None,
    page_file: Path | None,
    gap: float,
    time_limit: float,
    solver: str | None,
    force: bool,
) -> None:
    """Find the least order that holds.

    Chooses every leg's make-up, the orders, freight and vessels at the least installed cost.
    Writes the order as a workbook. Ctrl-C stops the search and keeps the best plan so far; a
    second Ctrl-C gives up.

    \b
    Example:
      moorledger price farm.xlsx -o "farm order.xlsx" --gap 0.1% --time-limit 300
    """
    output = output or Path(f"{workbook.resolve().stem} order.xlsx")
    with faults_told():
        refuse_targets({"-o": output, "--json": json_file, "--page": page_file}, workbook, force)
        farm = read_and_warn(workbook)
        with Watch(farm.project.currency, give_up=end_all) as watch:
            plan = priced(farm, gap, time_limit, solver or "", watch)
        # Kept before anything is said of it: what it is said on may be closed, or full.
        kept = [save(output, "Order", plan_workbook(plan), force)]
        if json_file is not None:
            kept.append(save(json_file, "JSON", plan_json(plan).encode(), force))
        if page_file is not None:
            kept.append(save(page_file, "Page", plan_page(plan).encode(), force))
        click.echo("\n".join([plan_summary(plan), "", *kept]))


def priced(farm: Farm, gap: float, time_limit: float, solver: str, watch: Watch) -> Plan:
    """Return the plan, or end with the exit code and a line that says why there is none."""
    try:
        return price(farm, gap=gap, time_limit_s=time_limit, solver=solver, progress=watch)
    except NoPlanError as error:
        watch.clear()
        end(NO_PLAN, "stopped before any plan was found" if watch.asked else str(error))
    except SolverFailedError as error:
        watch.clear()
        if watch.asked:
            end(NO_PLAN, "stopped before any plan was found")
        end(SOLVER_FAILED, f"{error}; nothing written")
    except PlanFaultError as error:
        watch.clear()
        end(CHECK_FAILED, f"internal check failed, no order written: {error}")


main.add_command(compare)
main.add_command(breakeven)
