"""What the commands share: their arguments, exit codes, how faults are told and files written."""

from __future__ import annotations

import contextlib
import math
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, NoReturn

import click

from ...models.farm import Farm
from ...models.fault import FarmError, Fault, Severity
from ...optimiser.price import DEFAULT_GAP
from ..layout.needs import PRICE, Needs
from ..reading.workbook import read_farm_with_warnings
from ..whole_file import TargetError, TargetExistsError, write_whole
from ..words.fault_table import printable
from .exit_codes import AT_FAULT

LARGEST_PLAIN_GAP = 0.1
"""A larger gap without its percent sign is taken for a slip: 0.5 meant as 0.5 %."""


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


def finite(_context: click.Context, _parameter: click.Parameter, number: float) -> float:
    """Return a number that is one; raises click.BadParameter for nan and infinity."""
    if not math.isfinite(number):
        raise click.BadParameter(f"{number} is not a number of seconds")
    return number


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


SUFFIXES = {"-o": ".xlsx", "--json": ".json", "--page": ".html"}
"""Option → what its file is called, so that programs know it for what it is."""


def refuse_targets(targets: dict[str, Path | None], source: Path, force: bool) -> None:
    """Raise TargetError where any of an option's targets cannot be written, or two are one."""
    seen: set[Path] = set()
    for option, target in targets.items():
        if target is None:
            continue
        suffix = SUFFIXES.get(option, target.suffix)
        if target.suffix.casefold() not in (suffix, suffix.removesuffix("l")):
            raise TargetError(f"cannot write {target}: the name for {option} must end in {suffix}")
        refuse_target(target, source, force)
        if target.resolve() in seen:
            raise TargetError(f"cannot write {target} twice: give {option} another name")
        seen.add(target.resolve())


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
