"""Solvers that are missing, killed, too late or given odd numbers: a right plan or a refusal."""

from __future__ import annotations

import os
import random
import signal
import stat
import tempfile
import threading
import time
from dataclasses import replace
from pathlib import Path

import pulp
import pytest
from click.testing import CliRunner
from moorledger.io.commands.command_line import main
from moorledger.io.inputs.template import write_template
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.optimiser.failures import NoPlanError, SolverFailedError
from moorledger.optimiser.price import moorable_choices, price
from moorledger.optimiser.programme.order_programme import OrderProgramme
from moorledger.optimiser.programme.shortage import explain_shortage
from moorledger.optimiser.solvers import cbc_process, highs
from moorledger.optimiser.solvers.report import SolveOptions, Status
from moorledger.optimiser.solvers.solve import solve

from tests.brute.brute_force import least_cost
from tests.brute.brute_make_ups import every_make_up
from tests.farms.random_farms import random_farm
from tests.quick_run import LONG, mostly_long
from tests.search.relations import tiny_farm
from tests.search.test_against_brute_force import SLOW_TO_TRY

if os.name != "posix":
    pytest.skip("the stand-ins for a solver are shell scripts", allow_module_level=True)


@pytest.fixture(autouse=True)
def scratch(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder for temporary files; nothing may be left in it."""
    folder = tmp_path / "scratch"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


def stand_in(path: Path, script: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Put a script in the place of CBC."""
    path.write_text(f"#!/bin/sh\n{script}\n")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    monkeypatch.setattr(pulp.PULP_CBC_CMD, "pulp_cbc_path", str(path))


BROKEN = [
    ("kill -9 $$", r"the solver CBC was killed \(signal 9\)"),
    ("exit 3", r"the solver CBC broke off \(exit code 3\)"),
    ("exit 0", "the solver CBC left no answer; is there room in "),
    ('for last; do :; done; echo "Optimal - objective value 5" > "$last"; echo "0 x" >> "$last"',
     "the answer of the solver CBC is cut short"),
]  # fmt: skip


@pytest.mark.parametrize(("script", "said"), BROKEN)
def test_a_solver_that_breaks_off_gives_no_plan(
    script: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, scratch: Path
) -> None:
    """Killed, failed, silent or cut short: an error that says so, no plan, and no litter."""
    stand_in(tmp_path / "cbc", script, monkeypatch)
    with pytest.raises(SolverFailedError, match=said):
        price(tiny_farm(0), solver="cbc")
    assert list(scratch.iterdir()) == []


def test_a_missing_solver_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, scratch: Path
) -> None:
    """One line with the file that is not there, exit code 4, no order."""
    monkeypatch.chdir(tmp_path)
    write_template(tmp_path / "farm.xlsx", tiny_farm(0))
    monkeypatch.setattr(pulp.PULP_CBC_CMD, "pulp_cbc_path", str(tmp_path / "none" / "cbc"))
    result = CliRunner().invoke(main, ["price", "farm.xlsx", "--solver", "cbc"])
    assert result.exit_code == 4
    assert result.stderr.splitlines()[-1].startswith("moorledger: the solver CBC could not be run")
    assert "none/cbc" in result.stderr
    assert "nothing written" in result.stderr
    assert not (tmp_path / "farm order.xlsx").exists()
    assert list(scratch.iterdir()) == []


def test_a_solver_killed_at_random_gives_the_least_plan_or_none(scratch: Path) -> None:
    """The real CBC, killed by the system at a random moment of a search, twelve times."""
    farm = random_farm(1)
    least = price(farm, gap=1e-7).proof.cost
    draw = random.Random(8)
    outcomes = set()
    for _ in range(12):
        over = threading.Event()
        killer = threading.Thread(target=kill_cbc, args=(draw.uniform(0, 0.03), over))
        killer.start()
        try:
            plan = price(farm, gap=1e-7, solver="cbc")
            assert plan.proof.cost == pytest.approx(least, rel=1e-6)
            outcomes.add("plan")
        except SolverFailedError as error:
            outcomes.add(str(error))
        finally:
            over.set()
            killer.join()
    assert outcomes <= {"plan", "the solver CBC was killed (signal 9) while it worked"}
    assert len(outcomes - {"plan"}) == 1
    assert list(scratch.iterdir()) == []


def kill_cbc(seconds: float, over: threading.Event) -> None:
    """Kill a CBC of this process so long after there is one."""
    while not over.wait(0.002):
        for process in list(cbc_process._under_way.values()):
            if process is not None:
                if not over.wait(seconds) and process.poll() is None:
                    process.send_signal(signal.SIGKILL)
                return


def test_a_solver_that_never_ends_is_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, scratch: Path
) -> None:
    """One that heeds neither its time limit nor a request to stop is killed: no plan."""
    monkeypatch.setattr(cbc_process, "PATIENCE_S", 0.1)
    monkeypatch.setattr(cbc_process, "LAST_S", 0.3)
    stand_in(tmp_path / "cbc", "trap '' INT TERM; sleep 60 & wait; sleep 60", monkeypatch)
    began = time.perf_counter()
    with pytest.raises(NoPlanError):
        price(tiny_farm(0), solver="cbc", time_limit_s=1.0)
    assert time.perf_counter() - began < 8
    assert list(scratch.iterdir()) == []


def test_highs_that_does_not_come_back_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    """HiGHS past its time and more is given up: no solution, and nothing said of the programme."""

    class Lost:
        def run(self) -> None:
            time.sleep(5)

        def setOptionValue(self, *_: object) -> None:  # noqa: N802
            pass

    monkeypatch.setattr(highs, "highs_of", lambda _matrix: Lost())
    farm = tiny_farm(0)
    matrix = OrderProgramme(farm, moorable_choices(farm)).matrix()
    report = solve(matrix, SolveOptions("highs", time_limit_s=0.1, patience_s=0.1))
    assert (report.status, report.values, report.seconds < 3) == (Status.NO_SOLUTION, None, True)


@LONG
def test_asking_cbc_to_stop_keeps_its_best_or_nothing(
    monkeypatch: pytest.MonkeyPatch, scratch: Path
) -> None:
    """Asked in its first seconds at a farm that takes it a minute: its best so far, or nothing."""
    monkeypatch.setattr(cbc_process, "LAST_S", 1.0)
    farm = random_farm(10, "middling")
    matrix = OrderProgramme(farm, moorable_choices(farm)).matrix()
    began = time.perf_counter()
    options = SolveOptions("cbc", gap=0.0, on_progress=lambda *_: time.perf_counter() - began > 1.5)
    report = solve(matrix, options)
    assert report.status in (Status.FEASIBLE, Status.NO_SOLUTION)
    assert report.seconds < 15
    assert report.bound <= report.objective
    assert list(scratch.iterdir()) == []


# --- odd numbers -------------------------------------------------------------------------------


def oddly_priced(seed: int) -> Farm:
    """Return a tiny farm whose prices lie anywhere from 1e-3 to 1e9."""
    draw = random.Random(seed)

    def odd() -> float:
        return float(f"{10 ** draw.uniform(-3, 9):.6g}")

    farm = tiny_farm(seed)
    return replace(
        farm,
        anchors=tuple(replace(a, unit_price=odd()) for a in farm.anchors),
        chains=tuple(replace(c, price_per_m=odd()) for c in farm.chains),
        ropes=tuple(replace(r, price_per_m=odd()) for r in farm.ropes),
        price_breaks=(),
        vessels=tuple(replace(v, day_rate=odd(), mobilisation=odd()) for v in farm.vessels),
        services=tuple(replace(s, rate=odd()) for s in farm.services),
    )


ODD = [seed for seed in range(24) if seed not in SLOW_TO_TRY]


@mostly_long("seeds", [ODD, ODD[:2]], quick=[ODD[:2]], ids=len)
@pytest.mark.parametrize("name", ["highs", "cbc"])
def test_odd_prices_give_the_least_plan_or_a_refusal(name: str, seeds: list[int]) -> None:
    """Prices twelve orders of magnitude apart, held against trying everything: never a plan
    called least that is not, and a bound that no plan beats, each to a part in a million."""
    priced = 0
    for seed in seeds:
        farm = oddly_priced(seed)
        least = least_cost(farm, every_make_up(farm))
        try:
            plan = price(farm, time_limit_s=20.0, solver=name)
        except (FarmError, NoPlanError, SolverFailedError):
            continue
        assert plan.proof.cost >= least * (1 - 1e-6), seed
        assert plan.proof.bound <= least * (1 + 1e-6), (seed, plan.proof, least)
        if plan.proof.proven:
            assert plan.proof.cost <= least * (1 + 1.01e-3), (seed, plan.proof, least)
        priced += 1
    assert priced >= len(seeds) / 2


def test_shortage_is_explained_within_the_time_limit() -> None:
    """With no time to try what could be eased, that is what is said, at once."""
    farm = random_farm(1, "middling")
    one = {"available": 1, "minimum_order": 0, "order_multiple": 1}
    farm = replace(farm, anchors=tuple(replace(a, **one) for a in farm.anchors))
    choices = moorable_choices(farm)
    began = time.perf_counter()
    (fault,) = explain_shortage(farm, choices, SolveOptions(time_limit_s=0.0))
    assert time.perf_counter() - began < 5
    assert "the time was enough to try easing 0: allow more time" in fault.message
