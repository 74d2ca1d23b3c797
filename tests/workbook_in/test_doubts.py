"""Doubts: what can be read and priced but is hardly meant, each by its cell.

The changes are slips of one order of magnitude or one unit; the bounds are common practice, no
source.
"""

from __future__ import annotations

import re
from datetime import datetime
from typing import Any

from moorledger.io.inputs.template import write_template
from moorledger.io.reading.workbook import farm_of, read_farm_with_warnings
from moorledger.models.doubts import doubts
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.pull_test import Event, Reading

from tests.farms.sample_cells import SAMPLE, sample, tables_of
from tests.farms.small_farm import ANCHOR, farm_with
from tests.quick_run import mostly_long
from tests.workbook_in.test_faulty_workbooks import said_of

SLIPS: tuple[tuple[str, str, Any, str], ...] = (
    ("Legs", "D2", 1.4, "1.6 kN at least expected"),
    ("Legs", "D2", 140, "3.75 to 60 kN expected"),
    ("Legs", "D2", 0.14, "is it in tonnes?"),
    ("Legs", "F2", 95, "m expected"),
    ("Legs", "I12", 2600, "36 to 900 m expected"),
    ("Legs", "H2", 30, "25 m at most expected"),
    ("Seabeds", "B2", 0.06, "0.15 to 1.2 expected"),
    ("Anchors", "E2", 2.5, "in tonnes?"),
    ("Anchors", "F4", 43, "about 384 expected"),
    ("Anchors", "G2", 80, "45° at most expected"),
    ("Anchors", "H2", 300, "3.68 to 147 kN expected"),
    ("Anchors", "AG20", 240, "weigh more than"),
    ("Anchors", "AG20", 7850, "1800 to 3200 kg/m³ expected"),
    ("Anchors", "J20", 4.17, "weigh more than"),
    ("Anchors", "M2", 120, "in mm?"),
    ("Anchors", "P2", 5450, "check"),
    ("Anchors", "P2", 54.5, "less than its anchors weigh"),
    ("Chain", "C2", 130, "kN"),
    ("Chain", "D2", 37, "about 3.38 kg/m"),
    ("Chain", "E2", 10.6, "50.7 to 237 kN"),
    ("Chain", "G2", 550, "m³ expected"),
    ("Chain", "J2", 1.3, "0.041 to 0.41 m³ expected"),
    ("Chain", "K2", 2100, "kg expected"),
    ("Rope", "F2", 10.1, "62.7 to 784 kN"),
    ("Rope", "J2", 3.2, "m³ expected"),
    ("Fittings", "F2", 13, "42.4 to 636 kN expected"),
    ("Fittings", "I2", 0.3, "m³ expected"),
    ("Freight", "G2", 300, "make 30 m³"),
    ("Freight", "H2", 217, "2.4 to 75 t expected"),
    ("Freight", "I2", 586.7, "make 3 m³"),
    ("Freight", "L2", 22.86, "1165 to 2330 mm expected"),
    ("Freight", "D2", 24500, "check both"),
    ("Suppliers", "D3", 1, "NOK is at 0.087 elsewhere"),
    ("Suppliers", "F2", 560, "400 at most expected"),
    ("Vessels", "F2", 9, "8 t at most expected"),
    ("Vessels", "H2", 40, "1.2 to 36 t expected"),
    ("Vessels", "J2", 12, "longer than its working day"),
    ("On hand", "B5", 415, "longer than one sold"),
    ("Price breaks", "C2", 25.8, "less than a third"),
    ("Holding", "C2", 740, "far above"),
    ("Project", "B22", datetime(1926, 2, 2), "long past"),
    ("Project", "B4", 15, "6 at most expected"),
    ("Project", "B26", "CIF", "which Freight would pay again"),
)
"""Sheet, cell, the slip, and some of what is said there (or of the column it contradicts)."""

BESIDE = {"Chain C2", "Anchors P2", "Chain G2", "Freight I2"}
"""Slips of one figure of two that contradict each other: the doubt stands at either, in its row."""


@mostly_long(
    "sheet, cell, value, said",
    SLIPS,
    quick=SLIPS[::4],
    ids=[f"{s} {c} {v}" for s, c, v, _ in SLIPS],
)
def test_a_slip_of_the_sample_is_doubted_at_its_cell(
    sheet: str, cell: str, value: Any, said: str
) -> None:
    """One order of magnitude or one unit off is doubted or refused, by cell and with a reason."""
    lines = said_of(sample((sheet, cell, value)))
    there = [line for line in lines if f": {sheet}!{cell} " in line]
    if not there and f"{sheet} {cell}" in BESIDE:
        row = cell.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
        there = [
            line
            for line in lines
            if line.split(" ")[1].startswith(f"{sheet}!") and line.split(" ")[1].endswith(row)
        ]
    assert there, lines
    assert any(said in line for line in there), there


def test_figures_are_written_out_whatever_their_size() -> None:
    """A mass in tonnes under kg makes ratios of five digits: a buyer reads no 7.48e+04."""
    lines = said_of(sample(("Anchors", "E2", 0.03), ("Chain", "G2", 2750)))
    assert len(lines) > 2
    assert not [line for line in lines if re.search(r"\de[+-]\d", line)]


def test_contradictions_of_an_order_are_doubted() -> None:
    """A least order above what is available; a multiple that never fits; a blank among counts."""
    lines = said_of(
        sample(("Anchors", "U2", 60), ("Anchors", "V3", 50), ("Anchors", "W3", 40),
               ("Anchors", "W2", 48), ("Legs", "C3", None))
    )  # fmt: skip
    assert [line.split(":")[1].strip() for line in lines] == [
        "Legs!C3 Count", "Anchors!U2 Minimum order", "Anchors!V3 Order multiple"
    ]  # fmt: skip


def test_what_nobody_uses_is_doubted() -> None:
    """A supplier that sells nothing, and a service from where nothing is bought."""
    grid = sample(("Suppliers", "+2", None), ("Freight", "+2", None))
    grid["Suppliers"][-1][0] = "Gorse Sample Stores"
    grid["Freight"][-1][0] = "Nowhere by measure"
    grid["Freight"][-1][1] = "Nowhere Quay"
    lines = said_of(grid)
    assert any("'Gorse Sample Stores' is not used" in line for line in lines)
    assert any("'Nowhere by measure' is not used" in line for line in lines)
    assert len(lines) == 2


def test_sample_and_template_give_no_doubt(tmp_path: Any) -> None:
    """The sample, as files and as the template filled with it, is read without doubt or note."""
    farm, said = read_farm_with_warnings(SAMPLE)
    assert said == ()
    write_template(tmp_path / "farm.xlsx", farm)
    assert read_farm_with_warnings(tmp_path / "farm.xlsx")[1] == ()


def test_doubts_go_with_the_farm() -> None:
    """Every warning, and no note, is kept on the farm that was read."""
    farm, said = farm_of(tables_of(sample(("Legs", "H2", 30))))
    assert farm.doubts == said
    assert len(said) == 1


def test_a_pull_that_was_stopped_says_nothing_against_a_declared_holding() -> None:
    """An anchor declared to hold 80 kN stood a setting pull of 15 kN: a lower bound, no doubt; a
    test that went on to a peak of 15 kN is one."""
    held = (DeclaredHolding(ANCHOR.name, "sand", 80.0, "a letter"),)
    for event, doubted in ((Event.STOPPED, False), (Event.NONE, True)):
        pull = Reading("T1", ANCHOR.name, "sand", 1.0, 15.0, event=event)
        said = doubts(farm_with(declared_holdings=held, readings=(pull,)))
        assert any("far above" in fault.message for fault in said) is doubted
