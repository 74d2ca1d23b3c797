"""The package: an .xlsx as the zip that it is, looked at before anything opens it.

Nothing in it is trusted. Its parts are counted, weighed and searched as bytes, so that what is too
large or harmful is refused before a parser sees it.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib

MOST_ENTRIES = 2_000
MOST_UNPACKED = 500_000_000
"""Bytes of all parts, pictures too, which are never unpacked."""
MOST_XML = 100_000_000
"""Bytes of all XML parts, which are."""
MOST_RATIO = 200
"""Unpacked ÷ packed of an entry over 1 MB; a repetitive sheet of 400,000 rows is about 21."""
MOST_TAGS = 150_000
"""XML tags of all parts that are no sheet's cells (styles, names ...); every one costs a parser
some 30 µs and 2 kB."""

_OLE2 = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_XML = (".xml", ".rels", ".vml")
_STRINGS = "xl/sharedstrings.xml"
_DIMENSION = re.compile(rb"<(?:\w+:)?dimension\b")
_SHEET_DATA = re.compile(rb"<(?:\w+:)?sheetData\b")

NOT_XLSX = "not an .xlsx workbook; save it as .xlsx"
ENCRYPTED = "the workbook is encrypted; save it without a password"
MACROS = "the workbook has macros; save it as .xlsx without them"
DAMAGED = "the workbook is damaged and cannot be read"
CUT_SHORT = "the workbook is truncated or damaged"


class RefusedPackageError(ValueError):
    """Raised for a file that is no plain, safe .xlsx; its text says why and what would do."""


def look_at(content: bytes) -> int:
    """Return how many XML tags of cells a parser goes through just to open the workbook.

    Those are of the shared texts, and of each sheet that does not say how large it is. Raises
    RefusedPackageError for anything that is not a plain, safe .xlsx.
    """
    if not content:
        raise RefusedPackageError("the file is empty")
    if content.startswith(_OLE2):
        encrypted = "EncryptedPackage".encode("utf-16-le") in content
        raise RefusedPackageError(ENCRYPTED if encrypted else NOT_XLSX)
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as package:
            why = _refused(package.infolist())
            if why:
                raise RefusedPackageError(why)
            return _tags_to_open(package)
    except RefusedPackageError:
        raise
    except zipfile.BadZipFile as error:
        why = "not an .xlsx workbook; give one, or the folder that holds the CSV files"
        raise RefusedPackageError(CUT_SHORT if content.startswith(b"PK") else why) from error
    except (OSError, EOFError, RuntimeError, ValueError, KeyError, zlib.error) as error:
        raise RefusedPackageError(CUT_SHORT) from error


def part_of(content: bytes, name: str) -> bytes:
    """Return one part of a package that was looked at; raises RefusedPackageError."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as package:
            return package.read(name.lstrip("/"))
    except (zipfile.BadZipFile, OSError, EOFError, RuntimeError, KeyError, zlib.error) as error:
        raise RefusedPackageError(CUT_SHORT) from error


def _refused(entries: list[zipfile.ZipInfo]) -> str:
    """Return why a zip's contents make it no workbook to open, or ""."""
    names = {entry.filename for entry in entries}
    if len(entries) > MOST_ENTRIES:
        return f"holds more than {MOST_ENTRIES} parts, as no plain workbook does; not opened"
    if sum(entry.file_size for entry in entries) > MOST_UNPACKED:
        return f"unpacks to more than {MOST_UNPACKED // 1_000_000} MB; not opened"
    if any(
        entry.file_size > 1_000_000 and entry.file_size > MOST_RATIO * entry.compress_size
        for entry in entries
    ):
        return f"unpacks to more than {MOST_RATIO} times its size, like a zip bomb; not opened"
    if sum(entry.file_size for entry in entries if _is_xml(entry.filename)) > MOST_XML:
        return f"holds more than {MOST_XML // 1_000_000} MB of cells; leave out what is no input"
    if any(entry.flag_bits & 1 for entry in entries):
        return ENCRYPTED
    if any(name.startswith(("/", "\\")) or ".." in name.split("/") for name in names):
        return "holds parts that point outside it; not opened"
    if any(
        name.rsplit("/", 1)[-1].casefold() == "vbaproject.bin"
        or name.casefold().startswith("xl/macrosheets/")
        for name in names
    ):
        return MACROS
    if any(name.startswith("xl/externalLinks/") for name in names):
        return "the workbook links to other files; break its links (paste values) and save it"
    if "[Content_Types].xml" not in names or not any(
        name.startswith("xl/workbook") and name.endswith(".xml") for name in names
    ):
        return NOT_XLSX
    return ""


def _is_xml(name: str) -> bool:
    return name.casefold().endswith(_XML)


def _tags_to_open(package: zipfile.ZipFile) -> int:
    """Return the tags of cells that opening costs; raises RefusedPackageError."""
    if b"macroEnabled" in package.read("[Content_Types].xml"):
        raise RefusedPackageError(MACROS)
    cells = others = 0
    for entry in package.infolist():
        if not _is_xml(entry.filename):
            continue
        part = package.read(entry)
        # A few lines of entities unpack to fill the memory; no workbook needs any. Those of an
        # encoding that hides them from this look are refused by the parser itself.
        if b"<!DOCTYPE" in part or b"<!ENTITY" in part:
            raise RefusedPackageError(
                "declares XML entities, as no plain workbook does; not opened"
            )
        tags = part.count(b"<")
        data = _SHEET_DATA.search(part)
        if entry.filename.casefold() == _STRINGS:
            cells += tags
        elif data is None:
            others += tags
        elif not _DIMENSION.search(part, 0, data.start()):
            cells += tags
        if others > MOST_TAGS:
            raise RefusedPackageError("holds too many styles, names or other parts; not opened")
    return cells
