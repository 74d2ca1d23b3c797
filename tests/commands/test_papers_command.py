"""The commands that write papers: where they go, what they refuse, and what they leave alone."""

from __future__ import annotations

import zipfile
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result
from moorledger.io.commands import papers as papers_commands
from moorledger.io.commands import pricing
from moorledger.io.commands.command_line import main
from moorledger.models.answer.plan import Plan
from moorledger.models.farm import Farm

from tests.farms.plan_fixture import example_order, example_plan
from tests.farms.typed_workbook import TYPED, save_csv
from tests.quick_run import LONG

PAPERS = {
    "summary.xlsx",
    "purchase order Plate works.xlsx",
    "purchase order Chain store.xlsx",
    "booking Box 20.xlsx",
    "booking Road parcel.xlsx",
    "yard.xlsx",
    "laying Work boat.xlsx",
    "engineer.xlsx",
}


def run(*arguments: str | Path) -> Result:
    """Return how a command ended; an exception that is no exit is raised here."""
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


@pytest.fixture
def order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An order of the example; its checks, which hold of no farm at all, are taken as passed."""
    monkeypatch.setattr(
        papers_commands, "checked", lambda plan: plan.with_checks(example_plan().checks)
    )
    path = tmp_path / "order.xlsx"
    path.write_bytes(example_order())
    return path


def test_papers_of_an_order(order: Path, tmp_path: Path) -> None:
    """The folder is made, every paper is in it, and the zip holds the same."""
    folder = tmp_path / "papers"
    result = run("papers", order, folder, "--zip")
    assert result.exit_code == 0, result.stderr
    assert {path.name for path in folder.iterdir()} == PAPERS | {"papers.zip"}
    with zipfile.ZipFile(folder / "papers.zip") as package:
        for name in PAPERS:
            assert package.read(name) == (folder / name).read_bytes()


@LONG
def test_papers_are_not_overwritten_unasked(order: Path, tmp_path: Path) -> None:
    """A paper that is there stays, and none is written beside it; --force writes all."""
    folder = tmp_path / "papers"
    folder.mkdir()
    (folder / "yard.xlsx").write_text("mine")
    result = run("papers", order, folder)
    assert result.exit_code == 1
    assert "yard.xlsx exists already" in result.stderr
    assert [path.name for path in folder.iterdir()] == ["yard.xlsx"]
    assert run("papers", order, folder, "--force").exit_code == 0
    assert {path.name for path in folder.iterdir()} == PAPERS


@LONG
def test_a_changed_price_is_refused_and_nothing_is_written(order: Path, tmp_path: Path) -> None:
    """The cell is named, and what to do."""
    book = openpyxl.load_workbook(order)
    book["Order Plate works"]["H12"] = 1.0
    book.save(order)
    result = run("papers", order, tmp_path / "papers")
    assert result.exit_code == 1
    assert "Order Plate works!H12" in result.stderr
    assert "price this workbook again" in result.stderr
    assert not (tmp_path / "papers").exists()


def test_an_order_that_no_longer_holds_is_refused(tmp_path: Path) -> None:
    """The checks are made again: the example's figures are of no true farm, and so it is told."""
    path = tmp_path / "order.xlsx"
    path.write_bytes(example_order())
    result = run("papers", path, tmp_path / "papers")
    assert result.exit_code == 1
    assert "no longer holds together" in result.stderr
    assert not (tmp_path / "papers").exists()


@pytest.mark.parametrize("what", ["a file", "in no folder"])
def test_a_folder_that_cannot_be_is_refused(order: Path, tmp_path: Path, what: str) -> None:
    """A file in its place, or a parent that is not there, is told before any work."""
    folder = order if what == "a file" else tmp_path / "none" / "papers"
    result = run("papers", order, folder)
    assert result.exit_code == 1
    assert "cannot" in result.stderr


@LONG
def test_price_writes_papers_beside_the_order(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """--papers of price writes the same papers; --zip alone is a slip and is told."""

    def price(_farm: Farm, **_options: object) -> Plan:
        return example_plan()

    monkeypatch.setattr(pricing, "price", price)
    monkeypatch.setattr(pricing, "alternatives", lambda *_plan, **_options: None)
    farm = save_csv(TYPED, tmp_path / "farm")
    output, folder = tmp_path / "order.xlsx", tmp_path / "papers"
    result = run("price", farm, "-o", output, "--papers", folder)
    assert result.exit_code == 0, result.stderr
    assert {path.name for path in folder.iterdir()} == PAPERS
    assert "Papers: 8 papers in" in result.stdout
    assert run("price", farm, "-o", tmp_path / "other.xlsx", "--zip").exit_code == 2


@pytest.mark.parametrize(
    ("name", "would_do"), [("out.pdf", "--papers"), ("out.json", "--json"), ("out.html", "--page")]
)
def test_an_order_that_is_no_workbook_is_refused_with_what_would_do(
    tmp_path: Path, name: str, would_do: str
) -> None:
    """-o out.pdf is a slip of the command line: nothing is priced, and the way is shown."""
    farm = save_csv(TYPED, tmp_path / "farm")
    result = run("price", farm, "-o", tmp_path / name)
    assert result.exit_code == 2
    assert would_do in result.stderr
    assert not (tmp_path / name).exists()
