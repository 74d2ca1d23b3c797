"""What papers are asked for with each kind of goods, and what packing asks of whoever packs.

EN 10204 (metallic products: types of inspection documents): type 3.1 is the maker's certificate
with the results of tests of the very goods, signed by an inspector apart from production (from
memory). Which proof load applies is for the standard that the goods are made to: it is asked for,
not stated here.
"""

from __future__ import annotations

from ...models.goods.anchor import Anchor, HoldsBy
from ...models.goods.item import ItemKind

_STEEL = (
    "Anchors of steel: EN 10204 type 3.1 for the steel of each, and a certificate of the proof "
    "load test at the load that its standard states."
)
_WEIGHT = (
    "Deadweights: a weighing certificate of each with its volume, the compressive strength of "
    "concrete, and EN 10204 type 3.1 for lifting points and links."
)
_OTHERS = {
    ItemKind.CHAIN: (
        "Chain and connectors: EN 10204 type 3.1, with the proof load and breaking load tests of "
        "each length by its standard."
    ),
    ItemKind.ROPE: (
        "Rope: the maker's certificate of type, size, mass a metre and tested breaking load, for "
        "each length by number."
    ),
    ItemKind.FITTING: (
        "Shackles, swivels and other fittings: EN 10204 type 3.1 for each batch, proof load test "
        "certificate, and breaking or working load marked on each piece."
    ),
}


def certificates(kinds: set[ItemKind], anchors: list[Anchor]) -> tuple[str, ...]:
    """Return the certificates to ask for with goods of these kinds, the anchors among them."""
    asked = []
    if any(anchor.holds_by is HoldsBy.EMBEDDING for anchor in anchors):
        asked.append(_STEEL)
    if any(anchor.holds_by is HoldsBy.WEIGHT for anchor in anchors):
        asked.append(_WEIGHT)
    asked += [words for kind, words in _OTHERS.items() if kind in kinds]
    return tuple(asked)
