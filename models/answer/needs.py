"""What is needed of every item for the lines that are laid."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from ..arrays import ceil_to_whole
from ..farm import Farm
from ..standing.make_up import MakeUp


def needs_of(farm: Farm, laid: Iterable[tuple[MakeUp, int]]) -> dict[str, float]:
    """Return what is needed of every item that is used: each, or metres; spare anchors in, whole.

    laid : make-ups, and how many lines of each.
    """
    used: defaultdict[str, float] = defaultdict(float)
    for make_up, count in laid:
        used[make_up.anchor] += count * make_up.anchors
        used[make_up.chain] += count * make_up.chain_m
        if make_up.rope is not None:
            used[make_up.rope] += count * make_up.rope_piece_m(farm.project)
        for fitting in farm.fittings:
            if fitting.applies_to(make_up.chain):
                used[fitting.name] += count * fitting.needed(make_up.anchors)
    needed = dict(used)
    for anchor in farm.anchors:
        if anchor.name in needed:
            with_spares = needed[anchor.name] * (1.0 + farm.project.spare_anchor_share)
            needed[anchor.name] = float(ceil_to_whole(with_spares))
    return needed
