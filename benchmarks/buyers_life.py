"""Ten changes of a buyer's life on the sample, each one command after the last order.

python -m benchmarks.buyers_life FOLDER
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

from moorledger.io.commands.papers import order_read
from moorledger.io.inputs.template import write_template
from moorledger.io.reading.workbook import read_farm
from moorledger.models.answer.plan import Plan
from moorledger.models.farm import Farm

from tests.after.buyers_life import TEN

ROOT = Path(__file__).resolve().parent.parent
RUN = "from moorledger.entrance import main; main()"


def main() -> None:
    """Price the sample, then change it ten times; print seconds, gap and what the changes cost."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("folder", type=Path, help="for the farms and orders; what is there stays")
    parser.add_argument(
        "--time-limit",
        type=float,
        default=30.0,
        help="of each command: with reading and writing it then ends within a minute [30]",
    )
    asked = parser.parse_args()
    asked.folder.mkdir(exist_ok=True)
    order = asked.folder / "order 0.xlsx"
    farm = read_farm(ROOT / "sample_inputs" / "heron_sound")
    if not order.exists():
        _run(asked.folder, farm, "0", None, asked.time_limit)
    plan, _ = order_read(order)
    for number, change in enumerate(TEN, start=1):
        after = asked.folder / f"order {number}.xlsx"
        seconds = 0.0
        if not after.exists():
            # As its buyer holds it: without the rows that a pricing wrote.
            own = tuple(row for row in plan.farm.on_hand if not row.ordered_from)
            farm = change(replace(plan.farm, on_hand=own), plan)
            seconds = _run(asked.folder, farm, str(number), order, asked.time_limit)
        order, before = after, plan
        plan, _ = order_read(order)
        _tell(change.__name__, seconds, plan, before)


def _run(folder: Path, farm: Farm, name: str, after: Path | None, limit: float) -> float:
    """Price a farm into `order NAME.xlsx`; return the seconds that the whole command took."""
    source = folder / f"farm {name}.xlsx"
    write_template(source, farm, overwrite=True)
    order = folder / f"order {name}.xlsx"
    command = [sys.executable, "-c", RUN, "price", str(source), "-o", str(order)]
    command += ["--time-limit", str(limit)]
    command += [] if after is None else ["--after", str(after)]
    began = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)  # our own
    return time.perf_counter() - began


def _tell(name: str, seconds: float, plan: Plan, before: Plan) -> None:
    told = sum(change.money for change in plan.changes)
    difference = plan.total_cost - before.total_cost
    # The gap asked is of the whole, what was spent with it.
    gap = (plan.proof.cost - plan.proof.bound) / plan.total_cost
    print(
        f"{name:<16}{seconds:7.1f} s  gap {gap:7.3%}  difference {difference:+13,.2f}"
        f"  changes {told:+13,.2f}  {len(plan.changes):3} told",
        flush=True,
    )


if __name__ == "__main__":
    main()
