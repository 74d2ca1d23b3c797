"""Ten quotations in ten layouts, by invented suppliers: the cells, and what they must be taken as.

Every supplier, item number and price is made up. The farm's items are those of the small farm.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from moorledger.models.goods.supplier import LayoutWord
from openpyxl import Workbook

from tests.farms.small_farm import ANCHOR, CHAIN, ROPE, SHACKLE

Rows = list[list[Any]]


@dataclass(frozen=True)
class Layout:
    """One supplier's way to quote."""

    supplier: str
    file: str
    rows: Rows
    prices: dict[str, float]
    """Item → unit price, each or per m, that must be taken."""
    words: dict[str, tuple[str, str]] = field(default_factory=dict)
    """Their word → ours and their unit: rows of the Map sheet; none: it is proposed."""
    also: dict[tuple[str, str], Any] = field(default_factory=dict)
    """(item, field of its line) → what must be taken besides."""

    def write(self, folder: Path) -> Path:
        """Write the file and return where it is."""
        book = Workbook()
        page = book.active
        assert page is not None
        page.title = "Sheet1"
        for row in self.rows:
            page.append(row)
        book.save(folder / self.file)
        return folder / self.file

    def write_text(
        self, folder: Path, separator: str, *, comma: bool, encoding: str, ending: str = "csv"
    ) -> Path:
        """Write the same cells as separated text, as spreadsheet programs save a sheet: every line
        as wide as the widest, decimals with a comma or a point."""

        def spelt(value: Any) -> str:
            text = "" if value is None else str(value)
            if isinstance(value, float) and comma:
                text = text.replace(".", ",")
            return f'"{text}"' if separator in text or '"' in text else text

        width = max(map(len, self.rows))
        lines = [separator.join(map(spelt, [*r, *[None] * (width - len(r))])) for r in self.rows]
        path = (folder / self.file).with_suffix(f".{ending}")
        path.write_bytes(("\r\n".join(lines) + "\r\n").encode(encoding))
        return path

    def map_rows(self) -> tuple[LayoutWord, ...]:
        """Return the rows of the Map sheet."""
        return tuple(
            LayoutWord(self.supplier, theirs, ours, unit, self.file.replace("1", "*"))
            for theirs, (ours, unit) in self.words.items()
        )


A, C, R, S = ANCHOR.name, CHAIN.name, ROPE.name, SHACKLE.name
FT = 0.3048
"""Metres, exact by definition (yard and pound agreement, 1959)."""

LAYOUTS = (
    Layout(
        "Aspen Invented",
        "Aspen Invented offer 1.xlsx",
        [
            ["Item", "Qty", "Unit price", "Total price", "Lead time (weeks)"],
            [A, 6, 870.0, 5220.0, 3],
            [S, 12, 24.5, 294.0, 1],
            ["Total", None, None, 5514.0],
        ],
        {A: 870.0, S: 24.5},
        also={(A, "lead_time_days"): 21, (S, "lead_time_days"): 7},
    ),
    Layout(
        "Beech Invented",
        "beech 1.xlsx",
        [
            ["QUOTATION"],
            ["Quotation no.", "B-17", None, "Currency", "EUR"],
            ["Valid until", datetime.date(2027, 5, 1)],
            [],
            ["Ref", "Goods", "EUR/m", "MOQ"],
            ["b1", f"Ground {C}", 17.5, 4],
            ["b2", f"Line {R} new", 4.1, None],
        ],
        {C: 17.5, R: 4.1},
        {
            "Goods": ("Item", ""),
            "EUR/m": ("Unit price", "m"),
            "MOQ": ("Minimum order", ""),
            "Ref": ("ignore", ""),
            "Quotation no.": ("Quotation", ""),
            "Currency": ("Currency", ""),
            "Valid until": ("Valid until", ""),
            f"Ground {C}": (C, ""),
            f"Line {R} new": (R, ""),
        },
        {(C, "minimum_order"): 4},
    ),
    Layout(
        "Clover Invented",
        "Clover Invented 1.xlsx",
        [
            ["Product", "Price per ft", "Available"],
            [C, 5.4864, 40],
            [R, 1.2192, None],
        ],
        {C: 18.0, R: 4.0},
        also={(C, "available"): 40},
    ),
    Layout(
        "Dill Invented",
        "dill 1.xlsx",
        [
            ["Artikel", "Preis je Laenge", "Mindestmenge"],
            [C, 484.0, 2],
            [R, 902.0, 1],
        ],
        {C: 484.0 / CHAIN.length_sold_m, R: 902.0 / ROPE.length_sold_m},
        {
            "Artikel": ("Item", ""),
            "Preis je Laenge": ("Unit price", "length"),
            "Mindestmenge": ("Minimum order", ""),
        },
        {(C, "minimum_order"): 2},
    ),
    Layout(
        "Elder Invented",
        "Elder Invented 1.xlsx",
        [
            ["Supplier:", "Elder Invented"],
            ["Currency: EUR"],
            ["Article", "1+", "10+", "50+"],
            [A, 910.0, 880.0, 845.0],
            [S, 26.0, 25.0, 23.5],
        ],
        {A: 910.0, S: 26.0},
        also={(A, "breaks"): ((10, 880.0), (50, 845.0)), (S, "breaks"): ((10, 25.0), (50, 23.5))},
    ),
    Layout(
        "Fennel Invented",
        "Fennel Invented 1.xlsx",
        [
            ["Item", "From qty", "Net price", "List price"],
            [A, 1, 905.0, 1000.0],
            [A, 20, 865.0, 1000.0],
            [S, 1, 25.5, 28.0],
        ],
        {A: 905.0, S: 25.5},
        also={(A, "breaks"): ((20, 865.0),)},
    ),
    Layout(
        "Gorse Invented",
        "gorse 1.xlsx",
        [
            ["Pos", "Part", "Rate per 100", "Pack"],
            [1, "GS-40", 2450.0, 25],
        ],
        {S: 24.5},
        {
            "Part": ("Item", ""),
            "Rate per 100": ("Unit price", "100"),
            "Pack": ("Order multiple", ""),
            "Pos": ("ignore", ""),
            "GS-40": (S, ""),
        },
        {(S, "order_multiple"): 25},
    ),
    Layout(
        "Hazel Invented",
        "Hazel Invented 1.xlsx",
        [
            ["Description", "UoM", "Unit price", "Delivery weeks"],
            [C, "m", 17.9, 4],
            [R, "ft", 1.22, 2],
            [A, "each", 899.0, 6],
        ],
        {C: 17.9, R: 1.22 / FT, A: 899.0},
        also={(C, "lead_time_days"): 28},
    ),
    Layout(
        "Iris Invented",
        "iris 1.xlsx",
        [
            ["Bezeichnung", "EUR", "ab Lager m"],
            [C, 18.2, 275.0],
        ],
        {C: 18.2},
        {
            "Bezeichnung": ("Item", ""),
            "EUR": ("Unit price", "m"),
            "ab Lager m": ("Available", "m"),
        },
        {(C, "available"): 10},
    ),
    Layout(
        "Juniper Invented",
        "Juniper Invented 1.xlsx",
        [
            [None, "Material", "Price", "Min qty", "Remarks"],
            [None, A.upper(), "890,50", 2, "ex stock"],
            [None, S, "25.00", None, None],
        ],
        {A: 890.5, S: 25.0},
        also={(A, "minimum_order"): 2},
    ),
)
