"""What each command needs of a workbook: sheets, columns, and what it leaves alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from ..layout.column import InputColumn, InputSheet
from ..layout.farm import LEASE, LEGS, LOAD_CASES, SEABEDS
from ..layout.goods import ANCHORS, CHAIN, FITTINGS, ROPE
from ..layout.holding import HOLDING, HOLDING_LAWS, PULL_TESTS
from ..layout.offers import FREIGHT, MAP, OFFERS, ON_HAND, PRICE_BREAKS, SUPPLIERS, VESSELS
from ..layout.options import OPTIONS, UNCERTAINTY
from ..layout.sheets import SHEETS


@dataclass(frozen=True)
class Needs:
    """What one command, or several alike, need of a workbook."""

    commands: tuple[str, ...]
    sheets: tuple[InputSheet, ...]
    """That must be there."""
    one_of: tuple[InputSheet, ...] = ()
    """Of which one at least must be there; none: no such need."""
    whole: tuple[InputSheet, ...] = ()
    """Without which it works, but says less: a full farm has them."""
    if_complete: tuple[InputSheet, ...] = ()
    """Sheets used where all their required columns are there, else left out, and that is said."""
    unread: tuple[InputSheet, ...] = ()
    """Sheets that it has no use for, whatever they hold."""
    with_legs: tuple[InputSheet, ...] = ()
    """Sheets that say nothing where there are no legs."""
    asked: Mapping[str, frozenset[str]] = field(default_factory=lambda: MappingProxyType({}))
    """Sheet → fields that must be filled though there is a stand-in."""

    @property
    def title(self) -> str:
        """The commands in words."""
        return ", ".join(self.commands)

    def reads(self, sheet: InputSheet) -> bool:
        """Tell whether a sheet is read at all."""
        return sheet not in self.unread

    def must_have(self, sheet: InputSheet, column: InputColumn, present: frozenset[str]) -> bool:
        """Tell whether a cell of a column must be filled.

        present : the titles of the sheets that are there.
        """
        if not sheet.needs(column):
            return False
        spare = column.stand_in
        if spare is None or column.field in self.asked.get(sheet.title, ()):
            return True
        return bool(spare.without) and spare.without in present


PRICE = Needs(
    ("price", "compare", "breakeven", "offers", "quotes"),
    sheets=tuple(sheet for sheet in SHEETS if sheet.required),
    whole=(SUPPLIERS, FREIGHT, VESSELS),
    asked=MappingProxyType({ANCHORS.title: frozenset({"unit_price"})}),
)

EVIDENCE = Needs(
    ("holding",),
    sheets=(ANCHORS,),
    one_of=(PULL_TESTS, HOLDING, HOLDING_LAWS),
    whole=(LEGS, FREIGHT),
    if_complete=(LEGS, LOAD_CASES, SEABEDS, CHAIN, ROPE, OFFERS, SUPPLIERS, FREIGHT),
    with_legs=(LOAD_CASES, LEASE),
    unread=(FITTINGS, PRICE_BREAKS, MAP, ON_HAND, VESSELS, OPTIONS, UNCERTAINTY),
)

ALL_NEEDS = (EVIDENCE, PRICE)
