"""The reader under bytes that coverage guides: needs atheris, which is no dependency of ours.

pip install atheris
python -m tests.workbook_in.guided_mutations -runs=20000 -len_control=0 -max_len=400
"""

from __future__ import annotations

import io
import sys
import tempfile
import zipfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["moorledger"]):
    from moorledger.io.reading.workbook import read_farm_with_warnings

from tests.farms.typed_workbook import TYPED, save
from tests.workbook_in.mutations import look_at

FOLDER = Path(tempfile.mkdtemp(prefix="moorledger-fuzz-"))
SOUND = save(TYPED, FOLDER / "sound.xlsx").read_bytes()
with zipfile.ZipFile(io.BytesIO(SOUND)) as package:
    PARTS = {name: package.read(name) for name in package.namelist()}
NAMES = sorted(PARTS)


def one_input(data: bytes) -> None:
    """Read a workbook of which one part, or a stretch of one, is `data`."""
    provider = atheris.FuzzedDataProvider(data)
    name = provider.PickValueInList(NAMES)
    part = PARTS[name]
    at = provider.ConsumeIntInRange(0, len(part))
    end = min(len(part), at + provider.ConsumeIntInRange(0, 200))
    rest = provider.ConsumeBytes(4000)
    spoilt = {**PARTS, name: part[:at] + rest + part[end:]}
    path = FOLDER / "farm.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as package:
        for part_name, content in spoilt.items():
            package.writestr(part_name, content)
    look_at(lambda: read_farm_with_warnings(path))


if __name__ == "__main__":
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()
