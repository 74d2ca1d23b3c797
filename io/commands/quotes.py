"""The commands of buying: quotations asked for, and quotations taken."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from ...models.arrays import ROUNDING
from ...models.farm import Farm
from ...models.farm_faults import farm_faults
from ...models.fault import FarmError, Fault, Severity
from ...optimiser.bargaining.quantities_asked import quantities_asked
from ...optimiser.failures import SolverFailedError
from ...optimiser.repricing.farm_pricer import FarmPricer
from ...optimiser.solvers.cbc_process import end_all
from ..inputs.buyers_workbook import BuyersWorkbook, NotKeptError
from ..quotes.quotation import Quotation, quoted_twice
from ..quotes.quoted_files import quotation_files
from ..quotes.reader import read_quotation
from ..quotes.request import file_name, requests
from ..quotes.taken import Taken, farm_with
from ..quotes.taken_book import taken_workbook, write_taken
from ..words.fault_table import printable
from ..words.grammar import price_text
from .exit_codes import NO_PLAN, SOLVER_FAILED
from .terms import (
    beside,
    end,
    faults_told,
    force,
    read_and_warn,
    refuse_target,
    save,
    searched,
    tell,
    workbook,
)
from .watch import Watch

MOST_LINES = 40
"""Changes that the terminal names."""


@click.group("quotes")
def quotes() -> None:
    """Ask for quotations, and take them."""


@quotes.command("ask")
@workbook
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@searched
def ask(
    workbook: Path,
    folder: Path,
    gap: float,
    time_limit: float,
    solver: str | None,
    workers: int | None,
    force: bool,
) -> None:
    """Write a request for quotation for each supplier.

    Into FOLDER, a workbook a supplier to fill in: its items, the quantities of the least plan, and
    those at which a price break would matter. Nothing in it tells of prices or of rivals.

    \b
    Example:
      moorledger quotes ask farm.xlsx asked --time-limit 120
    """
    with faults_told():
        farm = read_and_warn(workbook)
        folder.mkdir(parents=True, exist_ok=True)
        for supplier in farm.suppliers:
            refuse_target(folder / file_name(farm, supplier), workbook, force)
        with Watch(farm.project.currency, give_up=end_all) as watch:
            pricing = FarmPricer(farm, gap=gap, solver=solver or "", workers=workers or 0)
            try:
                priced, asked = quantities_asked(pricing, time_limit_s=time_limit, progress=watch)
            except SolverFailedError as error:
                watch.clear()
                end(SOLVER_FAILED, f"nothing written: {error}")
        if priced.settlement is None:
            end(NO_PLAN, f"no quantities to ask for: {priced.why}")
        for supplier, content, count in requests(farm, asked):
            target = folder / file_name(farm, supplier)
            click.echo(save(target, f"{supplier.name}, {count} items", content, force))


@quotes.command("take")
@workbook
@click.argument("folder", type=click.Path(exists=True, path_type=Path))
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    help="The farm with its Offers. [default: '<WORKBOOK's name> with quotes.xlsx' in the current "
    "folder]",
)
@click.option(
    "--accept",
    is_flag=True,
    help="Take quotations by the map that is proposed for them, without having it looked at.",
)
@force
def take(workbook: Path, folder: Path, output: Path | None, accept: bool, force: bool) -> None:
    """Take the answers of suppliers into the farm's Offers.

    Reads every workbook and every file of separated text (.csv, .tsv, .txt) in FOLDER, or one file:
    in the layout that was asked for, or by the sheet Map. For another layout a map is proposed and
    written to the sheet Map: look at it, and take the quotation again. Files that are not read are
    named. Where anything is wrong nothing is written.

    \b
    Example:
      moorledger quotes take farm.xlsx . -o "farm with quotes.xlsx"
    """
    output = output or beside(workbook, "with quotes")
    with faults_told():
        refuse_target(output, workbook, force)
        farm = read_and_warn(workbook)
        files, others = quotation_files(folder, (workbook, output))
        found = [read_quotation(path, farm) for path in files]
        kept = [one if accept or not one.proposed else _unread(one) for one in found]
        faults = [fault for one in found for fault in (*one.faults, *_to_look_at(one, accept))]
        faults += quoted_twice(kept)
        said = [*others, *(f for f in faults if f.severity is not Severity.ERROR)]
        if errors := [f for f in faults if f.severity is Severity.ERROR]:
            raise FarmError([*said, *errors])
        tell(said)
        anew, taken = farm_with(farm, kept)
        _refuse_faults(anew)
        told = [_line(one) for one in taken[:MOST_LINES]] or ["No quotation was taken."]
        if len(taken) > MOST_LINES:
            told.append(f"and {len(taken) - MOST_LINES} more, on the sheet Quotations taken")
        content, how = _workbook(workbook, farm, anew, taken, kept)
        told += ["", how, save(output, "Farm", content, force)]
        click.echo("\n".join(printable(line) for line in told))


def _workbook(
    path: Path, farm: Farm, anew: Farm, taken: Sequence[Taken], quotations: Sequence[Quotation]
) -> tuple[bytes, str]:
    """Return the farm with what was taken, in the buyer's own workbook where that can be kept, and
    which it is, in words."""
    try:
        book = BuyersWorkbook(path, farm, anew)
        write_taken(book.book, farm.project.name, taken, quotations)
        return book.content(), book.how
    except NotKeptError as why:
        return taken_workbook(anew, taken, quotations), why.how


def _to_look_at(one: Quotation, accept: bool) -> list[Fault]:
    """Return what is to be said of a quotation that was read by a map nobody has looked at."""
    if not one.proposed:
        return []
    words = "; ".join(f"'{w.theirs}' as {w.ours}{f' ({w.unit})' if w.unit else ''}"
                      for w in one.proposed if w.ours != "ignore")  # fmt: skip
    message = f"its layout is not known; proposed: {words}. "
    message += (
        "Taken so: look at the prices on Quotations taken"
        if accept
        else "Not taken: look at the rows on the sheet Map, correct them, and take it again"
    )
    return [Fault(one.file, 0, "", "", message, Severity.WARNING)]


def _unread(one: Quotation) -> Quotation:
    """Return a quotation of which only the proposed map is kept."""
    return Quotation(one.file, one.supplier, proposed=one.proposed)


def _refuse_faults(farm: Farm) -> None:
    """Raise FarmError where the farm with the quotations contradicts itself."""
    faults = [fault for fault in farm_faults(farm) if fault.severity is Severity.ERROR]
    if faults:
        raise FarmError(faults)


def _line(one: Taken) -> str:
    """Return what one line changed: "new", "as before", or the old price and the change."""
    was = "new" if one.old_price is None else f"was {price_text(one.old_price)}"
    if one.change is not None:
        same = abs(one.change) < ROUNDING
        was = "as before" if same else f"{was}, {one.change:+.1%}"
    what = f"; {'; '.join(one.changes)}" if one.changes else ""
    return (
        f"{one.line.item} from {one.supplier}: {one.currency} {price_text(one.line.unit_price)} "
        f"({was}){what}"
    )
