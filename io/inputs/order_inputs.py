"""The inputs: what the plan was priced on, written back so that the order can be priced again."""

from __future__ import annotations

from ..layout.sheets import INPUT_PREFIX, SHEETS
from ..paper.book import PlanBook
from ..words.grammar import clean
from .input_sheet import SheetPlace, is_stated, write_input_sheet


def write_inputs(book: PlanBook) -> None:
    """Write every input sheet that holds something, as the reader takes it, at the end."""
    farm = book.plan.farm
    setting = SheetPlace(INPUT_PREFIX, clean(farm.project.name))
    for sheet in SHEETS:
        if sheet.settings or is_stated(sheet, farm):
            about = f"Priced on: {sheet.help[0].lower()}{sheet.help[1:]}"
            page = book.plain_sheet(setting.name(sheet), about)
            write_input_sheet(page, sheet, farm, setting)
