"""`holding` on what the practitioner has: pulls and masses, as a workbook or one CSV file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
from click.testing import CliRunner, Result
from moorledger.io.commands.command_line import main
from moorledger.io.inputs.template import farm_book
from moorledger.io.needs.needs import EVIDENCE
from moorledger.io.reading.workbook import read_farm
from moorledger.models.goods.supplier import Offer
from moorledger.models.site.declared_holding import DeclaredHolding

from tests.farms.small_farm import ANCHOR, SHACKLE, SUPPLIER, farm_with
from tests.farms.typed_workbook import save
from tests.first_price.first_farm import ANCHORS, first_grid, readings


def run(*arguments: Any) -> Result:
    """Run a command."""
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def pulls_csv(folder: Path, *, tests: bool) -> Path:
    """Write the readings as one CSV file; tests : with the name of each test."""
    mass = {name: kg for name, _, kg, _, _ in ANCHORS}
    lines = ["Anchor,Mass (kg),Seabed,Drag (m),Load (kN),Event" + (",Test" if tests else "")]
    for test, name, seabed, drag, load in readings():
        named = f",{test}" if tests else ""
        lines.append(f"{name},{mass[name]},{seabed},{drag},{load},{named}")
    path = folder / "pulls.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_one_csv_file_is_enough(tmp_path: Path) -> None:
    """The page and the workbook are written, with the cautions; nothing is made up of a price."""
    page, book = tmp_path / "page.html", tmp_path / "book.xlsx"
    told = run("holding", pulls_csv(tmp_path, tests=False), "--page", page, "-o", book,
               "--drag", 3)  # fmt: skip
    assert told.exit_code == 0, told.output
    assert "What a kilonewton costs" not in told.output
    assert "No legs: shown within 3 m" in told.output
    shown = page.read_text(encoding="utf-8")
    assert "Evidence, not a design." in shown
    assert "licensed engineer" in shown
    assert shown.count("<svg") >= 4
    assert "Anchor evidence" in openpyxl.load_workbook(book).sheetnames


def test_tests_are_told_apart_where_the_drag_falls_back(tmp_path: Path) -> None:
    """Without a column of tests, the readings are the same tests as with one."""
    named = read_farm(pulls_csv(tmp_path, tests=True), EVIDENCE)
    found = read_farm(pulls_csv(tmp_path, tests=False), EVIDENCE)
    both = [[t.readings[0].load_kn for t in farm.pull_tests] for farm in (named, found)]
    assert both[0] == both[1]
    assert len(found.pull_tests) == 24


def test_two_masses_of_one_anchor_are_a_fault_of_the_cell(tmp_path: Path) -> None:
    """The row that differs is named."""
    path = pulls_csv(tmp_path, tests=True)
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("150,150,mud,3,58.9", "150,15,mud,3,58.9"), encoding="utf-8")
    told = run("holding", path)
    assert told.exit_code == 1
    assert "'plate 150' has 150 in a row above" in told.output


def test_a_csv_file_of_something_else_is_told_what_it_needs(tmp_path: Path) -> None:
    """The headings asked for are named."""
    path = tmp_path / "legs.csv"
    path.write_text("Leg,Depth\nA,3\n", encoding="utf-8")
    told = run("holding", path)
    assert told.exit_code == 1
    assert "Mass (kg)" in told.output
    assert "Drag (m)" in told.output


def test_check_says_of_each_command_what_more_it_takes(tmp_path: Path) -> None:
    """A workbook of pulls alone is sound: enough for holding, and a price would take the rest."""
    grid = first_grid()
    path = tmp_path / "pulls.xlsx"
    anchors = [row[:3] for row in grid["Anchors"]]
    save({"Pull tests": grid["Pull tests"], "Anchors": anchors}, path)
    told = run("check", path)
    assert told.exit_code == 0, told.output
    assert "holding: enough; more: Legs and Chain" in told.output
    assert (
        "price, compare, breakeven, offers, quotes: not enough; it takes the sheet Legs, the sheet "
        "Seabeds, the sheet Chain and Unit price on Anchors"
    ) in told.output


def test_a_sheet_half_filled_in_is_left_out_and_said(tmp_path: Path) -> None:
    """Legs without their drag do not stop the evidence."""
    grid = first_grid()
    grid["Legs"] = [row[:5] for row in grid["Legs"]]
    path = tmp_path / "half.xlsx"
    save(grid, path)
    told = run("holding", path)
    assert told.exit_code == 0, told.output
    assert "left out: for holding it would need 'Allowed drag (m)'" in told.output


def test_a_sheet_left_out_says_which_of_its_headings_is_to_blame(tmp_path: Path) -> None:
    """A depth in fathoms and a leg under another name do not stop the evidence, and are told."""
    grid = first_grid()
    renamed = {"Leg": "Line no", "Depth (m)": "Depth (fathoms)"}
    grid["Legs"] = [[renamed.get(str(title), title) for title in row] for row in grid["Legs"]]
    path = tmp_path / "renamed.xlsx"
    save(grid, path)
    told = " ".join(run("holding", path).output.split())
    assert "no column is called 'Line no'; it is not read" in told
    assert "the unit 'fathoms' will not do; use m, ft, mm or in" in told
    assert "left out: for holding it would need 'Leg', 'Depth (m)'" in told


def test_legs_with_one_unreadable_heading_hide_no_other_fault(tmp_path: Path) -> None:
    """A farm with all its sheets is checked as one to be priced, whatever its Legs are headed."""
    grid = {title: [list(row) for row in rows] for title, rows in first_grid().items()}
    grid["Legs"][0][grid["Legs"][0].index("Depth (m)")] = "Depth (fathoms)"
    grid["Seabeds"][1][1] = "slippery"
    path = tmp_path / "fathoms.xlsx"
    save(grid, path)
    told = run("check", path)
    assert told.exit_code == 1, told.output
    assert "the unit 'fathoms' will not do; use m, ft, mm or in" in told.output
    assert "found 'slippery'" in told.output


def test_offers_of_fittings_do_not_stop_the_evidence(tmp_path: Path) -> None:
    """Fittings say nothing of holding and are not read: an offer of one is no fault there."""
    rival = replace(SUPPLIER, name="west works")
    offers = (Offer(SHACKLE.name, rival.name, 9.0),)
    held = (DeclaredHolding(ANCHOR.name, "sand", 80.0, "a letter"),)
    path = tmp_path / "farm.xlsx"
    farm = farm_with(suppliers=(SUPPLIER, rival), offers=offers, declared_holdings=held)
    farm_book(farm).save(path)
    told = run("holding", path)
    assert told.exit_code == 0, told.output
    assert "holding: enough" in run("check", path).output


def test_scatter_lets_one_test_count(tmp_path: Path) -> None:
    """One test alone is refused without a stated scatter, and counts with one."""
    path = tmp_path / "one.csv"
    path.write_text("anchor,mass,seabed,drag,load\nA,90,sand,1,30\nA,90,sand,3,33\n")
    assert "state it, or test three" in run("holding", path).output
    told = run("holding", path, "--scatter", 20)
    assert "state it, or test three" not in told.output
