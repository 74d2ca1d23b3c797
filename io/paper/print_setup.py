"""Print set-up: every sheet, in and out, prints on A4 landscape with the same head and foot."""

from __future__ import annotations

from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

MARGINS_INCH = {
    "left": 0.5,
    "right": 0.5,
    "top": 0.7,
    "bottom": 0.65,
    "header": 0.3,
    "footer": 0.3,
}


def set_print(sheet: Worksheet, title: str, *, one_page: bool = False, pages_wide: int = 1) -> None:
    """Set a sheet to print on A4 landscape, with title and date above and page numbers below."""
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = 9  # A4 (ECMA-376 Part 1, 18.3.1.63, from memory)
    sheet.page_setup.fitToWidth = pages_wide
    sheet.page_setup.fitToHeight = 1 if one_page else 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    for side, inches in MARGINS_INCH.items():
        setattr(sheet.page_margins, side, inches)
    head, foot = sheet.oddHeader, sheet.oddFooter
    assert head is not None
    assert foot is not None
    head.left.text = title.replace("&", "&&").replace("\n", " ")[:120]
    head.right.text = "Printed &D"
    foot.left.text = sheet.title.replace("&", "&&")
    foot.right.text = "Page &P of &N"
    for part in (head.left, head.right, foot.left, foot.right):
        part.size = 8
