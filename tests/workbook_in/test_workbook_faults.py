"""What is said of a workbook with faults in it: every spoilt cell, heading, sheet and file.

The wording is our own; what must be found is in the workbook's specification.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from moorledger.io.reading.workbook import read_farm, read_farm_with_warnings
from moorledger.models.fault import FarmError, Severity

from tests.farms.typed_workbook import TYPED, Cells, save, typed
from tests.quick_run import mostly_long


def said_of(cells: Cells, folder: Path) -> list[str]:
    """Return every fault that reading these cells as a workbook raises, in words."""
    with pytest.raises(FarmError) as refused:
        read_farm(save(cells, folder / "typed.xlsx"))
    return [str(fault) for fault in refused.value.faults]


CELL_FAULTS: list[tuple[str, str, Any, str]] = [
    ("Legs", "G2", "sandd", "Legs!G2 Seabed: 'sandd' is not in Seabeds; did you mean 'sand'?"),
    ("Legs", "D2", None, "Legs!D2 Design tension: blank; needs a number, more than 0"),
    ("Legs", "D2", "eighty", "Legs!D2 Design tension: found 'eighty'; needs a number, more than 0"),
    (
        "Legs",
        "D2",
        "1,234",
        "Legs!D2 Design tension: '1,234' may mean 1234 or 1.234; write 1234, or 1.2340",
    ),
    (
        "Legs",
        "D2",
        "80 kg",
        "Legs!D2 Design tension: found '80 kg'; needs a number, more than 0: write the number"
        " alone; its unit belongs in the heading, such as 'Design tension (kN)'",
    ),
    ("Legs", "D2", -3, "Legs!D2 Design tension: found -3; needs a number, more than 0"),
    ("Legs", "D2", 0, "Legs!D2 Design tension: found 0; needs a number, more than 0"),
    (
        "Legs",
        "D2",
        1000000000.0,
        "Legs!D2 Design tension: found 1000000000; more than 100000 kN is not to be believed:"
        " check the number and the unit of its heading",
    ),
    (
        "Legs",
        "D2",
        "=80",
        "Legs!D2 Design tension: the formula has no stored result; open the workbook in a "
        "spreadsheet program, let it calculate, and save it",
    ),
    (
        "Legs",
        "D2",
        "#N/A",
        "Legs!D2 Design tension: the cell shows the error #N/A; needs a number, more than 0",
    ),
    ("Legs", "D2", True, "Legs!D2 Design tension: found TRUE; needs a number, more than 0"),
    (
        "Legs",
        "D2",
        datetime(2027, 5, 1),
        "Legs!D2 Design tension: found 2027-05-01; needs a number, more than 0: the "
        "spreadsheet has made a date of it; format the cell as a number and retype it",
    ),
    ("Legs", "C2", 2.5, "Legs!C2 Count: found 2.5; needs a whole number, at least 1"),
    ("Legs", "C2", 0, "Legs!C2 Count: found 0; needs a whole number, at least 1"),
    (
        "Legs",
        "A3",
        "Corner",
        "Legs!A3 Leg: 'Corner' is named twice (first on Legs row 2); give each its own name",
    ),
    ("Legs", "A3", None, "Legs!A3 Leg: blank; needs a name"),
    ("Legs", "J2", "plates", "Legs!J2 Allowed families: 'plates' is not in Anchors"),
    (
        "Legs",
        "K3",
        "plate 25",
        "Legs!K3 Fixed anchor: 'plate 25' is not in Anchors; did you mean 'plate 250'?",
    ),
    (
        "Legs",
        "L3",
        "chain 62",
        "Legs!L3 Fixed chain: 'chain 62' is not in Chain; did you mean 'chain 26'?",
    ),
    (
        "Legs",
        "F1",
        "Depth (fathom)",
        "Legs!F1 Depth: the unit 'fathom' will not do; use m, ft, mm or in",
    ),
    ("Legs", "F1", "Depth (kg)", "Legs!F1 Depth: the unit 'kg' will not do; use m, ft, mm or in"),
    (
        "Legs",
        "I1",
        "Depth (ft)",
        "Legs!I1 Depth: the column is there twice (first at F1); keep one",
    ),
    (
        "Anchors",
        "B2",
        "Supplier AA",
        "Anchors!B2 Supplier: 'Supplier AA' is not in Suppliers; did you mean 'Supplier A'?",
    ),
    (
        "Anchors",
        "D2",
        "foldng",
        "Anchors!D2 Transport form: found 'foldng'; needs folding or solid; did you mean "
        "'folding'?",
    ),
    ("Anchors", "E2", "heavy", "Anchors!E2 Mass: found 'heavy'; needs a number, more than 0"),
    (
        "Anchors",
        "F2",
        "£1000",
        "Anchors!F2 Unit price: shown in £, but 'Supplier A' sells in USD: convert it, or mend "
        "the currency",
    ),
    (
        "Anchors",
        "F2",
        "1000 NOK",
        "Anchors!F2 Unit price: shown in NOK, but 'Supplier A' sells in USD: convert it, or mend "
        "the currency",
    ),
    (
        "Anchors",
        "F1",
        "Unit price (USD)",
        "Anchors!F3 Unit price: shown in USD, but 'Supplier B' sells in EUR: convert it, or mend "
        "the currency",
    ),
    ("Anchors", "G2", 91, "Anchors!G2 Largest uplift: found 91; needs a number, 0 to 90"),
    (
        "Anchors",
        "J3",
        4,
        "Anchors!J3 Submerged volume: 4 m³ of sea water weigh more than its 4000 kg: check "
        "volume, mass and units",
    ),
    (
        "Anchors",
        "A3",
        "plate 250",
        "Anchors!A3 Anchor: 'plate 250' is named twice (first on Anchors row 2); give each "
        "its own name",
    ),
    ("Anchors", "A2", None, "Anchors!A2 Anchor: blank; needs a name"),
    ("Anchors", "A2", "#REF!", "Anchors!A2 Anchor: the cell shows the error #REF!; needs a name"),
    ("Anchors", "E2", None, "Anchors!E2 Mass: blank; needs a number, more than 0"),
    ("Anchors", "C2", None, "Anchors!C2 Family: blank; needs a name"),
    ("Anchors", "I3", 0.5, "Anchors!I3 Safety factor: found 0.5; needs a number, at least 1"),
    (
        "Anchors",
        "L3",
        "wieght",
        "Anchors!L3 Holds by: found 'wieght'; needs embedding or weight; did you mean 'weight'?",
    ),
    ("Seabeds", "B2", 9, "Seabeds!B2 Chain friction: found 9; needs a number, 0 to 3"),
    (
        "Seabeds",
        "A2",
        datetime(2027, 5, 1),
        "Seabeds!A2 Seabed: found 2027-05-01; needs a name: the spreadsheet has made a date "
        "of it; format the cell as text and retype it",
    ),
    (
        "Uplift loss",
        "C2",
        190,
        "Uplift loss!C2 Holding kept: found 190; needs a percentage, 0 to 100 %",
    ),
    (
        "Uplift loss",
        "A2",
        "plate",
        "Uplift loss!A2 Anchor or family: 'plate' is not in Anchors; did you mean 'plate 250'?",
    ),
    (
        "Pull tests",
        "F4",
        "exploded",
        "Pull tests!F4 Event: found 'exploded'; needs rolled out, broke or stopped",
    ),
    (
        "Pull tests",
        "D4",
        1,
        "Pull tests!D4 Drag: drag runs backwards in test 'T1' (1.5 m, then 1 m); put its rows"
        " in order of drag",
    ),
    ("Pull tests", "E3", None, "Pull tests!E3 Load: blank; needs a number, at least 0"),
    ("Chain", "H2", "maybe", "Chain!H2 Joinable: found 'maybe'; needs yes or no"),
    ("Chain", "D1", "Mass (kg)", "Chain!D1 Mass: the unit 'kg' will not do; use kg/m or lb/ft"),
    (
        "Price breaks",
        "E2",
        "some",
        "Price breaks!E2 Scheme: found 'some'; needs all units or incremental",
    ),
    (
        "Price breaks",
        "C2",
        0,
        "Price breaks!C2 From quantity: found 0; needs a whole number, at least 1",
    ),
    (
        "Price breaks",
        "A2",
        "chain 62",
        "Price breaks!A2 Item: 'chain 62' is not in Anchors, Chain, Rope or Fittings; did you"
        " mean 'chain 26'?",
    ),
    (
        "On hand",
        "B3",
        2.5,
        "On hand!B3 Quantity: found 2.5; 'shackle 32' is counted: needs a whole number",
    ),
    (
        "On hand",
        "E3",
        "yes",
        "On hand!E3 Connectors: yes, but 'shackle 32' is no chain: connectors join pieces of chain",
    ),
    (
        "On hand",
        "A2",
        "plate",
        "On hand!A2 Item: 'plate' is not in Anchors, Chain, Rope or Fittings; did you mean "
        "'plate 250'?",
    ),
    (
        "Suppliers",
        "B2",
        "Port C",
        "Suppliers!B2 Origin: 'Port C' is not in Freight; did you mean 'Port B'?",
    ),
    (
        "Suppliers",
        "D2",
        1.5,
        "Freight!F2 Project currency per unit: 0.9, but USD is at 1.5 elsewhere; give a "
        "currency one rate (the project's own is 1)",
    ),
    (
        "Suppliers",
        "D2",
        "x",
        "Suppliers!D2 Project currency per unit: found 'x'; needs a number, more than 0",
    ),
    ("Freight", "C3", "weight", "Freight!C3 Basis: found 'weight'; needs container or measure"),
    (
        "Vessels",
        "D2",
        25,
        "Vessels!D2 Working hours per day: found 25; needs a number, more than 0, at most 24",
    ),
    (
        "Vessels",
        "E2",
        0,
        "Vessels!E2 Workable days: found 0; needs a percentage, more than 0, at most 100 %",
    ),
    (
        "Project",
        "A3",
        "Anchor saftey factor",
        "Project!A3 Setting: 'Anchor saftey factor' is not a setting; did you mean 'Anchor "
        "safety factor'?",
    ),
    (
        "Project",
        "B3",
        0.9,
        "Project!B3 Anchor safety factor: found 0.9; needs a number, at least 1",
    ),
    (
        "Project",
        "B4",
        20,
        "Project!B4 Pull test scatter: found 20; needs a share, more than 0, at most 1; for "
        "20 % write 0.2 or '20 %'",
    ),
    (
        "Project",
        "B5",
        "1.5; long",
        "Project!B5 Rope lengths tried: found '1.5; long'; needs numbers more than 0 "
        "separated by ;",
    ),
    (
        "Project",
        "B12",
        "2026-12-01",
        "Project!B12 Required on site: 2026-12-01 is before the order date, 2027-01-10",
    ),
    (
        "Project",
        "B11",
        "10/01/2027",
        "Project!B11 Order date: '10/01/2027' may mean 2027-01-10 or 2027-10-01; write one of them",
    ),
    (
        "Project",
        "A4",
        "Anchor safety factor",
        "Project!A4 Setting: 'Anchor safety factor' is set twice; keep one",
    ),
    (
        "Project",
        "A6",
        "Longest chain (kg)",
        "Project!A6 Setting: 'Longest chain (kg)': the unit 'kg' will not do; use m, ft, mm or in",
    ),
    ("Project", "A7", None, "Project!B7: a value without a setting: name the setting in this row"),
    (
        "Rope",
        "M1",
        "Lead time (h)",
        "Rope!M2 Lead time: found 7, which is 0.291667 days; needs a whole number, at least 0",
    ),
]


@mostly_long("sheet, cell, value, message", CELL_FAULTS, quick=CELL_FAULTS[::4])
def test_spoilt_cell_is_named(
    sheet: str, cell: str, value: Any, message: str, tmp_path: Path
) -> None:
    """One spoilt cell gives one line, which says where, what was found and what would do."""
    assert said_of(typed((sheet, cell, value)), tmp_path) == [message]


CELL_DOUBTS: list[tuple[str, str, Any, str]] = [
    ("Legs", "S1", "Colour", "Legs!S1: no column is called 'Colour'; it is not read"),
    ("Anchors", "Q2", 200, "Anchors!Q2 Pack mass: 200 kg is less than its anchors weigh, 2500 kg"),
    (
        "Anchors",
        "Z2",
        0.15,
        "Anchors!Z2 Duty: 0.15 is read as 0.15 %; if 15 % is meant write 15, and if not write"
        " '0.15 %'",
    ),
    (
        "Freight",
        "G2",
        None,
        "Freight!G2 Volume: blank: one container is taken to have no limit of it",
    ),
    (
        "Project",
        "B7",
        0.85,
        "Project!B7 Rope strength kept at splices: 0.85 is read as 0.85 %; if 85 % is meant "
        "write 85, and if not write '0.85 %'",
    ),
]


@pytest.mark.parametrize(("sheet", "cell", "value", "message"), CELL_DOUBTS)
def test_doubtful_cell_is_a_warning(
    sheet: str, cell: str, value: Any, message: str, tmp_path: Path
) -> None:
    """What may be meant is read, and said."""
    path = save(typed((sheet, cell, value)), tmp_path / "typed.xlsx")
    warnings = read_farm_with_warnings(path)[1]
    assert [(str(w), w.severity) for w in warnings] == [(message, Severity.WARNING)]


def test_addresses_survive_blank_rows_and_moved_columns(tmp_path: Path) -> None:
    """Blank rows and a column of the buyer's own do not shift the address in a message."""
    cells = typed(("Seabeds", "B3", "slippery"))
    rows = cells["Seabeds"]
    cells["Seabeds"] = [["Mine", *rows[0]], [], ["x", *rows[1]], [], [None, *rows[2]]]
    assert said_of(cells, tmp_path) == [
        "Seabeds!A1: no column is called 'Mine'; it is not read",
        "Seabeds!C5 Chain friction: found 'slippery'; needs a number, 0 to 3",
    ]


def test_misspelt_heading_is_an_error_and_a_hint(tmp_path: Path) -> None:
    """A required column under a misspelt heading is missing, and the heading is named."""
    assert said_of(typed(("Legs", "F1", "Depht (m)")), tmp_path) == [
        "Legs Depth: the column 'Depth (m)' is missing",
        "Legs!F1: no column is called 'Depht (m)'; it is not read; did you mean 'Depth'?",
    ]


def test_all_faults_are_said_at_once_and_none_that_only_follow(tmp_path: Path) -> None:
    """Spoilt rows of Anchors, Seabeds and Suppliers do not make their names unknown elsewhere."""
    cells = typed(
        ("Anchors", "E2", None),
        ("Anchors", "N2", "long"),
        ("Seabeds", "B2", "?"),
        ("Suppliers", "D2", "?"),
        ("Chain", "C2", 0),
        ("Pull tests", "D3", "?"),
        ("Legs", "G3", "gravel"),
    )
    assert said_of(cells, tmp_path) == [
        "Legs!G3 Seabed: 'gravel' is not in Seabeds",
        "Seabeds!B2 Chain friction: found '?'; needs a number, 0 to 3",
        "Anchors!E2 Mass: blank; needs a number, more than 0",
        "Anchors!N2 Pack length: found 'long'; needs a number, more than 0",
        "Pull tests!D3 Drag: found '?'; needs a number, at least 0",
        "Chain!C2 Diameter: found 0; needs a number, more than 0",
        "Suppliers!D2 Project currency per unit: found '?'; needs a number, more than 0",
    ]


def test_missing_sheets_are_named_and_nothing_follows(tmp_path: Path) -> None:
    """Without Anchors and Chain only that is said, not that their names are unknown; Freight is
    not missed, for goods can be taken as delivered."""
    gone = ("Anchors", "Chain", "Freight")
    cells = {title: rows for title, rows in TYPED.items() if title not in gone}
    assert said_of(cells, tmp_path) == [
        "Anchors: the sheet is missing",
        "Chain: the sheet is missing",
    ]


def test_missing_columns_are_named_and_nothing_follows(tmp_path: Path) -> None:
    """Without a heading the values below it are not read, and are missed once."""
    cells = typed(("Anchors", "C1", None), ("Seabeds", "A1", None))
    assert said_of(cells, tmp_path) == [
        "Seabeds Seabed: the column 'Seabed' is missing",
        "Seabeds!A1: the column has no heading; it is not read",
        "Anchors Family: the column 'Family' is missing",
        "Anchors!C1: the column has no heading; it is not read",
    ]


def test_sheets_without_rows_are_named(tmp_path: Path) -> None:
    """A required sheet needs a row below its headings; one without headings is empty."""
    cells = {**TYPED, "Chain": TYPED["Chain"][:1], "Legs": []}
    assert said_of(cells, tmp_path) == [
        "Legs: the sheet is empty",
        "Chain: no rows; at least one is needed",
    ]


def test_project_sheet_without_its_columns_is_named(tmp_path: Path) -> None:
    """The settings need the headings Setting and Value."""
    assert said_of(typed(("Project", "B1", "Worth")), tmp_path) == [
        "Project Value: the column 'Value' is missing",
        "Project!B1: no column is called 'Worth'; it is not read",
    ]
