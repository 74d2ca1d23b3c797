"""What a leg group built alike uses: a column for each of its anchors, chains, ropes, vessels.

They follow from the choice, so the programme needs none of them. Branched on, each one decides
many choices at once, and the relaxation below it is far tighter than below a single choice.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ...models.arrays import Ints
from .choice_rows import ChoiceRows
from .families import ColumnFamily, RowFamily


@dataclass(frozen=True)
class ItemColumns:
    """The columns of one leg group and one kind of thing, of which a plan uses just one."""

    columns: Ints


def add_items(built: ChoiceRows) -> list[ItemColumns]:
    """Add, for every group built alike, Σ choices with the item ≤ its column; Σ columns = 1."""
    made = built.choices.make_ups
    alike = built.units == 1.0
    found = []
    for which in (made.anchor, made.chain, made.rope, built.choices.vessel):
        rows = np.full((len(alike), int(which.max(initial=0)) + 2), -1)  # the last answers −1
        pairs = np.unique(np.stack([made.leg, which]), axis=1)
        for g in np.flatnonzero(alike).tolist():
            used = pairs[1, pairs[0] == g]
            if len(used) < 2:
                continue
            columns = built.programme.columns(
                ColumnFamily.ITEM_USED, len(used), high=1, integer=True
            )
            gates = built.programme.rows(RowFamily.ITEM_USED, len(used), high=0.0)
            built.programme.terms(gates, columns, -1.0)
            one = built.programme.row(RowFamily.ONE_ITEM, [], low=1.0, high=1.0)
            built.programme.terms(one, columns, 1.0)
            rows[g, used] = gates
            found.append(ItemColumns(columns))
        if (rows >= 0).any():
            built.link_units(rows, made.leg, which)
    return found
