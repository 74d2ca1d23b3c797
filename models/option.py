"""An option: a restriction of what may be bought, shipped and laid, priced beside a free choice."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from .anchor import TransportForm
from .fault import Fault, Source, closest

if TYPE_CHECKING:
    from .farm import Farm


class Rule(StrEnum):
    """What an option says of the things that it names."""

    ALLOW = "allow"
    """These alone may be used."""
    FORBID = "forbid"
    """These may not be used."""
    PREFER = "prefer"
    """As allow, but a leg that none of them can moor chooses freely."""


class What(StrEnum):
    """The kind of thing that an option names."""

    FAMILIES = "families"
    ANCHORS = "anchors"
    TRANSPORT_FORM = "transport form"
    CHAINS = "chains"
    ROPES = "ropes"
    VESSELS = "vessels"
    SUPPLIERS = "suppliers"
    SERVICES = "services"


WHOLE_FARM = (What.SUPPLIERS, What.SERVICES)
"""Kinds that no single leg chooses: an order and a consignment are the whole farm's."""


@dataclass(frozen=True)
class Restriction:
    """A row of the Options sheet; the rows of one name together are one option.

    Rows of a name that allow (or prefer) things of one kind on the same legs allow them all.
    """

    option: str
    rule: Rule
    what: What
    which: tuple[str, ...]
    legs: tuple[str, ...] = ()
    """The leg groups that it holds for; empty: all."""
    source: Source | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True)
class Option:
    """A name and what it restricts; nothing restricted: the free choice."""

    name: str
    restrictions: tuple[Restriction, ...] = ()

    def barred(self, what: What, names: Sequence[str]) -> frozenset[str]:
        """Return those of `names`, things of one kind, that the option bars on the whole farm."""
        rows = [row for row in self.restrictions if row.what is what and not row.legs]
        barred = {name for row in rows if row.rule is Rule.FORBID for name in row.which}
        allowed = [name for row in rows if row.rule is Rule.ALLOW for name in row.which]
        if allowed:
            barred |= set(names) - set(allowed)
        return frozenset(barred)


FREE = Option("free choice")
"""No restriction beyond the workbook's own."""


def one_rule(name: str, rule: Rule, what: What, *which: str, legs: tuple[str, ...] = ()) -> Option:
    """Return the option of a single restriction."""
    return Option(name, (Restriction(name, rule, what, which, legs),))


def options_of(restrictions: Sequence[Restriction]) -> tuple[Option, ...]:
    """Return the options of an Options sheet, in the order of their first rows."""
    rows: dict[str, list[Restriction]] = {}
    spelt: dict[str, str] = {}
    for row in restrictions:
        rows.setdefault(spelt.setdefault(row.option.casefold(), row.option), []).append(row)
    return tuple(Option(name, tuple(of_name)) for name, of_name in rows.items())


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
            one_rule(f"{name} only", Rule.ALLOW, what, name),
            one_rule(f"{name} where it holds", Rule.PREFER, what, name),
        )
        for what, name in kinds
    )


def single_models(farm: Farm) -> tuple[Option, ...]:
    """Return the options of one anchor model for the whole farm."""
    if len(farm.anchors) < 2:
        return ()
    names = [anchor.name for anchor in farm.anchors]
    return tuple(one_rule(f"{name} alone", Rule.ALLOW, What.ANCHORS, name) for name in names)


def left_out(farm: Farm) -> tuple[Option, ...]:
    """Return the options of one supplier, then one vessel, left out."""
    options = []
    for what in (What.SUPPLIERS, What.VESSELS):
        names = names_of(farm, what)
        if len(names) > 1:
            options += [one_rule(f"without {name}", Rule.FORBID, what, name) for name in names]
    return tuple(options)


SHEET_OF = {
    What.FAMILIES: "Anchors",
    What.ANCHORS: "Anchors",
    What.CHAINS: "Chain",
    What.ROPES: "Rope",
    What.VESSELS: "Vessels",
    What.SUPPLIERS: "Suppliers",
    What.SERVICES: "Freight",
}
"""Kind of thing → the sheet that names things of that kind."""


def option_faults(farm: Farm) -> Iterator[Fault]:
    """Yield what is wrong with the rows of the Options sheet: unknown names, senseless rules."""
    legs = [leg.name for leg in farm.legs]
    taken = {option.name.casefold() for option in (FREE, *left_out(farm), *single_models(farm))}
    taken |= {option.name.casefold() for pair in leanings(farm) for option in pair}
    for row in farm.restrictions:
        if row.option.casefold() in taken:
            message = f"'{row.option}' is compared without being asked for; give it another name"
            yield Fault.at(row.source, "Name", message)
        known = names_of(farm, row.what)
        for name in row.which:
            if name in known:
                continue
            if row.what is What.TRANSPORT_FORM:
                message = f"'{name}' is no transport form; needs {' or '.join(known)}"
            else:
                message = f"'{name}' is not one of the {row.what} in {SHEET_OF[row.what]}"
            yield Fault.at(row.source, "Which", message + closest(name, known))
        for name in row.legs:
            if name not in legs:
                message = f"'{name}' is not in Legs{closest(name, legs)}"
                yield Fault.at(row.source, "Legs", message)
        if row.what in WHOLE_FARM and row.legs:
            message = f"{row.what} serve the whole farm; leave it blank"
            yield Fault.at(row.source, "Legs", message)
        if row.what in WHOLE_FARM and row.rule is Rule.PREFER:
            message = f"'{Rule.PREFER}' is for what a leg can choose; {row.what} need "
            message += f"'{Rule.ALLOW}' or '{Rule.FORBID}'"
            yield Fault.at(row.source, "Allow / Forbid", message)
