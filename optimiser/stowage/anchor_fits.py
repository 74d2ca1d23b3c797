"""How many of each anchor model fit into a container: in their packs, and bare."""

from __future__ import annotations

import math

from ...models.arrays import ROUNDING, floor_to_whole
from ...models.farm import Farm
from ...models.goods.anchor import Anchor
from ...models.goods.crate import pack_of
from ...models.goods.fit import Fit
from ...models.goods.load import Binding, Box, Pack
from .load_planner import USUAL, pack


def anchor_fits(farm: Farm) -> tuple[Fit, ...]:
    """Return a row for every anchor and container service of its origins that states its inside."""
    fits = []
    for anchor in farm.anchors:
        if "pack_length_mm" in anchor.stood_in:
            continue  # it goes by mass alone
        item = farm.item_by_name[anchor.name]
        for service in farm.services:
            box = service.box
            if box is None or service.origin not in item.origins or item.pack_barred_from(service):
                continue
            one = pack_of(item)
            packs, fill, limited_by = _fit(one, box)
            bare = _bare(anchor)
            fits.append(
                Fit(
                    anchor.name,
                    service.name,
                    packs,
                    packs * anchor.pack_quantity,
                    fill,
                    limited_by,
                    None if bare is None else _fit(bare, box)[0],
                )
            )
    return tuple(fits)


def _fit(one: Pack, box: Box) -> tuple[int, float, Binding]:
    """Return how many like packs were found to fit, their fill by volume, and what limits them."""
    most = box.volume_mm3 // one.volume_mm3 + 1
    if box.payload_kg is not None and one.mass_kg > 0:
        most = min(most, floor_to_whole(box.payload_kg / one.mass_kg, ROUNDING) + 1)
    plan = pack([one] * most, box, USUAL)
    limit = Binding.SPACE if plan.binding is Binding.NOTHING else plan.binding
    return len(plan.placements), plan.fill_by_volume, limit


def _bare(anchor: Anchor) -> Pack | None:
    """Return one anchor out of its pack as a pack; None where its sides are not stated."""
    sides = (anchor.bare_length_mm, anchor.bare_width_mm, anchor.bare_height_mm)
    length, width, height = (math.ceil(side or 0.0) for side in sides)
    if not length or not width or not height:
        return None
    return Pack("bare", length, width, height, anchor.mass_kg)
