"""The option menu: what a farm has to choose among, and the options that are always compared."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from .farm import Farm
from .goods.anchor import TransportForm
from .option import Option, OptionKind, Rule, What, one_rule


def names_of(farm: Farm, what: What) -> tuple[str, ...]:
    """Return the names of one kind that the farm knows, in the order of its sheets."""
    if what is What.FAMILIES:
        return farm.families
    if what is What.TRANSPORT_FORM:
        return tuple(str(form) for form in TransportForm)
    named: dict[What, Sequence[Any]] = {
        What.ANCHORS: farm.anchors,
        What.CHAINS: farm.chains,
        What.ROPES: farm.ropes,
        What.VESSELS: farm.vessels,
        What.SUPPLIERS: farm.suppliers,
        What.SERVICES: farm.services,
    }
    return tuple(thing.name for thing in named[what])


def leanings(farm: Farm) -> tuple[tuple[Option, Option], ...]:
    """Return, for each transport form and family on offer, the option of that alone, and the
    milder one that leaves free the legs that it cannot moor."""
    forms = dict.fromkeys(str(anchor.transport_form) for anchor in farm.anchors)
    kinds = [(What.TRANSPORT_FORM, form) for form in forms] if len(forms) > 1 else []
    kinds += [(What.FAMILIES, family) for family in farm.families] if len(farm.families) > 1 else []
    return tuple(
        (
            one_rule(f"{name} only", Rule.ALLOW, what, name, kind=OptionKind.LEANING),
            one_rule(f"{name} where it holds", Rule.PREFER, what, name, kind=OptionKind.LEANING),
        )
        for what, name in kinds
    )


def single_models(farm: Farm) -> tuple[Option, ...]:
    """Return the options of one anchor model for the whole farm."""
    if len(farm.anchors) < 2:
        return ()
    names = [anchor.name for anchor in farm.anchors]
    return tuple(
        one_rule(f"{name} alone", Rule.ALLOW, What.ANCHORS, name, kind=OptionKind.SINGLE_MODEL)
        for name in names
    )


def left_out(farm: Farm) -> tuple[Option, ...]:
    """Return the options of one supplier, then one vessel, left out."""
    options = []
    for what in (What.SUPPLIERS, What.VESSELS):
        names = names_of(farm, what)
        if len(names) > 1:
            options += [
                one_rule(f"without {name}", Rule.FORBID, what, name, kind=OptionKind.LEFT_OUT)
                for name in names
            ]
    return tuple(options)
