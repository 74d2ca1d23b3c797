"""The plan as a workbook: which sheets it has, in which order."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence

from ...models.answer.plan import Plan
from ..buying.booking import write_booking_lists
from ..buying.load_plans import write_load_plans
from ..buying.purchase_order import write_purchase_orders
from ..buying.returns import write_returns
from ..buying.rival_offers import write_rival_offers
from ..evidence.evidence_book import write_plan_evidence
from ..inputs.order_inputs import write_inputs
from ..inputs.plan_record import write_plan_record
from ..laying.acceptance import write_acceptance
from ..laying.chain_life import write_chain_life
from ..laying.cutting_list import write_cutting_list
from ..laying.farm_picture import write_farm_picture
from ..laying.installation import write_installation
from ..laying.kit_list import write_kit_list
from ..laying.laying_plan import write_laying_plans
from ..laying.legs import write_legs
from ..laying.lines import write_lines
from ..paper.book import PlanBook
from ..whole_file import write_whole
from ..words.case import PLAN_ALONE, Case
from .assumptions import write_assumptions
from .basis import write_basis
from .changes import write_changes
from .checks import write_checks
from .contents import write_contents
from .freight import write_freight_bookings
from .landed import write_landed_cost
from .left_out import write_left_out
from .quantities import write_quantities
from .risk import write_risk
from .summary import write_summary

SheetWriter = Callable[[PlanBook], None]
"""Writes one sheet, or a family of them, at the end of the book."""

SHEETS: tuple[SheetWriter, ...] = (
    write_changes,
    write_purchase_orders,
    write_returns,
    write_landed_cost,
    write_quantities,
    write_rival_offers,
    write_farm_picture,
    write_legs,
    write_lines,
    write_cutting_list,
    write_kit_list,
    write_freight_bookings,
    write_booking_lists,
    write_load_plans,
    write_installation,
    write_laying_plans,
    write_acceptance,
    write_chain_life,
    write_risk,
    write_plan_evidence,
    write_left_out,
    write_basis,
    write_checks,
    write_assumptions,
)
"""The sheets behind Summary and Contents, in order. A new sheet is a function added here."""


def plan_workbook(plan: Plan, more: Sequence[SheetWriter] = (), case: Case = PLAN_ALONE) -> bytes:
    """Return the workbook as bytes; `more` sheets stand behind the plan's, before the inputs.

    case : the options, reasons and turning points that the Summary shows.
    """
    return order_book(plan, more, case).content()


def order_book(
    plan: Plan,
    more: Sequence[SheetWriter] = (),
    case: Case = PLAN_ALONE,
    *,
    plain: bool = False,
) -> PlanBook:
    """Return the workbook as it is written, for `plan_workbook`, or plain for those who compare.

    Summary and Contents stand first but are written last: they refer to the other sheets' cells.
    """
    book = PlanBook(plan, plain=plain)
    summary, contents = book.page("Summary"), book.page("Contents")
    for write in (*SHEETS, *more, write_inputs):
        write(book)
    write_plan_record(book, case)
    write_summary(book, summary, case)
    write_contents(book, contents)
    return book


def write_plan(
    plan: Plan,
    path: str | os.PathLike[str],
    *,
    more: Sequence[SheetWriter] = (),
    case: Case = PLAN_ALONE,
    overwrite: bool = False,
) -> None:
    """Write the plan's workbook to `path`, whole or not at all.

    Raises TargetError (see whole_file) where it cannot be written; an existing file is left
    alone unless `overwrite` is set.
    """
    write_whole(path, plan_workbook(plan, more, case), overwrite=overwrite)
