"""The copy of a workbook with its faults beside the cells, and the table of faults."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from moorledger.io.commands.command_line import main
from moorledger.io.inputs.checked_copy import checked_copy
from moorledger.io.reading.workbook import read_farm_with_warnings
from moorledger.io.words.fault_table import fault_table, printable
from moorledger.models.fault import FarmError, Fault, Severity
from openpyxl import load_workbook
from openpyxl.comments import Comment

from tests.farms.typed_workbook import rewrite, save, save_csv, typed

SPOILT = typed(("Legs", "G2", "sandd"), ("Legs", "D3", "strong"), ("Anchors", "A1", None))


def check(*arguments: str | Path) -> tuple[int, str]:
    """Return the exit code of `check`, and all that it said."""
    result = CliRunner().invoke(main, ["check", *map(str, arguments)])
    return result.exit_code, result.output


def test_faulty_cells_carry_a_comment_and_the_input_none(tmp_path: Path) -> None:
    """Each fault stands beside its cell, all in a list in front; the input keeps its bytes."""
    path = save(SPOILT, tmp_path / "farm.xlsx")
    before = path.read_bytes()
    code, said = check(path, "--comments", tmp_path / "checked.xlsx")
    assert code == 1
    assert f"Comments: {tmp_path / 'checked.xlsx'}" in said
    assert path.read_bytes() == before
    book = load_workbook(tmp_path / "checked.xlsx")
    comment = book["Legs"]["G2"].comment
    assert comment is not None
    assert comment.text == ("error: Seabed: 'sandd' is not in Seabeds; did you mean 'sand'?")
    assert book["Legs"]["G2"].value == "sandd"
    assert "found 'strong'" in book["Legs"]["D3"].comment.text
    assert "the column 'Anchor' is missing" in book["Anchors"]["A1"].comment.text
    listed = [row[2].value for row in book.worksheets[0].iter_rows(min_row=2)]
    assert {"G2", "D3"} <= set(listed)


def test_a_checked_copy_can_be_checked_again(tmp_path: Path) -> None:
    """Nothing in the copy is a fault of its own: it says what the workbook says."""
    path = save(SPOILT, tmp_path / "farm.xlsx")
    copy = tmp_path / "checked.xlsx"
    check(path, "--comments", copy)
    assert check(copy)[1].replace(str(copy), "") == check(path)[1].replace(str(path), "")
    code, said = check(path, "--comments", copy)
    assert code == 1
    assert "exists already" in said


def test_formulas_of_the_copy_keep_their_results(tmp_path: Path) -> None:
    """A stored result is not lost, so that the copy can be priced unopened."""
    path = save(typed(("Legs", "D2", "=8*10"), ("Legs", "G2", "sandd")), tmp_path / "farm.xlsx")
    rewrite(path, "xl/worksheets/sheet2.xml", b"<f>8*10</f><v></v>", b"<f>8*10</f><v>80</v>")
    rewrite(path, "xl/worksheets/sheet2.xml", b"<f>8*10</f><v />", b"<f>8*10</f><v>80</v>")
    with pytest.raises(FarmError) as refused:
        read_farm_with_warnings(path)
    copy = tmp_path / "checked.xlsx"
    copy.write_bytes(checked_copy(path, refused.value.faults))
    assert load_workbook(copy)["Legs"]["D2"].value == "=8*10"
    assert load_workbook(copy, data_only=True)["Legs"]["D2"].value == 80


def test_a_folder_of_csv_gets_a_workbook_with_comments(tmp_path: Path) -> None:
    """Text stays text, numbers become numbers, and nothing becomes a formula."""
    cells = typed(("Legs", "G2", "sandd"), ("Legs", "R2", "=1+1"))
    folder = save_csv(cells, tmp_path / "farm")
    check(folder, "--comments", tmp_path / "checked.xlsx")
    legs = load_workbook(tmp_path / "checked.xlsx")["Legs"]
    assert "did you mean 'sand'?" in legs["G2"].comment.text
    assert (legs["D2"].value, legs["R2"].value, legs["R2"].data_type) == (80, "=1+1", "s")


def test_the_buyers_own_comments_stay(tmp_path: Path) -> None:
    """A comment that was there follows the fault's."""
    path = save(SPOILT, tmp_path / "farm.xlsx")
    book = load_workbook(path)
    book["Legs"]["G2"].comment = Comment("ask Bo", "buyer")
    book.save(path)
    check(path, "--comments", tmp_path / "checked.xlsx")
    comment = load_workbook(tmp_path / "checked.xlsx")["Legs"]["G2"].comment
    assert comment is not None
    assert comment.text.endswith("did you mean 'sand'?\nask Bo")


def test_what_cannot_be_opened_has_no_copy(tmp_path: Path) -> None:
    """One clear line, and no file."""
    path = tmp_path / "letter.xlsx"
    path.write_text("Dear buyer")
    code, said = check(path, "--comments", tmp_path / "checked.xlsx")
    assert code == 1
    assert "not an .xlsx workbook" in said
    assert not (tmp_path / "checked.xlsx").exists()


def test_faults_stand_in_columns() -> None:
    """Headings, then a row a fault, its columns aligned; no faults, no table."""
    faults = [
        Fault("Legs", 2, "G2", "Seabed", "'sandd' is not in Seabeds"),
        Fault("Uplift loss", 0, "", "", "a warning of the sheet", Severity.WARNING),
    ]
    lines = fault_table(faults)
    assert lines[1].split("  ")[0] == "error"
    columns = {
        line.index(word) for line, word in zip(lines, ("What", "'sandd'", "a w"), strict=True)
    }
    assert len(columns) == 1
    assert fault_table([]) == []


def test_messages_are_wrapped_to_a_terminal_and_only_there() -> None:
    """On a narrow terminal the last column goes on below itself; in a log it is one line."""
    fault = Fault("Legs", 2, "G2", "Seabed", "many words " * 20)
    assert len(fault_table([fault])) == 2
    lines = fault_table([fault], width=80)
    assert len(lines) > 3
    assert max(len(line) for line in lines) <= 80


def test_text_of_a_workbook_cannot_command_a_terminal() -> None:
    """An escape sequence in a name is shown, not obeyed; letters of any script pass."""
    assert printable("a\x1b[2Jb\nc") == "a\N{REPLACEMENT CHARACTER}[2Jb\N{REPLACEMENT CHARACTER}c"
    assert printable("מעגן ⚓ Ä") == "מעגן ⚓ Ä"
