"""Formats and locales drawn at random: read as the plain workbook is, or refused; never otherwise.

MOORLEDGER_LONG=1 draws ten thousand of both together.
"""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from moorledger.io.figures.number_format import shown
from moorledger.io.layout.column import CellKind, InputColumn
from moorledger.io.layout.sheets import SHEETS
from moorledger.io.reading.cells import Cell, RefusedError, value_of
from moorledger.models.fault import Severity

from tests.farms.odd_workbooks import save_folder
from tests.farms.typed_workbook import FARM, TYPED
from tests.workbook_in.test_odd_workbooks import read

LONG = bool(os.environ.get("MOORLEDGER_LONG"))


def draws(quick: int, long: int) -> settings:
    """Return so many draws, the same every time."""
    return settings(
        max_examples=long if LONG else quick,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow],
        derandomize=True,
    )


FIGURES = [
    column
    for sheet in SHEETS
    for column in sheet.columns
    if column.kind in (CellKind.NUMBER, CellKind.COUNT, CellKind.MONEY) and column.field
]

SI = {"kg": (1, "kg"), "t": (1000, "kg"), "lb": (0.45359237, "kg"), "m": (1, "m"),
      "mm": (0.001, "m"), "cm": (0.01, "m"), "ft": (0.3048, "m"), "kN": (1, "kN"),
      "N": (0.001, "kN"), "tf": (9.80665, "kN"), "dozen": (12, "each"), "pcs": (1, "each"),
      "k": (1000, ""), "": (1, "")}  # fmt: skip
"""What a person takes a unit for: its size (BIPM's SI brochure; the pound and foot of 1959)."""

formats = st.builds(
    lambda whole, decimals, commas, space, word: (
        f"{whole}{decimals}{commas}" + (f'"{space}{word}"' if word else ""),
        len(commas),
        word,
    ),
    st.sampled_from(["0", "#,##0", "#", "[>=0]0"]),
    st.sampled_from(["", ".0", ".00", ".###"]),
    st.sampled_from(["", "", "", ",", ",,"]),
    st.sampled_from(["", " "]),
    st.sampled_from([*SI, "%", "xyz", "packs"]),
)


@draws(200, 9300)
@given(st.sampled_from(FIGURES), st.integers(1, 9999), formats)
def test_a_format_is_read_as_it_shows_or_refused(
    column: InputColumn, number: int, drawn: tuple[str, int, str]
) -> None:
    """The value is what a person reads off the cell, in the column's unit; else it is refused."""
    code, commas, word = drawn
    cell = Cell("A1", number, shown=shown(number, code))
    try:
        value, _ = value_of(cell, column)
    except RefusedError:
        return
    factor, kind = SI[word]
    own, own_kind = SI.get(column.unit.removesuffix(" per length"), (1, ""))
    seen = number / 1000**commas * factor
    if kind not in ("", "each"):
        assert kind == own_kind
        seen /= own
    assert value == pytest.approx(seen, rel=1e-12)


@st.composite
def exports(draw: Any) -> tuple[str, str, str, str, str, str]:
    """Return separator, decimal mark, thousands, encoding, first line and lines above."""
    decimal = draw(st.sampled_from([".", ","]))
    thousands = draw(st.sampled_from(["", "", " ", "\u202f", "'", ",", "."]))
    if thousands == decimal:
        thousands = ""
    separator = draw(st.sampled_from([",", ";", "\t", "|"]))
    encoding = draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]))
    first = f"sep={separator}\r\n" if draw(st.booleans()) else ""
    above = draw(st.sampled_from(["", "Prices of spring\r\n\r\n", f"North reach{separator}\r\n"]))
    return separator, decimal, thousands, encoding, first, above


@draws(20, 700)
@given(exports())
def test_an_export_is_read_as_the_plain_workbook_or_refused(
    drawn: tuple[str, str, str, str, str, str],
) -> None:
    """Every separator, decimal mark, mark of thousands, encoding and line above: the same farm."""
    with TemporaryDirectory() as folder:
        path = save_folder(TYPED, Path(folder) / "odd", *drawn)
        farm, faults = read(path)
    errors = [fault.message for fault in faults if fault.severity is Severity.ERROR]
    if drawn[1] == "," and drawn[2] == ".":
        assert errors
        assert all("may mean" in message for message in errors)
        return
    assert errors == []
    assert farm is not None
    assert replace(farm, origin_file="") == replace(FARM, origin_file="")
