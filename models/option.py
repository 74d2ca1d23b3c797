"""An option: a restriction of what may be bought, shipped and laid, priced beside a free choice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum, StrEnum, auto

from .fault import Source


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


class OptionKind(Enum):
    """Where an option comes from: the menu that every farm is compared by, or somebody's wish."""

    FREE = auto()
    LEANING = auto()
    """A transport form or family alone, or where it holds."""
    SINGLE_MODEL = auto()
    """One anchor model for the whole farm."""
    LEFT_OUT = auto()
    """Without one supplier or vessel."""
    OWN = auto()
    """Of the Options sheet, or asked by whoever prices."""


@dataclass(frozen=True)
class Option:
    """A name and what it restricts; nothing restricted: the free choice."""

    name: str
    restrictions: tuple[Restriction, ...] = ()
    kind: OptionKind = OptionKind.OWN

    def barred(self, what: What, names: Sequence[str]) -> frozenset[str]:
        """Return those of `names`, things of one kind, that the option bars on the whole farm."""
        rows = [row for row in self.restrictions if row.what is what and not row.legs]
        barred = {name for row in rows if row.rule is Rule.FORBID for name in row.which}
        allowed = [name for row in rows if row.rule is Rule.ALLOW for name in row.which]
        if allowed:
            barred |= set(names) - set(allowed)
        return frozenset(barred)


FREE = Option("free choice", kind=OptionKind.FREE)
"""No restriction beyond the workbook's own."""


def one_rule(
    name: str,
    rule: Rule,
    what: What,
    *which: str,
    legs: tuple[str, ...] = (),
    kind: OptionKind = OptionKind.OWN,
) -> Option:
    """Return the option of a single restriction."""
    return Option(name, (Restriction(name, rule, what, which, legs),), kind)


def options_of(restrictions: Sequence[Restriction]) -> tuple[Option, ...]:
    """Return the options of an Options sheet, in the order of their first rows."""
    rows: dict[str, list[Restriction]] = {}
    spelt: dict[str, str] = {}
    for row in restrictions:
        rows.setdefault(spelt.setdefault(row.option.casefold(), row.option), []).append(row)
    return tuple(Option(name, tuple(of_name)) for name, of_name in rows.items())
