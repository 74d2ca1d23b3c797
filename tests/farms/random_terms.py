"""Terms of trade and practical rules drawn at random, on top of a farm made up at random.

They have dice of their own, so that a farm is otherwise the same with or without them.
"""

from __future__ import annotations

import random
from dataclasses import replace

from moorledger.models.farm import Farm
from moorledger.models.site.project import DutyOn


def with_terms(farm: Farm, seed: str) -> Farm:
    """Return the farm with these drawn: the rope that an eye takes, the most chains and ropes, what
    duty is on, and which vessels go home every day."""
    draw = random.Random(f"terms {seed}")
    project = replace(
        farm.project,
        rope_in_each_eye_m=draw.choice((0.0, 0.5, 1.2)),
        most_chains=draw.choice((None, None, 1)),
        duty_on=draw.choice((DutyOn.PRICE, DutyOn.LANDED)),
        most_ropes=draw.choice((None, None, 1)),
    )
    vessels = tuple(replace(v, home_every_day=draw.random() < 0.4) for v in farm.vessels)
    return replace(farm, project=project, vessels=vessels)
