"""The parts of openpyxl that it does not promise to keep, each used here alone.

tests/workbook_out/test_openpyxl_parts.py tells when one of them moves.
"""

from __future__ import annotations

from copy import copy

from openpyxl import Workbook
from openpyxl.cell.cell import Cell
from openpyxl.chart._chart import ChartBase as Chart
from openpyxl.styles import Font
from openpyxl.styles.cell_style import StyleArray as Formats

__all__ = ["Chart", "Formats", "formats_of", "set_formats", "set_normal_font"]

_FORMATS = "_style"
"""The attribute that holds all of a cell's formats."""


def formats_of(cell: Cell) -> Formats:
    """Return all of a cell's formats, for others that look the same: quicker than one by one."""
    formats: Formats = copy(getattr(cell, _FORMATS))
    return formats


def set_formats(cell: Cell, formats: Formats) -> None:
    """Give a cell the formats of another of the same workbook."""
    setattr(cell, _FORMATS, copy(formats))


def set_normal_font(workbook: Workbook, font: Font) -> None:
    """Set the font of the Normal style, in whose digits column widths are counted."""
    vars(workbook)["_named_styles"]["Normal"].font = font
