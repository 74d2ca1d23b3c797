"""The parts of openpyxl that it does not promise to keep: one of these fails when one moves.

Each is used by one module alone (io/paper/openpyxl_parts.py, io/reading/xlsx_file.py,
io/words/grammar.py, io/paper/stored_values.py); mend it there.
"""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pytest
from moorledger.io.paper.openpyxl_parts import Chart, formats_of, set_formats, set_normal_font
from moorledger.io.paper.stored_values import FORMULA_CELL
from moorledger.io.words.grammar import clean
from openpyxl.cell.cell import Cell
from openpyxl.chart import BarChart, ScatterChart
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils.exceptions import IllegalCharacterError

ROOT = Path(__file__).resolve().parents[2]

MAIN = {"m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}
"""The main namespace (ECMA-376 Part 1, 18)."""


def saved(book: openpyxl.Workbook) -> bytes:
    """Return a workbook as it is written."""
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def part(content: bytes, name: str) -> str:
    """Return one part of a workbook that was written."""
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        return package.read(name).decode("utf-8")


def test_all_formats_of_a_cell_are_copied_at_once() -> None:
    """Font, fill, border, alignment and number format of one cell are those of the other, in the
    file too; what is changed on the one afterwards does not change the other."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    one, other = sheet["A1"], sheet["B2"]
    assert isinstance(one, Cell)
    assert isinstance(other, Cell)
    one.font, one.number_format = Font(name="Arial", size=13, bold=True), "0.00"
    one.fill = PatternFill("solid", fgColor="00CCCCCC")
    one.border, one.alignment = Border(top=Side("thin")), Alignment(wrap_text=True)
    set_formats(other, formats_of(one))
    one.number_format = "0%"
    one.value = other.value = 1
    read = openpyxl.load_workbook(io.BytesIO(saved(book))).worksheets[0]
    assert (read["A1"].number_format, read["B2"].number_format) == ("0%", "0.00")
    for name in ("font", "fill", "border", "alignment"):
        ours, theirs, bare = (repr(getattr(c, name)) for c in (one, read["B2"], read["C3"]))
        assert theirs == ours, name
        assert theirs != bare, name


def test_the_normal_style_has_the_font_that_is_set() -> None:
    """The style of the name Normal (ECMA-376 Part 1, 18.8.7: its builtinId is 0) points to the
    font; a book that was left alone has another."""
    found = []
    for font in (Font(name="Liberation Mono", size=17), None):
        book = openpyxl.Workbook()
        if font is not None:
            set_normal_font(book, font)
        styles = ElementTree.fromstring(part(saved(book), "xl/styles.xml"))
        normal = styles.find("m:cellStyles/m:cellStyle[@builtinId='0']", MAIN)
        assert normal is not None
        formats = styles.findall("m:cellStyleXfs/m:xf", MAIN)[int(normal.attrib["xfId"])]
        written = styles.findall("m:fonts/m:font", MAIN)[int(formats.attrib["fontId"])]
        name, size = written.find("m:name", MAIN), written.find("m:sz", MAIN)
        assert name is not None
        assert size is not None
        found.append((name.attrib["val"], float(size.attrib["val"])))
    assert found[0] == ("Liberation Mono", 17.0)
    assert found[1] != found[0]


def test_a_sheet_read_knows_the_part_that_it_is_in(tmp_path: Path) -> None:
    """By what each part holds; sheets stand in another order than they were made in."""
    book = openpyxl.Workbook()
    book.worksheets[0].title = "first made"
    book.create_sheet("then made", 0)
    for sheet in book.worksheets:
        sheet["A1"] = len(sheet.title)
    path = tmp_path / "two.xlsx"
    path.write_bytes(saved(book))
    read = openpyxl.load_workbook(path, read_only=True)
    assert [sheet.title for sheet in read.worksheets] == ["then made", "first made"]
    for sheet in read.worksheets:
        held = part(path.read_bytes(), sheet._worksheet_path.lstrip("/"))
        assert f"<v>{len(sheet.title)}</v>" in held
    read.close()


def test_charts_are_of_one_class_with_a_size() -> None:
    """A page lays bars and lines alike: both are charts, and are written as wide as they are told:
    9 cm are 3 240 000 EMU of 360 000 a centimetre (ECMA-376 Part 1, 20.1.2.1, from memory)."""
    for kind in (BarChart, ScatterChart):
        chart = kind()
        assert isinstance(chart, Chart)
        assert {"width", "height"} <= set(dir(chart))
        chart.width, chart.height = 9.0, 5.0
        book = openpyxl.Workbook()
        book.worksheets[0].add_chart(chart, "B2")
        assert 'ext cx="3240000" cy="1800000"' in part(saved(book), "xl/drawings/drawing1.xml")


def test_no_text_that_is_cleaned_is_refused_by_a_cell() -> None:
    """Every character below 256: cells refuse some, and none of a cleaned text."""
    cell = openpyxl.Workbook().worksheets[0]["A1"]
    assert isinstance(cell, Cell)
    refused = []
    for code in range(256):
        text = f"a{chr(code)}b"
        try:
            cell.value = text
        except IllegalCharacterError:
            refused.append(code)
        cell.value = clean(text)
        assert clean(text).startswith("a")
        assert clean(text).endswith("b")
    # XML 1.0, 2.2: of the controls only tab, line feed and carriage return are characters.
    assert refused == [code for code in range(32) if code not in (9, 10, 13)]


def test_a_formula_is_written_without_a_value_in_the_form_that_is_filled() -> None:
    """Plain, formatted and with marks that XML escapes: each is found with its address."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet["A1"], sheet["B2"], sheet["C3"] = "=1+1", '=IF(1<2,"a & b","")', 7
    sheet["B2"].number_format = "0.00"
    written = part(saved(book), "xl/worksheets/sheet1.xml")
    assert [cell["at"] for cell in FORMULA_CELL.finditer(written)] == ["A1", "B2"]


def test_workbooks_are_parsed_by_defusedxml() -> None:
    """Where openpyxl does not say so any more, the reader must find out by other means."""
    assert openpyxl.DEFUSEDXML is True


def test_private_parts_are_used_by_the_modules_named_above_alone() -> None:
    """Another use of one would move with nobody told."""
    private = re.compile(r"openpyxl[\w.]*\._|_named_styles|_worksheet_path|cell_style|\"_style\"")
    rooms = ("models", "optimiser", "io", "api")
    paths = [path for room in rooms for path in (ROOT / room).rglob("*.py")]
    using = {path.name for path in paths if private.search(path.read_text(encoding="utf-8"))}
    assert using == {"openpyxl_parts.py", "xlsx_file.py"}


@pytest.mark.parametrize("name", ["reset_dimensions", "iter_rows", "sheet_state"])
def test_a_sheet_read_has_what_the_reader_asks_of_it(name: str) -> None:
    """A sheet that is only read is another class than one that is written."""
    book = openpyxl.load_workbook(io.BytesIO(saved(openpyxl.Workbook())), read_only=True)
    assert hasattr(book.worksheets[0], name)
    book.close()
