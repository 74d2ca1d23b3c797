"""Odd workbooks: the typed workbook as people and spreadsheet programs make it, row by row.

Each row says what is odd and what must be read: "" for the typed farm itself, "=" a value that is
read of the first cell, "?" a doubt that names it (the farm is the same), else the start of what
is said where it is refused. All of it is invented; how programs format cells is common practice,
no source.
"""

from __future__ import annotations

import copy
import csv
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.utils.cell import coordinate_to_tuple

from .typed_workbook import TYPED, Cells

# fmt: off
FORMATS: tuple[tuple[str, str, Any, str, Any], ...] = (
    # sheet, cell, what it holds, its number format, what must be read
    ("Legs", "D2", 80, '0.0" kN"', ""),
    ("Legs", "D2", 80, "#,##0.00", ""),
    ("Legs", "D2", 80, '[>=1000]#,##0;0.0', ""),
    ("Legs", "D2", 80, '_-* #,##0.0_-;-* #,##0.0_-;_-* "-"??_-;_-@_-', ""),
    ("Legs", "D2", 80, "0.0\\ \\k\\N", ""),
    ("Legs", "D2", 80, "[Red]0;[Blue]-0", ""),
    ("Legs", "D2", 80000, '0" N"', ""),
    ("Legs", "D2", 80000, '#,##0," kN"', "=80"),
    ("Legs", "D2", 80, "0.00E+00", ""),
    ("Legs", "D2", 80, "# ?/?", ""),
    ("Legs", "D2", 1.43, '0.00" t"', "the cell shows '1.43 t' and holds 1.43: 't' is not known"),
    ("Legs", "D2", 80, '0" kg"', "the cell shows '80 kg'"),
    ("Legs", "D2", 80, '0" MN"', "the cell shows '80 MN'"),
    ("Legs", "D2", 80, '0" approx"', "the cell shows '80 approx'"),
    ("Legs", "D2", 4.3, '0.0"k"', "=4300"),
    ("Legs", "D2", 4300, '0.0,"k"', "=4300"),
    ("Legs", "D2", 4300, "0.0,", "the cell shows '4.3' and holds 4300"),
    ("Legs", "D2", 80, '0"000"', "the cell shows '80 000' and holds 80"),
    ("Legs", "D2", 80, ";;;", "the cell shows nothing and holds 80"),
    ("Legs", "D2", 80, '"see note"', "the cell shows 'see note' and holds 80"),
    ("Legs", "D2", 0.8, "0 %", "the cell shows '80%'"),
    ("Legs", "D2", 80.4, "0", "=80.4"),
    ("Legs", "D2", 0.4, "0", "?the cell shows '0' and holds 0.4"),
    ("Legs", "R2", 5, '0" pcs"', ""),
    ("Legs", "F2", 30, '0.0" m"', ""),
    ("Legs", "F2", 3000, '0" cm"', ""),
    ("Legs", "F2", 30, '0" ft"', "=9.144"),
    ("Legs", "F2", 30, "0\\ \\m", ""),
    ("Legs", "F2", 30, '0" fathoms"', "the cell shows '30 fathoms'"),
    ("Legs", "C2", 4, '0" pcs"', ""),
    ("Legs", "C2", 4, '0" each"', ""),
    ("Legs", "C2", 4, '0" dozen"', "=48"),
    ("Legs", "C2", 4, '0" packs"', "the cell shows '4 packs'"),
    ("Legs", "C2", 4, '0" m"', "the cell shows '4 m'"),
    ("Legs", "N2", -20, "0;0", "the cell shows '20' and holds -20"),
    ("Legs", "N2", -20, "0;(0)", ""),
    ("Legs", "N2", -20, "0;-0;0", ""),
    ("Anchors", "E2", 250, '0" kg"', ""),
    ("Anchors", "E2", 0.25, '0.00" t"', ""),
    ("Anchors", "E2", 250, '0" lb"', "=113.3980925"),
    ("Anchors", "E2", 250, '0" kN"', "the cell shows '250 kN'"),
    ("Anchors", "N2", 2, '0.0" m"', ""),
    ("Anchors", "N2", 200, '0" cm"', ""),
    ("Anchors", "F2", 1000, '#,##0.00 [$USD]', ""),
    ("Anchors", "F2", 1000, '[$$-409]#,##0.00', ""),
    ("Anchors", "F2", 1000, '_("$"* #,##0.00_);_("$"* (#,##0.00);_("$"* "-"??_);_(@_)', ""),
    ("Anchors", "F2", 1000, '#,##0.00 "€"', "shown in €, but 'Supplier A' sells in USD"),
    ("Anchors", "F2", 1000, '#,##0 [$kr-414]', "shown in kr, but 'Supplier A' sells in USD"),
    ("Anchors", "F3", 900, '#,##0.00\\ [$€-407]', ""),
    ("Anchors", "F3", 900, '"£"#,##0', "shown in £, but 'Supplier B' sells in EUR"),
    ("Anchors", "F3", 0.9, '0.0" k€"', "=900"),
    ("Anchors", "F3", 900, '0" per dozen"', "the cell shows '900 per dozen'"),
    ("Anchors", "F3", 900, '0" each"', ""),
    ("Vessels", "B2", 5000, '[$€-2] #,##0', ""),
    ("Vessels", "B2", 5000, '0" NOK"', "shown in NOK, but it is in EUR"),
    ("Freight", "D2", 4000, '"USD" 0', ""),
    ("Freight", "D2", 4, '0"k"', "=4000"),
    ("Anchors", "Z2", 5, '0" %"', ""),
    ("Anchors", "Z2", 0.05, "0.0 %", ""),
    ("Anchors", "Z2", 50, '0"‰"', ""),
    ("Anchors", "Z2", 5, '0" USD"', "the cell shows '5 USD'"),
    ("Anchors", "Y2", 40, '0" days"', ""),
    ("Anchors", "Y2", 2, '0" weeks"', "=14"),
    ("Anchors", "AA2", 7316, "0000", ""),
    ("Chain", "N2", 30, '0" lengths"', ""),
    ("Chain", "D2", 14.6, '0.0" kg/m"', ""),
    ("Chain", "D2", 14.6, '0.0" lb/ft"', "=21.727194"),
    ("Chain", "F2", 40, '0.00" /m"', ""),
    ("Seabeds", "B2", 0.7, "0 %", ""),
    ("Seabeds", "B2", 0.7, '0.0" kN"', "the cell shows '0.7 kN'"),
)

TEXTS: tuple[tuple[str, str, Any, Any], ...] = (
    # sheet, cell, what is typed there, what must be read
    ("Legs", "D2", "80 kN", ""), ("Legs", "D2", "80kN", ""), ("Legs", "D2", " 80,0 ", ""),
    ("Legs", "D2", "8.0e1", ""), ("Legs", "D2", "80 t", "found '80 t'"),
    ("Legs", "D2", "~80", "found '~80'"), ("Legs", "D2", "80-90", "found '80-90'"),
    ("Legs", "D2", "80 (max)", "found '80 (max)'"), ("Legs", "D2", "n/a", "found 'n/a'"),
    ("Legs", "D2", "1,550", "'1,550' may mean 1550 or 1.550"),
    ("Legs", "D2", "1.550", "'1.550' may mean 1550 or 1.550"),
    ("Legs", "D2", "<80", "found '<80'"), ("Legs", "D2", "80 kN/m", "found '80 kN/m'"),
    ("Legs", "F2", "30 m", ""), ("Legs", "F2", "100 ft", "=30.48"),
    ("Legs", "F2", "30 m LAT", "found '30 m LAT'"), ("Legs", "C2", "4 pcs", ""),
    ("Legs", "C2", "2 dozen", "=24"), ("Legs", "C2", "4 pallets", "found '4 pallets'"),
    ("Legs", "C2", "four", "found 'four'"), ("Anchors", "E2", "250 kg", ""),
    ("Anchors", "E2", "0.25 t", ""), ("Anchors", "F2", "$1000", ""),
    ("Anchors", "F2", "USD 1 000", ""), ("Anchors", "F2", "1 000,00 USD", ""),
    ("Anchors", "F2", "€1000", "shown in €"), ("Anchors", "F2", "1000,-", "found '1000,-'"),
    ("Anchors", "F2", "1000 + VAT", "found '1000 + VAT'"), ("Anchors", "Z2", "5 %", ""),
    ("Anchors", "Z2", "5 percent", ""), ("Anchors", "Z2", "50 ‰", ""),
    ("Project", "B11", "10.01.2027", ""), ("Project", "B11", "10 January 2027", ""),
    ("Project", "B11", "10/01/2027", "'10/01/2027' may mean"),
    ("Project", "B11", "1.13.2027", "found '1.13.2027'"),
    ("Legs", "G2", "sa\u00adnd", ""), ("Legs", "G2", "sand\u200b", ""),
    ("Legs", "G2", "\ufeffSand ", ""), ("Legs", "G2", "s\u00a0and", "'s and' is not in Seabeds"),
    ("Legs", "J2", '"folding plate", block', ""),
)

HEADINGS: tuple[tuple[str, str, Any, Any], ...] = (
    # sheet, cell of the heading, what stands there, what must be read
    ("Legs", "D1", "Design tension [kN]", ""), ("Legs", "D1", "Design tension, kN", ""),
    ("Legs", "D1", "design_tension_kn", ""), ("Legs", "D1", "Design\ntension (kN)", ""),
    ("Legs", "D1", "Tension kN", ""), ("Legs", "D1", "Design tension（kN）", ""),
    ("Legs", "D1", "Design tension (t)", "the unit 't' will not do"),
    ("Legs", "D1", "Design tension (ULS)", "the unit 'ULS' will not do"),
    ("Legs", "D1", "Design tension (kN) (lb)", "the unit 'lb' will not do"),
    ("Legs", "F1", "Water depth in m", ""), ("Legs", "F1", "Depth (fathoms)", "the unit 'fathoms'"),
    ("Legs", "C1", "Qty", ""), ("Legs", "C1", "Count (each)", ""), ("Legs", "C1", "No. off", ""),
    ("Legs", "C1", "Count (pcs)", ""), ("Legs", "C1", "Count (packs)", "takes no unit, but has"),
    ("Legs", "C1", "Count (lengths)", "takes no unit, but has 'lengths'"),
    ("Legs", "H1", "Max. drag (m)", ""), ("Legs", "G1", "Soil", ""),
    ("Legs", "G1", "Seabed (kN)", "'kN' is not known here"), ("Legs", "G1", "Seabed (name)", ""),
    ("Chain", "E1", "MBL (kN)", ""), ("Chain", "E1", "Break load kN", ""),
    ("Chain", "E1", "MBL (t)", "the unit 't' will not do"), ("Chain", "C1", "Dia. (mm)", ""),
    ("Chain", "C1", "Ø mm", ""), ("Chain", "F1", "Price/m", ""),
    ("Chain", "F1", "Price (per metre)", ""), ("Chain", "F1", "Price per m (USD)", ""),
    ("Chain", "F1", "Price per m (EUR)", "shown in EUR, but 'Supplier A' sells in USD"),
    ("Chain", "F1", "Price per length", "the unit 'per length' will not do"),
    ("Chain", "D1", "Weight kg/m", ""), ("Chain", "N1", "Available (m)", "takes no unit, but"),
    ("Anchors", "F1", "Price each", ""), ("Anchors", "F1", "Unit price (each)", ""),
    ("Anchors", "F1", "Unit price (project currency)", "takes no unit, but has"),
    ("Anchors", "F1", "Unit price (per dozen)", "takes no unit, but has 'per dozen'"),
    ("Anchors", "Z1", "Duty (% of price)", ""), ("Anchors", "Z1", "Duty (USD)", "the unit 'USD'"),
    ("Anchors", "Y1", "Delivery time (days)", ""), ("Anchors", "E1", "Weight (kg)", ""),
    ("Anchors", "E1", "Weight (kN)", "the unit 'kN' will not do"),
    ("Anchors", "AB1", "This side up (yes/no)", ""),
    ("Anchors", "AB1", "This side up (weeks)", "'weeks' is not known here"),
    ("Project", "A8", "Setting pull (% of breaking load)",
     "'Setting pull (% of breaking load)': the unit"),
    ("Project", "A11", "Order date (yyyy-mm-dd)", ""),
    ("Vessels", "E1", "Workable days (share)", "the unit 'share' will not do"),
)
# fmt: on


class Odd(NamedTuple):
    """One odd workbook: its name, how it is written to a folder, and what must be read."""

    name: str
    write: Callable[[Path], Path]
    place: tuple[str, str]
    """Sheet and cell that are odd; no cell where the whole sheet is."""
    reading: str


def changed(sheet: str, cell: str, value: Any) -> Cells:
    """Return the typed workbook's cells with one of them changed."""
    cells = copy.deepcopy(TYPED)
    row, column = coordinate_to_tuple(cell)
    cells[sheet][row - 1][column - 1] = value
    return cells


def save_book(cells: Cells, path: Path, formats: dict[tuple[str, str], str] | None = None) -> Path:
    """Write cells as a workbook, some of them with a number format."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for title, rows in cells.items():
        page = book.create_sheet(title)
        for number, row in enumerate(rows, start=1):
            for column, value in enumerate(row, start=1):
                if value is not None:
                    page.cell(number, column).value = value
    for (title, cell), code in (formats or {}).items():
        book[title][cell].number_format = code
    book.save(path)
    return path


def text_of(value: Any, decimal: str, thousands: str) -> str:
    """Return a cell as a program of some country exports it."""
    if isinstance(value, bool) or value is None:
        return "" if value is None else str(value)
    if value == 7316:
        return "7316"  # a heading of the customs, which no program puts marks into
    if isinstance(value, int | float):
        whole, _, decimals = f"{value:,}".partition(".")
        whole = whole.replace(",", thousands)
        return whole + (decimal + decimals if decimals.strip("0") else "")
    return f"{value:%Y-%m-%d}" if hasattr(value, "year") else str(value)


def save_folder(
    cells: Cells, path: Path, separator: str, decimal: str, thousands: str, encoding: str,
    first_line: str = "", above: str = "",
) -> Path:  # fmt: skip
    """Write cells as CSV files, as a program of some country exports them."""
    path.mkdir()
    for title, rows in cells.items():
        text = io.StringIO()
        writer = csv.writer(text, delimiter=separator)
        for row in rows:
            writer.writerow(text_of(value, decimal, thousands) for value in row)
        content = first_line + above + text.getvalue()
        (path / f"{title}.csv").write_bytes(content.encode(encoding))
    return path


LOCALES: tuple[tuple[str, str, str, str, str, str], ...] = (
    # name, separator, decimal mark, mark of thousands, encoding, first line
    ("en-US", ",", ".", "", "utf-8", ""),
    ("en-US, thousands shown", ",", ".", ",", "utf-8-sig", ""),
    ("en-GB, tabs", "\t", ".", "", "utf-8", ""),
    ("de-DE", ";", ",", "", "utf-8", ""),
    ("de-DE, by comma", ",", ",", "", "utf-8", ""),
    ("de-DE, sep line", ";", ",", "", "utf-8-sig", "sep=;\r\n"),
    ("fr-FR", ";", ",", "\u202f", "utf-8", ""),
    ("fr-FR, no-break space", ";", ",", "\u00a0", "utf-8", ""),
    ("nb-NO", ";", ",", "\u00a0", "utf-8-sig", ""),
    ("pt-BR", ";", ",", "", "utf-8", ""),
    ("de-CH", ";", ".", "’", "utf-8", ""),
    ("de-CH, straight", ";", ".", "'", "utf-8", ""),
    ("Unicode text", "\t", ".", "", "utf-16", ""),
    ("bars", "|", ".", "", "utf-8", ""),
)


def _above(cells: Cells) -> None:
    for rows in cells.values():
        rows[:0] = [["North reach shellfish"], [None, "prices of spring, invented"], []]


def _units_row(cells: Cells) -> None:
    for title in ("Legs", "Chain", "Rope"):
        heads = cells[title][0]
        units = []
        for column, head in enumerate(heads):
            name, _, unit = str(head).partition(" (")
            heads[column] = name
            units.append(unit.rstrip(")") or None)
        cells[title].insert(1, units)


def _blank_columns(cells: Cells) -> None:
    for rows in cells.values():
        for row in rows:
            row.insert(0, None)
            row.insert(3, None)


def _blank_rows(cells: Cells) -> None:
    for rows in cells.values():
        rows[1:1] = [[], []]
        rows.append([])


def _totals(cells: Cells) -> None:
    cells["Legs"].append(["Total", None, 4, 120])
    cells["Chain"].append(["Sum:", None, None, None, None, 40])


def _bare_totals(cells: Cells) -> None:
    cells["Legs"][2][2] = 1
    cells["Legs"].append([None, None, 5, 120])


def _notes(cells: Cells) -> None:
    cells["Legs"] += [[], ["All tensions by the engineer, at highest water."]]
    cells["Chain"] += [["* prices hold for thirty days"], ["Note: invented"]]


def _repeated(cells: Cells) -> None:
    for title in ("Legs", "Seabeds", "Anchors"):
        cells[title].insert(2, list(cells[title][0]))


def _words(cells: Cells) -> None:
    for title, old, new in (
        ("Legs", "Leg", "Line"), ("Legs", "Count", "Qty"), ("Legs", "Depth (m)", "Water depth, m"),
        ("Chain", "Diameter (mm)", "Dia. mm"), ("Chain", "Breaking load (kN)", "MBL (kN)"),
        ("Chain", "Mass (kg/m)", "Weight (kg/m)"), ("Rope", "Breaking load (kN)", "Break load kN"),
        ("Anchors", "Unit price", "Price each"), ("Anchors", "Mass (kg)", "Wt. (kg)"),
        ("Vessels", "Crane limit (t)", "Crane capacity (t)"),
        ("Vessels", "Day rate", "Rate per day"),
    ):  # fmt: skip
        cells[title][0][cells[title][0].index(old)] = new


def _turned(cells: Cells) -> None:
    for rows in cells.values():
        width = max(map(len, rows))
        rows[:] = [(row + [None] * (width - len(row)))[::-1] for row in rows]


def _logo_and_words(cells: Cells) -> None:
    _words(cells)
    _above(cells)
    _blank_columns(cells)
    _totals(cells)


def _starred(cells: Cells) -> None:
    for rows in cells.values():
        rows[0] = [f" {head} *" if head else head for head in rows[0]]


def _example(cells: Cells) -> None:
    cells["Legs"].insert(1, ["Example: my corner", None, 9, 99, 99, "sand", 9])


LAYOUTS: tuple[tuple[str, Callable[[Cells], None]], ...] = (
    ("title rows", _above), ("a row of units", _units_row), ("blank columns", _blank_columns),
    ("blank rows", _blank_rows), ("totals", _totals), ("notes below", _notes),
    ("headings again", _repeated), ("other words", _words), ("columns turned", _turned),
    ("logo, other words, totals", _logo_and_words), ("stars and spaces", _starred),
    ("an example of one's own", _example),
)  # fmt: skip


def odd_workbooks() -> list[Odd]:
    """Return every odd workbook."""
    odd: list[Odd] = []
    for sheet, cell, value, code, reading in FORMATS:

        def formatted(
            folder: Path, sheet: str = sheet, cell: str = cell, value: Any = value, code: str = code
        ) -> Path:
            cells = changed(sheet, cell, value)
            return save_book(cells, folder / "odd.xlsx", {(sheet, cell): code})

        odd.append(Odd(f"{sheet} {cell} {value} as {code}", formatted, (sheet, cell), reading))
    for sheet, cell, value, reading in (*TEXTS, *HEADINGS):

        def typed(folder: Path, sheet: str = sheet, cell: str = cell, value: Any = value) -> Path:
            return save_book(changed(sheet, cell, value), folder / "odd.xlsx")

        odd.append(Odd(f"{sheet} {cell} {value!r}", typed, (sheet, cell), reading))
    for name, separator, decimal, thousands, encoding, first_line in LOCALES:

        def exported(
            folder: Path, separator: str = separator, decimal: str = decimal,
            thousands: str = thousands, encoding: str = encoding, first_line: str = first_line,
        ) -> Path:  # fmt: skip
            shown = (separator, decimal, thousands, encoding, first_line)
            return save_folder(TYPED, folder / "odd", *shown)

        odd.append(Odd(f"CSV of {name}", exported, ("", ""), ""))
    for name, lay in LAYOUTS:

        def laid(folder: Path, lay: Callable[[Cells], None] = lay) -> Path:
            cells = copy.deepcopy(TYPED)
            lay(cells)
            return save_book(cells, folder / "odd.xlsx")

        odd.append(Odd(f"layout: {name}", laid, ("", ""), ""))
    return [*odd, *_files()]


def _files() -> list[Odd]:
    """Return the odd workbooks that only a file can be."""

    def german_thousands(folder: Path) -> Path:
        return save_folder(TYPED, folder / "odd", ";", ",", ".", "utf-8")

    def struck(folder: Path) -> Path:
        path = save_book(TYPED, folder / "odd.xlsx")
        book = Workbook()
        book.remove(book.worksheets[0])
        for title, rows in TYPED.items():
            page = book.create_sheet(title)
            for row in rows:
                page.append(row)
        for cell in book["Legs"][3]:
            cell.font = Font(strike=True)
        book["Chain"]["E2"].font = Font(strike=True)
        book.save(path)
        return path

    def other_suffix(folder: Path) -> Path:
        path = save_folder(TYPED, folder / "odd", ",", ".", "", "utf-8")
        (path / "Legs.txt").write_text("Leg\n")
        (path / "Rope.csv.bak").write_text("Rope\n")
        return path

    def no_headings(folder: Path) -> Path:
        return save_book({**TYPED, "Legs": TYPED["Legs"][1:]}, folder / "odd.xlsx")

    return [
        Odd("CSV of de-DE, thousands shown", german_thousands, ("Anchors", "E3"),
            "'4.000' may mean 4000 or 4.000: decimal commas stand elsewhere"),
        Odd("struck out", struck, ("Legs", "A3"), "?struck out: row 3"),
        Odd("files of other suffixes", other_suffix, ("", ""),
            "?not read: Legs.txt, Rope.csv.bak"),
        Odd("no headings", no_headings, ("Legs", ""), "no headings were found"),
    ]  # fmt: skip
