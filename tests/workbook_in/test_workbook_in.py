"""The workbook in: what a typed workbook means, and what is said of every way to spoil it.

The wording and the columns are those of the workbook's own specification.
"""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import pytest
from moorledger.io.reading.workbook import read_farm, read_farm_with_warnings
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from openpyxl import Workbook

from tests.farms.typed_workbook import FARM, TYPED, rewrite, save, save_csv, typed


def unlike(one: Farm, other: Farm) -> list[str]:
    """Name the parts in which two farms differ, whatever file they came from."""
    return [
        part.name
        for part in fields(Farm)
        if part.name != "origin_file" and getattr(one, part.name) != getattr(other, part.name)
    ]


def test_typed_workbook_reads_as_the_farm_that_it_states(tmp_path: Path) -> None:
    """Every sheet and column arrives in its field, with names spelt as where they are defined."""
    farm, warnings = read_farm_with_warnings(save(TYPED, tmp_path / "typed.xlsx"))
    assert farm == FARM
    assert warnings == ()


def test_csv_folder_reads_as_the_workbook_does(tmp_path: Path) -> None:
    """The same cells in text files, one a sheet, are the same farm."""
    farm, warnings = read_farm_with_warnings(save_csv(TYPED, tmp_path / "typed"))
    assert unlike(farm, FARM) == []
    assert (farm.origin_file, warnings) == ("typed", ())


def test_records_know_the_cells_they_came_from(tmp_path: Path) -> None:
    """A record's source has its sheet, its row and its cells by heading without unit."""
    farm = read_farm(save(TYPED, tmp_path / "typed.xlsx"))
    leg = farm.legs[1].source
    assert leg is not None
    assert (leg.sheet, leg.row) == ("Legs", 3)
    assert (leg.cells["Allowed drag"], leg.cells["Design tension"]) == ("H3", "D3")
    chain = farm.chains[0].source
    assert chain is not None
    assert (chain.cells["Price per m"], chain.cells["Packed volume"]) == ("F2", "K2")
    project = farm.project.source
    assert project is not None
    assert project.cells["Rope lengths tried"] == "B5"


def test_headings_match_whatever_their_capitals_spaces_and_star(tmp_path: Path) -> None:
    """Capitals, spaces around a heading or its unit and a final * do not matter."""
    changes = [
        ("Legs", "A1", "  LEG * "),
        ("Legs", "D1", "design  tension ( KN )*"),
        ("Legs", "F1", "Depth"),
        ("Chain", "F1", "PRICE PER M"),
        ("Anchors", "J1", "Submerged volume (m^3)"),
    ]
    assert read_farm(save(typed(*changes), tmp_path / "typed.xlsx")) == FARM


def test_sheet_names_match_whatever_their_capitals(tmp_path: Path) -> None:
    """A sheet named in capitals, or with _ for a space, is the same sheet."""
    cells = {
        {"Uplift loss": "UPLIFT_LOSS"}.get(title, title): rows for title, rows in TYPED.items()
    }
    assert read_farm(save(cells, tmp_path / "typed.xlsx")) == FARM


def test_example_rows_are_left_out(tmp_path: Path) -> None:
    """A row whose first cell starts with Example: is no row, whatever else it holds."""
    cells = typed(("Vessels", "A3", "Example: barge"), ("Vessels", "B3", "nothing like a price"))
    assert read_farm(save(cells, tmp_path / "typed.xlsx")) == FARM


def test_text_that_looks_like_a_formula_is_text_in_csv(tmp_path: Path) -> None:
    """A note that starts with = is a note."""
    folder = save_csv(typed(("Legs", "R2", "=1+1")), tmp_path / "typed")
    assert read_farm(folder).legs[0].note == "=1+1"


def test_formula_is_read_by_its_stored_result(tmp_path: Path) -> None:
    """A formula with a stored result is that result; one that stored empty text is a blank."""
    path = save(typed(("Legs", "D2", "=2*40"), ("Legs", "I2", '=""')), tmp_path / "typed.xlsx")
    rewrite(path, "xl/worksheets/sheet2.xml", b"<f>2*40</f><v></v>", b"<f>2*40</f><v>80</v>")
    rewrite(path, "xl/worksheets/sheet2.xml", b"<f>2*40</f><v />", b"<f>2*40</f><v>80</v>")
    rewrite(path, "xl/worksheets/sheet2.xml", b'<c r="I2"><f>', b'<c r="I2" t="str"><f>')
    legs = read_farm(path).legs
    assert legs[0] == replace(FARM.legs[0], longest_radius_m=None)


def test_optional_sheets_may_be_absent(tmp_path: Path) -> None:
    """Without its optional sheets a workbook still is a farm."""
    optional = {"Uplift loss", "Holding", "Holding laws", "Pull tests", "Rope", "Fittings",
                "Offers", "Price breaks", "Map", "On hand"}  # fmt: skip
    cells = {title: rows for title, rows in TYPED.items() if title not in optional}
    farm, warnings = read_farm_with_warnings(save(cells, tmp_path / "typed.xlsx"))
    assert farm.ropes == farm.readings == farm.on_hand == ()
    assert [(warning.cell, warning.message.split(":")[0]) for warning in warnings] == [
        ("A2", "'plate 250' is not considered under any leg")
    ]


def test_rope_sheet_without_rows_and_unknown_sheets_are_warnings(tmp_path: Path) -> None:
    """A sheet that is not read is named, with the nearest name that would be."""
    cells = {**TYPED, "Rope": TYPED["Rope"][:1], "Anchor": [["x"]], "Instructions": [["y"]]}
    warnings = read_farm_with_warnings(save(cells, tmp_path / "typed.xlsx"))[1]
    assert [str(w) for w in warnings] == [
        "Anchor: no input sheet has this name; it is not read; did you mean 'Anchors'?",
        "Rope: no rows: legs are all chain, as where there is no such sheet",
    ]


def test_two_files_of_one_sheet_are_refused(tmp_path: Path) -> None:
    """A folder with two spellings of a sheet does not say which one is meant."""
    folder = save_csv({**TYPED, "UPLIFT-LOSS": TYPED["Uplift loss"]}, tmp_path / "typed")
    with pytest.raises(FarmError, match="Uplift loss: the sheet is there twice"):
        read_farm(folder)


# 1 ft = 0.3048 m, 1 in = 25.4 mm, 1 lb = 0.45359237 kg: international yard and pound agreement of
# 1959. 1 kgf = 9.80665 N: standard gravity of the 3rd CGPM (1901), SI brochure. 1 lbf follows.
UNITS: list[tuple[str, str, str, float, str, str, float]] = [
    ("Legs", "D", "Design tension (kgf)", 1000, "legs", "design_tension_kn", 9.80665),
    ("Legs", "D", "Design tension (tf)", 10, "legs", "design_tension_kn", 98.0665),
    ("Legs", "D", "Design tension (lbf)", 10_000, "legs", "design_tension_kn", 44.482216152605),
    ("Legs", "F", "Depth (ft)", 100, "legs", "depth_m", 30.48),
    ("Legs", "F", "Depth (in)", 1000, "legs", "depth_m", 25.4),
    ("Legs", "H", "Allowed drag (mm)", 1500, "legs", "allowed_drag_m", 1.5),
    ("Anchors", "E", "Mass (lb)", 500, "anchors", "mass_kg", 226.796185),
    ("Anchors", "J", "Submerged volume (ft³)", 1, "anchors", "stated_volume_m3", 0.028316846592),
    ("Anchors", "N", "Pack length (in)", 80, "anchors", "pack_length_mm", 2032.0),
    ("Freight", "I", "Inside length (m)", 12, "services", "inside_length_mm", 12_000.0),
    ("Anchors", "R", "Deck area (ft²)", 10, "anchors", "deck_area_m2", 0.9290304),
    ("Anchors", "T", "Lowering (h)", 0.5, "anchors", "lowering_min", 30.0),
    ("Anchors", "Y", "Lead time (weeks)", 6, "anchors", "lead_time_days", 42),
    ("Chain", "D", "Mass (lb/ft)", 10, "chains", "mass_kg_per_m", 4.5359237 / 0.3048),
    ("Chain", "F", "Price per ft", 12.192, "chains", "price_per_m", 40.0),
    ("Chain", "F", "Price (per ft)", 12.192, "chains", "price_per_m", 40.0),
    ("Chain", "M", "Handling (min per 100 ft)", 6.096, "chains", "handling_min_per_10_m", 2.0),
    (
        "Chain",
        "K",
        "Packed volume (ft³ per length)",
        10,
        "chains",
        "packed_volume_m3",
        0.28316846592,
    ),
    ("Rope", "E", "Density (lb/ft³)", 70, "ropes", "density_kg_m3", 31.7514659 / 0.028316846592),
    ("Freight", "H", "Payload (kg)", 26_000, "services", "payload_t", 26.0),
    ("Rope", "M", "Lead time (h)", 48, "ropes", "lead_time_days", 2),
    ("Vessels", "G", "Crane limit (kg)", 8000, "vessels", "crane_limit_t", 8.0),
    ("Vessels", "H", "Bollard pull (tf)", 15, "vessels", "bollard_pull_kn", 147.09975),
    ("Vessels", "K", "Round trip (days)", 1, "vessels", "round_trip_h", 24.0),
    ("Vessels", "L", "Shifting per leg (h)", 0.25, "vessels", "shifting_min_per_leg", 15.0),
]


@pytest.mark.parametrize(("sheet", "column", "heading", "number", "part", "name", "wanted"), UNITS)
def test_unit_of_a_heading_converts_its_column(
    sheet: str,
    column: str,
    heading: str,
    number: float,
    part: str,
    name: str,
    wanted: float,
    tmp_path: Path,
) -> None:
    """A number under another unit is the same quantity in the model's unit."""
    cells = typed(
        ("Anchors", "K2", None),  # no density, which a volume would have to agree with
        (sheet, f"{column}1", heading),
        (sheet, f"{column}2", number),
    )
    farm = read_farm(save(cells, tmp_path / "typed.xlsx"))
    assert getattr(getattr(farm, part)[0], name) == pytest.approx(wanted, rel=1e-14)


def test_unit_of_a_setting_converts_it(tmp_path: Path) -> None:
    """Settings carry their units in their names: 180 ft are 54.864 m (1 ft = 0.3048 m, 1959)."""
    cells = typed(("Project", "A6", "Longest chain (ft)"), ("Project", "B6", 180))
    assert read_farm(save(cells, tmp_path / "typed.xlsx")).project.longest_chain_m == 54.864


def test_share_may_be_headed_in_percent(tmp_path: Path) -> None:
    """Under a heading that adds (%) to a share, a plain 20 is 20 %."""
    cells = typed(("Project", "A4", "Pull test scatter (%)"), ("Project", "B4", 20))
    assert read_farm(save(cells, tmp_path / "typed.xlsx")).project.pull_test_scatter == 0.2


def test_cell_formatted_as_percent_is_read_as_shown(tmp_path: Path) -> None:
    """0.15 in a cell that shows 15 % is 15 %, without a warning."""
    book = Workbook()
    for title, rows in typed(("Anchors", "Z2", 0.15)).items():
        page = book.create_sheet(title)
        for row in rows:
            page.append(row)
    del book["Sheet"]
    book["Anchors"]["Z2"].number_format = "0.0%"
    book.save(tmp_path / "typed.xlsx")
    farm, warnings = read_farm_with_warnings(tmp_path / "typed.xlsx")
    assert (farm.anchors[0].duty_share, warnings) == (0.15, ())


# --- CSV files


def test_csv_with_semicolons_and_decimal_commas(tmp_path: Path) -> None:
    """A file as spreadsheets of many countries write it is read alike."""
    folder = save_csv(TYPED, tmp_path / "typed")
    text = (
        "Seabed;Chain friction;Deadweight friction;Source\nsand;0,7;0,5;site survey\nmud;0,6;0,3;\n"
    )
    (folder / "Seabeds.csv").write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert read_farm(folder).seabeds == FARM.seabeds


def test_csv_of_an_older_spreadsheet_is_read_with_a_warning(tmp_path: Path) -> None:
    """A file in Windows-1252 is read, and said to be."""
    folder = save_csv(TYPED, tmp_path / "typed")
    table = folder / "Rope.csv"
    table.write_bytes(table.read_text(encoding="utf-8").encode("cp1252"))
    farm, warnings = read_farm_with_warnings(folder)
    assert farm.ropes == FARM.ropes
    assert [str(w) for w in warnings] == ["Rope: not UTF-8; read as Windows-1252"]


def test_csv_faults_name_file_and_cell(tmp_path: Path) -> None:
    """A spoilt cell of a CSV file has the address that a spreadsheet shows for it."""
    cells = typed(("Legs", "D3", "#N/A"), ("Legs", "F3", "1 234"), ("Legs", "H3", "2.5.1"))
    with pytest.raises(FarmError) as refused:
        read_farm(save_csv(cells, tmp_path / "typed"))
    assert [str(fault) for fault in refused.value.faults] == [
        "Legs!D3 Design tension: the cell shows the error #N/A; needs a number, more than 0",
        "Legs!H3 Allowed drag: found '2.5.1'; needs a number, at least 0",
    ]
