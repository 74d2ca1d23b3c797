"""Offers asked about in vain: no price brings them in, or puts them out."""

from __future__ import annotations

import numpy as np

from ...models.farm import Farm
from ...models.goods.item import ItemOffer
from ..choices.choices import Choices, fittings_needed

LEAVES_NEVER = "some of it is bought at any price: nothing else will do"
NO_LEG = "no leg can use it"


def asked_in_vain(farm: Farm, choices: Choices, offer: ItemOffer) -> str:
    """Return why no price brings an offer in, or puts it out, where that is plain at once; else
    ""."""
    made, item = choices.make_ups, farm.item_by_name[offer.item]
    uses = np.zeros(len(made), dtype=bool)
    for names, index in (
        ([a.name for a in farm.anchors], made.anchor),
        ([c.name for c in farm.chains], made.chain),
        ([r.name for r in farm.ropes], made.rope),
    ):
        if item.name in names:
            uses = index == names.index(item.name)
    for place, needed in fittings_needed(farm, made):
        if farm.fittings[place].name == item.name:
            uses = needed > 0
    if not uses.any():
        return NO_LEG
    served = np.unique(made.leg[~uses])
    alone = len(item.offers) == 1 and item.on_hand_total <= 0
    return LEAVES_NEVER if alone and len(served) < len(farm.legs) else ""
