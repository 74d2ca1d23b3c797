"""Farms of which some lines lie already, as a crew would record a plan's lines."""

from __future__ import annotations

import random
from dataclasses import replace

from moorledger.models.answer.plan import Plan
from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import HoldsBy
from moorledger.models.site.laid_line import LaidLine
from moorledger.models.site.pull_test import Event, Reading


def recorded(plan: Plan, draw: random.Random, share: float = 0.5) -> Farm:
    """Return the farm of a plan with about a share of its lines recorded as laid, not all.

    Of a leg with positions they are its last lines, of another any. Some have a pull, which is no
    less than is asked.
    """
    farm = plan.farm
    least = min(leg.allowed_drag_m for leg in farm.legs)
    """Within it every pull counts for every leg."""
    rows: list[LaidLine] = list(farm.laid)
    todo = [(row, row.first_line + n) for row in plan.assignments for n in range(row.count)]
    for leg in farm.legs:
        mine = sorted((n, row.make_up) for row, n in todo if row.leg == leg.name)
        count = sum(draw.random() < share for _ in mine)
        if len(rows) - len(farm.laid) + count >= len(todo):
            count -= 1
        if leg.easting_m is not None:
            chosen = mine[len(mine) - count :]
        else:
            chosen = sorted(draw.sample(mine, k=count))
        for number, made in chosen:
            pulled = draw.random() < 0.5
            embeds = farm.anchor_by_name[made.anchor].holds_by is HoldsBy.EMBEDDING
            asked = farm.project.setting_pull_share * leg.design_tension_kn if embeds else 0.0
            rows.append(
                LaidLine(
                    leg.name,
                    number,
                    made.anchor,
                    made.chain,
                    made.chain_m,
                    made.anchors,
                    made.rope,
                    made.rope_m if made.rope else 0.0,
                    pull_kn=max(draw.choice((5.0, 20.0, 60.0)), asked) if pulled else None,
                    drag_m=draw.choice((0.0, 1.5, least)) if pulled else None,
                )
            )
    return replace(farm, laid=tuple(rows))


def without_laid(farm: Farm) -> Farm:
    """Return a farm as if the lines laid had never been of it, their pulls written as tests.

    Worked here apart from the product: the lines that are left must be the first of their leg
    wherever it has a position.
    """
    tests = []
    for n, row in enumerate(farm.laid):
        leg = next(leg for leg in farm.legs if leg.name == row.leg)
        if row.pull_kn is not None and row.drag_m is not None and row.anchors == 1:
            tests.append(
                Reading(f"lay {n}", row.anchor, leg.seabed, row.drag_m, row.pull_kn, Event.STOPPED)
            )
    lying = [row.leg for row in farm.laid]
    legs = [replace(leg, count=leg.count - lying.count(leg.name)) for leg in farm.legs]
    left = tuple(leg for leg in legs if leg.count)
    return replace(farm, legs=left, readings=(*farm.readings, *tests), laid=())
