"""Papers for every reader: of an order that was written before, and beside one that is."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import click

from ...models.answer.change import SentOrder
from ...models.answer.plan import Plan
from ...models.farm import Farm
from ...models.fault import FarmError
from ...optimiser.failures import PlanFaultError
from ...optimiser.price import checked
from ..buying.purchase_order import sent_by
from ..inputs.plan_record import TITLE
from ..inputs.template import write_template
from ..paper.page import HandWritten
from ..papers.edits import taken_up
from ..papers.order_file import (
    MOST_TOLD,
    OF_ORDER,
    OF_PAPERS,
    WITHOUT_RECORD,
    OrderFile,
    compare_with,
    hand_written,
    plan_of_order,
    raise_refused,
    written_otherwise,
)
from ..papers.readers import ZIP_NAME, papers_of, zip_of
from ..reading.workbook import read_farm_with_warnings
from ..reading.xlsx_file import open_tables
from ..whole_file import TargetError, TargetExistsError
from ..words.case import Case
from ..words.fault_table import printable
from ..words.grammar import counted
from .exit_codes import AT_FAULT
from .terms import end, faults_told, force, refuse_target, save

FOLDER = click.Path(path_type=Path, file_okay=True)

zipped = click.option("--zip", "zipped", is_flag=True, help=f"All papers too in one {ZIP_NAME}.")


@dataclass(frozen=True)
class PapersFolder:
    """Where the papers go."""

    path: Path
    zipped: bool

    def refuse(self, source: Path, force: bool) -> None:
        """Raise TargetError where no papers can be written there after the work."""
        if self.path.exists() and not self.path.is_dir():
            raise TargetError(f"cannot write papers to {self.path}: it is a file")
        if not self.path.exists() and not self.path.resolve().parent.is_dir():
            raise TargetError(f"cannot make the folder {self.path}: its parent is not there")
        if self.path.is_dir():
            refuse_target(self.path / ZIP_NAME, source, force or not self.zipped, ".zip")

    def keep(self, papers: Mapping[str, bytes], force: bool) -> str:
        """Write the papers and return where they are; raises TargetError."""
        self.path.mkdir(exist_ok=True)
        files = dict(papers)
        if self.zipped:
            files[ZIP_NAME] = zip_of(papers)
        there = [name for name in files if (self.path / name).exists()]
        if there and not force:
            raise TargetExistsError(
                f"{self.path / there[0]} exists already: give another folder, or overwrite it"
            )
        for name, content in files.items():
            save(self.path / name, "Paper", content, force)
        return f"Papers: {counted(len(papers), 'paper')} in {self.path}"


@click.command("papers")
@click.argument("order", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.argument("folder", type=FOLDER)
@zipped
@force
def papers_command(order: Path, folder: Path, zipped: bool, force: bool) -> None:
    """Write the papers of an order for those who sell, carry, cut, lay and sign.

    ORDER is a workbook that moorledger price wrote. What was written by hand in its fields (an
    order's number, a quotation) goes on the papers; a price or a quantity that was changed is
    refused by cell: price the workbook again.

    \b
    Example:
      moorledger papers "farm order.xlsx" papers --zip
    """
    where = PapersFolder(folder, zipped)
    with faults_told():
        where.refuse(order, force)
        plan, case, hand = _read(order, "no papers written", OF_PAPERS)
        papers = papers_of(plan, case, hand)
        click.echo(where.keep(papers, force))


def order_read(order: Path) -> tuple[Plan, tuple[SentOrder, ...]]:
    """Return the plan of an order that was sent, checked, and the orders that its suppliers got;
    raises FarmError with every cell of it that says something else than it does."""
    plan, _, hand = _read(order, "nothing priced after it", OF_ORDER, WITHOUT_RECORD)
    return plan, sent_by(plan, hand)


def _read(
    order: Path, otherwise: str, why: str, instead: str = ""
) -> tuple[Plan, Case, HandWritten]:
    """Return an order's plan, its case and what was written by hand in its fields.

    otherwise : what is not done where it does not hold together. why : an edit is refused.
    instead : what would do where it holds no plan. Raises FarmError.
    """
    farm, _ = read_farm_with_warnings(order)
    file = OrderFile(order)
    plan, case = plan_of_order(file, farm, instead)
    try:
        plan = checked(plan)
    except PlanFaultError as error:
        end(
            AT_FAULT,
            f"{order.name} no longer holds together, {otherwise}: {error}. Price it again",
        )
    hand, uncompared = hand_written(file, plan, case, why)
    if uncompared:
        click.echo(printable(f"note: {written_otherwise(file, uncompared)}"), err=True)
    return plan, case, hand


def with_edits(workbook: Path, farm: Farm) -> tuple[Farm, tuple[str, ...]]:
    """Return the farm of a workbook that is to be priced, and what is to be said of the edits in
    it: nothing of a workbook that is no order.

    Of an order its Input sheets are priced. What an edit on any other of its sheets says of them
    for certain is taken up, and else refused by cell: raises FarmError. Where the Input sheets
    were edited too, or another version wrote the order, the others cannot be compared: that is
    said.
    """
    if workbook.is_dir() or all(t.title != TITLE for t in open_tables(workbook, lambda _: False)):
        return farm, ()
    lost = "only its Input sheets are read, an edit on any other of its sheets is not taken up"
    order = OrderFile(workbook)
    try:
        plan, case = plan_of_order(order, farm)
        plan = checked(plan)
    except (FarmError, PlanFaultError):
        return farm, (f"{workbook.name} is an order whose Input sheets were edited: {lost}",)
    compared = compare_with(order, plan, case)
    taken = taken_up(compared, farm, plan)
    told = taken.told
    if compared.otherwise:
        told = (*told, written_otherwise(order, compared.otherwise))
    if len(taken.refused) > MOST_TOLD:
        many = f"{workbook.name} is an order that says otherwise in many places: {lost}"
        return farm, (many,)
    raise_refused(list(taken.refused))
    if taken.farm == farm:
        return farm, told
    return _read_again(taken.farm, workbook.name), told


def _read_again(farm: Farm, name: str) -> Farm:
    """Return a farm as its own workbook reads; raises FarmError where a value is out of range."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        write_template(path, farm)
        return read_farm_with_warnings(path)[0]
