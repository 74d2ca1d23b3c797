"""Faults of the Uncertainty sheet: unknown names, ranges upside down, doubles."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from .farm import Farm
from .fault import Fault, closest
from .site.uncertainty import NAMELESS, Uncertain

SHEETS_OF = {
    Uncertain.SERVICE: "Freight",
    Uncertain.CURRENCY: "Suppliers or Freight",
    Uncertain.SUPPLIER: "Suppliers",
    Uncertain.ITEM: "Anchors, Chain, Rope or Fittings",
    Uncertain.DAY_RATE: "Vessels",
}
"""Kind of figure → the sheets that name whose it may be."""


def uncertainty_faults(farm: Farm) -> Iterator[Fault]:
    """Yield what is wrong with the rows of the Uncertainty sheet."""
    seen = set()
    for row in farm.uncertainties:
        known = _names(farm, row.what)
        if row.what is Uncertain.FREIGHT:
            if row.which:
                message = f"'{row.what}' are those of every service: leave it blank, or "
                message += f"write '{Uncertain.SERVICE}' in What"
                yield Fault.at(row.source, "Which", message)
        elif row.what is Uncertain.CURRENCY and row.which == farm.project.currency:
            message = f"{row.which} is the project's own currency: its rate is always 1"
            yield Fault.at(row.source, "Which", message)
        elif row.which not in known and (row.which or row.what not in NAMELESS):
            found = f"'{row.which}' is not in {SHEETS_OF[row.what]}{closest(row.which, known)}"
            blank = f"blank: name what is in {SHEETS_OF[row.what]}"
            yield Fault.at(row.source, "Which", found if row.which else blank)
        if row.p10_share > row.p90_share:
            message = f"P90 ({row.p90_share:.0%}) is less than P10 ({row.p10_share:.0%})"
            yield Fault.at(row.source, "P90", message)
        if str(row) in seen:
            yield Fault.at(row.source, "Which", f"'{row}' has a row already")
        seen.add(str(row))


def _names(farm: Farm, what: Uncertain) -> Sequence[str]:
    match what:
        case Uncertain.FREIGHT:
            return ()
        case Uncertain.SERVICE:
            return [service.name for service in farm.services]
        case Uncertain.CURRENCY:
            sellers = [s.currency for s in farm.suppliers] + [s.currency for s in farm.services]
            return list(dict.fromkeys(sellers))
        case Uncertain.SUPPLIER:
            return [supplier.name for supplier in farm.suppliers]
        case Uncertain.ITEM:
            # Not the farm's items, which cannot be made where a supplier is not known.
            names = [anchor.name for anchor in farm.anchors]
            names += [chain.name for chain in farm.chains]
            names += [rope.name for rope in farm.ropes]
            return [*names, *(fitting.name for fitting in farm.fittings)]
        case Uncertain.DAY_RATE:
            return [vessel.name for vessel in farm.vessels]
