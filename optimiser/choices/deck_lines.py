"""Deck lines: the decided lines of one vessel, as it carries them."""

from __future__ import annotations

from ...models.answer.trip import DeckLine
from ...models.arrays import Ints
from ...models.farm import Farm
from ...models.standing.positions import attachments_m
from .choices import Choices


def deck_lines(farm: Farm, choices: Choices, counts: Ints, vessel: int) -> tuple[DeckLine, ...]:
    """Return the lines that a vessel lays, numbered within their leg groups as a plan has them.

    choices : those used. counts : (X,) lines of each. vessel : its place on the farm.
    """
    laid: dict[str, int] = {}
    lines: list[DeckLine] = []
    made, by = choices.make_ups, farm.vessels[vessel]
    for index, count in enumerate(counts.tolist()):
        leg = farm.legs[int(made.leg[index])]
        first = laid.get(leg.name, 0) + 1
        laid[leg.name] = first - 1 + count
        if int(choices.vessel[index]) != vessel or not count:
            continue
        anchor = farm.anchors[int(made.anchor[index])]
        mass, area = float(choices.mass_t[index]), float(choices.area_m2[index])
        own = by.own_trips(
            mass, int(made.anchors[index]), anchor.mass_kg / 1000.0, anchor.deck_area_m2
        )
        places = attachments_m(leg)
        lines += [
            DeckLine(
                leg.name,
                line,
                mass,
                area,
                float(choices.hours[index]),
                own,
                places[line - 1] if places else None,
            )
            for line in range(first, first + count)
        ]
    return tuple(lines)
