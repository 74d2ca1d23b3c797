"""Without HiGHS: where highspy cannot be imported CBC does all the solving, as rightly."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from moorledger.optimiser.price import price

from tests.farms.random_farms import random_farm

ROOT = Path(__file__).resolve().parents[2]

BARRED = "import sys; sys.modules['highspy'] = None\n"
"""Python then raises ImportError for every import of it."""


def said_without_highs(program: str) -> list[str]:
    """Return the words that a program prints in a process where highspy cannot be imported."""
    done = subprocess.run(
        [sys.executable, "-c", BARRED + program],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


def test_small_farm_costs_the_same() -> None:
    """CBC alone finds the least cost that HiGHS proves, and says that it was CBC."""
    plan = price(random_farm(3), gap=0.0)
    cost, bound, solver = said_without_highs(
        "from moorledger.optimiser.price import price\n"
        "from tests.farms.random_farms import random_farm\n"
        "plan = price(random_farm(3), gap=0.0)\n"
        "print(plan.proof.cost, plan.proof.bound, plan.proof.solver.split()[0])"
    )
    assert float(cost) == pytest.approx(plan.proof.cost, rel=1e-6)
    assert float(bound) == pytest.approx(plan.proof.cost, rel=1e-6)
    assert (plan.proof.solver.split()[0], solver) == ("HiGHS", "CBC")


def test_cutting_lists_are_as_good() -> None:
    """Lists that need the linear programme, the search and joins: tried by hand, every way.

    Three 6 m, three 4 m and three 3 m fill three 13 m lengths without waste. Five 6 m pieces and
    three 10 m lengths: each length gives one piece whole and 4 m over, so two pieces need a join.
    """
    whole, proven, joins = said_without_highs(
        "from moorledger.optimiser.cutting.cutting_list import fewest_lengths\n"
        "from moorledger.optimiser.cutting.joins import fewest_joins\n"
        "whole = fewest_lengths([6.0, 4.0, 3.0] * 3, 13.0)\n"
        "joined = fewest_joins([6.0] * 5, 10.0, 3)\n"
        "print(whole.lengths, whole.proven and joined.proven, joined.joins)"
    )
    assert (whole, proven, joins) == ("3", "True", "2")
