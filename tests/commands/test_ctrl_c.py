"""Ctrl-C at any time: one line, exit code 130 where nothing was kept, nothing left behind."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from moorledger.io.inputs.template import write_template

from tests.farms.random_farms import random_farm
from tests.quick_run import LONG, mostly_long

if os.name != "posix" or not Path("/proc").is_dir():
    pytest.skip("processes are looked for in /proc", allow_module_level=True)

PATIENCE_S = 300
"""More than any of it takes, be the machine or its disk ever so busy."""

PROGRAM = "from moorledger.entrance import main; main()"


def start(folder: Path, *arguments: str) -> subprocess.Popen[str]:
    """Start the program in a folder, its temporary files in another, Ctrl-C not ignored."""
    (folder / "scratch").mkdir(exist_ok=True)
    return subprocess.Popen(
        [sys.executable, "-c", PROGRAM, *arguments],
        cwd=folder,
        env={**os.environ, "TMPDIR": str(folder / "scratch")},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


def processes_of(folder: Path) -> list[str]:
    """Return the command lines of running processes that name a folder."""
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                line = (entry / "cmdline").read_bytes().replace(b"\0", b" ").decode()
            except OSError:
                continue
            if str(folder) in line:
                found.append(line)
    return found


def wait_for_work(process: subprocess.Popen[str], seconds: float) -> None:
    """Wait until a program and those that it started have used so many seconds of a processor.

    A clock would not do: on a busy machine the program may not have begun when it has run.
    """
    deadline = time.perf_counter() + 300
    while seconds_used(process.pid) < seconds and process.poll() is None:
        assert time.perf_counter() < deadline
        time.sleep(0.05)


def seconds_used(session: int) -> float:
    """Return what a program, its session and its solvers (a session each) used of a processor."""
    ticks = 0
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                after_name = (entry / "stat").read_text().rpartition(")")[2].split()
            except OSError:
                continue
            if session in (int(after_name[1]), int(after_name[3])):
                ticks += int(after_name[11]) + int(after_name[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def assert_clean(folder: Path, before: set[str]) -> None:
    """Assert that nothing is left beside what was there, and no process is still at work."""
    assert set(os.listdir(folder)) == before
    assert os.listdir(folder / "scratch") == []
    deadline = time.perf_counter() + 5
    while processes_of(folder / "scratch") and time.perf_counter() < deadline:
        time.sleep(0.05)
    assert processes_of(folder / "scratch") == []


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a farm that takes a while to price."""
    write_template(tmp_path / "farm.xlsx", random_farm(4, "middling"))
    return tmp_path


@mostly_long("moments", [6, 2], quick=[2])
@mostly_long("command", ["check", "price"], quick=["check"])
def test_ctrl_c_before_and_while_reading(folder: Path, command: str, moments: int) -> None:
    """At moments from the first import on: 130 and one line, or done; never a traceback.

    The interpreter's own start, before any of our code runs, is not ours to guard.
    """
    draw = random.Random(command)
    for _ in range(moments):
        process = start(folder, command, "farm.xlsx", *(["--force"] if command == "price" else []))
        time.sleep(0.12 + draw.uniform(0, 0.7))
        stopping_twice = command == "price"
        process.send_signal(signal.SIGINT)
        if stopping_twice:
            time.sleep(0.1)
            if process.poll() is None:
                process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=PATIENCE_S)
        assert "Traceback" not in err or "command_line" not in err, err
        assert process.returncode in (0, 1, 3, 130, -signal.SIGINT), (process.returncode, err)
        (folder / "farm order.xlsx").unlink(missing_ok=True)
        assert_clean(folder, {"farm.xlsx", "scratch"})


@LONG
@pytest.mark.parametrize("solver", ["highs", "cbc"])
def test_first_ctrl_c_while_solving_keeps_the_plan(folder: Path, solver: str) -> None:
    """The search stops soon, and what it has is written whole; or it says that it had nothing.

    Where the search had ended before the signal came, it is tried again a little sooner.
    """
    for seconds in (5.0, 3.0, 2.3, 2.0, 1.8, 1.6):
        process = start(folder, "price", "farm.xlsx", "--gap", "0", "--solver", solver, "--force")
        wait_for_work(process, seconds)
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=PATIENCE_S)
        assert "Traceback" not in err
        if "stopping with the best plan" in err:
            break
        (folder / "farm order.xlsx").unlink(missing_ok=True)
    assert "stopping with the best plan" in err
    assert process.returncode in (0, 3), err
    kept = {"farm order.xlsx"} if process.returncode == 0 else set()
    assert_clean(folder, {"farm.xlsx", "scratch"} | kept)


@LONG
@mostly_long("solver", ["highs", "cbc"], quick=["highs"])
def test_second_ctrl_c_while_solving_leaves_nothing(folder: Path, solver: str) -> None:
    """130, no order, no solver still at work, and none of its files; unless the search had ended
    before both came, which is tried again a little sooner."""
    for seconds in (3.0, 2.6, 2.3, 2.0, 1.8, 1.6):
        process = start(folder, "price", "farm.xlsx", "--gap", "0", "--solver", solver, "--force")
        wait_for_work(process, seconds)
        assert process.poll() is None, process.communicate()
        process.send_signal(signal.SIGINT)
        time.sleep(0.02)
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=PATIENCE_S)
        if "no order written" in err:
            break
        (folder / "farm order.xlsx").unlink(missing_ok=True)
    assert process.returncode == 130, err
    assert "no order written" in err
    assert_clean(folder, {"farm.xlsx", "scratch"})


WRITING = (
    "import sys, types\n"
    "from moorledger import entrance\n"
    "from moorledger.io.whole_file import write_whole\n"
    "def run():\n"
    "    print(flush=True)\n"
    "    for turn in range(10**6):\n"
    "        write_whole('order.xlsx', bytes([65 + turn % 2]) * 3_000_000, overwrite=True)\n"
    "sys.modules['moorledger.io.commands.command_line'] = types.SimpleNamespace(run=run)\n"
    "entrance.main()\n"
)


@mostly_long("moments", [20, 4], quick=[4])
def test_ctrl_c_while_writing_leaves_a_whole_file_and_no_other(
    tmp_path: Path, moments: int
) -> None:
    """At random moments of writing over and over: 130, a whole file, nothing beside it."""
    draw = random.Random(8)
    for _ in range(moments):
        process = subprocess.Popen(
            [sys.executable, "-c", WRITING], cwd=tmp_path, stdout=-1, stderr=-1
        )
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(draw.uniform(0.02, 0.06))
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=PATIENCE_S)
        assert process.returncode == 130
        assert b"Traceback" not in err
        assert set(os.listdir(tmp_path)) <= {"order.xlsx"}
        for path in tmp_path.iterdir():
            content = path.read_bytes()
            assert content in (b"A" * 3_000_000, b"B" * 3_000_000)
