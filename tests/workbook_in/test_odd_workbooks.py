"""Odd workbooks, as people and spreadsheet programs make them: none read wrong in silence."""

from __future__ import annotations

import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from moorledger.io.layout.sheets import SHEETS
from moorledger.io.reading.workbook import read_farm_with_warnings
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError, Fault, Severity

from tests.farms.libreoffice_exports import EXPORTS, LOCALES
from tests.farms.odd_workbooks import Odd, odd_workbooks
from tests.farms.typed_workbook import FARM
from tests.quick_run import mostly_long

CORPUS = odd_workbooks()


def value_at(farm: Farm, sheet: str, cell: str) -> Any:
    """Return what was read of a cell."""
    layout = next(each for each in SHEETS if each.title == sheet)
    for record in getattr(farm, layout.farm_field):
        for column in layout.columns:
            if record.source.cells.get(column.heading) == cell:
                return getattr(record, column.field)
    raise AssertionError(f"nothing was read of {sheet}!{cell}")


def read(path: Path) -> tuple[Farm | None, tuple[Fault, ...]]:
    """Return the farm of a file, or None, and what is said of it."""
    try:
        return read_farm_with_warnings(path)
    except FarmError as refused:
        return None, refused.faults


def test_corpus_is_large() -> None:
    """At least 150 odd workbooks, all of different names."""
    assert len({odd.name for odd in CORPUS}) == len(CORPUS) >= 150


@mostly_long("odd", CORPUS, quick=CORPUS[::4], ids=[odd.name for odd in CORPUS])
def test_odd_workbook_is_read_as_it_is_meant_or_refused(odd: Odd, tmp_path: Path) -> None:
    """The typed farm, the value that a cell shows, or a fault that names the cell."""
    farm, said = read(odd.write(tmp_path))
    there = [
        fault
        for fault in said
        if odd.place == ("", "")
        or (fault.sheet, fault.cell) in (odd.place, (odd.place[0], ""))
        or (odd.place[1] == "F1" and fault.cell == "F2")  # a heading's currency, told of its cells
    ]
    if odd.reading.startswith("="):
        assert farm is not None, said
        assert value_at(farm, *odd.place) == pytest.approx(float(odd.reading[1:]), rel=1e-6)
    elif not odd.reading or odd.reading.startswith("?"):
        assert farm is not None, said
        doubts = [fault for fault in said if fault.severity is Severity.WARNING]
        if odd.reading:
            assert any(fault.message.startswith(odd.reading[1:]) for fault in there), said
        else:
            assert doubts == []
        if "0.4" not in odd.name:
            assert same(farm, odd.name), farm
    else:
        assert farm is None
        assert any(
            fault.message.startswith(odd.reading) and fault.severity is Severity.ERROR
            for fault in there
        ), said


@pytest.mark.parametrize("locale", LOCALES)
def test_libreoffices_own_exports_are_read(locale: str, tmp_path: Path) -> None:
    """Marks of decimals and thousands, and names of files, as LibreOffice writes them there."""
    with zipfile.ZipFile(EXPORTS) as kept:
        kept.extractall(tmp_path, [n for n in kept.namelist() if n.startswith(locale)])
    farm, said = read(tmp_path / locale)
    assert said == ()
    assert farm is not None
    assert replace(farm, origin_file="") == replace(FARM, origin_file="")


def same(farm: Farm, name: str) -> bool:
    """Tell whether a farm is the typed one, but for a note that was changed on purpose."""
    legs = tuple(
        replace(leg, note=typed.note, group=typed.group)
        for leg, typed in zip(farm.legs, FARM.legs, strict=True)
    )
    return replace(farm, legs=legs, origin_file="") == replace(FARM, origin_file="")
