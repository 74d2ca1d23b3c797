"""The face: the main job as a notebook does it, with nothing but `import moorledger as ml`."""

from __future__ import annotations

import math
import re
import subprocess
import sys
import tomllib
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import moorledger
import pytest
from moorledger.io.inputs.template import write_template
from moorledger.models.answer.plan import Part
from moorledger.models.site.declared_holding import DeclaredHolding
from openpyxl import load_workbook

from tests.farms.small_farm import ANCHOR, FARM, LEG, SEABED, SERVICE, VESSEL, farm_with

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
(SCRIPT,) = re.findall(r"```python\n(.*?)```", README, re.DOTALL)

HELD = farm_with(
    anchors=(replace(ANCHOR, largest_uplift_deg=15.0),),
    declared_holdings=(DeclaredHolding(ANCHOR.name, SEABED.name, 120.0, "invented"),),
)


def run_script(folder: Path) -> moorledger.Plan:
    """Run README's example in a folder that holds a farm.xlsx, and return its plan."""
    write_template(folder / "farm.xlsx", HELD)
    cells: dict[str, object] = {}
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        exec(compile(SCRIPT, "README.md", "exec"), cells)
    plan = cells["plan"]
    assert isinstance(plan, moorledger.Plan)
    return plan


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which README's example has been run."""
    return tmp_path_factory.mktemp("notebook")


@pytest.fixture(scope="module")
def plan(folder: Path) -> moorledger.Plan:
    """The plan of README's example."""
    return run_script(folder)


def test_the_main_job_is_four_lines(plan: moorledger.Plan, folder: Path) -> None:
    """README's example reads a farm's workbook, prices it, and writes an order that opens.

    The farm offers one anchor, chain and rope for its one leg: what the goods cost is worked here
    by hand, from whole lengths of chain (27.5 m) and one coil of rope.
    """
    assert len([line for line in SCRIPT.splitlines() if line]) == 4
    assert plan.proof.proven
    assert plan.parts[Part.ANCHORS] == pytest.approx(ANCHOR.unit_price)
    lengths = math.ceil(plan.assignments[0].make_up.chain_m / 27.5)
    assert plan.parts[Part.CHAIN] == pytest.approx(lengths * 27.5 * 18.0)
    assert plan.parts[Part.ROPE] == pytest.approx(220.0 * 6.0)
    assert plan.parts[Part.FITTINGS] == pytest.approx(2 * 12.0)
    sheets = load_workbook(folder / "order.xlsx").sheetnames
    assert {"Summary", "Contents", "Checks"} <= set(sheets)


def test_what_the_workbook_says_is_the_farm(folder: Path, plan: moorledger.Plan) -> None:
    """`read_farm` gives the farm that was written, and its order can be read again."""
    farm = moorledger.read_farm(folder / "farm.xlsx")
    assert isinstance(farm, moorledger.Farm)
    assert farm == plan.farm
    assert replace(farm, origin_file="") == HELD
    again = moorledger.read_farm(folder / "order.xlsx")
    assert replace(again, origin_file="") == HELD


def test_a_farm_at_fault_says_where(tmp_path: Path) -> None:
    """`read_farm` raises FarmError, with the cell in its words; `price` too."""
    away = replace(LEG, seabed="rock")
    write_template(tmp_path / "faulty.xlsx", farm_with(legs=(away,)))
    with pytest.raises(moorledger.FarmError, match=r"Legs!.* Seabed: .*'rock'"):
        moorledger.read_farm(tmp_path / "faulty.xlsx")
    write_template(tmp_path / "unheld.xlsx", FARM)
    with pytest.raises(moorledger.FarmError, match=r"Legs!A2 Leg: .* no anchor may be relied on"):
        moorledger.price(moorledger.read_farm(tmp_path / "unheld.xlsx"))


def test_frames_are_the_plan_in_tables(plan: moorledger.Plan) -> None:
    """One pandas table each of legs, orders, freight, campaigns and checks, with units in names."""
    tables = moorledger.frames(plan)
    assert list(tables) == ["legs", "orders", "freight", "campaigns", "checks"]
    (leg,) = tables["legs"].to_dict("records")
    assert (leg["leg"], leg["anchor"], leg["count"]) == (LEG.name, ANCHOR.name, LEG.count)
    assert leg["required_kn"] <= leg["available_kn"]
    goods = (Part.ANCHORS, Part.CHAIN, Part.ROPE, Part.FITTINGS)
    assert tables["orders"]["money"].sum() == pytest.approx(sum(plan.parts[p] for p in goods))
    assert tables["freight"]["money"].sum() == pytest.approx(plan.parts[Part.FREIGHT])
    assert list(tables["freight"]["service"]) == [SERVICE.name]
    assert list(tables["campaigns"]["vessel"]) == [VESSEL.name]
    work = (Part.MOBILISATION, Part.VESSEL_DAYS, Part.FUEL)
    assert tables["campaigns"]["money"].sum() == pytest.approx(sum(plan.parts[p] for p in work))
    assert tables["checks"]["passed"].all()
    assert len(tables["checks"]) == len(plan.checks)


def test_frames_without_rows_keep_their_columns(plan: moorledger.Plan) -> None:
    """A plan that ships nothing still has a freight table to ask."""
    tables = moorledger.frames(replace(plan, bookings=()))
    assert tables["freight"].empty
    assert "revenue_tonnes" in tables["freight"].columns


def test_compare_puts_the_free_choice_first(plan: moorledger.Plan) -> None:
    """`compare` prices the free choice as `price` does, and says why an option cannot be had."""
    comparison = moorledger.compare(HELD)
    assert comparison.base.plan is not None
    assert comparison.base.plan.installed_cost == pytest.approx(plan.installed_cost)
    costs = [o.plan.installed_cost for o in comparison.outcomes if o.plan is not None]
    assert min(costs) == pytest.approx(plan.installed_cost)


def test_break_even_passes_through_todays_rates(plan: moorledger.Plan) -> None:
    """`break_even` costs the plan at once today's rates, and more where freight is dearer.

    This farm has one thing of each kind to choose from, and neither insurance nor duty: at three
    times today's rates it pays its freight thrice, and nothing else changes.
    """
    answer = moorledger.break_even(HELD, "freight rates", 0.5, 3.0)
    (costs,) = answer.options
    assert costs.at(1.0) == pytest.approx(plan.installed_cost)
    assert costs.at(3.0) == pytest.approx(plan.installed_cost + 2 * plan.parts[Part.FREIGHT])


def test_break_even_names_what_it_does_not_know() -> None:
    """An unknown rate or option is a ValueError that says what was not understood."""
    with pytest.raises(ValueError, match="no such thing"):
        moorledger.break_even(HELD, "no such thing")
    with pytest.raises(ValueError, match="'no such option' is not an option"):
        moorledger.break_even(HELD, "freight rates", options=["no such option"])


def test_holding_is_what_each_anchor_is_relied_on() -> None:
    """The declared holding of the one anchor on the one seabed."""
    (evidence,) = moorledger.holding(HELD)
    assert evidence.anchor.name == ANCHOR.name
    (within,) = evidence.within
    assert within.holding.holding_kn == pytest.approx(120.0)


def test_tests_and_certainty_are_asked_of_the_face() -> None:
    """A declared holding has no test to add; with every day workable certainty costs nothing."""
    assert moorledger.next_tests(HELD, gap=1e-6).rows == ()
    sure = moorledger.price_sure(HELD, 0.8, gap=1e-6)
    assert sure.installed_cost == pytest.approx(moorledger.price(HELD, gap=1e-6).installed_cost)
    assert sure.sure_choice is not None
    assert sure.sure_choice.among == 1


def test_version_is_that_of_pyproject() -> None:
    """`__version__` and `python -m moorledger --version` both say it."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert moorledger.__version__ == project["version"]
    command = [sys.executable, "-m", "moorledger", "--version"]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60)
    assert project["version"] in done.stdout


def test_the_import_alone_loads_nothing_slow() -> None:
    """`import moorledger` brings neither numpy nor a library of workbooks, and no room of ours."""
    say = (
        "import sys, moorledger; dir(moorledger); print([m for m in sys.modules if m.split('.')[0] "
        "in ('numpy', 'pandas', 'openpyxl', 'pulp', 'highspy', 'click') "
        "or m.startswith('moorledger.')])"
    )
    command = [sys.executable, "-c", say]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.strip() == "[]"


def test_every_name_of_the_face_is_there() -> None:
    """`__all__` promises nothing that cannot be had, `dir` shows it, and no other name is made."""
    names = moorledger.__all__
    assert sorted(names) == list(names)
    assert [name for name in names if isinstance(getattr(moorledger, name), ModuleType)] == []
    assert set(names) <= set(dir(moorledger))
    with pytest.raises(AttributeError, match="no attribute 'prices'"):
        _ = moorledger.prices
