"""The program that writes an order: what tells whether another one wrote it."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

from ... import models

DIGITS = 12


@cache
def this_program() -> str:
    """Return a mark of what writes an order's sheets: the rooms io and models, by their text.

    Versions that write one sheet otherwise have other marks, whatever their number says.
    """
    digest = hashlib.sha256()
    for room in (Path(__file__).parents[1], Path(models.__file__).parent):
        for path in sorted(room.rglob("*.py")):
            digest.update(path.read_bytes())
    return digest.hexdigest()[:DIGITS]
