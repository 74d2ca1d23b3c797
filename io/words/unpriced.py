"""What a first price leaves out, in words: what is not priced, and what is assumed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from ...models.answer.assumed import assumed
from ...models.answer.plan import Part, PartGroup
from ...models.farm import Farm
from .grammar import counted, listed

FACTS = {
    "deck_area_m2": "deck area",
    "lowering_min": "lowering",
    "setting_min": "setting",
    "pack_length_mm": "pack size",
    "packed_volume_m3": "packed volume",
    "rope_in_each_eye_m": "rope in each eye",
    "shortest_chain_m": "shortest chain",
    "container_stowage_share": "container stowage",
}
"""Field → what it is called in a sentence."""

NOUNS = {"anchors": "anchor", "chains": "chain", "ropes": "rope", "fittings": "fitting"}

NO_VESSELS = (
    "Not priced: no vessel is named. Whether any can lift, carry, set and lay this was not looked "
    "at."
)
NO_DESIGN = "A first price, not a design that may be laid."


def total_name(farm: Farm) -> str:
    """Return what the sum of the parts is: the installed cost only where all of it is priced."""
    if farm.freight_priced:
        return "Installed cost" if farm.laying_priced else "Landed cost"
    return "Cost of goods and laying" if farm.laying_priced else "Cost of goods"


def total_in_text(farm: Farm) -> str:
    """Return what the sum of the parts is, within a sentence."""
    name = total_name(farm)
    return f"{name[:1].lower()}{name[1:]}"


def part_name(farm: Farm, part: Part) -> str:
    """Return a part's name as a heading; where it is not priced, it says so beside its nought."""
    name = str(part).capitalize()
    return name if is_priced(farm, part) else f"{name}: not priced"


def is_priced(farm: Farm, part: Part) -> bool:
    """Tell whether a part of the cost is priced at all."""
    if part is Part.FREIGHT:
        return farm.freight_priced
    return farm.laying_priced or part not in PartGroup.VESSELS.value


def not_priced(farm: Farm) -> str:
    """Return what is not priced, in a sentence or two; "" where everything is."""
    left = []
    if not farm.freight_priced:
        left.append("freight (no Freight sheet: goods are taken as delivered)")
    if not farm.laying_priced:
        left.append(
            "the laying (no Vessels sheet: no crane, deck or bollard pull was looked at, nor "
            "whether any vessel can lay this)"
        )
    if left and not farm.fittings:
        left.append("fittings (no Fittings sheet)")
    return f"NOT PRICED: {listed(left)}. {NO_DESIGN}" if left else ""


def sizes_words(farm: Farm, items: Iterable[str]) -> str:
    """Return that the size of some items' packs is assumed, in a sentence; "" where none is."""
    names = [name for name in dict.fromkeys(items) if name in farm.sizes_assumed]
    if not names:
        return ""
    return (
        f"How large the packs of {listed(names)} are is not stated: their volume is assumed, and "
        "the true one may be several times that. Whoever packs them says so to you and to us."
    )


def assumed_words(farm: Farm) -> str:
    """Return what stand-ins the price rests on, in a sentence; "" where there are none."""
    found = Counter((one.field, one.catalogue) for one in assumed(farm))
    said = [
        f"{FACTS[field]} of {counted(number, NOUNS[catalogue])}"
        for (field, catalogue), number in found.items()
    ]
    if any("origin" in supplier.stood_in for supplier in farm.suppliers):
        said.append("every supplier's prices in the project's currency, without order charges")
    if not said:
        return ""
    return f"Assumed, as common practice without a source, until stated: {listed(said)}."


def first_price_words(farm: Farm) -> tuple[str, ...]:
    """Return what must be said before any figure of a price: nothing where the workbook is full."""
    return tuple(filter(None, (not_priced(farm), assumed_words(farm))))
