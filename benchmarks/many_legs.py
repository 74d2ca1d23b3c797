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
from dataclasses import replace
from pathlib import Path

from moorledger.io.inputs.template import write_template
from moorledger.io.reading.workbook import read_farm

ROOT = Path(__file__).resolve().parent.parent
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
    sample = read_farm(ROOT / "sample_inputs" / "heron_sound")
    legs = tuple(
        replace(
            sample.legs[n % len(sample.legs)],
            name=f"leg {n}",
            count=1,
            design_tension_kn=sample.legs[n % len(sample.legs)].design_tension_kn * (1 - 1e-5 * n),
        )
        for n in range(asked.rows)
    )
    many = replace(
        sample,
        legs=legs,
        anchors=tuple(replace(anchor, available=None) for anchor in sample.anchors),
        chains=tuple(replace(chain, available=None) for chain in sample.chains),
        ropes=tuple(replace(rope, available=None) for rope in sample.ropes),
        services=tuple(replace(service, available=None) for service in sample.services),
        vessels=tuple(replace(vessel, most_days=None) for vessel in sample.vessels),
    )
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
