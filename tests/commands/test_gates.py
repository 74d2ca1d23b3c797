"""Small gates of the commands: figures that are none, streams that are not there, signals."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from moorledger.io.commands import pricing
from moorledger.io.commands.command_line import main
from moorledger.io.inputs.template import write_template
from moorledger.io.told.plan_text import proof_text
from moorledger.models.answer.plan import Plan
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.optimiser.price import price
from moorledger.optimiser.repricing.farm_pricer import FarmPricer
from openpyxl import load_workbook

from tests.commands.test_command_line import SOUND
from tests.commands.test_ctrl_c import PATIENCE_S, PROGRAM, processes_of, start
from tests.farms.plan_fixture import example_plan
from tests.farms.random_farms import random_farm
from tests.farms.small_farm import LEG, farm_with
from tests.farms.typed_workbook import TYPED, save_csv
from tests.quick_run import LONG, mostly_long

posix = pytest.mark.skipif(os.name != "posix", reason="shells and /proc")


@pytest.mark.parametrize("number", ["nan", "inf", "-inf", "NaN", "1e999"])
@pytest.mark.parametrize("option", ["--time-limit", "--gap"])
def test_nan_and_infinity_are_no_figures(option: str, number: str) -> None:
    """Neither is a limit: both are refused as the command line's fault."""
    result = CliRunner().invoke(main, ["price", ".", option, number])
    assert result.exit_code == 2
    assert "Error: " in result.stderr


@pytest.mark.parametrize(
    ("gap", "shown"), [(1e-4, "0.01 %"), (5e-5, "0.005 %"), (1e-7, "1e-05 %"), (0.0, "0 %")]
)
def test_the_gap_asked_is_shown_as_asked(gap: float, shown: str) -> None:
    """0.005 % is not made 0.01 %."""
    plan = example_plan()
    assert f"({shown} asked)" in proof_text(replace(plan, proof=replace(plan.proof, asked_gap=gap)))


def test_a_folder_is_priced_from_within(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`price .` writes the order beside the folder, which stays as it was."""
    monkeypatch.setattr(pricing, "price", lambda _farm, **_options: example_plan())
    folder = save_csv(TYPED, tmp_path / "north v1.2")
    before = sorted(os.listdir(folder))
    monkeypatch.chdir(folder)
    result = CliRunner().invoke(main, ["price", "."])
    assert result.exit_code == 0, result.output
    assert sorted(os.listdir(folder)) == before
    order = tmp_path / "north v1.2 order.xlsx"
    assert load_workbook(order).sheetnames[0] == "Summary"
    assert str(order) in result.stdout


# --- streams that are not there -----------------------------------------------------------------


@LONG
@posix
@mostly_long("closed", [">&- 2>&-", "<&- >&- 2>&-", "2>&-", ">&-"], quick=["<&- >&- 2>&-"])
def test_an_order_is_written_without_output_or_error(tmp_path: Path, closed: str) -> None:
    """Standard output, error or both closed: the order is whole, and exit code 0 says so."""
    write_template(tmp_path / "farm.xlsx", SOUND)
    done = subprocess.run(
        ["sh", "-c", f'"$0" -c "$1" price farm.xlsx {closed}', sys.executable, PROGRAM],
        cwd=tmp_path,
        timeout=PATIENCE_S,
        check=False,
    )
    assert done.returncode == 0
    assert load_workbook(tmp_path / "farm order.xlsx").sheetnames[0] == "Summary"


@LONG
@posix
def test_faults_without_output_or_error_are_an_exit_code(tmp_path: Path) -> None:
    """A workbook at fault, read where nothing can be said: 1, as ever."""
    write_template(tmp_path / "farm.xlsx", farm_with(legs=(replace(LEG, design_tension_kn=500.0),)))
    for command in ("price", "check"):
        done = subprocess.run(
            ["sh", "-c", f'"$0" -c "$1" {command} farm.xlsx >&- 2>&-', sys.executable, PROGRAM],
            cwd=tmp_path,
            timeout=PATIENCE_S,
            check=False,
        )
        assert done.returncode == 1


@LONG
def test_a_program_without_a_window_writes_the_order(tmp_path: Path) -> None:
    """Where Python has no standard streams at all, as without a window on Windows."""
    write_template(tmp_path / "farm.xlsx", SOUND)
    call = f"import sys; sys.stdin = sys.stdout = sys.stderr = None; {PROGRAM}"
    done = subprocess.run(
        [sys.executable, "-c", call, "price", "farm.xlsx"],
        cwd=tmp_path,
        timeout=PATIENCE_S,
        check=False,
    )
    assert done.returncode == 0
    assert (tmp_path / "farm order.xlsx").exists()


# --- the system's end ---------------------------------------------------------------------------


@LONG
@posix
@pytest.mark.skipif(not Path("/proc").is_dir(), reason="processes are looked for in /proc")
def test_the_systems_end_leaves_no_solver_behind(tmp_path: Path) -> None:
    """SIGTERM while CBC works: 143, CBC has ended, and its folder is gone."""
    write_template(tmp_path / "farm.xlsx", random_farm(1, "middling"))
    process = start(tmp_path, "price", "farm.xlsx", "--gap", "0", "--solver", "cbc", "--force")
    while not processes_of(tmp_path / "scratch"):
        assert process.poll() is None, process.communicate()
        time.sleep(0.005)
    process.send_signal(signal.SIGTERM)
    process.communicate(timeout=PATIENCE_S)
    assert process.returncode == 143
    deadline = time.perf_counter() + 5
    while processes_of(tmp_path / "scratch") and time.perf_counter() < deadline:
        time.sleep(0.05)
    assert processes_of(tmp_path / "scratch") == []
    assert os.listdir(tmp_path / "scratch") == []
    shutil.rmtree(tmp_path / "scratch")


# --- what a caller is told ----------------------------------------------------------------------


class OwnError(Exception):
    """An error of the caller's."""


def fail(_cost: float, _bound: float) -> bool:
    """Raise in the middle of a search."""
    raise OwnError("the caller's")


@pytest.mark.parametrize("solver", ["highs", "cbc"])
@pytest.mark.parametrize("size", ["small", "middling"])
def test_an_error_in_progress_is_the_callers(solver: str, size: str) -> None:
    """It comes back to whoever gave the function, whatever thread or solver it was raised in."""
    with pytest.raises(OwnError, match="the caller's"):
        price(random_farm(1, size), progress=fail, solver=solver, gap=0.0, time_limit_s=20)


def test_an_error_in_progress_of_an_option_is_the_callers() -> None:
    """The same where one farm is priced again and again."""
    with pytest.raises(OwnError, match="the caller's"):
        FarmPricer(random_farm(1, "small"), gap=0.0).price(progress=fail, time_limit_s=20)


def test_an_error_in_progress_comes_before_what_runs_short() -> None:
    """Also where the farm has no plan, and why is still being worked out."""
    farm = random_farm(1, "small")
    vessels = tuple(replace(vessel, most_days=1) for vessel in farm.vessels)
    short = replace(farm, vessels=vessels, legs=(replace(farm.legs[0], count=900),))
    with pytest.raises(FarmError, match="too little for the whole farm"):
        price(short, time_limit_s=20)
    with pytest.raises(OwnError, match="the caller's"):
        price(short, progress=fail, time_limit_s=20)


def told_of(farm: Farm, **how: object) -> tuple[Plan, list[float]]:
    """Return the plan and every best cost that was told on the way."""
    told: list[float] = []

    def progress(cost: float, _bound: float) -> bool:
        told.append(cost)
        return False

    ask: Callable[..., Plan] = price
    return ask(farm, progress=progress, **how), told


@LONG
@pytest.mark.parametrize("solver", ["highs", "cbc"])
@mostly_long("seed", [1, 2, 3], quick=[1])
def test_the_best_told_is_a_settled_plan_and_never_rises(seed: int, solver: str) -> None:
    """No solver's unsettled figure, which may lie below any plan: the last told is the plan's cost
    or more, and none is below it or above one told before."""
    plan, told = told_of(random_farm(seed, "small"), gap=0.0, solver=solver, time_limit_s=30)
    assert told == sorted(told, reverse=True)
    assert all(cost >= plan.installed_cost - 0.01 for cost in told)


@LONG
def test_the_best_told_of_a_large_farm_never_rises() -> None:
    """The same where a tree shares the work out among workers."""
    plan, told = told_of(random_farm(1, "middling"), gap=1e-4, time_limit_s=20)
    assert len(set(told)) > 1
    assert told == sorted(told, reverse=True)
    assert all(cost >= plan.installed_cost - 0.01 for cost in told)


@LONG
def test_no_setting_of_the_interpreter_is_changed() -> None:
    """A search leaves the switch interval as it was, workers or not: it sets none."""
    before = sys.getswitchinterval()
    price(random_farm(2, "small"), workers=2, time_limit_s=20)
    assert sys.getswitchinterval() == before
