"""CBC as a process of its own: started, watched, stopped in time, and never left behind.

PuLP writes the programme and reads the answer; its own runner waits for CBC without end, cannot
stop it, and leaves it running where this programme is given up.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import tempfile
import time
import warnings
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pulp

from ..failures import SolverFailedError

PATIENCE_S = 1.0
"""Seconds past its time limit after which CBC is told to stop, as it is when one asks."""
LAST_S = 5.0
"""Seconds after that in which it must have written the best that it had."""
LOOK_S = 0.02
"""Seconds between two looks at it."""

_under_way: dict[Path, subprocess.Popen[bytes] | None] = {}
"""Folder of each run → its process, once there is one."""


def run_cbc(
    problem: pulp.LpProblem,
    arguments: Sequence[str],
    time_limit_s: float | None = None,
    asked: Callable[[], bool] = lambda: False,
) -> tuple[str, bool]:
    """Solve a PuLP problem by CBC and put the answer in the problem.

    Returns CBC's log, and whether it was stopped before it had ended by itself.

    asked : called while CBC works; returns True to stop it with the best so far. A problem that
    CBC was stopped in before it had anything is left as not solved.

    Raises SolverFailedError where CBC is missing, was killed, or broke off.
    """
    with _folder() as folder:
        try:
            files = problem.writeMPS(str(folder / "farm.mps"), rename=1)
            code, stopped = _run(folder, arguments, time_limit_s, asked)
        except OSError as error:
            raise SolverFailedError(f"the solver CBC could not be run: {error}") from error
        log = (folder / "cbc.log").read_text(errors="replace")
        _answer(problem, files, folder / "farm.sol", code, stopped)
    return log, stopped


def end_all() -> None:
    """Kill every CBC that is under way and remove its files: for giving up at once."""
    for folder, process in list(_under_way.items()):
        if process is not None:
            with contextlib.suppress(OSError):
                process.kill()
        shutil.rmtree(folder, ignore_errors=True)


@contextlib.contextmanager
def _folder() -> Iterator[Path]:
    try:
        made = tempfile.mkdtemp(prefix="moorledger-")
    except OSError as error:
        raise SolverFailedError(f"no folder for the solver CBC can be made: {error}") from error
    folder = Path(made)
    _under_way[folder] = None
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        del _under_way[folder]


def _run(
    folder: Path,
    arguments: Sequence[str],
    time_limit_s: float | None,
    asked: Callable[[], bool],
) -> tuple[int, bool]:
    """Run CBC on the folder's programme; return its exit code, and whether it was stopped."""
    limit = [] if time_limit_s is None else ["-sec", str(time_limit_s), "-timeMode", "elapsed"]
    command = [
        str(pulp.PULP_CBC_CMD.pulp_cbc_path),
        str(folder / "farm.mps"),
        *limit,
        *arguments,
        *("-printingOptions", "all", "-solution", str(folder / "farm.sol")),
    ]
    began = time.perf_counter()
    with (folder / "cbc.log").open("wb") as log:
        # In a session of its own: a Ctrl-C is for us to hear, and to pass on.
        process = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        _under_way[folder] = process
        stopped: float | None = None
        try:
            while True:
                with contextlib.suppress(subprocess.TimeoutExpired):
                    return process.wait(LOOK_S), stopped is not None
                now = time.perf_counter()
                late = time_limit_s is not None and now - began > time_limit_s + PATIENCE_S
                if stopped is None and (late or asked()):
                    stopped = now
                    process.send_signal(signal.SIGINT if os.name == "posix" else signal.SIGTERM)
                elif stopped is not None and now - stopped > LAST_S:
                    process.kill()
        finally:
            if process.poll() is None:
                process.kill()
                process.wait()


def _answer(
    problem: pulp.LpProblem,
    files: tuple[object, ...],
    solution: Path,
    code: int,
    stopped: bool,
) -> None:
    """Put CBC's answer in the problem."""
    if stopped and code != 0:
        problem.assignStatus(pulp.LpStatusNotSolved, pulp.LpSolutionNoSolutionFound)
        return
    if code < 0:
        raise SolverFailedError(f"the solver CBC was killed (signal {-code}) while it worked")
    if code:
        raise SolverFailedError(f"the solver CBC broke off (exit code {code})")
    if not solution.exists() or not solution.stat().st_size:
        room = f"is there room in {solution.parent.parent}?"
        raise SolverFailedError(f"the solver CBC left no answer; {room}")
    variables, columns, rows, _ = files
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        reader = pulp.PULP_CBC_CMD(msg=False)
    try:
        status, values, reduced, duals, slacks, sol_status = reader.readsol_MPS(
            str(solution), problem, variables, columns, rows
        )
    except (OSError, ValueError, IndexError) as error:
        raise SolverFailedError("the answer of the solver CBC is cut short") from error
    problem.assignVarsVals(values)
    problem.assignVarsDj(reduced)
    problem.assignConsPi(duals)
    problem.assignConsSlack(slacks, activity=True)
    problem.assignStatus(status, sol_status)
