"""Time and memory of a workbook of many leg groups: reading, checking, pricing.

python -m benchmarks.many_legs --rows 5000
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from moorledger.io.inputs.template import write_template

from benchmarks.many_groups import farm_of_groups

READ = (
    "from moorledger.io.reading.workbook import read_farm; print(len(read_farm('farm.xlsx').legs))"
)
RUN = "from moorledger.entrance import main; main()"


def main() -> None:
    """Write the sample with so many leg groups, no two alike, and measure each command on it."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--rows", type=int, default=5000)
    parser.add_argument("--time-limit", type=float, default=0.0, help="of pricing; 0: do not price")
    asked = parser.parse_args()
    many = farm_of_groups(asked.rows)
    with tempfile.TemporaryDirectory() as folder:
        write_template(Path(folder) / "farm.xlsx", many)
        commands = {"read": ["-c", READ], "check": ["-c", RUN, "check", "farm.xlsx"]}
        if asked.time_limit:
            limit = str(asked.time_limit)
            commands["price"] = ["-c", RUN, "price", "farm.xlsx", "--time-limit", limit]
        for name, arguments in commands.items():
            before = resource.getrusage(resource.RUSAGE_CHILDREN)
            began = time.perf_counter()
            done = subprocess.run(
                [sys.executable, *arguments], cwd=folder, capture_output=True, text=True
            )
            seconds = time.perf_counter() - began
            # The largest of all children so far: each command needs more than the one before.
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            busy = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
            last = (done.stdout + done.stderr).strip().splitlines()[-1:]
            print(
                f"{name}: {seconds:.1f} s, of which a processor {busy:.1f} s; "
                f"{after.ru_maxrss / 1024:.0f} MiB; exit {done.returncode}: {last}",
                flush=True,
            )


if __name__ == "__main__":
    main()
