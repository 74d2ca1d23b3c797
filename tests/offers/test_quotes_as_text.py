"""Quotations sent as separated text, and what is said of a folder's other files."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from moorledger.io.commands.command_line import main
from moorledger.io.inputs.template import write_template
from moorledger.io.quotes.quotation import quoted_twice
from moorledger.io.quotes.quoted_files import quotation_files
from moorledger.io.quotes.reader import read_quotation
from moorledger.io.quotes.request import request_workbook
from moorledger.models.fault import FarmError
from openpyxl import load_workbook

from tests.farms.small_farm import ANCHOR, CHAIN, SHACKLE, SUPPLIER, farm_with
from tests.offers.layouts import LAYOUTS
from tests.offers.test_quotes import ASKED, FARM, errors, filled
from tests.quick_run import LONG


@pytest.mark.parametrize(
    ("number", "separator", "comma", "encoding", "ending"),
    [
        (0, ",", False, "utf-8", "csv"),
        (1, ";", True, "utf-8-sig", "csv"),
        (2, "\t", False, "utf-16", "txt"),
        (4, ",", False, "cp1252", "csv"),
        (5, ";", True, "utf-8", "CSV"),
        (9, "\t", True, "cp1252", "tsv"),
    ],
)
def test_a_layout_saved_as_text_is_taken_as_the_workbook_is(
    number: int, separator: str, comma: bool, encoding: str, ending: str, tmp_path: Path
) -> None:
    """Separators, decimal marks and encodings change nothing of what is quoted but where it
    stands: by proposal, and by a map for files of that name."""
    layout = LAYOUTS[number]
    words = [replace(word, file="*") for word in layout.map_rows()]
    farm = replace(FARM, layout_words=tuple(words))
    path = layout.write_text(tmp_path, separator, comma=comma, encoding=encoding, ending=ending)
    found = read_quotation(path, farm)
    assert errors(found) == []
    book = read_quotation(layout.write(tmp_path), farm)
    assert [replace(line, place="Sheet1!" + line.place) for line in found.lines] == [*book.lines]
    assert found.lines
    terms = ("supplier", "reference", "valid_until", "delivery_term", "payment_terms")
    assert [getattr(found, t) for t in terms] == [getattr(book, t) for t in terms]


def as_text(path: Path, separator: str = ";", encoding: str = "utf-8") -> Path:
    """Return our own request, filled in, as a spreadsheet program saves its sheet as text."""
    page = load_workbook(path)["Quotation"]
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=separator)
    for row in page.iter_rows(values_only=True):
        cells = ["" if v is None else v.date() if hasattr(v, "date") else v for v in row]
        shown = [str(c).replace(".", ",") if isinstance(c, float) else str(c) for c in cells]
        writer.writerow(shown)
    text = path.with_suffix(".csv")
    text.write_bytes(out.getvalue().encode(encoding))
    return text


def test_our_own_request_saved_as_text_is_read_as_ours(tmp_path: Path) -> None:
    """Nothing is proposed, and all is as in the workbook, terms too."""
    path = filled(tmp_path, G14=17.25, H13=2)
    found, book = read_quotation(as_text(path), FARM), read_quotation(path, FARM)
    assert errors(found) == []
    assert not found.proposed
    assert [replace(line, place=f"Quotation!{line.place}") for line in found.lines] == [*book.lines]
    assert (found.supplier, found.reference, found.valid_until) == (
        book.supplier, book.reference, book.valid_until,
    )  # fmt: skip
    assert found.not_quoted == book.not_quoted


def test_faults_of_text_are_told_by_file_and_cell(tmp_path: Path) -> None:
    """A price that is none, one that may be two numbers, and what was guessed of the letters."""
    content = request_workbook(FARM, SUPPLIER, ASKED)
    assert content is not None
    lines = [["Product", "Price", "Grüße"], [ANCHOR.name, "1.850", ""], [CHAIN.name, "soon", ""]]
    path = tmp_path / "Aspen Invented.csv"
    path.write_bytes("\n".join(";".join(line) for line in lines).encode("cp1252"))
    found = read_quotation(path, FARM)
    assert found.lines == ()
    told = errors(found)
    assert told[0].startswith("Aspen Invented.csv!B2 Unit price: '1.850' may mean 1850 or 1.850")
    assert told[1].startswith("Aspen Invented.csv!B3 Unit price: found 'soon'")
    assert any("Windows-1252" in str(fault) for fault in found.faults)


def test_one_price_shows_how_all_decimals_are_written(tmp_path: Path) -> None:
    """Where another price of the file has a decimal comma, 1,850 is less than two."""
    rows: list[list[str | float | None]] = [
        ["Item", "Unit price"], [ANCHOR.name, "875,50"], [SHACKLE.name, "24,500"],
    ]  # fmt: skip
    layout = replace(LAYOUTS[0], rows=rows)
    path = layout.write_text(tmp_path, ";", comma=True, encoding="utf-8")
    found = read_quotation(path, FARM)
    assert errors(found) == []
    assert [line.unit_price for line in found.lines] == [875.5, 24.5]


@pytest.mark.parametrize("heading", ["Price in USD", "USD/m", "Unit price ($)"])
def test_a_heading_in_another_currency_is_refused(heading: str, tmp_path: Path) -> None:
    """A price headed in a currency that Suppliers does not have for the seller is not taken."""
    layout = replace(LAYOUTS[0], rows=[["Item", heading], [CHAIN.name, 17.0]])
    found = read_quotation(layout.write(tmp_path), FARM)
    assert found.lines == ()
    assert any("Suppliers has 'Aspen Invented' in EUR" in told for told in errors(found))


def test_a_price_that_shows_another_currency_is_refused(tmp_path: Path) -> None:
    """A cell formatted as dollars is no price in euros."""
    path = LAYOUTS[0].write(tmp_path)
    book = load_workbook(path)
    book["Sheet1"]["C2"].number_format = '"USD" #,##0.00'
    book.save(path)
    assert any("C2 Unit price: the cell shows USD" in told for told in errors(
        read_quotation(path, FARM)
    ))  # fmt: skip


def test_a_hidden_row_of_a_quotation_is_told(tmp_path: Path) -> None:
    """What a quotation's sheet hides is read like the rest, and said."""
    path = LAYOUTS[0].write(tmp_path)
    book = load_workbook(path)
    book["Sheet1"].row_dimensions[3].hidden = True
    book.save(path)
    told = [str(fault) for fault in read_quotation(path, FARM).faults]
    assert any(t.startswith("Aspen Invented offer 1.xlsx: Sheet1!A3: hidden: row 3") for t in told)


def test_a_supplier_may_have_a_map_for_each_of_its_layouts(tmp_path: Path) -> None:
    """Only the rows whose pattern fits a file's name are read for it, and those without one."""
    layout = LAYOUTS[3]
    other = replace(layout.map_rows()[1], ours="Available", file="other *.csv")
    farm = replace(FARM, layout_words=(*layout.map_rows(), other))
    found = read_quotation(layout.write(tmp_path), farm)
    assert {line.item: line.unit_price for line in found.lines} == pytest.approx(layout.prices)


def test_every_file_of_a_folder_is_read_or_named(tmp_path: Path) -> None:
    """Quotations are read; a lock, leftovers, other spreadsheets, a folder and the farm itself
    are each told."""
    names = ("a.xlsx", "b.CSV", "c.txt", "~$a.xlsx", ".~lock.b.CSV#", ".DS_Store", "d.pdf",
             "e.ods", "farm.xlsx")  # fmt: skip
    for name in names:
        (tmp_path / name).write_bytes(b"")
    (tmp_path / "older").mkdir()
    files, said = quotation_files(tmp_path, (tmp_path / "farm.xlsx",))
    assert [path.name for path in files] == ["a.xlsx", "b.CSV", "c.txt"]
    told = " | ".join(str(fault) for fault in said)
    for name in {*names, "older/"} - {"a.xlsx", "b.CSV", "c.txt"}:
        assert name in told, name
    assert "save other spreadsheets as .xlsx or .csv" in told


def test_a_folder_without_quotations_says_what_it_holds(tmp_path: Path) -> None:
    """A scan alone is nothing to take; nor is it when it is named itself."""
    (tmp_path / "d.pdf").write_bytes(b"")
    for path in (tmp_path, tmp_path / "d.pdf"):
        with pytest.raises(FarmError) as error:
            quotation_files(path)
        assert "d.pdf" in str(error.value)


@LONG
def test_a_supplier_is_taken_from_one_file_for_each_item(tmp_path: Path) -> None:
    """Two files of the same supplier that price the same item: which counts is not guessed."""
    first = read_quotation(LAYOUTS[0].write(tmp_path), FARM)
    other = read_quotation(LAYOUTS[4].write(tmp_path), FARM)
    assert not list(quoted_twice([first, other]))
    (fault,) = quoted_twice([first, other, replace(first, file="2.csv")])
    assert str(fault).endswith("move the other elsewhere")
    assert f"and so does '{first.file}'" in str(fault)


@LONG
def test_text_is_taken_by_the_command_and_the_rest_named(tmp_path: Path) -> None:
    """A buyer's folder: the farm, an answer as text and a scan of it; the offer is taken."""
    layout = replace(LAYOUTS[0], rows=[["Item", "Unit price"], [ANCHOR.name, 871.5]])
    farm = tmp_path / "farm.xlsx"
    write_template(farm, farm_with(suppliers=(SUPPLIER, replace(SUPPLIER, name=layout.supplier))))
    layout.write_text(tmp_path, ";", comma=True, encoding="utf-8")
    (tmp_path / "scan.pdf").write_bytes(b"")
    words = ["quotes", "take", str(farm), str(tmp_path), "-o", str(tmp_path / "o.xlsx"), "--accept"]
    done = CliRunner().invoke(main, words)
    assert done.exit_code == 0, done.output
    assert f"{ANCHOR.name} from {layout.supplier}: EUR 871.50" in done.output
    assert "not read: scan.pdf" in done.output
