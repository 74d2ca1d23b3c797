"""What is asked beside the price: options of the buyer's own, and how sure the figures are."""

from __future__ import annotations

from ...models.option import Restriction, Rule, What
from ...models.site.uncertainty import Uncertain, Uncertainty
from .column import InputSheet, above
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

UNCERTAINTY = InputSheet(
    "Uncertainty", "A row for each rate, price or currency that may turn out otherwise; each by "
    "itself, log-normal.", Uncertainty, "uncertainties",
    (
        C("What", "what", "What kind of figure", K.CHOICE, choices=Uncertain,
          example="freight rates"),
        C("Which", "which", "Whose: a service, a currency, a supplier, an item or a vessel",
          K.NAME, names="uncertain", blank="all, which then rise and fall together"),
        C("P10", "p10_share", "Of the figure given; one time in ten it is less", K.PERCENT, "%",
          range=above(0, 10), example=0.9),
        C("P90", "p90_share", "Of the figure given; one time in ten it is more", K.PERCENT, "%",
          range=above(0, 10), example=1.3),
    ),
    absent="rates, prices and currencies are as given",
)
# fmt: on
