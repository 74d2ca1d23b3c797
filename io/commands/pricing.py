"""The command of the main job."""

from __future__ import annotations

from pathlib import Path

import click

from ...models.answer.plan import Plan
from ...models.farm import Farm
from ...optimiser.failures import NoPlanError, PlanFaultError, SolverFailedError
from ...optimiser.price import price
from ...optimiser.solvers.cbc_process import end_all
from ..order.order_workbook import plan_workbook
from ..plan_json import plan_json
from ..plan_page import plan_page
from ..told.plan_text import plan_summary
from .exit_codes import CHECK_FAILED, NO_PLAN, SOLVER_FAILED
from .terms import (
    beside,
    end,
    faults_told,
    read_and_warn,
    refuse_targets,
    save,
    searched,
    strict,
    workbook,
)
from .watch import Watch


@click.command("price")
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
@strict
@searched
def price_command(
    workbook: Path,
    output: Path | None,
    json_file: Path | None,
    page_file: Path | None,
    strict: bool,
    gap: float,
    time_limit: float,
    solver: str | None,
    workers: int | None,
    force: bool,
) -> None:
    """Find the least-cost order that holds.

    Chooses every leg's make-up, the orders, freight and vessels at the least installed cost.
    Writes the order as a workbook. Ctrl-C stops the search and keeps the best plan so far; a
    second Ctrl-C gives up.

    \b
    Example:
      moorledger price farm.xlsx -o "farm order.xlsx" --gap 0.1% --time-limit 300
    """
    output = output or beside(workbook, "order")
    with faults_told():
        refuse_targets({"-o": output, "--json": json_file, "--page": page_file}, workbook, force)
        farm = read_and_warn(workbook, strict=strict)
        with Watch(farm.project.currency, give_up=end_all) as watch:
            plan = priced(farm, gap, time_limit, solver or "", workers or 0, watch)
        # Kept before anything is said of it: what it is said on may be closed, or full.
        kept = [save(output, "Order", plan_workbook(plan), force)]
        if json_file is not None:
            kept.append(save(json_file, "JSON", plan_json(plan).encode(), force))
        if page_file is not None:
            kept.append(save(page_file, "Page", plan_page(plan).encode(), force))
        click.echo("\n".join([plan_summary(plan), "", *kept]))


def priced(
    farm: Farm, gap: float, time_limit: float, solver: str, workers: int, watch: Watch
) -> Plan:
    """Return the plan, or end with the exit code and a line that says why there is none."""
    try:
        return price(
            farm,
            gap=gap,
            time_limit_s=time_limit,
            solver=solver,
            workers=workers,
            progress=watch,
        )
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
