"""Files that are made to harm, or are merely enormous: one clear line, soon, in little memory.

Each is read by `check` in a process of its own, whose time and largest memory are measured.
"""

from __future__ import annotations

import io
import os
import random
import re
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.farms.typed_workbook import TYPED, save, save_csv, typed
from tests.quick_run import LONG, mostly_long

SECONDS = 10.0
MIB = 500

if not Path("/proc/self/status").exists():  # pragma: no cover
    pytest.skip("no way to measure a process here", allow_module_level=True)

PROGRAM = """
import atexit

def tell_peak():
    with open("/proc/self/status") as status:
        print(next(line for line in status if line.startswith("VmHWM")), flush=True)

atexit.register(tell_peak)
from moorledger.entrance import main
main()
"""
"""Tells its own peak last: what the system says of a child counts what its parent held, too."""


def check(path: Path) -> tuple[int, str, float, float]:
    """Return exit code, what was said, seconds and MiB of `check` on a path."""
    began = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, "check", str(path)],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        stdin=subprocess.DEVNULL,
    )
    assert process.stdout is not None
    with process.stdout as stdout:
        said = stdout.read().decode()
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    used = usage.ru_utime + usage.ru_stime  # other programs may slow the clock
    said, peak = said.rsplit("VmHWM:", 1)
    mib = int(peak.split()[0]) / 1024
    return process.returncode, said, min(used, time.perf_counter() - began), mib


def with_part(path: Path, part: str, content: bytes) -> None:
    """Write the typed workbook with one part replaced or added."""
    save(TYPED, path)
    with zipfile.ZipFile(path) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    parts[part] = content
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for name, old in parts.items():
            package.writestr(name, old)


DRAW = random.Random(8)
"""What repeats itself packs so well that it is refused for that alone."""

LEGS = "xl/worksheets/sheet2.xml"
HEAD = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
TAIL = b"</worksheet>"


def sheet(rows: bytes, beside: bytes = b"") -> bytes:
    """Return a sheet's XML."""
    return HEAD + b"<sheetData>" + rows + b"</sheetData>" + beside + TAIL


def million_rows(path: Path, dimension: bytes = b"") -> None:
    """A number in each of a million rows."""
    rows = b"".join(b'<row r="%d"><c r="A%d"><v>%d</v></c></row>' % (n, n, n * 7919 % 9973)
                    for n in range(1, 1_000_001))  # fmt: skip
    with_part(path, LEGS, sheet(rows).replace(b"<sheetData>", dimension + b"<sheetData>"))


def many_legs_beside(path: Path) -> None:
    """The same in a sheet that is no input: it is not even opened."""
    million_rows(path, b'<dimension ref="A1:A1000000"/>')
    with zipfile.ZipFile(path) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace(b'"Legs"', b'"Survey"')
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for name, part in parts.items():
            package.writestr(name, part)


def wide_rows(path: Path) -> None:
    """A cell in the last column of each of many rows."""
    rows = b"".join(b'<row r="%d"><c r="XFD%d"><v>%d</v></c></row>' % (n, n, n)
                    for n in range(1, 100_001))  # fmt: skip
    with_part(path, LEGS, sheet(rows))


def longest_texts(path: Path) -> None:
    """Cells of 32,767 letters, the most that the format allows, all different."""
    rows = b"".join(
        b'<row r="%d"><c r="A%d" t="inlineStr"><is><t>%s</t></is></c></row>'
        % (n, n, DRAW.randbytes(16_383).hex().encode())
        for n in range(1, 1500)
    )
    with_part(path, LEGS, sheet(rows))


def spaced_digits(path: Path) -> None:
    """Texts that make a careless search for numbers go back and forth."""
    save(typed(("Legs", "D2", "1 " * 16_000 + "!"), ("Legs", "E2", "1." * 16_000)), path)


def merged_everywhere(path: Path) -> None:
    """A hundred thousand blocks of merged cells, each over the whole sheet."""
    blocks = b"".join(
        b'<mergeCell ref="A1:XF%c%d"/>' % (DRAW.choice(b"ABCD"), DRAW.randint(1_000_000, 1_048_576))
        for _ in range(100_000)
    )
    rows = b'<row r="1"><c r="A1" t="inlineStr"><is><t>Leg</t></is></c></row>'
    with_part(path, LEGS, sheet(rows, b"<mergeCells>" + blocks + b"</mergeCells>"))


def deep_xml(path: Path) -> None:
    """Elements within elements, a hundred thousand deep."""
    opened = b"".join(b'<row r="%d">' % DRAW.randint(1, 10**6) for _ in range(100_000))
    with_part(path, LEGS, sheet(opened + b"</row>" * 100_000))


def style_bomb(path: Path) -> None:
    """A million cell formats."""
    xfs = b"".join(b'<xf numFmtId="%d"/>' % (n % 9973) for n in range(1_000_000))
    with_part(path, "xl/styles.xml", b"<styleSheet><cellXfs>" + xfs + b"</cellXfs></styleSheet>")


def text_bomb(path: Path) -> None:
    """A million shared texts."""
    texts = b"".join(b"<si><t>%d</t></si>" % (n * 7919 % 99991) for n in range(1_000_000))
    with_part(path, "xl/sharedStrings.xml", b"<sst>" + texts + b"</sst>")


def entity_bomb(path: Path) -> None:
    """A billion laughs."""
    levels = b"".join(b'<!ENTITY a%d "%s">' % (n, b"&a%d;" % (n - 1) * 10) for n in range(1, 10))
    xml = b'<!DOCTYPE b [<!ENTITY a0 "ha">' + levels + b"]><worksheet>&a9;</worksheet>"
    with_part(path, LEGS, xml)


def hidden_entity_bomb(path: Path) -> None:
    """The same in an encoding in which a search for its bytes finds nothing."""
    levels = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
    xml = f'<?xml version="1.0" encoding="utf-16"?><!DOCTYPE b [<!ENTITY a0 "ha">{levels}]>'
    with_part(path, LEGS, (xml + "<worksheet>&a9;</worksheet>").encode("utf-16"))


def zip_bomb(path: Path) -> None:
    """Half a gigabyte of zeros in half a megabyte."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("[Content_Types].xml", "<x/>")
        package.writestr("xl/workbook.xml", "<x/>")
        with package.open("xl/worksheets/sheet1.xml", "w") as part:
            for _ in range(480):
                part.write(bytes(1_000_000))
    path.write_bytes(stream.getvalue())


def many_faults(path: Path) -> None:
    """Five thousand items, none of which is known."""
    cells = typed()
    cells["On hand"] += [[f"thing number {n}", 1] for n in range(5000)]
    cells["Anchors"] += [[f"anchor number {n}"] for n in range(2000)]
    save(cells, path)


HOSTILE: list[tuple[Callable[[Path], None], str]] = [
    (million_rows, "the input sheets hold too many cells; leave out what is no input"),
    (wide_rows, "too many cells"),
    (longest_texts, "holds more than 100 MB of cells|no headings were found"),
    (spaced_digits, "Design tension +found '1 1 1"),
    (merged_everywhere, "for holding it would need 'Design tension \\(kN\\)'|too many"),
    (deep_xml, "the workbook is damaged|Legs|too many"),
    (style_bomb, "holds too many styles, names or other parts; not opened"),
    (text_bomb, "the input sheets hold too many cells; leave out what is no input"),
    (entity_bomb, "declares XML entities, as no plain workbook does; not opened"),
    (hidden_entity_bomb, "the workbook is damaged and cannot be read"),
    (zip_bomb, "like a zip bomb; not opened"),
    (many_faults, "'thing number 4999' is not in Anchors, Chain, Rope or Fittings"),
    (many_legs_beside, "Survey +no input sheet has this name; it is not read"),
]

EVIDENCE_ALONE = (merged_everywhere, many_legs_beside)
"""Without legs to read, what is left of these is a whole workbook for `holding`: no fault, but told
to be not enough for the others."""

SOON_MADE = [(make, said) for make, said in HOSTILE if make in (spaced_digits, hidden_entity_bomb)]


@mostly_long("make, said", HOSTILE, quick=SOON_MADE, ids=[make.__name__ for make, _ in HOSTILE])
def test_hostile_file_is_told_soon_and_in_little_memory(
    make: Callable[[Path], None], said: str, tmp_path: Path
) -> None:
    """Exit code 1 but for evidence alone, what is wrong, no traceback; within 10 s and 500 MiB."""
    path = tmp_path / "farm.xlsx"
    make(path)
    code, told, seconds, mib = check(path)
    assert "Traceback" not in told
    assert re.search(said, told), told[-2000:]
    assert code == (0 if make in EVIDENCE_ALONE else 1)
    assert make not in EVIDENCE_ALONE or re.search("price, .*not enough", told)
    assert seconds < SECONDS
    assert mib < MIB


@LONG
def test_a_large_folder_of_text_is_refused(tmp_path: Path) -> None:
    """More text than any farm has is not read; text beside the input does not count."""
    folder = save_csv(TYPED, tmp_path / "farm")
    (folder / "survey.csv").write_bytes(b"1,2,3\n" * 3_000_000)
    assert "Legs" in check(folder)[1]
    (folder / "Legs.csv").write_bytes(b"1,2,3\n" * 3_000_000)
    code, told, seconds, mib = check(folder)
    assert code == 1
    assert "holds more than 10 MB of input; leave out what is no input" in told
    assert (seconds < SECONDS, mib < MIB) == (True, True)


@LONG
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    """A named pipe, which would never end, is no file: in a folder, or given as the workbook."""
    folder = save_csv(TYPED, tmp_path / "farm")
    (folder / "Legs.csv").unlink()
    os.mkfifo(folder / "Legs.csv")
    for path in (folder, folder / "Legs.csv"):
        code, told, *_ = check(path)
        assert code == 1
        assert "not a file; give an .xlsx workbook or a folder of CSV files" in told


@LONG
def test_what_a_terminal_cannot_show_is_no_traceback(tmp_path: Path) -> None:
    """Emoji and right-to-left names on a Western terminal come out as escapes."""
    path = save(typed(("Legs", "F2", "מעגן ⚓")), tmp_path / "farm ⚓.xlsx")
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, "check", str(path)],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "cp1252"},
        timeout=60,
    )
    assert done.returncode == 1
    assert b"\\u05de" in done.stdout
    assert b"Traceback" not in done.stderr
