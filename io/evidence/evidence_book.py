"""The evidence book: what every anchor is worth, as a workbook, as sheets of a plan, as text."""

from __future__ import annotations

import os
from collections.abc import Sequence

from ...models.answer.plan import Assignment
from ...models.asked.next_tests import NextTests
from ...models.evidence.anchor_evidence import anchor_evidence
from ...models.evidence.anchor_value import anchor_values
from ...models.evidence.chain_need import typical_needs
from ...models.evidence.setting_drag import settings_of_farm, settings_of_plan
from ...models.evidence.size_law import size_laws
from ...models.farm import Farm
from ...models.goods.fit import Fit
from ..paper.book import Book, PlanBook
from ..whole_file import write_whole
from .anchor_evidence import write_anchor_evidence, write_tests, write_workings
from .anchor_value import write_anchor_freight, write_anchor_value
from .charts import write_anchor_charts
from .evidence_text import holding_table
from .next_tests import write_next_tests
from .sizes import write_setting, write_size_laws


def write_evidence_sheets(
    book: Book,
    farm: Farm,
    assignments: Sequence[Assignment] | None = None,
    fits: Sequence[Fit] = (),
) -> None:
    """Write every sheet of the evidence at the end of a book.

    assignments : a plan's, whose make-ups the setting and the ground chain are then shown for.
    fits : how many of each anchor fit into each container, as load plans found.
    """
    evidence = anchor_evidence(farm)
    values = anchor_values(farm, evidence, {(fit.anchor, fit.service): fit for fit in fits})
    planned = assignments is not None
    settings = settings_of_farm(farm)
    if assignments is not None:
        settings = settings_of_plan(farm, assignments)
    write_anchor_evidence(book, farm, evidence)
    write_anchor_value(book, farm, values)
    charts = book.page("Anchor charts")
    write_anchor_freight(book, farm, values)
    write_workings(book, farm, evidence)
    write_tests(book, farm, evidence)
    write_size_laws(book, farm, size_laws(farm))
    write_setting(book, farm, settings, planned=planned)
    write_anchor_charts(charts, book, farm, evidence, typical_needs(farm, assignments or ()))


def write_plan_evidence(book: PlanBook) -> None:
    """Write the sheets of the evidence behind a plan's others."""
    write_evidence_sheets(book, book.plan.farm, book.plan.assignments, book.plan.fits)


def write_engineers_evidence(book: PlanBook) -> None:
    """Write what a plan's holdings rest on, without what anything costs."""
    farm = book.plan.farm
    evidence = anchor_evidence(farm)
    write_anchor_evidence(book, farm, evidence)
    write_workings(book, farm, evidence)
    write_tests(book, farm, evidence)
    write_size_laws(book, farm, size_laws(farm))
    write_setting(book, farm, settings_of_plan(farm, book.plan.assignments), planned=True)


def holding_workbook(farm: Farm, fits: Sequence[Fit] = (), tests: NextTests | None = None) -> bytes:
    """Return the evidence of a farm as a workbook; tests : what more of them are worth."""
    book = Book(f"{farm.project.name}: anchor evidence")
    if tests is not None:
        write_next_tests(book, tests)
    write_evidence_sheets(book, farm, fits=fits)
    return book.content()


def write_holding(
    farm: Farm,
    path: str | os.PathLike[str],
    fits: Sequence[Fit] = (),
    tests: NextTests | None = None,
    *,
    overwrite: bool = False,
) -> None:
    """Write the evidence of a farm as a workbook, whole or not at all.

    Raises TargetError (see whole_file) where it cannot be written; an existing file is left
    alone unless `overwrite` is set.
    """
    write_whole(path, holding_workbook(farm, fits, tests), overwrite=overwrite)


def holding_text(farm: Farm) -> str:
    """Return the evidence and the value of every anchor as tables of plain text."""
    return holding_table(farm, anchor_evidence(farm))
