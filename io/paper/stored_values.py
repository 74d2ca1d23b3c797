"""Stored values: what each formula comes to, kept in the file beside the formula.

openpyxl writes formulas without their results, so that a preview, a phone or a program that does
not calculate shows blanks. Spreadsheet programs calculate afresh on opening all the same.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping, Sequence
from xml.sax.saxutils import escape

FORMULA_CELL = re.compile(
    r'<c r="(?P<at>[A-Z]+[0-9]+)"(?P<rest>[^>]*)>(?P<formula><f>[^<]*</f>)<v ?(?:/>|></v>)</c>'
)
"""A formula's cell without its value, as openpyxl writes it.

The elements are those of ECMA-376 Part 1, 18.3.1.4 (from memory).
"""


def with_stored_values(content: bytes, sheets: Sequence[Mapping[str, float | str]]) -> bytes:
    """Return the workbook `content` with results filled in.

    sheets : for each sheet, in order, the results by cell address ("E12").

    Raises ValueError where a result finds no formula of its own, so that none is lost unseen.
    """
    filled = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as source,
        zipfile.ZipFile(filled, "w", zipfile.ZIP_DEFLATED) as target,
    ):
        by_part = {
            f"xl/worksheets/sheet{number}.xml": values
            for number, values in enumerate(sheets, start=1)
        }
        for entry in source.infolist():
            part = source.read(entry)
            values = by_part.get(entry.filename)
            if values:
                part = _filled(part.decode("utf-8"), values).encode("utf-8")
            target.writestr(entry, part)
    return filled.getvalue()


def _filled(sheet: str, values: Mapping[str, float | str]) -> str:
    """Return one sheet's XML with its results."""
    done: set[str] = set()

    def fill(cell: re.Match[str]) -> str:
        at, rest, formula = cell["at"], cell["rest"], cell["formula"]
        if at not in values:
            return cell[0]
        done.add(at)
        value = values[at]
        if isinstance(value, str):
            return f'<c r="{at}"{rest} t="str">{formula}<v>{escape(value)}</v></c>'
        return f'<c r="{at}"{rest}>{formula}<v>{float(value)!r}</v></c>'

    sheet = FORMULA_CELL.sub(fill, sheet)
    missed = sorted(set(values) - done)
    if missed:
        raise ValueError(f"no formula is there to take the stored value of {', '.join(missed)}")
    return sheet
