"""Files that must not be opened, and files that are no workbook: one clear line each."""

from __future__ import annotations

import io
import random
import zipfile
from pathlib import Path

import pytest
from moorledger.io.reading.workbook import read_farm
from moorledger.models.fault import FarmError

from tests.farms.typed_workbook import TYPED, rewrite, save, save_csv

VESSELS = f"xl/worksheets/sheet{list(TYPED).index('Vessels') + 1}.xml"
"""Where a saved workbook keeps the sheet Vessels."""


def refusal(path: Path) -> str:
    """Return the one line that is said of a file that cannot be opened."""
    with pytest.raises(FarmError) as refused:
        read_farm(path)
    (fault,) = refused.value.faults
    return str(fault)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "the file is empty"),
        (b"Leg,Count\n", "not an .xlsx workbook; give one, or the folder that holds the CSV files"),
        (b"PK\x03\x04 and no more", "the workbook is truncated or damaged"),
        # The first bytes of OLE2, in which spreadsheet programs wrap what they encrypt.
        (
            bytes.fromhex("d0cf11e0a1b11ae1") + "EncryptedPackage".encode("utf-16-le"),
            "the workbook is encrypted; save it without a password",
        ),
        (
            bytes.fromhex("d0cf11e0a1b11ae1") + "Workbook".encode("utf-16-le"),
            "not an .xlsx workbook; save it as .xlsx",
        ),
    ],
)
def test_file_of_another_kind_gets_one_line(content: bytes, message: str, tmp_path: Path) -> None:
    """A file that is no workbook is refused by what it is, whatever it is called."""
    path = tmp_path / "farm.xlsx"
    path.write_bytes(content)
    assert refusal(path) == f"farm.xlsx: {message}"


@pytest.mark.parametrize(
    ("part", "content", "message"),
    [
        ("xl/vbaProject.bin", b"x", "the workbook has macros; save it as .xlsx without them"),
        (
            "xl/externalLinks/externalLink1.xml",
            b"<x/>",
            "the workbook links to other files; break its links (paste values) and save it",
        ),
        (
            "xl/media/big.bin",
            bytes(3_000_000),
            "unpacks to more than 200 times its size, like a zip bomb; not opened",
        ),
        ("../outside.xml", b"<x/>", "holds parts that point outside it; not opened"),
        ("xl/workbook.xml", b"<workbook", "the workbook is damaged and cannot be read"),
        (
            "xl/worksheets/sheet1.xml",
            b'<!DOCTYPE b [<!ENTITY a "aaaaaaaaaa"><!ENTITY c "&a;&a;&a;&a;">]><worksheet>&c;'
            b"</worksheet>",
            "declares XML entities, as no plain workbook does; not opened",
        ),
    ],
)
def test_workbook_with_a_harmful_part_gets_one_line(
    part: str, content: bytes, message: str, tmp_path: Path
) -> None:
    """Macros, links, bombs and damage are refused in one line."""
    path = save(TYPED, tmp_path / "farm.xlsx")
    rewrite(path, part, b"", content)
    assert refusal(path) == f"farm.xlsx: {message}"


def test_workbook_cut_short_gets_one_line(tmp_path: Path) -> None:
    """Half a workbook, as a broken download leaves it, is refused."""
    path = save(TYPED, tmp_path / "farm.xlsx")
    path.write_bytes(path.read_bytes()[:2000])
    assert refusal(path) == "farm.xlsx: the workbook is truncated or damaged"


def test_zip_of_too_many_parts_is_not_opened(tmp_path: Path) -> None:
    """More than 2000 parts are no plain workbook."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as package:
        for number in range(2001):
            package.writestr(f"{number}", b"")
    path = tmp_path / "farm.xlsx"
    path.write_bytes(stream.getvalue())
    assert refusal(path) == (
        "farm.xlsx: holds more than 2000 parts, as no plain workbook does; not opened"
    )


def test_zip_that_is_no_workbook_is_refused(tmp_path: Path) -> None:
    """A zip of something else is no workbook."""
    path = tmp_path / "farm.xlsx"
    with zipfile.ZipFile(path, "w") as package:
        package.writestr("content.xml", b"<x/>")
    assert refusal(path) == "farm.xlsx: not an .xlsx workbook; save it as .xlsx"


def test_missing_file_and_empty_folder_get_one_line(tmp_path: Path) -> None:
    """A path that holds nothing to read is named."""
    assert refusal(tmp_path / "none.xlsx") == "none.xlsx: there is no such file or folder"
    (tmp_path / "empty").mkdir()
    assert refusal(tmp_path / "empty") == "empty: the folder holds no .csv files"


def test_row_far_beyond_the_last_is_refused(tmp_path: Path) -> None:
    """A row number beyond the format's 1,048,576 rows (ECMA-376) does not exhaust the memory."""
    path = save(TYPED, tmp_path / "farm.xlsx")
    rewrite(path, VESSELS, b'<row r="2"', b'<row r="99999999999"')
    assert refusal(path) == "farm.xlsx: sheet 'Vessels' has too many cells; not read"


def test_number_too_large_for_any_use_is_a_fault(tmp_path: Path) -> None:
    """A cell of 400 digits is refused like any other number that is no quantity."""
    path = save(TYPED, tmp_path / "typed.xlsx")
    rewrite(path, VESSELS, b"<v>5000</v>", b"<v>" + b"9" * 400 + b"</v>")
    assert refusal(path) == "Vessels!B2 Day rate: found inf; needs an amount, at least 0"


def test_workbook_is_left_as_it_was(tmp_path: Path) -> None:
    """Reading changes no byte of the buyer's file."""
    path = save(TYPED, tmp_path / "typed.xlsx")
    before = path.read_bytes()
    read_farm(path)
    assert path.read_bytes() == before


def test_csv_that_is_not_text_is_refused(tmp_path: Path) -> None:
    """A file of another kind that is merely called .csv gets one line."""
    folder = save_csv(TYPED, tmp_path / "typed")
    (folder / "Rope.csv").write_bytes(b"PK\x03\x04\0\0\0\0")
    assert refusal(folder) == "Rope.csv: not a text file; save it as CSV, UTF-8"


@pytest.mark.parametrize("seed", range(8))
def test_damaged_bytes_never_give_a_traceback(seed: int, tmp_path: Path) -> None:
    """Whatever bytes a sheet's XML loses to chance, it reads or is refused with faults."""
    draw = random.Random(seed)
    path = save(TYPED, tmp_path / "farm.xlsx")
    part = f"xl/worksheets/sheet{draw.randint(1, 16)}.xml"
    with zipfile.ZipFile(path) as package:
        content = bytearray(package.read(part))
    for _ in range(3):
        content[draw.randrange(len(content))] = draw.choice(b'0123456789<>"=/ abc')
    rewrite(path, part, b"", bytes(content))
    outcome: tuple[object, ...]
    try:
        outcome = read_farm(path).legs
    except FarmError as refused:
        outcome = refused.faults
    assert outcome
