"""A laying plan filled in on board, taken over by `moorledger laid`."""

from __future__ import annotations

import io
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner
from moorledger.io.commands.command_line import main
from moorledger.io.inputs.template import write_template
from moorledger.io.papers.readers import papers_of
from moorledger.io.reading.workbook import read_farm
from moorledger.optimiser.price import price

from tests.farms.random_farms import random_farm
from tests.quick_run import LONG

FILLED = {
    "Laid at E": 1120.5,
    "Laid at N": 1935.0,
    "Pull (kN)": 60,
    "Drag (m)": 1.2,
    "Date, time": datetime(2031, 5, 3, 14, 0),
    "Signed": "A. Master",
}


@pytest.fixture(scope="module")
def given(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, bytes]:
    """A farm's workbook and the laying plan of its vessel."""
    farm = tmp_path_factory.mktemp("laid") / "farm.xlsx"
    write_template(farm, random_farm(4))
    papers = papers_of(price(random_farm(4)))
    (laying,) = (content for name, content in papers.items() if name.startswith("laying"))
    return farm, laying


def _filled(
    laying: bytes, to: Path, by_tag: dict[str, dict[str, Any]]
) -> dict[str, dict[str, str]]:
    """Fill in a laying plan; return the address of each cell, by tag and heading."""
    book = openpyxl.load_workbook(io.BytesIO(laying))
    sheet = book.worksheets[0]
    (head,) = (r for r in sheet.iter_rows() if "Laid at E" in [cell.value for cell in r])
    columns = {str(cell.value): cell.column for cell in head}
    places: dict[str, dict[str, str]] = {}
    for row in range(head[0].row + 1, sheet.max_row + 1):
        tag = sheet.cell(row, columns["Line"]).value
        places[str(tag)] = {h: sheet.cell(row, n).coordinate for h, n in columns.items()}
        for heading, value in by_tag.get(str(tag), {}).items():
            sheet.cell(row, columns[heading]).value = value
    book.save(to)
    return places


def _run(*arguments: object) -> Any:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@LONG
def test_filled_rows_become_the_laid_sheet(given: tuple[Path, bytes], tmp_path: Path) -> None:
    """Tests that only lines with blanks filled in lie, all that was written of them kept."""
    farm, laying = given
    _filled(laying, tmp_path / "laying.xlsx", {"L3/2": FILLED, "L2/1": {"Signed": "A. Master"}})
    after = tmp_path / "after.xlsx"
    result = _run("laid", tmp_path / "laying.xlsx", farm, "-o", after)
    assert result.exit_code == 0, result.output
    assert "2 lines taken over: 2 of 6 lie." in result.output
    assert "Your workbook, with" in result.output
    first, second = sorted(read_farm(after).laid, key=lambda row: row.tag)
    assert (first.tag, first.pull_kn, first.note) == ("L2/1", None, "signed A. Master")
    assert (second.tag, second.easting_m, second.northing_m) == ("L3/2", 1120.5, 1935.0)
    assert (second.pull_kn, second.drag_m, str(second.laid_on)) == (60.0, 1.2, "2031-05-03")
    made = next(row.make_up for row in price(random_farm(4)).assignments if row.leg == "L3")
    assert (second.anchor, second.chain, second.chain_m) == (made.anchor, made.chain, made.chain_m)
    assert (second.rope, second.rope_m, second.anchors) == (made.rope, made.rope_m, made.anchors)
    again = _run("laid", tmp_path / "laying.xlsx", after, "-o", tmp_path / "again.xlsx")
    assert "0 lines taken over: 2 of 6 lie." in again.output
    assert read_farm(tmp_path / "again.xlsx").laid == read_farm(after).laid


@pytest.mark.parametrize(
    ("heading", "value", "said"),
    [
        ("Pull (kN)", "plenty", "found 'plenty'"),
        ("Line", "L3-2", "not a line's tag"),
        ("Line", "L3/9", "L3/9: the leg has 3 lines"),
        ("Anchor", "two A2", "needs how many × which"),
        ("Anchor", "1 × A22", "'A22' is not in the farm; did you mean 'A2'?"),
        ("Chain", "some C2", "needs metres and item"),
        ("Chain", "5 m C2", "L3/2 as laid no longer stands"),
        ("Rope", "18 m R9", "'R9' is not in the farm"),
    ],
)
def test_faults_are_told_by_cell(
    given: tuple[Path, bytes], tmp_path: Path, heading: str, value: str, said: str
) -> None:
    """Tests that what cannot be taken over is refused by the laying plan's cell."""
    farm, laying = given
    target = tmp_path / "laying.xlsx"
    places = _filled(laying, target, {"L3/2": {**FILLED, heading: value}})
    cells = next(cells for tag, cells in places.items() if tag in ("L3/2", value))
    result = _run("laid", target, farm, "-o", tmp_path / "after.xlsx")
    assert result.exit_code == 1
    assert said in result.output
    at = cells["Line"] if "no longer" in said else cells[heading]
    assert f"Laying V1!{at}" in result.output
    assert not (tmp_path / "after.xlsx").exists()


def test_a_line_that_does_not_stand_is_accepted_by_name(
    given: tuple[Path, bytes], tmp_path: Path
) -> None:
    """Tests that a line too short to stand is refused with how it is accepted, that it is taken
    over with its engineer where it is, and that an acceptance of no such line, or of nobody, is
    refused."""
    farm, laying = given
    target, after = tmp_path / "laying.xlsx", tmp_path / "after.xlsx"
    _filled(laying, target, {"L3/2": {**FILLED, "Chain": "5 m C2"}})
    refused = _run("laid", target, farm, "-o", after)
    assert "say which engineer accepts it: --accepted LINE=NAME" in refused.output
    other = _run("laid", target, farm, "-o", after, "--accepted", "L3/1=A. N. Engineer")
    assert "L3/1 is accepted, but is no line that the laying plan records anew" in other.output
    assert _run("laid", target, farm, "-o", after, "--accepted", "L3/2").exit_code == 2
    taken = _run("laid", target, farm, "-o", after, "--accepted", "L3/2=A. N. Engineer")
    assert taken.exit_code == 0, taken.output
    assert "L3/2: accepted by A. N. Engineer" in taken.output
    (row,) = read_farm(after).laid
    assert (row.tag, row.accepted_by) == ("L3/2", "A. N. Engineer")


@LONG
def test_a_record_against_another_is_refused(given: tuple[Path, bytes], tmp_path: Path) -> None:
    """Tests that a line recorded already and now otherwise is refused; and an empty plan."""
    farm, laying = given
    _filled(laying, tmp_path / "one.xlsx", {"L3/2": FILLED})
    _filled(laying, tmp_path / "two.xlsx", {"L3/2": {**FILLED, "Pull (kN)": 70}})
    _filled(laying, tmp_path / "none.xlsx", {})
    after = tmp_path / "after.xlsx"
    assert _run("laid", tmp_path / "one.xlsx", farm, "-o", after).exit_code == 0
    refused = _run("laid", tmp_path / "two.xlsx", after, "-o", tmp_path / "more.xlsx")
    assert "L3/2 is recorded already, and otherwise" in refused.output
    nothing = _run("laid", tmp_path / "none.xlsx", farm, "-o", tmp_path / "more.xlsx")
    assert "nothing is filled in" in nothing.output
    wrong = _run("laid", farm, farm, "-o", tmp_path / "more.xlsx")
    assert "no laying plan in it" in wrong.output
