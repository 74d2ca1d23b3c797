"""The command of the main job."""

from __future__ import annotations

import time
from functools import partial
from pathlib import Path

import click

from ...models.after.changes import after_plan
from ...models.after.ordered import farm_after, spent
from ...models.answer.finding import Findings
from ...models.answer.plan import Plan
from ...models.farm import Farm
from ...optimiser.failures import NoPlanError, PlanFaultError, SolverFailedError
from ...optimiser.price import price
from ...optimiser.repricing.alternatives import alternatives
from ...optimiser.repricing.next_facts import next_facts
from ...optimiser.repricing.sure import price_sure
from ...optimiser.solvers.cbc_process import end_all
from ..options.next_facts import next_text, write_next_facts
from ..order.order_workbook import SheetWriter, plan_workbook
from ..papers.readers import papers_of
from ..plan_json import plan_json
from ..plan_page import plan_page
from ..told.plan_text import plan_summary
from ..words.case import PLAN_ALONE, Case, case_of
from ..words.fault_table import printable
from .exit_codes import CHECK_FAILED, NO_PLAN, SOLVER_FAILED
from .papers import PapersFolder, order_read, with_edits, zipped
from .terms import (
    beside,
    end,
    faults_told,
    finite,
    read_and_warn,
    refuse_targets,
    save,
    searched,
    strict,
    sure_of,
    workbook,
)
from .watch import Watch

ALTERNATIVES_SHARE = 0.1
MOST_ALTERNATIVES_S, LEAST_ALTERNATIVES_S = 20.0, 4.0
"""Share and seconds of the time limit that are kept for a few alternatives, to say why this order.
Where the plan is found early they have more than is kept: as long as it took itself, and no less
than the least, up to the most."""

NEXT_SHARE = 0.3
"""Of the time limit, where what to find out next is asked for."""

INSTEAD = {
    ".pdf": "write it as .xlsx and print or export that to PDF; --papers FOLDER writes each "
    "reader's paper, ready to be printed on A4",
    ".json": "--json FILE writes the plan for programs",
    ".html": "--page FILE writes the case as one HTML page",
    ".csv": "--json FILE writes the plan for programs",
    ".xls": "write it as .xlsx",
    ".ods": "write it as .xlsx, which the same programs open",
}
"""By ending, what would do for who asks for an order as something that is no workbook."""


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
@click.option(
    "--papers",
    "papers_folder",
    type=click.Path(path_type=Path),
    help="A folder for the papers of every reader: summary, purchase orders, bookings, yard, "
    "laying plans, engineer.",
)
@click.option(
    "--after",
    "order",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="The order that was sent before: its goods are there, free up to their number, and every "
    "change is told with what it costs.",
)
@click.option(
    "--keep",
    is_flag=True,
    help="With --after: every leg group that can be as it was in that order is held so.",
)
@click.option(
    "--change-cost",
    type=click.FloatRange(min=0),
    callback=finite,
    default=None,
    metavar="MONEY",
    help="With --after: a leg group is laid otherwise than in that order only where this saves "
    "more than so much a line, project currency; weighed group by group on the plan found, no part "
    "of the cost. [default: Project's cost of changing a line; 0: more than its own costs]",
)
@click.option(
    "--next",
    "rank",
    is_flag=True,
    help="Also rank the facts that defaults stand in for, by the money that finding out may be "
    "worth, on a sheet of the order.",
)
@zipped
@strict
@click.option(
    "--sure",
    callback=sure_of,
    default=None,
    metavar="SHARE",
    help="Choose by what is enough with this chance (80%): charge each vessel's days so, and take "
    "the plan of least P80 among those found.",
)
@searched
def price_command(
    workbook: Path,
    output: Path | None,
    json_file: Path | None,
    page_file: Path | None,
    papers_folder: Path | None,
    order: Path | None,
    keep: bool,
    change_cost: float | None,
    rank: bool,
    zipped: bool,
    strict: bool,
    sure: float | None,
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
        targets = {"-o": output, "--json": json_file, "--page": page_file}
        refuse_targets(targets, workbook, force, INSTEAD)
        if zipped and papers_folder is None:
            raise click.UsageError("--zip is of the papers: give --papers FOLDER too")
        _refuse_together(order, keep=keep, change_cost=change_cost, sure=sure)
        papers = None if papers_folder is None else PapersFolder(papers_folder, zipped)
        if papers is not None:
            papers.refuse(workbook, force)
        farm = read_and_warn(workbook, strict=strict)
        farm, taken = with_edits(workbook, farm)
        for line in taken:
            click.echo(printable(f"note: {line}"), err=True)
        earlier, sent = (None, ()) if order is None else order_read(order)
        before = 0.0
        if earlier is not None:
            before = sum(spent(farm, earlier).values())
            farm = farm_after(farm, earlier)
        if change_cost is None and order is not None and not keep and sure is None:
            change_cost = farm.project.change_cost
        began = time.perf_counter()
        currency = farm.project.currency
        kept_back = reserve(time_limit)
        for_next = time_limit * NEXT_SHARE if rank else 0.0
        with Watch(currency, give_up=end_all) as watch:
            left = time_limit - kept_back - for_next
            plan = priced(
                farm,
                gap,
                left,
                solver or "",
                workers or 0,
                watch,
                sure,
                like=earlier,
                keep=keep,
                change_cost=change_cost or 0.0,
                before=before,
            )
            if earlier is not None and order is not None:
                plan = after_plan(plan, earlier, order.name, sent)
            seconds = for_alternatives(time_limit - for_next, time.perf_counter() - began)
            case = case_for(plan, seconds, solver or "", workers or 0, watch)
            found = findings_for(farm, gap, for_next, solver or "", workers or 0, watch)
        sheets: list[SheetWriter] = []
        told = [plan_summary(plan)]
        if found is not None:
            ranked = found
            sheets.append(lambda book: write_next_facts(book, ranked, farm.project.name, currency))
            told += ["", next_text(ranked, currency)]
        elif rank:
            told += ["", "What to find out next was not worked out: no time was left, or no plan."]
        # Kept before anything is said of it: what it is said on may be closed, or full.
        kept = [save(output, "Order", plan_workbook(plan, sheets, case=case), force)]
        if json_file is not None:
            kept.append(save(json_file, "JSON", plan_json(plan).encode(), force))
        if page_file is not None:
            kept.append(save(page_file, "Page", plan_page(plan, case).encode(), force))
        if papers is not None:
            kept.append(papers.keep(papers_of(plan, case), force))
        click.echo("\n".join([*told, "", *kept]))


def _refuse_together(
    order: Path | None, *, keep: bool, change_cost: float | None, sure: float | None
) -> None:
    """Raise click.UsageError where what is asked of an earlier order makes no sense together."""
    held = "--keep" if keep else "--change-cost" if change_cost else ""
    if held and order is None:
        raise click.UsageError(f"{held} holds lines as an earlier order has them: give --after")
    if held and sure is not None:
        raise click.UsageError(f"{held} and --sure each choose a plan: give one of them")
    if keep and change_cost:
        raise click.UsageError("--keep lets nothing change that can stay: leave --change-cost out")


def reserve(time_limit_s: float) -> float:
    """Return the seconds of a time limit that are kept for alternatives; few are not worth it."""
    kept = min(ALTERNATIVES_SHARE * time_limit_s, MOST_ALTERNATIVES_S)
    return kept if kept >= LEAST_ALTERNATIVES_S else 0.0


def for_alternatives(time_limit_s: float, gone_s: float) -> float:
    """Return the seconds that alternatives may take: of what is left, some in proportion to what
    the plan took, so that a farm that is priced at once is still priced in a few seconds."""
    most = min(max(gone_s, LEAST_ALTERNATIVES_S), MOST_ALTERNATIVES_S)
    return max(min(time_limit_s - gone_s, most), 0.0)


def findings_for(
    farm: Farm, gap: float, seconds: float, solver: str, workers: int, watch: Watch
) -> Findings | None:
    """Return what to find out next; None where it was not asked for or could not be told."""
    if seconds < 1 or watch.asked:
        return None
    try:
        return next_facts(
            farm, gap=gap, time_limit_s=seconds, solver=solver, workers=workers,
            progress=watch.about,
        )  # fmt: skip
    except (NoPlanError, SolverFailedError):  # the order is found, and kept all the same
        return None


def case_for(plan: Plan, seconds: float, solver: str, workers: int, watch: Watch) -> Case:
    """Return the reasons for a plan from what its alternatives cost, priced quickly."""
    if seconds <= 0 or watch.asked:
        return PLAN_ALONE
    found = alternatives(plan, seconds, solver=solver, workers=workers, stop=lambda: watch.asked)
    return PLAN_ALONE if found is None else case_of(found)


def priced(
    farm: Farm,
    gap: float,
    time_limit: float,
    solver: str,
    workers: int,
    watch: Watch,
    sure: float | None = None,
    *,
    like: Plan | None = None,
    keep: bool = False,
    change_cost: float = 0.0,
    before: float = 0.0,
) -> Plan:
    """Return the plan, or end with the exit code and a line that says why there is none."""
    try:
        asked = partial(price, like=like, keep=keep, change_cost=change_cost, spent=before)
        if sure is not None:
            asked = partial(price_sure, sure=sure)
        return asked(
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
