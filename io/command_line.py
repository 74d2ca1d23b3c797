"""The command line: `moorledger`, its commands, what they say and their exit codes."""

from __future__ import annotations

from pathlib import Path

import click

from ..models.farm import Farm
from ..models.fault import FarmError
from ..models.plan import Plan
from ..optimiser.price import DEFAULT_GAP, NoPlanError, PlanFaultError, moorable_choices, price
from .command_compare import breakeven, compare
from .command_terms import (
    AT_FAULT,
    CHECK_FAILED,
    NO_PLAN,
    counted,
    end,
    errors_of,
    faults_told,
    force,
    gap_of,
    quoted,
    read_and_warn,
    read_or_faults,
    refuse_target,
    save,
    workbook,
)
from .evidence_book import holding_text, write_holding
from .plan_json import plan_json
from .plan_text import plan_summary
from .plan_workbook import plan_workbook
from .template import write_template
from .watch import Watch
from .whole_file import TargetError

EPILOG = (
    "Exit codes: 0 done; 1 the workbook or the farm is at fault, or a file cannot be written; 2 "
    "the command line is at fault; 3 no plan within the time limit; 5 the finished plan failed "
    "its own checks, nothing written."
)


@click.group(epilog=EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="moorledger")
def main() -> None:
    """Price an aquaculture farm's seabed moorings: the least order that holds, and its proof.

    WORKBOOK is an .xlsx file, or a folder of CSV files, one a sheet. It is never changed.
    """


@main.command()
@click.argument("output", type=click.Path(path_type=Path))
@force
def template(output: Path, force: bool) -> None:
    """Write a workbook to fill in.

    It has every sheet and heading, with notes and examples.

    \b
    Example:
      moorledger template farm.xlsx
    """
    with faults_told():
        write_template(output, overwrite=force)
    click.echo(f"Wrote {output}: fill it in, then: moorledger check {quoted(output)}")


@main.command()
@workbook
def check(workbook: Path) -> None:
    """Say all that is wrong with a workbook.

    Cell by cell; then, which legs no make-up on offer can hold, and what came nearest.

    \b
    Example:
      moorledger check farm.xlsx
    """
    farm, faults = read_or_faults(workbook)
    if farm is not None:
        try:
            moorable_choices(farm)
        except FarmError as error:
            faults = (*faults, *error.faults)
    for fault in faults:
        click.echo(f"{fault.severity}: {fault}")
    click.echo(f"{counted(faults)} in {workbook}")
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
            write_holding(farm, output, overwrite=force)
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
    "--gap",
    callback=gap_of,
    default=str(DEFAULT_GAP),
    show_default=True,
    metavar="GAP",
    help="How near to the least possible is near enough: a fraction, or a percentage (0.1%).",
)
@click.option(
    "--time-limit",
    type=click.FloatRange(min=1),
    default=600.0,
    show_default=True,
    help="Seconds; then the best plan so far is given, with what is known of it.",
)
@click.option(
    "--solver",
    type=click.Choice(["highs", "cbc"]),
    default=None,
    help="[default: highs where it is installed]",
)
@force
def price_command(
    workbook: Path,
    output: Path | None,
    json_file: Path | None,
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
        for target in filter(None, (output, json_file)):
            refuse_target(target, workbook, force)
        if json_file is not None and json_file.resolve() == output.resolve():
            raise TargetError(f"cannot write {output} twice: give --json another name")
        farm = read_and_warn(workbook)
        with Watch(farm.project.currency) as watch:
            plan = priced(farm, gap, time_limit, solver or "", watch)
        click.echo(plan_summary(plan))
        click.echo()
        save(output, "Order", plan_workbook(plan), force)
        if json_file is not None:
            save(json_file, "JSON", plan_json(plan).encode(), force)


def priced(farm: Farm, gap: float, time_limit: float, solver: str, watch: Watch) -> Plan:
    """Return the plan, or end with the exit code and a line that says why there is none."""
    try:
        return price(farm, gap=gap, time_limit_s=time_limit, solver=solver, progress=watch)
    except NoPlanError as error:
        watch.clear()
        end(NO_PLAN, "stopped before any plan was found" if watch.asked else str(error))
    except PlanFaultError as error:
        watch.clear()
        end(CHECK_FAILED, f"internal check failed, no order written: {error}")


main.add_command(compare)
main.add_command(breakeven)
