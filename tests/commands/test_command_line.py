"""The command line: what each command writes and says, its exit codes, and what it leaves alone."""

from __future__ import annotations

import json
import math
import os
import re
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result
from moorledger.io.commands import pricing, watch
from moorledger.io.commands import terms as command_terms
from moorledger.io.commands.command_line import main
from moorledger.io.commands.terms import gap_of
from moorledger.io.commands.watch import Watch
from moorledger.io.inputs.template import write_template
from moorledger.io.told.plan_text import CAUTION, plan_summary, proof_text
from moorledger.io.whole_file import TargetError
from moorledger.models.answer.plan import Plan
from moorledger.models.answer.stopped import Stopped
from moorledger.models.farm import Farm
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.project import Project
from moorledger.optimiser.failures import NoPlanError, PlanFaultError
from openpyxl import load_workbook

from tests.farms.plan_fixture import INSTALLED_COST, example_order, example_plan
from tests.farms.random_farms import random_farm
from tests.farms.small_farm import ANCHOR, LEG, SEABED, VESSEL, farm_with
from tests.farms.typed_workbook import TYPED, save, save_csv, typed
from tests.quick_run import LONG

HELD = (DeclaredHolding(ANCHOR.name, SEABED.name, 100.0, "invented"),)
SOUND = farm_with(
    project=Project(setting_pull_share=1.0),
    legs=(replace(LEG, design_tension_kn=20.0),),
    vessels=(replace(VESSEL, bollard_pull_kn=100.0),),
    declared_holdings=HELD,
)
"""A farm of one leg that can be priced, and nothing about it doubted."""


def run(*arguments: str | Path) -> Result:
    """Return how a command ended; an exception that is no exit is raised here."""
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def written(path: Path, farm: Farm) -> Path:
    """Write a farm as a workbook."""
    write_template(path, farm)
    return path


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The workbook of a farm of one leg that can be priced; the current folder is its folder."""
    monkeypatch.chdir(tmp_path)
    return written(tmp_path / "one leg.xlsx", SOUND)


@pytest.fixture
def solved(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, object]]:
    """The search replaced by one that gives the example plan at once; holds what it was asked."""
    asked: list[dict[str, object]] = []

    def price(_farm: Farm, **options: object) -> Plan:
        asked.append(options)
        return example_plan()

    monkeypatch.setattr(pricing, "price", price)
    monkeypatch.setattr(pricing, "plan_workbook", lambda _plan, _sheets, case: example_order())
    monkeypatch.setattr(pricing, "alternatives", lambda *_plan, **_options: None)
    return asked


def refuse(error: Exception) -> Callable[..., Plan]:
    """Return a search that ends with an error."""

    def price(_farm: Farm, **_options: object) -> Plan:
        raise error

    return price


# --- price -------------------------------------------------------------------------------------


def test_price_writes_the_order_and_says_what_it_found(book: Path) -> None:
    """The main job from file to file: order and JSON are whole, and the input is untouched."""
    before = book.read_bytes()
    result = run("price", book, "--json", "plan.json")
    assert result.exit_code == 0, result.output
    assert book.read_bytes() == before
    assert load_workbook("one leg order.xlsx").sheetnames[0] == "Summary"
    plan = json.loads(Path("plan.json").read_text(encoding="utf-8"))
    assert plan["legs"][0]["anchor"] == ANCHOR.name
    assert f"Installed cost EUR {plan['installed_cost']:,.2f}" in result.stdout
    assert f"1 × {ANCHOR.name}" in result.stdout
    assert "Least cost, proven" in result.stdout
    assert CAUTION in result.stdout
    assert "Order: one leg order.xlsx\nJSON: plan.json\n" in result.stdout


@LONG
def test_price_writes_the_page_too(book: Path) -> None:
    """With --page the same case is one HTML page, and it is said where."""
    result = run("price", book, "--page", "case.html")
    assert result.exit_code == 0, result.output
    page = Path("case.html").read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>")
    assert f"1 × {ANCHOR.name}" in page
    assert "Page: case.html" in result.stdout


@LONG
def test_a_farm_priced_at_once_has_its_reasons_in_money(tmp_path: Path) -> None:
    """With half a minute for all, "Why this order" says what it would cost without the anchor and
    without the vessel that the plan leans on: no time was kept for that, but much is left."""
    book = written(tmp_path / "farm.xlsx", random_farm(3))
    order = tmp_path / "order.xlsx"
    assert run("price", book, "-o", order, "--time-limit", "30").exit_code == 0
    said = [str(cell.value) for row in load_workbook(order)["Summary"].iter_rows() for cell in row]
    reasons = [text for text in said if "'without " in text and " more" in text]
    assert len(reasons) == 2


@pytest.mark.parametrize(
    ("limit", "gone", "seconds"),
    [(600, 1, 4), (600, 12, 12), (600, 300, 20), (600, 595, 5), (20, 18.5, 1.5), (20, 21, 0)],
)
def test_alternatives_have_as_long_as_the_plan_took(
    limit: float, gone: float, seconds: float
) -> None:
    """No less than 4 and no more than 20 seconds, and never more than is left."""
    assert pricing.for_alternatives(limit, gone) == seconds


@LONG
def test_an_order_priced_again_is_the_same_plan(book: Path) -> None:
    """The inputs that an order ends with are all that the plan was made of."""
    assert run("price", book, "--json", "first.json").exit_code == 0
    again = run("price", "one leg order.xlsx", "-o", "again.xlsx", "--json", "second.json")
    assert (again.exit_code, again.stderr) == (0, "")
    assert Path("second.json").read_bytes() == Path("first.json").read_bytes()


def test_results_do_not_overwrite_each_other(book: Path, solved: list[dict[str, object]]) -> None:
    """Two results of one name are refused before any work."""
    result = run("price", book, "--json", "one.html", "--page", "one.html")
    assert result.exit_code == 1
    assert "cannot write one.html twice: give --page another name" in result.stderr
    assert solved == []


def test_price_reads_a_folder_of_csv(tmp_path: Path, solved: list[dict[str, object]]) -> None:
    """A folder is given where a workbook is, and gives its name to the order."""
    folder = save_csv(TYPED, tmp_path / "farm")
    output = tmp_path / "order.xlsx"
    assert run("price", folder, "-o", output).exit_code == 0
    assert output.exists()
    assert len(solved) == 1


def test_price_passes_its_options_on(book: Path, solved: list[dict[str, object]]) -> None:
    """Gap, time limit and solver reach the search as they were given."""
    run("price", book, "--gap", "0.5%", "--time-limit", "7", "--solver", "cbc")
    (asked,) = solved
    assert (asked["gap"], asked["time_limit_s"], asked["solver"]) == (0.005, 7.0, "cbc")


@LONG
def test_standard_output_is_the_summary_alone(book: Path) -> None:
    """In a process of its own, where the solver would print its banner, nothing else is said."""
    call = [sys.executable, "-c", "from moorledger.io.commands.command_line import main; main()"]
    done = subprocess.run(
        [*call, "price", book.name, "--force"], capture_output=True, timeout=120, check=False
    )
    assert done.returncode == 0, done.stderr
    lines = done.stdout.decode().splitlines()
    assert lines[0] == "Moorings: 1 leg in 1 group"
    assert lines[-1] == "Order: one leg order.xlsx"
    assert done.stderr == b""


@pytest.mark.parametrize(("option", "name"), [("--output", "there.xlsx"), ("--json", "there.json")])
def test_existing_files_stay_without_force(
    book: Path, solved: list[dict[str, object]], option: str, name: str
) -> None:
    """Neither result overwrites a file unasked, and that is found out before any work."""
    there = Path(name)
    there.write_text("mine")
    result = run("price", book, option, there)
    assert result.exit_code == 1
    assert f"{name} exists already" in result.stderr
    assert "--force" in result.stderr
    assert there.read_text() == "mine"
    assert solved == []
    assert run("price", book, option, there, "--force").exit_code == 0
    assert there.read_bytes() != b"mine"


def test_the_input_is_never_the_output(book: Path, solved: list[dict[str, object]]) -> None:
    """Not even with --force, by a link, or into the folder of CSV files that is the input."""
    before = book.read_bytes()
    Path("link.xlsx").symlink_to(book)
    folder = save_csv(TYPED, book.parent / "farm")
    for source, output in (
        (book, book),
        (book, Path("link.xlsx")),
        (folder, folder / "Legs.csv"),
    ):
        result = run("price", source, "-o", output, "--force")
        assert result.exit_code == 1
        assert "is the input, which is never changed" in result.stderr
    assert book.read_bytes() == before
    assert solved == []


@pytest.mark.parametrize(
    ("output", "said"),
    [
        ("no/such/order.xlsx", "there is no folder"),
        (".", "it is a folder"),
        ("order.txt", "a workbook's name must end in .xlsx"),
        ("order", "a workbook's name must end in .xlsx"),
    ],
)
def test_target_that_cannot_be_is_refused_before_the_work(
    book: Path, solved: list[dict[str, object]], output: str, said: str
) -> None:
    """Nobody waits for a search whose result has nowhere to go."""
    result = run("price", book, "-o", output)
    assert result.exit_code == 1
    assert said in result.stderr
    assert solved == []


def test_two_results_need_two_names(book: Path, solved: list[dict[str, object]]) -> None:
    """The JSON does not overwrite the order."""
    assert run("price", book, "-o", "one.xlsx", "--json", "./one.xlsx").exit_code == 1
    assert solved == []


@pytest.mark.usefixtures("solved")
def test_a_found_plan_is_not_lost_when_its_target_goes(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A target that fails after the search is written elsewhere, and the place is said."""
    real = command_terms.write_whole

    def write_whole(path: Path, content: bytes, *, overwrite: bool = False) -> None:
        if Path(path).name == path.name == str(path):
            raise TargetError("the disk is full")
        real(path, content, overwrite=overwrite)

    monkeypatch.setattr(command_terms, "write_whole", write_whole)
    monkeypatch.setattr(tempfile, "tempdir", str(book.parent))
    result = run("price", book, "-o", "order.xlsx")
    assert result.exit_code == 1
    assert "the disk is full" in result.stderr
    spare = result.stderr.split("written here instead: ")[1].strip()
    assert load_workbook(spare).sheetnames[0] == "Summary"


def test_faults_of_the_workbook_stop_a_price(tmp_path: Path) -> None:
    """Each fault is a line that names its cell; nothing is written; exit code 1."""
    spoilt = typed(("Legs", "G2", "sandd"), ("Legs", "D3", "strong"))
    path = save(spoilt, tmp_path / "spoilt.xlsx")
    result = run("price", path, "-o", tmp_path / "order.xlsx")
    assert result.exit_code == 1
    assert "error: Legs!G2 Seabed: " in result.stderr
    assert "error: Legs!D3 Design tension: " in result.stderr
    assert "2 errors, 0 warnings" in result.stderr
    assert result.stdout == ""
    assert not (tmp_path / "order.xlsx").exists()


def test_a_leg_that_cannot_be_moored_is_named(tmp_path: Path) -> None:
    """The leg, its cell, the make-up that came nearest, and the limit that it missed."""
    farm = farm_with(legs=(replace(LEG, design_tension_kn=500.0),), declared_holdings=HELD)
    path = written(tmp_path / "hard.xlsx", farm)
    for command in (("price", path, "-o", tmp_path / "order.xlsx"), ("check", path)):
        result = run(*command)
        assert result.exit_code == 1
        assert re.search(
            r"error:? +Legs[! ] *A2 +Leg:? +leg 'north' cannot be moored; the nearest",
            result.output,
        )
        assert "short" in result.output


def test_of_many_legs_without_a_make_up_each_is_named(tmp_path: Path) -> None:
    """The first are told what came nearest, the others that they cannot be moored; soon."""
    legs = tuple(replace(LEG, name=f"leg {n}", design_tension_kn=500.0) for n in range(130))
    path = written(tmp_path / "hard.xlsx", farm_with(legs=legs, declared_holdings=HELD))
    result = run("check", path)
    assert result.exit_code == 1
    lines = [line for line in result.stdout.splitlines() if "cannot be moored" in line]
    assert len(lines) == 130
    assert sum("the nearest make-up is" in line for line in lines) == 25
    assert "A131" in lines[-1]


def test_no_plan_in_time_has_its_own_exit_code(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """3, one line, and no order."""
    monkeypatch.setattr(pricing, "price", refuse(NoPlanError("no plan within 5 s")))
    result = run("price", book)
    assert (result.exit_code, result.stdout) == (3, "")
    assert result.stderr == "moorledger: no plan within 5 s\n"
    assert not Path("one leg order.xlsx").exists()


def test_a_plan_at_fault_is_withheld(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """5, the checks that failed, and no order."""
    fault = PlanFaultError("1 checks of the finished plan failed: chain strength (north)")
    monkeypatch.setattr(pricing, "price", refuse(fault))
    result = run("price", book)
    assert result.exit_code == 5
    assert "internal check failed, no order written" in result.stderr
    assert "chain strength (north)" in result.stderr
    assert not Path("one leg order.xlsx").exists()


@pytest.mark.parametrize(
    "arguments",
    [
        ("price",),
        ("price", "no such.xlsx"),
        ("price", ".", "--solver", "other"),
        ("price", ".", "--time-limit", "0"),
        ("price", ".", "--gap", "0.5"),
        ("weigh", "."),
    ],
)
def test_faults_of_the_command_line(arguments: tuple[str, ...]) -> None:
    """2, with a line that says what is wrong."""
    result = run(*arguments)
    assert result.exit_code == 2
    assert "Error: " in result.stderr


@pytest.mark.parametrize(
    ("text", "gap"),
    [("0.001", 0.001), ("0.1%", 0.001), ("0.1 %", 0.001), ("0", 0.0), ("50%", 0.5), ("0.1", 0.1)],
)
def test_gap_is_a_fraction_or_a_percentage(text: str, gap: float) -> None:
    """Both spellings mean the same."""
    assert read_gap(text) == pytest.approx(gap)


@pytest.mark.parametrize("text", ["0.5", "5", "-1%", "100%", "nan", "inf", "least", "%", ""])
def test_gap_that_is_likely_a_slip_is_refused(text: str) -> None:
    """A plain 0.5 would call a plan proven that may cost twice the least."""
    with pytest.raises(click.BadParameter):
        read_gap(text)


def read_gap(text: str) -> float:
    """Return the gap that `--gap` reads."""
    command = main.commands["price"]
    parameter = next(p for p in command.params if p.name == "gap")
    return gap_of(click.Context(command), parameter, text)


# --- what is said of the proof -----------------------------------------------------------------


def test_a_proven_plan_is_called_proven_least() -> None:
    """Cost 11,626.64 and bound 11,620 by the example: a gap of 0.0571 %, never shown as less."""
    assert proof_text(example_plan()) == (
        "Least cost, proven to within 0.06 % of it (0.1 % asked): no plan can cost less than "
        "EUR 11,620.00."
    )


@pytest.mark.parametrize(
    ("bound", "stopped", "said"),
    [
        (10000.0, Stopped.TIME_LIMIT, "stopped at the time limit; "),
        (10000.0, Stopped.INTERRUPTED, "stopped on request; "),
        (-math.inf, Stopped.TIME_LIMIT, "how much cheaper another may be is not known"),
    ],
)
def test_a_time_limit_is_never_called_a_proof(bound: float, stopped: Stopped, said: str) -> None:
    """The text says that nothing is proven, why, and how far from the least it may be."""
    text = proof_text(example_plan(bound=bound, stopped=stopped))
    assert text.startswith("Least cost NOT proven: ")
    assert said in text
    assert "Proven" not in text
    if math.isfinite(bound):  # (11626.64 − 10000) ÷ 11626.64
        assert "cheaper by at most EUR 1,626.64, 14 % of its cost (0.1 % asked)" in text


def test_the_summary_has_the_example_worked_by_hand() -> None:
    """Total, cost a leg, share and suppliers of the example; joins count with their chain."""
    text = plan_summary(example_plan())
    assert f"Installed cost EUR {INSTALLED_COST:,.2f} (EUR 1,937.77 a leg)" in text
    assert "  vessel days            4,000.00   34.4%" in text
    assert "with 10.0% contingency on top: 12,789.30" in text
    assert "     6 × Plate 150" in text
    assert "       2,320.20  Plate works" in text  # 2124 + duty 106.20 + charge 90
    assert "       3,273.00  Chain store" in text  # 1800 + 1320 + 80 + duty 8 + join 15 + charge 50
    assert "Work boat: 6 legs, 1 trip, 2 charged days, EUR 4,950.00" in text
    assert (
        "Strength and holding: all 2 checks passed; arithmetic: the one check passed, of the "
        "finished plan."
    ) in text


# --- check, holding, template ------------------------------------------------------------------


def test_check_of_a_sound_workbook(book: Path) -> None:
    """Nothing to say but that it is enough for every command, and exit code 0."""
    result = run("check", book)
    assert (result.exit_code, result.stdout) == (
        0,
        f"0 errors, 0 warnings in {book}\n"
        "holding: enough\n"
        "price, compare, breakeven, offers, quotes: enough for the installed cost\n",
    )


def test_check_says_warnings_without_failing(tmp_path: Path) -> None:
    """A doubtful heading is said; it is no error."""
    path = written(tmp_path / "farm.xlsx", SOUND)
    workbook = load_workbook(path)
    sheet = workbook["Legs"]
    sheet.cell(1, sheet.max_column + 1, "Colour")
    sheet.cell(2, sheet.max_column, "red")
    workbook.save(path)
    result = run("check", path)
    assert result.exit_code == 0
    assert re.search("^warning  Legs   S1 +no column is called 'Colour'", result.stdout, re.M)
    assert f"\n0 errors, 1 warning in {path}\n" in result.stdout


def test_check_of_a_file_that_is_no_workbook(tmp_path: Path) -> None:
    """One clear line, exit code 1, no traceback."""
    path = tmp_path / "letter.xlsx"
    path.write_text("Dear buyer")
    result = run("check", path)
    assert result.exit_code == 1
    assert result.stdout.count("\n") == 3
    assert result.stdout.endswith(f"1 error, 0 warnings in {path}\n")


def test_holding_shows_and_writes_the_evidence(book: Path) -> None:
    """A table with what is declared; a workbook where one is asked for, and only there."""
    shown = run("holding", book)
    assert shown.exit_code == 0
    assert ANCHOR.name in shown.stdout
    assert "declared" in shown.stdout
    assert [path.name for path in Path().iterdir()] == [book.name]
    assert run("holding", book, "-o", "evidence.xlsx").exit_code == 0
    assert "Anchor evidence" in load_workbook("evidence.xlsx").sheetnames
    assert run("holding", book, "-o", "evidence.xlsx").exit_code == 1


def test_template_can_be_read_and_is_not_overwritten(tmp_path: Path) -> None:
    """The template has every sheet; filled in once, it is not lost to a second call."""
    path = tmp_path / "farm.xlsx"
    assert run("template", path).exit_code == 0
    assert {"Instructions", "Legs", "Vessels"} <= set(load_workbook(path).sheetnames)
    path.write_bytes(b"filled in")
    assert run("template", path).exit_code == 1
    assert path.read_bytes() == b"filled in"
    assert run("template", path, "--force").exit_code == 0


# --- Ctrl-C and progress -----------------------------------------------------------------------


def test_ctrl_c_stops_the_search_and_keeps_the_plan(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first Ctrl-C only asks: the search is told at its next report, its plan is written."""

    def price(_farm: Farm, *, progress: Watch, **_options: object) -> Plan:
        assert not progress(120.0, 100.0)
        os.kill(os.getpid(), signal.SIGINT)
        assert progress(120.0, 100.0)
        return example_plan(bound=10000.0, stopped=Stopped.INTERRUPTED)

    monkeypatch.setattr(pricing, "price", price)
    before = signal.getsignal(signal.SIGINT)
    result = run("price", book)
    assert result.exit_code == 0
    assert "stopping with the best plan so far" in result.stderr
    assert "Least cost NOT proven: stopped on request" in result.stdout
    assert Path("one leg order.xlsx").exists()
    assert signal.getsignal(signal.SIGINT) == before


def test_second_ctrl_c_gives_up_at_once() -> None:
    """In a process of its own: 130, as shells have it, though the search never answers."""
    program = (
        "import os, signal, time\n"
        "from moorledger.io.commands.watch import Watch\n"
        "with Watch('EUR'):\n"
        "    os.kill(os.getpid(), signal.SIGINT)\n"
        "    os.kill(os.getpid(), signal.SIGINT)\n"
        "    time.sleep(30)\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, timeout=25)
    assert done.returncode == 130
    assert b"no order written" in done.stderr


def test_progress_is_for_terminals(monkeypatch: pytest.MonkeyPatch) -> None:
    """A line of best cost, bound and gap on a terminal; nothing in a log."""
    said: list[str] = []
    monkeypatch.setattr(watch, "SECONDS_BETWEEN_LINES", 0.0)
    for terminal in (True, False):
        said.clear()

        class Stream:
            def isatty(self) -> bool:
                return terminal  # noqa: B023

            def write(self, text: str) -> None:
                said.append(text)

            def flush(self) -> None:
                pass

        monkeypatch.setattr(sys, "stderr", Stream())
        with Watch("EUR") as watching:
            watching(math.inf, -math.inf)
            watching(120000.0, 118800.0)
        shown = "".join(said)
        if terminal:
            assert "no plan yet, no bound yet" in shown
            assert "best EUR 120,000, none under EUR 118,800, gap 1.00%" in shown
            assert shown.endswith("\r")
        else:
            assert shown == ""


def test_watch_works_where_signals_do_not() -> None:
    """In a thread, where no handler can be set, the search still runs."""
    answers: list[bool] = []

    def work() -> None:
        with Watch("EUR") as watching:
            answers.append(watching(1.0, 1.0))

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert answers == [False]


@LONG
def test_an_order_is_kept_though_nothing_can_be_said(book: Path) -> None:
    """Standard output on a full disk: the order is written whole, one line, exit code 1."""
    full = Path("/dev/full")
    if not full.exists():
        pytest.skip("this system has no device that is always full")
    call = [sys.executable, "-c", "from moorledger.entrance import main; main()"]
    with full.open("w") as nowhere:
        done = subprocess.run(
            [*call, "price", book.name], stdout=nowhere, stderr=subprocess.PIPE, timeout=120
        )
    assert done.returncode == 1
    assert b"Traceback" not in done.stderr
    assert load_workbook("one leg order.xlsx").sheetnames[0] == "Summary"


# --- compare and breakeven ---------------------------------------------------------------------


@pytest.fixture
def two_families(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The workbook of a farm of one leg and two families; the current folder is its folder."""
    monkeypatch.chdir(tmp_path)
    plate = replace(ANCHOR, name="plate 200", family="plate", mass_kg=200.0, unit_price=1400.0)
    held = (*HELD, DeclaredHolding("plate 200", SEABED.name, 100.0, "invented"))
    farm = replace(SOUND, anchors=(ANCHOR, plate), declared_holdings=held)
    return written(tmp_path / "two.xlsx", farm)


def test_compare_writes_the_options_and_says_them(two_families: Path) -> None:
    """From file to file: the options, their reasons, and the input untouched."""
    before = two_families.read_bytes()
    result = run("compare", two_families, "--reasons")
    assert result.exit_code == 0, result.output
    assert two_families.read_bytes() == before
    assert load_workbook("two options.xlsx").sheetnames == [
        "Options compared",
        "Differences",
        "Reasons",
        "Option parts",
    ]
    for name in ("free choice", "hinged fluke only", "plate only", "plate 200 alone"):
        assert name in result.stdout
    assert CAUTION in result.stdout
    assert "Options: two options.xlsx" in result.stdout


@LONG
def test_compare_writes_the_order_with_the_options_beside_it(two_families: Path) -> None:
    """The Summary that a manager signs has what else was priced, and what each would cost more."""
    result = run("compare", two_families, "--order", "order.xlsx")
    assert result.exit_code == 0, result.output
    assert "Order: order.xlsx" in result.stdout
    summary = load_workbook("order.xlsx", data_only=True)["Summary"]
    told = " ".join(str(cell.value) for row in summary.rows for cell in row if cell.value)
    assert "plate only" in told
    assert re.search(r"'plate only' would cost EUR [\d,]+ \([\d.]+%\) more, and at least", told)


def test_breakeven_writes_the_stretches(two_families: Path) -> None:
    """One anchor at 900 and one at 1400, alike but for the price (freight here is billed by the
    volume of like packs): the choice flips at 1400 ÷ 900."""
    result = run("breakeven", two_families, "--vary", "hinged fluke", "--from", "1", "--to", "2")
    assert result.exit_code == 0, result.output
    sheet = load_workbook("two break-even.xlsx", data_only=True)["Break-even"]
    rows = {row[8].value: row[1].value for row in sheet.iter_rows() if len(row) > 8}
    assert rows["1 × hinged 300"] == 1.0
    assert rows["1 × plate 200"] == pytest.approx(1400 / 900)
    assert "Exact to a gap of 0.1 %" in result.stdout


def test_breakeven_of_two_options_says_where_they_meet(two_families: Path) -> None:
    """Each option alone is one line, and they meet where the free choice flips."""
    options = ("--option", "plate only", "--option", "Hinged Fluke only")
    bounds = ("--from", "1", "--to", "2")
    result = run("breakeven", two_families, "--vary", "hinged 300", *bounds, *options)
    assert result.exit_code == 0, result.output
    assert "'hinged fluke only' is cheaper below × 1." in result.stdout


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--vary", "the moon"), "'the moon' cannot be varied"),
        (("--vary", "workable days"), "not linear in workable days"),
        (("--vary", "day rates", "--from", "3", "--to", "2"), "2 is not more than --from 3"),
        (("--vary", "day rates", "--option", "plates only"), "did you mean 'plate only'?"),
        ((), "Missing option '--vary'"),
    ],
)
def test_breakeven_refuses_what_it_cannot_ask(
    two_families: Path, arguments: tuple[str, ...], said: str
) -> None:
    """A question that makes no sense is the command line's fault, and says what would do."""
    result = run("breakeven", two_families, *arguments)
    assert result.exit_code == 2
    assert said in result.stderr
    assert not Path("two break-even.xlsx").exists()


@pytest.mark.parametrize("command", [("compare",), ("breakeven", "--vary", "freight rates")])
def test_long_commands_keep_files_and_name_faults(
    two_families: Path, command: tuple[str, ...]
) -> None:
    """No file is overwritten unasked; a farm that cannot be moored is exit code 1."""
    there = Path("there.xlsx")
    there.write_text("mine")
    name, *options = command
    result = run(name, two_families, *options, "-o", there)
    assert result.exit_code == 1
    assert "--force" in result.stderr
    assert there.read_text() == "mine"
    weak = written(Path("weak.xlsx"), farm_with(declared_holdings=()))
    refused = run(name, weak, *options)
    assert refused.exit_code == 1
    assert "cannot be moored" in refused.stderr
