"""The commands that price a farm again and again: options side by side, and break-even rates."""

from __future__ import annotations

from pathlib import Path

import click

from ...models.asked.reasons import Reasons
from ...models.option import FREE
from ...optimiser.crew import crew_of
from ...optimiser.failures import PlanFaultError, SolverFailedError
from ...optimiser.repricing.compare import compare as compared
from ...optimiser.repricing.farm_pricer import FarmPricer
from ...optimiser.repricing.options_apart import compare_apart
from ...optimiser.repricing.reasons import reasons as reasons_for
from ...optimiser.solvers.cbc_process import end_all
from ..options.options_book import comparison_workbook
from ..order.order_workbook import plan_workbook
from ..told.option_text import comparison_text
from ..told.plan_text import CAUTION
from ..words.case import case_of
from .exit_codes import CHECK_FAILED, NO_PLAN, SOLVER_FAILED
from .terms import (
    beside,
    end,
    faults_told,
    read_and_warn,
    refuse_targets,
    save,
    searched,
    shared_out,
    workbook,
)
from .watch import Watch

REASONS_SHARE = 0.5
"""Share of the time that the reasons take, where they are asked for."""


@click.command("compare")
@workbook
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    help="The comparison. [default: '<WORKBOOK's name> options.xlsx' in the current folder]",
)
@click.option(
    "--order",
    "order_file",
    type=click.Path(path_type=Path),
    help="Also write the order of the free choice, with the options in its Summary.",
)
@click.option(
    "--reasons",
    "with_reasons",
    is_flag=True,
    help="Also say what decided each leg, and what more of anything would cost.",
)
@shared_out
@searched
def compare(
    workbook: Path,
    output: Path | None,
    order_file: Path | None,
    with_reasons: bool,
    jobs: int | None,
    cluster: str | None,
    gap: float,
    time_limit: float,
    solver: str | None,
    workers: int | None,
    force: bool,
) -> None:
    """Put options side by side.

    The free choice; each transport form, family and single model that can do it; each supplier
    and vessel left out; and the options of the sheet Options. Each with every part of its cost,
    by how much it is dearer, and how far that is proven. Ctrl-C keeps what is found so far.

    \b
    Example:
      moorledger compare farm.xlsx -o "farm options.xlsx" --gap 0.5% --time-limit 180
    """
    output = output or beside(workbook, "options")
    with faults_told():
        refuse_targets({"-o": output, "--order": order_file}, workbook, force)
        farm = read_and_warn(workbook)
        told: Reasons | None = None
        with Watch(farm.project.currency, give_up=end_all) as watch:
            pricing = FarmPricer(farm, gap=gap, solver=solver or "", workers=workers or 0)
            seconds = time_limit * (1 - REASONS_SHARE) if with_reasons else time_limit
            try:
                if jobs or cluster:
                    crew = crew_of(jobs or 1, cluster or "")
                    found = compare_apart(pricing, crew, time_limit_s=seconds, done=watch.shared)
                else:
                    found = compared(pricing, time_limit_s=seconds, progress=watch.about)
                if with_reasons and found.base.plan is not None and not watch.asked:
                    rest = time_limit * REASONS_SHARE
                    told = reasons_for(pricing, time_limit_s=rest, progress=watch.about)
            except PlanFaultError as error:
                watch.clear()
                end(CHECK_FAILED, f"internal check failed, nothing written: {error}")
            except SolverFailedError as error:
                watch.clear()
                end(SOLVER_FAILED, f"nothing written: {error}")
        if found.base.plan is None:
            end(NO_PLAN, f"{FREE.name}: {found.base.why}; allow more time (--time-limit)")
        kept = [save(output, "Options", comparison_workbook(found, farm.project.name, told), force)]
        if order_file is not None:
            order = plan_workbook(found.base.plan, case=case_of(found))
            kept.append(save(order_file, "Order", order, force))
        click.echo("\n".join([comparison_text(found), CAUTION, "", *kept]))
