"""The evidence as a workbook and as text: rows, words, charts, and how they are told apart."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from moorledger.io.evidence.evidence_book import holding_text, holding_workbook, write_holding
from moorledger.io.order.order_workbook import plan_workbook
from moorledger.io.whole_file import TargetExistsError
from moorledger.models.farm import Farm
from moorledger.models.site.pull_test import Event
from moorledger.models.standing.holding import design_holding
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from tests.farms.plan_fixture import example_plan
from tests.farms.small_farm import ANCHOR, farm_with, run
from tests.quick_run import LONG

SAMPLE = Path(__file__).resolve().parents[2] / "sample_inputs" / "heron_sound"

SHEETS = [
    "Anchor evidence",
    "Anchor value",
    "Anchor charts",
    "Anchor freight",
    "Pull test workings",
    "Each pull test",
    "Fit across sizes",
    "Setting drag",
    "Chart data",
]


@pytest.fixture(scope="module")
def content(sample_farm: Farm) -> bytes:
    """The evidence of the sample farm (all of it invented) as a workbook."""
    return holding_workbook(sample_farm)


@pytest.fixture(scope="module")
def book(content: bytes) -> Workbook:
    """The workbook read back."""
    return openpyxl.load_workbook(io.BytesIO(content))


def rows(sheet: Worksheet, heading_row: int = 5) -> Iterator[dict[str, Any]]:
    """Yield the rows of a sheet's table by heading, down to the first blank one."""
    grid = sheet.iter_rows(min_row=heading_row, values_only=True)
    headings = [str(value) for value in next(grid)]
    for row in grid:
        if row[0] is None:
            return
        yield dict(zip(headings, row, strict=True))


def charts(content: bytes) -> list[str]:
    """Return the XML of every chart."""
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        names = [name for name in package.namelist() if name.startswith("xl/charts/chart")]
        return [package.read(name).decode() for name in sorted(names)]


def words(sheet: Worksheet) -> str:
    """Return every text of a sheet, one a line."""
    cells = (cell.value for row in sheet.iter_rows() for cell in row)
    return "\n".join(value for value in cells if isinstance(value, str))


def test_every_sheet_is_there_in_order(book: Workbook) -> None:
    """The workbook of the command is complete."""
    assert book.sheetnames == SHEETS


def test_a_row_for_every_anchor_and_seabed(sample_farm: Farm, book: Workbook) -> None:
    """Every pair is there once, relied on for what the optimiser relies on."""
    found = {(row["Anchor"], row["Seabed"]): row for row in rows(book["Anchor evidence"])}
    assert set(found) == {
        (a.name, s.name) for a in sample_farm.anchors for s in sample_farm.seabeds
    }
    for (name, seabed), row in found.items():
        for drag in (2.0, 3.0, 4.0):
            holding = design_holding(sample_farm, sample_farm.anchor_by_name[name], seabed, drag)
            bound = min(holding.holding_kn, holding.structural_limit_kn)
            if holding.by_weight_kn is not None:
                bound = min(bound, holding.by_weight_kn)
            shown = row[f"Relied on within {drag:g} m (kN)"]
            assert shown == ("refused" if holding.refusal else pytest.approx(bound))


def test_the_row_of_a_roll_out_and_of_a_break(book: Workbook) -> None:
    """T16 rolled out at 3 m, T35 broke at 2.5 m after carrying 20 kN (the sample's own sheet)."""
    found = {(row["Anchor"], row["Seabed"]): row for row in rows(book["Anchor evidence"])}
    rolled = found["Hinged fluke 100", "firm sand"]
    assert rolled["What happened in the tests"] == "2 held; T16 rolled out at 3 m"
    assert rolled["k_n"] == 3.37
    assert rolled["Relied on within 4 m (kN)"] < rolled["Relied on within 2 m (kN)"] / 4
    broke = found["Hinged fluke 40", "mixed gravel-clay"]
    assert broke["Structural limit (kN)"] == 20.0
    assert broke["Relied on within 3 m (kN)"] == "refused"
    assert "T35" in broke["Rests on, or refused because"]


def test_each_step_can_be_followed_by_hand(book: Workbook) -> None:
    """Mean × e^(−k_n s) is the characteristic value on every row of the workings that has one."""
    worked = [row for row in rows(book["Pull test workings"]) if row["k_n"] is not None]
    assert len(worked) > 30
    for row in worked:
        value = row["Mean counted, geometric (kN)"] * 2.718281828459045 ** (
            -row["k_n"] * row["Scatter s of ln load"]
        )
        assert row["Characteristic value (kN)"] == pytest.approx(value, rel=1e-12)
        assert row["Least usable (kN)"] <= row["Mean counted, geometric (kN)"] * (1 + 1e-12)


def test_value_adds_up_and_freight_says_what_limits(book: Workbook) -> None:
    """Price per kN × kN is the price; whole packs make up a container; what limits it is named."""
    for row in rows(book["Anchor value"]):
        if row["Price per kN (EUR)"] is not None:
            product = row["Price per kN (EUR)"] * row["Relied on (kN)"]
            assert product == pytest.approx(row["Price (EUR each)"])
    freight = list(rows(book["Anchor freight"]))
    assert {row["Limited by"] for row in freight} > {"volume", "payload", "barred: too late"}
    for row in freight:
        if row["Basis"] == "container":
            assert row["Anchors per container"] == (
                row["Packs per container"] * row["Anchors per pack"]
            )


def test_extrapolation_is_written_on_the_row() -> None:
    """An anchor under half the smallest mass tested, on the sheet as in the model."""
    loads = {"small": (90.0, 40.0), "large": (240.0, 100.0)}
    readings = sum((run(n, [(3.0, kn)], anchor=n) for n, (_, kn) in loads.items()), ())
    anchors = [replace(ANCHOR, name=name, mass_kg=kg) for name, (kg, _) in loads.items()]
    anchors.append(replace(ANCHOR, name="tiny", mass_kg=25.0))
    content = holding_workbook(farm_with(anchors=tuple(anchors), readings=readings))
    text = words(openpyxl.load_workbook(io.BytesIO(content))["Fit across sizes"])
    assert "EXTRAPOLATED: under half the smallest mass tested (90 kg)" in text
    assert "no degrees of freedom" in text


@pytest.mark.parametrize("sheet", SHEETS[:-1])
def test_every_sheet_defers_to_the_engineer(book: Workbook, sheet: str) -> None:
    """Nothing that bears a holding is without its caution."""
    assert "licensed engineer" in words(book[sheet])


def test_pulls_and_snap_back_are_warned_of(book: Workbook) -> None:
    """The evidence sheet says what pull tests can do to people."""
    text = words(book["Anchor evidence"])
    assert "can kill" in text
    assert "snaps back" in text


def test_a_chart_for_every_anchor_tested_and_two_more(sample_farm: Farm, content: bytes) -> None:
    """One for each anchor and seabed tested, the bars of efficiency, and the ground chain."""
    pairs = {(test.anchor, test.seabed) for test in sample_farm.pull_tests}
    assert len(charts(content)) == len(pairs) + 2
    titles = " ".join(charts(content))
    assert "Holding ÷ weight" in titles
    assert "Ground chain needed" in titles


def test_charts_need_no_colour(sample_farm: Farm, content: bytes) -> None:
    """Every colour is a grey; within a chart no two lines share both dash and marker."""
    seen = 0
    for chart in charts(content):
        for colour in re.findall(r'srgbClr val="([0-9A-F]{6})"', chart):
            assert colour[0:2] == colour[2:4] == colour[4:6]
        drawn = re.findall(
            r'<a:prstDash val="(\w+)"\s*/></a:ln></(?:c:)?spPr><(?:c:)?marker>'
            r'<(?:c:)?symbol val="(\w+)"\s*/><(?:c:)?size val="6"',
            chart,
        )
        assert len(set(drawn)) == len(drawn)
        seen += len(drawn)
    assert seen == len(sample_farm.pull_tests) + 5  # and a line for each of five typical legs


def test_events_have_a_shape_and_a_label() -> None:
    """Rolled out ×, broke a star, stopped a square, each labelled with its name at the point."""
    readings = (
        *run("a", [(1.0, 40.0), (2.0, 20.0, Event.ROLLED_OUT)]),
        *run("b", [(1.0, 40.0), (2.0, 50.0, Event.BROKE)]),
        *run("c", [(1.0, 40.0), (2.0, 50.0, Event.STOPPED)]),
    )
    content = holding_workbook(farm_with(readings=readings))
    (chart,) = [c for c in charts(content) if f"{ANCHOR.name} on sand" in c]
    series = re.findall(r"<(?:c:)?ser>.*?</(?:c:)?ser>", chart, re.S)
    data = openpyxl.load_workbook(io.BytesIO(content))["Chart data"]
    told = {}
    for one in series:
        found = re.search(r"\$B\$(\d+)", one)
        assert found is not None
        name = data.cell(int(found[1]), 2).value
        symbol = re.search(r'symbol val="(\w+)"', one)
        told[name] = (symbol[1] if symbol else "", 'showSerName val="1"' in one)
    assert told["rolled out"] == ("x", True)
    assert told["broke"] == ("star", True)
    assert told["stopped"] == ("square", True)
    assert told["3 m"] == ("none", True)
    assert not told["a"][1]


def test_farm_without_a_single_test_is_written_too() -> None:
    """No tests: every table is there, and the words say that there is nothing in it; how far an
    anchor drags until it is set is known of none, and has no sheet."""
    content = holding_workbook(farm_with())
    book = openpyxl.load_workbook(io.BytesIO(content))
    assert book.sheetnames == [name for name in SHEETS if name != "Setting drag"]
    (row,) = rows(book["Anchor evidence"])
    assert row["Relied on within 3 m (kN)"] == "refused"
    assert "No pull tests." in words(book["Pull test workings"])
    assert "No family was tested at two sizes" in words(book["Fit across sizes"])


def test_names_from_the_input_are_never_formulas() -> None:
    """An anchor called like a formula stays a text in tables and behind charts."""
    odd = "=1+1"
    readings = run("=T", [(1.0, 40.0), (3.0, 50.0)], anchor=odd)
    farm = farm_with(anchors=(replace(ANCHOR, name=odd),), readings=readings)
    book = openpyxl.load_workbook(io.BytesIO(holding_workbook(farm)))
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            assert all(cell.data_type != "f" for cell in row)


@LONG
def test_plan_carries_the_evidence_of_its_own_make_ups() -> None:
    """The priced workbook has the sheets; setting is that of the anchors chosen."""
    plan = example_plan()
    readings = run("t", [(1.0, 40.0), (4.0, 100.0)], anchor="Plate 150")
    project = replace(plan.farm.project, pull_test_scatter=0.1)
    farm = replace(plan.farm, readings=readings, project=project)
    book = openpyxl.load_workbook(io.BytesIO(plan_workbook(replace(plan, farm=farm))))
    assert [name for name in book.sheetnames if name in SHEETS] == SHEETS
    found = list(rows(book["Setting drag"]))
    assert [row["Leg"] for row in found] == ["north", "south"]
    # 50 × 0.9 × 1.5 = 67.5 kN: 1 + 3 × 27.5 ÷ 60 = 2.375 m of 5 m allowed, worked by hand.
    assert found[0]["Required of one anchor (kN)"] == pytest.approx(67.5)
    assert found[0]["Drag needed, at most (m)"] == pytest.approx(2.375)
    assert found[0]["Share of allowed"] == pytest.approx(0.475)


def test_text_says_the_same(sample_farm: Farm, book: Workbook) -> None:
    """The table for the terminal has a line for every row, its holdings, and the cautions."""
    text = holding_text(sample_farm)
    lines = text.splitlines()
    for row in rows(book["Anchor evidence"]):
        (line, *_) = [li for li in lines if li.startswith(row["Anchor"] + "  ")
                      and row["Seabed"] in li]  # fmt: skip
        for drag in (2, 3, 4):
            value = row[f"Relied on within {drag} m (kN)"]
            assert (value if isinstance(value, str) else f"{value:,.1f}") in line
    assert "licensed engineer" in text
    assert "snaps back" in text


def test_existing_file_is_left_alone(tmp_path: Path) -> None:
    """Written whole; a second time only where overwriting is asked for."""
    path = tmp_path / "evidence.xlsx"
    write_holding(farm_with(), path)
    before = path.read_bytes()
    with pytest.raises(TargetExistsError):
        write_holding(farm_with(), path)
    assert path.read_bytes() == before
    write_holding(farm_with(readings=run("t", [(3.0, 9.0)])), path, overwrite=True)
    assert path.read_bytes() != before


@LONG
def test_charts_are_drawn_by_another_program(tmp_path: Path) -> None:
    """LibreOffice draws the charts: their titles and labels are on the printed pages."""
    office, reader = shutil.which("soffice"), shutil.which("pdftotext")
    if office is None or reader is None:
        pytest.skip("LibreOffice or pdftotext is not installed")
    readings = run("T9", [(1.0, 40.0), (2.0, 20.0, Event.ROLLED_OUT), (3.0, 22.0)])
    write_holding(farm_with(readings=readings), tmp_path / "e.xlsx")
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    command = [office, profile, "--headless", "--convert-to", "pdf", "--outdir"]
    subprocess.run(
        [*command, str(tmp_path), str(tmp_path / "e.xlsx")], check=True, capture_output=True
    )
    printed = subprocess.run(
        [reader, "-layout", str(tmp_path / "e.pdf"), "-"], check=True, capture_output=True
    ).stdout.decode()
    for text in ("hinged 300 on sand", "rolled out", "3 m", "Ground chain needed", "T9"):
        assert text in printed
