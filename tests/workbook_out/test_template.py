"""The template: it holds every column, explains each, and what it is given comes back."""

from __future__ import annotations

import io
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner
from moorledger.io.commands.command_line import main
from moorledger.io.inputs.template import sample_folder, write_template
from moorledger.io.layout.sheets import NAMED_BY, SHEETS
from moorledger.io.reading.workbook import read_farm, read_farm_with_warnings
from moorledger.io.whole_file import TargetExistsError
from moorledger.models.fault import FarmError, Severity
from moorledger.models.site.project import Project

from tests.farms.random_farms import random_farm
from tests.farms.typed_workbook import FARM, TYPED
from tests.quick_run import mostly_long

# The headings that the workbook's specification marks as required.
REQUIRED = {
    "Legs": "Leg, Design tension, Depth, Seabed, Allowed drag",
    "Seabeds": "Seabed, Chain friction",
    "Anchors": "Anchor, Supplier, Family, Transport form, Mass, Unit price, Pack length, "
    "Pack width, Pack height, Deck area, Lowering, Setting",
    "Uplift loss": "Anchor or family, Uplift, Holding kept",
    "Holding": "Anchor, Seabed, Holding, Source",
    "Holding laws": "Family, Seabed, Reference mass, Reference holding, Exponent, Source",
    "Pull tests": "Test, Anchor, Seabed, Drag, Load",
    "Chain": "Chain, Supplier, Diameter, Mass, Breaking load, Price per m, Length sold, "
    "Packed volume",
    "Rope": "Rope, Supplier, Diameter, Mass, Density, Breaking load, Price per m, Length sold, "
    "Packed volume",
    "Fittings": "Fitting, Supplier, Used per, Quantity, Breaking load, Unit price, Mass, "
    "Packed volume",
    "Price breaks": "Item, From quantity, Unit price",
    "Suppliers": "Supplier, Origin, Currency, Project currency per unit",
    "On hand": "Item, Quantity",
    "Laid": "Leg, Line, Anchor, Chain, Chain length",
    "Freight": "Service, Origin, Basis, Rate, Currency, Project currency per unit",
    "Vessels": "Vessel, Day rate, Working hours per day, Crane limit, Deck load, Deck area, "
    "Round trip, Shifting per leg",
    "Uncertainty": "What, P10, P90",
}


@pytest.fixture(scope="module")
def blank(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A blank template."""
    path = tmp_path_factory.mktemp("template") / "template.xlsx"
    write_template(path)
    return path.read_bytes()


@pytest.fixture(scope="module")
def blank_book(blank: bytes) -> Any:
    """A blank template, opened."""
    return openpyxl.load_workbook(io.BytesIO(blank))


@pytest.mark.parametrize("title", REQUIRED)
def test_required_columns_are_those_of_the_specification(title: str) -> None:
    """A column must be filled exactly where the specification says so."""
    sheet = next(sheet for sheet in SHEETS if sheet.title == title)
    needed = ", ".join(column.heading for column in sheet.columns if sheet.needs(column))
    assert needed == REQUIRED[title]


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.title)
def test_every_field_of_a_record_has_one_column(sheet: Any) -> None:
    """Nothing that the model can hold is left out of the workbook, and nothing is there twice."""
    own = {field.name for field in fields(sheet.record)} - {"source", "given", "stood_in"}
    own -= {"still_to_lay", "setting"}  # which the lines laid decide, and no cell says
    assert sorted(column.field for column in sheet.columns) == sorted(own)
    headings = [column.heading.casefold() for column in sheet.columns]
    assert len(set(headings)) == len(headings)


def test_names_are_defined_by_columns_that_exist() -> None:
    """Every kind of name that a column refers to is defined by headings of the layout."""
    headings = {(sheet.title, column.heading) for sheet in SHEETS for column in sheet.columns}
    assert {place for places in NAMED_BY.values() for place in places} <= headings
    kinds = {column.names for sheet in SHEETS for column in sheet.columns if column.names}
    assert kinds <= set(NAMED_BY)


def test_blank_template_has_every_sheet_and_heading(blank_book: Any) -> None:
    """The headings are those of the specification, units and all, in its order."""
    assert blank_book.sheetnames == ["Instructions", *TYPED]
    for title, rows in TYPED.items():
        assert [cell.value for cell in blank_book[title][1]] == rows[0]


def test_every_setting_is_there_with_its_default(blank_book: Any) -> None:
    """The defaults that the specification states are named beside blank values."""
    rows = {row[0]: row[1:] for row in blank_book["Project"].iter_rows(2, values_only=True)}
    for setting, default in {
        "Currency": "EUR",
        "Anchor safety factor": "1.5",
        "Chain safety factor": "3.0",
        "Second anchor share": "0.8",
        "Rope lengths tried (× depth)": "1.5; 2; 2.5; 3",
        "Longest chain (m)": "110.0",
        "Rope strength kept at splices (%)": "90 %",
        "Container stowage (%)": "85 %",
        "Most suppliers": "no limit",
    }.items():
        value, note = rows[setting]
        assert value is None
        assert note.endswith(f"Blank: {default}.")


def test_every_heading_is_bold_and_explained(blank_book: Any) -> None:
    """A comment on each heading says what it means and what a blank stands for."""
    for title in REQUIRED:
        for cell in blank_book[title][1]:
            assert cell.font.bold
            assert "Must be filled." in cell.comment.text or "Blank: " in cell.comment.text
    assert "Unit: kN." in blank_book["Legs"]["D1"].comment.text
    assert "Blank: by its density." in blank_book["Anchors"]["J1"].comment.text


def rules(book: Any, kind: str) -> dict[tuple[str, str], Any]:
    """Return the rules of a kind by sheet and first cell."""
    return {
        (title, str(rule.sqref).split(":")[0]): rule
        for title in TYPED
        for rule in book[title].data_validations.dataValidation
        if rule.type == kind
    }


def test_fixed_choices_are_drop_down_lists(blank_book: Any) -> None:
    """Each column of fixed words offers just those words, but where one has a comma in it: a
    spreadsheet program would offer its halves."""
    lists = {
        place: rule.formula1
        for place, rule in rules(blank_book, "list").items()
        if rule.formula1.startswith('"')
    }
    assert lists == {
        ("Project", "B7"): '"tension,anchor load"',
        ("Load cases", "B2"): '"design,line lost"',
        ("Holding", "E2"): '"yes,no"',
        ("Fittings", "G2"): '"yes,no"',
        ("Vessels", "F2"): '"yes,no"',
        ("Suppliers", "M2"): '"EXW,FCA,CPT,CIP,DAP,DPU,DDP,FAS,FOB,CFR,CIF"',
        ("Project", "B49"): '"yes,no"',
        ("Project", "B41"): '"EXW,FCA,CPT,CIP,DAP,DPU,DDP,FAS,FOB,CFR,CIF"',
        ("Anchors", "D2"): '"folding,solid"',
        ("Anchors", "L2"): '"embedding,weight"',
        ("Pull tests", "F2"): '"rolled out,broke,stopped"',
        ("Anchors", "AC2"): '"yes,no"',
        ("Anchors", "AB2"): '"yes,no"',
        ("Chain", "H2"): '"yes,no"',
        ("On hand", "E2"): '"yes,no"',
        ("Fittings", "C2"): '"leg,anchor,extra anchor"',
        ("Price breaks", "E2"): '"all units,incremental"',
        ("Freight", "C2"): '"container,measure"',
        ("Options", "B2"): '"allow,forbid,prefer"',
        ("Options", "C2"): (
            '"families,anchors,transport form,chains,ropes,vessels,suppliers,services"'
        ),
        ("Uncertainty", "A2"): '"freight rates,service,currency,supplier,item,day rate"',
    }
    assert blank_book["Project"]["A41"].value == "Delivery term"


def test_names_that_refer_to_another_sheet_are_offered_from_it(blank_book: Any) -> None:
    """A list reaches down the column that defines the names; a new name is doubted, not refused."""
    found = rules(blank_book, "list")
    for place, source in {
        ("Legs", "G2"): "'Seabeds'!$A$2:$A$1000",
        ("Legs", "K2"): "'Anchors'!$A$2:$A$1000",
        ("Legs", "L2"): "'Chain'!$A$2:$A$1000",
        ("Anchors", "B2"): "'Suppliers'!$A$2:$A$1000",
        ("Pull tests", "B2"): "'Anchors'!$A$2:$A$1000",
        ("Holding laws", "A2"): "'Anchors'!$C$2:$C$1000",
        ("Suppliers", "B2"): "'Freight'!$B$2:$B$1000",
        ("Fittings", "E2"): "'Chain'!$A$2:$A$1000",
    }.items():
        assert found[place].formula1 == source
        assert found[place].errorStyle == "warning"
        assert str(found[place].sqref).endswith("1000")


def test_numbers_have_their_limits(blank_book: Any) -> None:
    """Counts are whole; what must be above nought is; a unit's most is left to the reader."""
    whole, decimal = rules(blank_book, "whole"), rules(blank_book, "decimal")
    count = whole["Legs", "C2"]
    assert (count.operator, count.formula1) == ("greaterThanOrEqual", "1")
    tension = decimal["Legs", "D2"]
    assert (tension.operator, tension.formula1, tension.formula2) == ("greaterThan", "0", None)
    uplift = decimal["Anchors", "G2"]
    assert (uplift.operator, uplift.formula1, uplift.formula2) == ("between", "0", "90")
    assert ("Project", "B36") in rules(blank_book, "date")
    assert blank_book["Project"]["A36"].value == "Order date"


def test_required_headings_are_told_apart_without_colour(blank_book: Any) -> None:
    """A thick line below says what the blue says."""
    for sheet in SHEETS[1:]:
        for cell, column in zip(blank_book[sheet.title][1], sheet.columns, strict=True):
            assert cell.border.bottom.style == ("thick" if sheet.needs(column) else "hair")


def test_template_filled_with_required_columns_alone_prices_with_one_caution(
    tmp_path: Path, blank: bytes
) -> None:
    """As a new user would: one row a sheet, nothing but what must be filled, then the order.

    What is left blank is safe to leave, but for the setting pull, which somebody must think of.
    """
    path = tmp_path / "mine.xlsx"
    book = openpyxl.load_workbook(io.BytesIO(blank))
    values = {
        "Legs": ("pen", 20, 20, "sand", 3),
        "Seabeds": ("sand", 0.7),
        "Anchors": ("plate", "seller", "plates", "solid", 200, 900, 1500, 1000, 500, 1.5, 20, 15),
        "Holding": ("plate", "sand", 90, "the engineer's letter"),
        "Chain": ("chain", "seller", 22, 10.6, 280, 20, 27.5, 0.2),
        "Rope": ("rope", "seller", 48, 1.2, 1140, 400, 8, 200, 0.6),
        "Suppliers": ("seller", "quay", "EUR", 1),
        "Freight": ("lorry", "quay", "measure", 60, "EUR", 1),
        "Vessels": ("boat", 3000, 10, 3, 20, 40, 4, 20),
    }
    for title, row in values.items():
        page = book[title]
        headings = [cell.value.split(" (")[0] for cell in page[1]]
        for heading, value in zip(REQUIRED[title].split(", "), row, strict=True):
            page.cell(3, headings.index(heading) + 1).value = value
    book.save(path)
    order = tmp_path / "order.xlsx"
    done = CliRunner().invoke(main, ["price", str(path), "-o", str(order)])
    (said,) = done.stderr.splitlines()
    assert (done.exit_code, said.split(":")[0]) == (0, "warning")
    assert "Project!B25 Setting pull: 0: anchors that embed" in said
    assert "1 × plate" in done.stdout
    assert order.exists()


def test_sample_is_the_sample_farm(tmp_path: Path) -> None:
    """`template --sample` writes the farm of the sample's CSV folder."""
    path = tmp_path / "sample.xlsx"
    done = CliRunner().invoke(main, ["template", "--sample", str(path)])
    assert done.exit_code == 0
    assert "invented" in done.stdout
    farm, warnings = read_farm_with_warnings(path)
    assert replace(farm, origin_file="") == replace(read_farm(sample_folder()), origin_file="")
    assert warnings == ()


def test_instructions_defer_to_the_engineer(blank_book: Any) -> None:
    """The sheet of instructions carries the caution that lives may hang on."""
    text = " ".join(
        str(cell) for row in blank_book["Instructions"].iter_rows(values_only=True) for cell in row
    )
    assert "licensed engineer" in text
    assert "no design approval" in text


def test_blank_template_lacks_only_rows(tmp_path: Path, blank: bytes) -> None:
    """Read as it is, the blank template's examples are left out and its required rows missed."""
    (tmp_path / "template.xlsx").write_bytes(blank)
    with pytest.raises(FarmError) as refused:
        read_farm(tmp_path / "template.xlsx")
    required = ["Legs", "Seabeds", "Anchors", "Chain"]
    said = [str(fault) for fault in refused.value.faults if fault.severity == "error"]
    assert said == [f"{title}: no rows; at least one is needed" for title in required]


def test_examples_of_the_template_are_a_farm(tmp_path: Path, blank: bytes) -> None:
    """With "Example: " taken off, the example rows can be read, and are one small farm."""
    path = tmp_path / "typed.xlsx"
    book = openpyxl.load_workbook(io.BytesIO(blank))
    for sheet in SHEETS[1:]:
        for row in range(2, 3 + len(sheet.more_examples)):
            first = book[sheet.title].cell(row, 1)
            first.value = first.value.removeprefix("Example: ")
    law = book["Holding laws"]
    law["A2"].value = "folding plate"
    book.save(path)
    farm, warnings = read_farm_with_warnings(path)
    assert (farm.leg_count, farm.anchors[0].name, len(farm.lease)) == (4, "plate 250", 4)
    # The project's settings are blank, and the setting pull is one that somebody must think of.
    # The example's line would not hold, and is accepted by name.
    assert [(fault.severity, fault.heading) for fault in warnings] == [
        (Severity.WARNING, "Setting pull"),
        (Severity.WARNING, "Accepted by"),
    ]


def test_farm_comes_back_as_it_was_written(tmp_path: Path) -> None:
    """Writing a farm and reading it back changes nothing, and raises no doubt."""
    path = tmp_path / "typed.xlsx"
    write_template(path, FARM)
    farm, warnings = read_farm_with_warnings(path)
    assert farm == FARM
    assert warnings == ()


def test_farm_of_odd_values_comes_back(tmp_path: Path) -> None:
    """Text like a formula, an error or a number, tiny shares and long decimals all come back."""
    legs = (replace(FARM.legs[0], note="=1+1", group="#N/A?", easting_m=123.4567),)
    case = replace(FARM.load_cases[1], legs=("#N/A?",))
    supplier = replace(FARM.suppliers[0], duty_share=0.003, exchange_rate=0.0871234567890123)
    service = replace(FARM.services[0], exchange_rate=0.0871234567890123)
    farm = replace(
        FARM,
        legs=legs,
        load_cases=(FARM.load_cases[0], case),
        suppliers=(supplier, FARM.suppliers[1]),
        services=(service, FARM.services[1]),
        project=replace(FARM.project, rope_lengths_tried=(1.234,), name="007"),
    )
    write_template(tmp_path / "typed.xlsx", farm)
    assert read_farm_with_warnings(tmp_path / "typed.xlsx") == (farm, ())


@mostly_long("seed", range(4), quick=[1])
def test_farm_made_up_at_random_comes_back(seed: int, tmp_path: Path) -> None:
    """Any farm is the same after writing and reading.

    No limit on make-ups is written as the lines of the largest group: a sheet's blank is one.
    """
    farm = random_farm(seed, "middling")
    plain = Project()
    changed = {
        field.name
        for field in fields(Project)
        if field.name not in ("given", "source")
        and getattr(farm.project, field.name) != getattr(plain, field.name)
    }
    project = replace(farm.project, given=farm.project.given | changed)
    farm = replace(farm, project=project, origin_file="any.xlsx")
    write_template(tmp_path / "any.xlsx", farm)
    most = project.make_ups_per_leg_group or max(leg.count for leg in farm.legs)
    known = replace(farm, project=replace(project, make_ups_per_leg_group=most))
    assert read_farm(tmp_path / "any.xlsx") == known


def test_template_does_not_overwrite_unasked(tmp_path: Path) -> None:
    """A file that is there stays as it is unless overwriting is asked for."""
    path = tmp_path / "template.xlsx"
    path.write_bytes(b"mine")
    with pytest.raises(TargetExistsError):
        write_template(path)
    assert path.read_bytes() == b"mine"
    write_template(path, FARM, overwrite=True)
    assert read_farm(path).legs == FARM.legs
