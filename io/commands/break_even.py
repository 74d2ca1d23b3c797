"""The command that finds the rates at which the choice flips."""

from __future__ import annotations

from pathlib import Path

import click

from ...models.fault import closest
from ...models.option import FREE, Option
from ...models.rate import UnknownRateError, rate_named
from ...optimiser.crew import crew_of
from ...optimiser.failures import PlanFaultError, SolverFailedError
from ...optimiser.repricing.break_even import break_even
from ...optimiser.repricing.compare import option_named, option_names
from ...optimiser.repricing.farm_pricer import FarmPricer
from ...optimiser.solvers.cbc_process import end_all
from ..options.options_book import break_even_workbook
from ..told.option_text import break_even_text
from ..told.plan_text import CAUTION
from .exit_codes import CHECK_FAILED, NO_PLAN, SOLVER_FAILED
from .terms import (
    beside,
    end,
    faults_told,
    read_and_warn,
    refuse_target,
    save,
    searched,
    shared_out,
    workbook,
)
from .watch import Watch


@click.command("breakeven")
@workbook
@click.option(
    "--vary",
    required=True,
    metavar="RATE",
    help="What is multiplied: 'freight rates', 'day rates', 'currency USD', or one service, "
    "vessel, item, anchor family or supplier by its name.",
)
@click.option(
    "--from", "low", type=click.FloatRange(min=0), default=0.2, show_default=True,
    help="The least multiplier.",
)  # fmt: skip
@click.option(
    "--to", "high", type=click.FloatRange(min=0), default=3.0, show_default=True,
    help="The largest multiplier.",
)  # fmt: skip
@click.option(
    "--option",
    "names",
    multiple=True,
    metavar="NAME",
    help="An option as compare calls it, in place of the free choice; two or more: where they "
    "cost the same.",
)
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    help="The answer. [default: '<WORKBOOK's name> break-even.xlsx' in the current folder]",
)
@shared_out
@searched
def breakeven(
    workbook: Path,
    vary: str,
    low: float,
    high: float,
    names: tuple[str, ...],
    output: Path | None,
    jobs: int | None,
    cluster: str | None,
    gap: float,
    time_limit: float,
    solver: str | None,
    workers: int | None,
    force: bool,
) -> None:
    """Find the rates at which the choice flips.

    The least-cost plan for every multiplier of a rate in a range, to within the gap; and where
    two options cost the same. Today's rate is the multiplier 1.

    \b
    Example:
      moorledger breakeven farm.xlsx --vary "freight rates" --from 0.2 --to 3 --gap 0.5%
    """
    if not low < high:
        raise click.BadParameter(f"{high:g} is not more than --from {low:g}", param_hint="--to")
    output = output or beside(workbook, "break-even")
    with faults_told():
        refuse_target(output, workbook, force)
        farm = read_and_warn(workbook)
        try:
            rate = rate_named(farm, vary)
        except UnknownRateError as error:
            raise click.BadParameter(str(error), param_hint="--vary") from error
        with Watch(farm.project.currency, give_up=end_all) as watch:
            pricing = FarmPricer(farm, gap=gap, solver=solver or "", workers=workers or 0)
            options = [named(pricing, name) for name in names or (FREE.name,)]
            try:
                answer = break_even(
                    pricing,
                    rate,
                    low,
                    high,
                    options=options,
                    time_limit_s=time_limit,
                    progress=watch.about,
                    crew=crew_of(jobs or 1, cluster or "") if jobs or cluster else None,
                    done=watch.shared,
                )
            except PlanFaultError as error:
                watch.clear()
                end(CHECK_FAILED, f"internal check failed, nothing written: {error}")
            except SolverFailedError as error:
                watch.clear()
                end(SOLVER_FAILED, f"nothing written: {error}")
        told = break_even_text(answer, farm.project.currency)
        if not any(option.stretches for option in answer.options):
            click.echo(told)
            end(NO_PLAN, "no option has a plan on that range, or none was found in time")
        content = break_even_workbook(answer, farm.project.name, farm.project.currency)
        kept = save(output, "Break-even", content, force)
        click.echo("\n".join([told, CAUTION, "", kept]))


def named(pricing: FarmPricer, name: str) -> Option:
    """Return the option of a name; raises click.BadParameter with what would do."""
    option = option_named(pricing, name)
    if option is not None:
        return option
    known = option_names(pricing)
    raise click.BadParameter(
        f"'{name}' is not an option{closest(name, known)}; there are: {'; '.join(known)}",
        param_hint="--option",
    )
