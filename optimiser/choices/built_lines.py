"""Built lines: a plan by the items of its lines, so that another farm's search may start there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...models.arrays import Ints
from .choices import Choices

Place = tuple[int, int, int, int, int, float, int]
"""Leg, vessel, anchor, anchors, chain, rope length, rope."""


@dataclass(frozen=True)
class BuiltLines:
    """Lines of one leg group by their items, whatever the length of their chain."""

    place: Place
    count: int


def built_lines(choices: Choices, counts: Ints) -> tuple[BuiltLines, ...]:
    """Return lines by their items; counts : (X,) of each of these choices."""
    return tuple(map(BuiltLines, _places(choices), counts.tolist()))


def chosen_as_built(choices: Choices, lines: Sequence[BuiltLines]) -> tuple[Ints, Ints] | None:
    """Return the choices that build lines of the same items, each with as much chain as it needs
    there, in order, and the lines of each; None where some line may not be built so."""
    at = {place: number for number, place in enumerate(_places(choices))}
    chosen: dict[int, int] = {}
    for line in lines:
        number = at.get(line.place)
        if number is None:
            return None
        chosen[number] = chosen.get(number, 0) + line.count
    order = sorted(chosen)
    return np.array(order, dtype=np.int64), np.array([chosen[n] for n in order], dtype=np.int64)


def _places(choices: Choices) -> list[Place]:
    made = choices.make_ups
    columns = (made.leg, choices.vessel, made.anchor, made.anchors, made.chain, made.rope_m)
    return list(zip(*(column.tolist() for column in (*columns, made.rope)), strict=True))
