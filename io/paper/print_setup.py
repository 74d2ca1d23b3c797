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


def set_print(
    sheet: Worksheet, title: str, *, dated: str = "", one_page: bool = False, pages_wide: int = 1
) -> None:
    """Set a sheet to print on A4 landscape, with the title above and page numbers below.

    dated : the date as it is to be read, above on the right. A code for the day of printing would
    print in the order of day and month that the reader's computer has, unlike every other date.
    """
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
    head.right.text = dated or None
    foot.left.text = sheet.title.replace("&", "&&")
    foot.right.text = "Page &P of &N"
    for part in (head.left, head.right, foot.left, foot.right):
        part.size = 8
