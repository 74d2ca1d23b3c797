"""What the commands share: their arguments, exit codes, how faults are told and files written."""

from __future__ import annotations

import contextlib
import math
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, NoReturn, TypeVar

import click

from ...models.farm import Farm
from ...models.fault import FarmError, Fault, Severity
from ...optimiser.price import DEFAULT_GAP
from ..needs.needs import PRICE, Needs
from ..reading.workbook import read_farm_with_warnings
from ..whole_file import TargetError, TargetExistsError, write_whole
from ..words.fault_table import printable
from .exit_codes import AT_FAULT

LARGEST_PLAIN_GAP = 0.1
"""A larger gap without its percent sign is taken for a slip: 0.5 meant as 0.5 %."""

MOST_SURE = 0.999
"""No weather is surer."""


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


Given = TypeVar("Given", float, float | None)


def finite(_context: click.Context, _parameter: click.Parameter, number: Given) -> Given:
    """Return a number that is one, or none given; raises click.BadParameter for nan, infinity."""
    if number is not None and not math.isfinite(number):
        raise click.BadParameter(f"{number} is no figure to reckon with")
    return number


def sure_of(_context: click.Context, _parameter: click.Parameter, text: str | None) -> float | None:
    """Return a chance, written as a percentage (80%) or a fraction (0.8), as a fraction.

    Raises click.BadParameter.
    """
    if text is None:
        return None
    try:
        sure = float(text.strip().removesuffix("%")) / (100 if text.strip().endswith("%") else 1)
    except ValueError:
        raise click.BadParameter(f"'{text}' is not a number; write 80%, or 0.8") from None
    if not 0 < sure <= MOST_SURE:
        raise click.BadParameter(f"'{text}' must be above 0, at most {MOST_SURE:.1%}; write 80%")
    return sure


workbook = click.argument("workbook", type=click.Path(exists=True, path_type=Path))
force = click.option("--force", is_flag=True, help="Overwrite files that exist.")


def searched(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options of every command that searches for long."""
    for option in (
        force,
        click.option(
            "--solver",
            type=click.Choice(["highs", "cbc"]),
            default=None,
            help="[default: highs where it is installed]",
        ),
        click.option(
            "--workers",
            type=click.IntRange(min=1),
            default=None,
            help="Threads that share a search; with 1 the same workbook gives the same plan every "
            "time. [default: 2 where there are the cores]",
        ),
        click.option(
            "--time-limit",
            type=click.FloatRange(min=1),
            callback=finite,
            default=600.0,
            show_default=True,
            help="Seconds for all of it; then the best so far is given, with what is known of it.",
        ),
        click.option(
            "--gap",
            callback=gap_of,
            default=str(DEFAULT_GAP),
            show_default=True,
            metavar="GAP",
            help="How near to the least possible is near enough, for each search: a fraction, or a "
            "percentage (0.1%).",
        ),
    ):
        command = option(command)
    return command


def shared_out(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options of every command whose prices several processes may share."""
    for option in (
        click.option(
            "--cluster",
            metavar="ADDRESS",
            default=None,
            help="A running Dask scheduler (tcp://host:8786) whose workers share the prices.",
        ),
        click.option(
            "--jobs",
            type=click.IntRange(min=1),
            default=None,
            help="Processes that share the prices, each worked apart. [default: one after the "
            "other, each learning from those before]",
        ),
    ):
        command = option(command)
    return command


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


def read_or_faults(path: Path, needs: Needs = PRICE) -> tuple[Farm | None, tuple[Fault, ...]]:
    """Return the farm, or None, and everything there is to say of its workbook."""
    try:
        return read_farm_with_warnings(path, needs)
    except FarmError as error:
        return None, error.faults


def read_and_warn(path: Path, needs: Needs = PRICE, *, strict: bool = False) -> Farm:
    """Return the farm with its warnings said; raises FarmError with all that is wrong.

    needs : of the command that it is read for. strict : whether a doubt is as bad as a fault.
    """
    farm, faults = read_or_faults(path, needs)
    if farm is None or (strict and farm.doubts):
        raise FarmError(as_errors(faults) if strict else faults)
    tell(faults)
    return farm


def as_errors(faults: Sequence[Fault]) -> tuple[Fault, ...]:
    """Return faults with every doubt made an error."""
    return tuple(
        replace(fault, severity=Severity.ERROR) if fault.severity is Severity.WARNING else fault
        for fault in faults
    )


strict = click.option("--strict", is_flag=True, help="Take every doubt for an error.")


WORKBOOK = ".xlsx"
"""What a workbook that is written is called, so that programs know it for what it is."""

FREE_NAMES = ("--json", "--page")
"""Options of files that may have any name."""


def beside(workbook: Path, what: str) -> Path:
    """Return where a result goes unasked: the current folder, or where that is the input, or in
    it, beside the input."""
    real, here = workbook.resolve(), Path.cwd()
    name = f"{real.stem if real.is_file() else real.name} {what}{WORKBOOK}"
    return real.parent / name if real == here or real in here.parents else Path(name)


def refuse_targets(
    targets: dict[str, Path | None],
    source: Path,
    force: bool,
    instead: Mapping[str, str] = MappingProxyType({}),
) -> None:
    """Raise TargetError where any of an option's targets cannot be written, or two are one.

    instead : by ending, what would do where a workbook is asked for by the name of another kind.
    """
    seen: set[Path] = set()
    for option, target in targets.items():
        if target is None:
            continue
        ending = target.suffix if option in FREE_NAMES else WORKBOOK
        refuse_target(target, source, force, ending, instead)
        if target.resolve() in seen:
            raise TargetError(f"cannot write {target} twice: give {option} another name")
        seen.add(target.resolve())


def refuse_target(
    target: Path,
    source: Path,
    force: bool,
    suffix: str = WORKBOOK,
    instead: Mapping[str, str] = MappingProxyType({}),
) -> None:
    """Raise TargetError where `target` is the input, could not be written after the work, or is
    not named by `suffix`: click.UsageError where `instead` says of its ending what would do."""
    real, read = target.resolve(), source.resolve()
    if real == read or read in real.parents:
        raise TargetError(f"cannot write {target}: that is the input, which is never changed")
    if not real.parent.is_dir():
        raise TargetError(f"cannot write {target}: there is no folder {real.parent}")
    if real.is_dir():
        raise TargetError(f"cannot write {target}: it is a folder")
    if target.suffix.casefold() != suffix.casefold():
        if advice := instead.get(target.suffix.casefold()):
            said = f"-o writes a workbook, {suffix}, not {target.suffix}: {advice}"
            raise click.UsageError(said)
        raise TargetError(f"cannot write {target}: a workbook's name must end in {suffix}")
    if real.exists() and not force:
        raise TargetExistsError(f"{target} exists already: give another name, or overwrite it")
    try:
        with tempfile.TemporaryFile(dir=real.parent):
            pass
    except OSError as error:
        raise TargetError(f"cannot write to the folder {real.parent}: {error.strerror}") from error


def save(target: Path, what: str, content: bytes, force: bool) -> str:
    """Write a result and return where it is: elsewhere, rather than lose it, if need be."""
    try:
        write_whole(target, content, overwrite=force)
    except TargetError as error:
        spare = Path(tempfile.mkdtemp(prefix="moorledger-")) / target.name
        write_whole(spare, content)
        end(AT_FAULT, f"{error}\n{what}, written here instead: {spare}")
    return f"{what}: {target}"


def tell(faults: Sequence[Fault]) -> None:
    """Say each fault on standard error, a line each."""
    for fault in faults:
        click.echo(printable(f"{fault.severity}: {fault}"), err=True)


def end(code: int, message: str) -> NoReturn:
    """End with an exit code and a message on standard error."""
    click.echo(f"moorledger: {message}", err=True)
    raise SystemExit(code)


def errors_of(faults: Sequence[Fault]) -> int:
    """Return how many of the faults are errors."""
    return sum(fault.severity is Severity.ERROR for fault in faults)


def counted(faults: Sequence[Fault]) -> str:
    """Return "1 error, 2 warnings"."""
    doubts = sum(fault.severity is Severity.WARNING for fault in faults)
    named = ((errors_of(faults), "error"), (doubts, "warning"))
    return ", ".join(f"{count} {noun}{'' if count == 1 else 's'}" for count, noun in named)


def quoted(path: Path) -> str:
    """Return a path as it may be pasted after a command."""
    return f'"{path}"' if " " in str(path) else str(path)
