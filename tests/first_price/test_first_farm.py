"""docs/first_farm.md: its commands run as they stand, and its figures are what they give."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner
from moorledger.io.commands.command_line import main
from moorledger.io.reading.workbook import read_farm

from tests.first_price.first_farm import farm_of_grid, first_grid, fuller
from tests.quick_run import LONG

DOCS = Path(__file__).resolve().parents[2] / "docs"
TEXT = (DOCS / "first_farm.md").read_text(encoding="utf-8")


@LONG
def test_its_commands_run_in_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each command of the text ends well in a copy of its folder, and the figures told are true."""
    shutil.copytree(DOCS / "first_farm", tmp_path / "first_farm")
    monkeypatch.chdir(tmp_path / "first_farm")
    blocks = re.findall(r"```sh\n(.*?)```", TEXT, re.DOTALL)
    said = {}
    for command in (line.strip() for block in blocks for line in block.splitlines() if line):
        if not command:
            continue
        program, *arguments = shlex.split(command)
        assert program == "moorledger"
        result = CliRunner().invoke(main, arguments)
        assert result.exit_code == 0, f"{command}\n{result.output}"
        said[command] = result.output
    assert len(said) == 9
    assert "0 errors, 1 warning" in said["moorledger check short.xlsx"]
    ranked = said["moorledger check full.xlsx --next -o next.xlsx"]
    assert "deck area of plate 150: up to EUR 727" in ranked
    assert "setting of plate 150: up to EUR 727" in ranked
    assert "pack size of" not in ranked.split("within the gap")[0]
    for written in ("pulls.html", "first.xlsx", "next.xlsx", "options.xlsx", "order.html"):
        assert Path(written).is_file()
    papers = {path.name for path in Path("papers").iterdir()}
    assert len(papers) == 6
    assert {"booking by measure.xlsx", "laying workboat.xlsx", "engineer.xlsx"} <= papers
    assert "Papers: 6 papers" in said["moorledger papers order.xlsx papers"]


def test_its_files_are_what_is_typed() -> None:
    """The workbooks beside it hold what the steps say that a new user types."""
    folder = DOCS / "first_farm"
    short, full = (read_farm(folder / name) for name in ("short.xlsx", "full.xlsx"))
    assert short.legs == farm_of_grid(first_grid()).legs
    assert short.readings == farm_of_grid(first_grid()).readings
    typed = farm_of_grid(fuller(first_grid()))
    assert (full.vessels, full.services) == (typed.vessels, typed.services)
    cells = sum(
        value is not None for rows in first_grid().values() for r in rows[1:] for value in r
    )
    assert f"{cells} cells" in TEXT
