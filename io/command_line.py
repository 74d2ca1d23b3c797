"""The command line: `moorledger`, its commands, what they say and their exit codes."""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NoReturn

import click

from ..models.farm import Farm
from ..models.fault import FarmError, Fault, Severity
from ..models.plan import Plan
from ..optimiser.fits import anchor_fits
from ..optimiser.price import DEFAULT_GAP, NoPlanError, PlanFaultError, moorable_choices, price
from .evidence_book import holding_text, write_holding
from .plan_json import plan_json
from .plan_text import plan_summary
from .plan_workbook import plan_workbook
from .template import write_template
from .watch import Watch
from .whole_file import TargetError, TargetExistsError, write_whole
from .workbook import read_farm_with_warnings

AT_FAULT = 1
"""Exit code: the workbook or the farm is at fault, or a file cannot be written."""
NO_PLAN = 3
"""Exit code: no plan within the time limit."""
CHECK_FAILED = 5
"""Exit code: the finished plan failed its own checks; nothing was written."""

LARGEST_PLAIN_GAP = 0.1
"""A larger gap without its percent sign is taken for a slip: 0.5 meant as 0.5 %."""

EPILOG = (
    "Exit codes: 0 done; 1 the workbook or the farm is at fault, or a file cannot be written; 2 "
    "the command line is at fault; 3 no plan within the time limit; 5 the finished plan failed "
    "its own checks, nothing written."
)


def gap_of(_context: click.Context, _parameter: click.Parameter, text: str) -> float:
    """Return a gap, written as a fraction (0.001) or a percentage (0.1%), as a fraction.

    Raises click.BadParameter.
    """
    percent = text.strip().endswith("%")
    try:
        gap = float(text.strip().removesuffix("%")) / (100 if percent else 1)
    except ValueError:
        raise click.BadParameter(f"'{text}' is not a number; write 0.001, or 0.1%") from None
    if not 0 <= gap < 1:
        raise click.BadParameter(f"'{text}' must be from 0 to below 100 %")
    if gap > LARGEST_PLAIN_GAP and not percent:
        raise click.BadParameter(f"'{text}' would be {gap:.0%}: write {text}% or {100 * gap:g}%")
    return gap


workbook = click.argument("workbook", type=click.Path(exists=True, path_type=Path))
force = click.option("--force", is_flag=True, help="Overwrite files that exist.")


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


@contextlib.contextmanager
def faults_told() -> Iterator[None]:
    """Turn a fault of the farm or of a target into lines on standard error and exit code 1."""
    try:
        yield
    except FarmError as error:
        tell(error.faults)
        end(AT_FAULT, f"nothing written: {counted(error.faults)}")
    except TargetExistsError as error:
        end(AT_FAULT, f"{error} (--force)")
    except TargetError as error:
        end(AT_FAULT, str(error))


def read_or_faults(path: Path) -> tuple[Farm | None, tuple[Fault, ...]]:
    """Return the farm, or None, and everything there is to say of its workbook."""
    try:
        return read_farm_with_warnings(path)
    except FarmError as error:
        return None, error.faults


def read_and_warn(path: Path) -> Farm:
    """Return the farm with its warnings said; raises FarmError with all that is wrong."""
    farm, faults = read_or_faults(path)
    if farm is None:
        raise FarmError(faults)
    tell(faults)
    return farm


def refuse_target(target: Path, source: Path, force: bool) -> None:
    """Raise TargetError where `target` is the input, or could not be written after the work."""
    real, read = target.resolve(), source.resolve()
    if real == read or read in real.parents:
        raise TargetError(f"cannot write {target}: that is the input, which is never changed")
    if not real.parent.is_dir():
        raise TargetError(f"cannot write {target}: there is no folder {real.parent}")
    if real.is_dir():
        raise TargetError(f"cannot write {target}: it is a folder")
    if real.exists() and not force:
        raise TargetExistsError(f"{target} exists already: give another name, or overwrite it")
    try:
        with tempfile.TemporaryFile(dir=real.parent):
            pass
    except OSError as error:
        raise TargetError(f"cannot write to the folder {real.parent}: {error.strerror}") from error


def save(target: Path, what: str, content: bytes, force: bool) -> None:
    """Write a result and say where it is: elsewhere, rather than lose it, if need be."""
    try:
        write_whole(target, content, overwrite=force)
    except TargetError as error:
        spare = Path(tempfile.mkdtemp(prefix="moorledger-")) / target.name
        write_whole(spare, content)
        end(AT_FAULT, f"{error}\n{what}, written here instead: {spare}")
    click.echo(f"{what}: {target}")


def tell(faults: Sequence[Fault]) -> None:
    """Say each fault on standard error, a line each."""
    for fault in faults:
        click.echo(f"{fault.severity}: {fault}", err=True)


def end(code: int, message: str) -> NoReturn:
    """End with an exit code and a message on standard error."""
    click.echo(f"moorledger: {message}", err=True)
    raise SystemExit(code)


def errors_of(faults: Sequence[Fault]) -> int:
    """Return how many of the faults are errors."""
    return sum(fault.severity is Severity.ERROR for fault in faults)


def counted(faults: Sequence[Fault]) -> str:
    """Return "1 error, 2 warnings"."""
    errors = errors_of(faults)
    named = ((errors, "error"), (len(faults) - errors, "warning"))
    return ", ".join(f"{count} {noun}{'' if count == 1 else 's'}" for count, noun in named)


def quoted(path: Path) -> str:
    """Return a path as it may be pasted after a command."""
    return f'"{path}"' if " " in str(path) else str(path)
