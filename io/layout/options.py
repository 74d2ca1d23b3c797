"""The options of the buyer's own, to be compared with the free choice."""

from __future__ import annotations

from ...models.option import Restriction, Rule, What
from .column import InputSheet
from .shared_columns import C, K

# fmt: off
OPTIONS = InputSheet(
    "Options", "A row for each restriction of an option to compare; rows of one name belong "
    "together.", Restriction, "restrictions",
    (
        C("Name", "option", "What the option is called", K.NAME, example="as bought last year"),
        C("Allow / Forbid", "rule", "Whether only these may be used, or these may not; 'prefer' "
          "is 'allow' that leaves free the legs which none of them can moor", K.CHOICE,
          choices=Rule, example="allow"),
        C("What", "what", "What kind of thing is named", K.CHOICE, choices=What,
          example="anchors"),
        C("Which", "which", "Their names, separated by ;", K.NAMES, names="restricted",
          example=("plate 250",)),
        C("Legs", "legs", "The leg groups that it holds for, separated by ;", K.NAMES,
          names="leg", blank="all legs"),
    ),
    absent="only the options that every farm has are compared",
)
# fmt: on
