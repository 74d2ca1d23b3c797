"""The command that says what every offer is worth, and what each must come down to."""

from __future__ import annotations

from pathlib import Path

import click

from ...optimiser.bargaining.offer_worth import offer_worths
from ...optimiser.bargaining.offers_apart import offer_worths_apart
from ...optimiser.crew import crew_of
from ...optimiser.failures import PlanFaultError, SolverFailedError
from ...optimiser.repricing.farm_pricer import FarmPricer
from ...optimiser.solvers.cbc_process import end_all
from ..options.offers_compared import SHEET, offers_workbook, write_offers_compared
from ..order.order_workbook import plan_workbook
from ..plan_page import plan_page
from ..told.offer_text import offers_text
from ..told.plan_text import CAUTION
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


@click.command("offers")
@workbook
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    help="The comparison. [default: '<WORKBOOK's name> offers.xlsx' in the current folder]",
)
@click.option(
    "--order",
    "order_file",
    type=click.Path(path_type=Path),
    help="Also write the order of the least plan, with the offers compared in it.",
)
@click.option(
    "--page",
    "page_file",
    type=click.Path(path_type=Path),
    help="Also write the case as one HTML page, with the offers compared in it.",
)
@shared_out
@searched
def offers(
    workbook: Path,
    output: Path | None,
    order_file: Path | None,
    page_file: Path | None,
    jobs: int | None,
    cluster: str | None,
    gap: float,
    time_limit: float,
    solver: str | None,
    workers: int | None,
    force: bool,
) -> None:
    """Say what each offer must come down to.

    For every offer that lost, the price at which it would be bought; for every offer that won,
    what it may rise to before it loses; ranked by money. Ctrl-C keeps what is found so far.

    \b
    Example:
      moorledger offers farm.xlsx -o "farm offers.xlsx" --gap 0.1% --time-limit 180
    """
    output = output or beside(workbook, "offers")
    with faults_told():
        targets = {"-o": output, "--order": order_file, "--page": page_file}
        refuse_targets(targets, workbook, force)
        farm = read_and_warn(workbook)
        with Watch(farm.project.currency, give_up=end_all) as watch:
            pricing = FarmPricer(farm, gap=gap, solver=solver or "", workers=workers or 0)
            try:
                if jobs or cluster:
                    found = offer_worths_apart(
                        pricing,
                        crew_of(jobs or 1, cluster or ""),
                        time_limit_s=time_limit,
                        progress=watch.about,
                        done=watch.shared,
                    )
                else:
                    found = offer_worths(pricing, time_limit_s=time_limit, progress=watch.about)
            except ValueError as error:
                watch.clear()
                end(NO_PLAN, f"{error}; allow more time (--time-limit)")
            except PlanFaultError as error:
                watch.clear()
                end(CHECK_FAILED, f"internal check failed, nothing written: {error}")
            except SolverFailedError as error:
                watch.clear()
                end(SOLVER_FAILED, f"nothing written: {error}")
        kept = [save(output, SHEET, offers_workbook(found), force)]
        if order_file is not None:
            more = [lambda book: write_offers_compared(book.page(SHEET), found)]
            kept.append(save(order_file, "Order", plan_workbook(found.plan, more), force))
        if page_file is not None:
            page = plan_page(found.plan, offers=found)
            kept.append(save(page_file, "Page", page.encode(), force))
        click.echo("\n".join([offers_text(found), CAUTION, "", *kept]))
