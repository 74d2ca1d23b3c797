"""Anchors that let go in a test soon beyond the drag that a leg allows: a caution."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ..answer.plan import Assignment
from ..farm import Farm
from ..site.leg import Leg
from ..site.pull_test import Reading


@dataclass(frozen=True)
class LetGo:
    """One reading at which a leg's anchor rolled out or broke at up to twice the allowed drag."""

    leg: Leg
    reading: Reading

    @property
    def words(self) -> str:
        """The caution in a sentence."""
        at, allowed = self.reading, self.leg.allowed_drag_m
        return (
            f"test {at.test}: {at.anchor} {at.event} at {at.drag_m:g} m of drag on {at.seabed}, "
            f"where {self.leg.name} allows {allowed:g} m: an anchor that drags a little too far "
            "may hold nothing"
        )


def let_go_soon(farm: Farm, anchor: str, leg: Leg) -> tuple[LetGo, ...]:
    """Return where an anchor let go on a leg's seabed at d < drag ≤ 2 d, d the allowed drag."""
    return tuple(
        LetGo(leg, reading)
        for test in farm.tests_of(anchor, leg.seabed)
        for reading in test.let_go_soon(leg.allowed_drag_m)
    )


def let_go_in_plan(farm: Farm, assignments: Iterable[Assignment]) -> tuple[LetGo, ...]:
    """Return the cautions of the anchors chosen, each once, leg by leg."""
    chosen = dict.fromkeys((row.leg, row.make_up.anchor) for row in assignments)
    return tuple(
        caution
        for leg, anchor in chosen
        for caution in let_go_soon(farm, anchor, farm.leg_by_name[leg])
    )
