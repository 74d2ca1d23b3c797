"""The documents against what they describe: commands, options, files, headings."""

from __future__ import annotations

import ast
import re
import shlex
import tomllib
from pathlib import Path

import click
import moorledger
import pytest
from moorledger.io.commands import command_line, exit_codes
from moorledger.io.commands.command_line import main
from moorledger.io.layout.sheets import SHEETS
from moorledger.io.needs.needs import PRICE

from tests.quick_run import in_share

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
BOTH = pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])

BLOCK = re.compile(r"```(\w*)\n(.*?)```", re.DOTALL)

COMMANDS: dict[str, click.Command] = {
    f"{name} {under}".strip(): command
    for name, top in main.commands.items()
    for under, command in (top.commands.items() if isinstance(top, click.Group) else [("", top)])
}
"""Every command that does something, by the words that call it."""


def shell_lines(text: str) -> list[str]:
    """Return the lines of a document's shell blocks."""
    blocks = [body for language, body in BLOCK.findall(text) if language == "sh"]
    return [line for body in blocks for line in body.splitlines()]


def moorledger_calls(text: str) -> list[list[str]]:
    """Return the arguments of every call of moorledger in shell blocks and in inline code."""
    spans = re.findall(r"`(moorledger [^`\n]+)`", BLOCK.sub("", text))
    parts = [part for line in shell_lines(text) for part in line.split("&&")]
    called = [shlex.split(part, comments=True) for part in [*parts, *spans]]
    return [words[1:] for words in called if words and words[0].endswith("moorledger")]


def test_the_pasteable_commands_are_two_lines() -> None:
    """One line does the main job on the sample, another passes the tests; CI runs these two."""
    price, tests = [line for line in README.splitlines() if line.startswith("python3 -m venv ")]
    assert "moorledger price sample_inputs/" in price
    assert tests.endswith("python -m pytest")


def test_extras_of_the_pasteable_commands_exist() -> None:
    """`pip install '.[test]'` names an extra that pyproject has: pip only warns if it has not."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = re.findall(r"'\.\[(\w+)\]'", README + DEVELOPERS)
    assert named
    assert set(named) <= set(project["optional-dependencies"])


@BOTH
def test_calls_in_the_documents_parse(text: str) -> None:
    """Every call names a command that exists, with options that it takes."""
    calls = moorledger_calls(text)
    assert calls
    for name, *arguments in calls:
        if name == "COMMAND":
            continue
        command = main.commands[name]
        command.make_context(name, [real(argument) for argument in arguments])


def real(argument: str) -> str:
    """Return an argument with a file that exists in place of a stand-in for the reader's own."""
    if argument == "pulls.csv":
        return str(ROOT / "sample_inputs" / "heron_sound" / "Pull tests.csv")
    if argument in ("WORKBOOK", "ORDER", "farm.xlsx", "farm order.xlsx"):
        return str(ROOT / "sample_inputs" / "heron_sound.xlsx")
    if argument.startswith("sample_inputs/"):
        return str(ROOT / argument)
    return argument


def test_every_command_is_in_the_table_and_no_other() -> None:
    """README's table of commands is the commands."""
    table = re.findall(r"^\| `moorledger ([a-z]+(?: [a-z]+)?)", README, re.MULTILINE)
    assert sorted(table) == sorted(COMMANDS)


def test_every_option_is_named_in_readme() -> None:
    """No option of a command is a secret, and README names none that there is not."""
    options = {
        max(parameter.opts, key=len)
        for command in COMMANDS.values()
        for parameter in command.params
        if isinstance(parameter, click.Option)
    } - {"--output"}
    prose = BLOCK.sub("", README)
    assert set(re.findall(r"`(--[a-z-]+)`", prose)) == options
    assert "`-o`" in prose


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_help_holds_an_example_that_parses(name: str) -> None:
    """Help shows a line to paste, and it can be pasted."""
    command = COMMANDS[name]
    lines = (command.help or "").splitlines()
    examples = [line.strip() for line in lines if line.strip().startswith("moorledger ")]
    assert examples
    for example in examples:
        program, *words = shlex.split(example)
        called, arguments = words[: len(name.split())], words[len(name.split()) :]
        assert (program, called) == ("moorledger", name.split())
        command.make_context(name, [real(argument) for argument in arguments])


def test_exit_codes_of_readme_are_those_of_the_program() -> None:
    """README's table has done, click's own 2, and every code that the command line ends with."""
    table = {int(code) for code in re.findall(r"^\| (\d+) \|", README, re.MULTILINE)}
    ours = {code for name, code in vars(exit_codes).items() if name.isupper()}
    assert table == ours | {0, click.UsageError.exit_code}
    told = {int(code) for code in re.findall(r"(\d+) (?:done|the|no|stopped)", command_line.EPILOG)}
    assert told == table


@BOTH
def test_files_named_exist(text: str) -> None:
    """Every link, picture, module and folder that the documents name is there."""
    linked = re.findall(r"\]\(([^)#]+)\)", text)
    coded = re.findall(r"`((?:[\w.]+/)+[\w.]*)`", text)
    coded += re.findall(r"sample_inputs/\w+\.xlsx", text)
    named = {name for name in (*linked, *coded) if not name.startswith(".venv")}
    assert named
    assert sorted(name for name in named if not (ROOT / name).exists()) == []


def test_modules_named_without_a_folder_exist() -> None:
    """The search's section names modules of the optimiser, the tests' section those of tests."""
    modules = set(re.findall(r"`(\w+\.py)`", DEVELOPERS))
    there = {path.name for room in ("optimiser", "tests") for path in (ROOT / room).rglob("*.py")}
    assert modules
    assert modules <= there


def test_sheets_and_headings_named_exist() -> None:
    """The sheets that README tells a buyer to fill in are the layout's, and none is forgotten."""
    section = README.split("## Your own workbook")[1].split("\n## ")[0]
    words = " ".join(section.split())
    titles = [sheet.title for sheet in SHEETS]
    assert [title for title in titles if title not in words] == []
    listed = re.search(r"Fill in the sheets ([\w, ]+) and (\w+);", words)
    assert listed is not None
    needed = {*listed[1].split(", "), listed[2]}
    assert needed == {sheet.title for sheet in (*PRICE.sheets, *PRICE.whole)}
    headings = {(column.heading, column.unit) for sheet in SHEETS for column in sheet.columns}
    (shown,) = re.findall(r"`([A-Z][\w ]+) \((\w+)\)` by", words)
    assert shown in headings


def test_library_example_names_what_there_is() -> None:
    """README's example takes every name from the face; tests/house/test_face.py runs it."""
    (example,) = [body for language, body in BLOCK.findall(README) if language == "python"]
    used = {
        node.attr
        for node in ast.walk(ast.parse(example))
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name)
    }
    assert used == {"read_farm", "price", "write_plan"}
    section = README.split("## As a library")[1].split("\n## ")[0]
    named = set(re.findall(r"`(?:ml\.)?(\w+)[(`]", section)) - {"moorledger"}
    assert used | named == set(moorledger.__all__)


@pytest.mark.parametrize("name", ["summary.png", "order.png"])
def test_picture_is_small_enough_to_clone(name: str) -> None:
    """At most 200 kB."""
    assert (ROOT / "docs" / name).stat().st_size <= 200_000


def test_shares_of_the_long_tests_hold_every_case_once() -> None:
    """Tests that CI's shares, one after the other, run every case, and none is much larger."""
    names = [f"tests/{room}/test_{room}.py::test_it" for room in "abcdef"]
    cases = [f"{name}[{seed}]" for name in names for seed in range(200)]
    shares = [
        [case for case in cases if in_share(case, number, 10)] for number in range(10)
    ]  # as many as .ci/run has
    assert sorted(case for share in shares for case in share) == sorted(cases)
    assert max(map(len, shares)) < 2 * len(cases) / 10
    assert "SHARES=10\n" in (ROOT / ".ci/run").read_text()
