"""Faults of the lines laid: what is said twice or of no line, and what does not stand."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..farm import Farm
from ..fault import Fault, Severity
from ..site.laid_line import LaidLine
from ..standing.laid_standing import laid_standing
from ..standing.make_up import Limit

ACCEPT = "write in 'Accepted by' which engineer accepts it"


def laid_faults(farm: Farm) -> Iterator[Fault]:
    """Yield the faults of the Laid sheet; its names are looked at with all others."""
    seen: dict[tuple[str, int], LaidLine] = {}
    no_tests: dict[str, list[LaidLine]] = {}
    for row in farm.laid:
        leg = farm.leg_by_name.get(row.leg)
        if leg is None or not math.isfinite(row.line):
            continue
        if row.line > leg.count:
            lines = f"{leg.count} line{'' if leg.count == 1 else 's'}"
            yield Fault.at(row.source, "Line", f"{row.tag}: the leg has {lines}")
            continue
        first = seen.get((row.leg, row.line))
        seen.setdefault((row.leg, row.line), row)
        if first is not None:
            where = f" (first on row {first.source.row})" if first.source else ""
            yield Fault.at(row.source, "Line", f"{row.tag} is laid twice{where}; keep one")
            continue
        yield from _half_said(row)
        yield from _measured(farm, row)
        if row.pull_kn is not None and (why := _no_test(row)):
            no_tests.setdefault(why, []).append(row)
        if _can_be_looked_at(farm, row):
            yield from _fallen(farm, row)
    for why, rows in no_tests.items():
        tags = ", ".join(row.tag for row in rows)
        count = "it does not count as a test" if len(rows) == 1 else "they do not count as tests"
        message = f"{tags}: {why}: {count}"
        yield Fault.at(rows[0].source, "Pull", message, Severity.WARNING)
    if farm.laid and not any(leg.count > _laid_of(farm, leg.name) for leg in farm.legs):
        message = "every line is laid: there is nothing left to price"
        yield Fault("Laid", 0, "", "", message)


def _laid_of(farm: Farm, leg: str) -> int:
    return len({row.line for row in farm.laid if row.leg == leg})


def _half_said(row: LaidLine) -> Iterator[Fault]:
    """Yield what is half said of one line."""
    if (row.rope is None) != (row.rope_m == 0):
        message = "a rope and its metres go together: fill in both, or neither"
        yield Fault.at(row.source, "Rope", f"{row.tag}: {message}")
    if (row.easting_m is None) != (row.northing_m is None):
        yield Fault.at(row.source, "Easting", f"{row.tag}: give Easting and Northing, or neither")


def _measured(farm: Farm, row: LaidLine) -> Iterator[Fault]:
    """Yield what is wrong with the measured diameter of a line's chain, and a wear that is more
    than is designed for."""
    now, chain = row.chain_measured_mm, farm.chain_by_name.get(row.chain)
    if (now is None) != (row.measured_on is None) or (now is not None and row.laid_on is None):
        message = "Chain measured, Measured on and Date go together: give all, or no measure"
        yield Fault.at(row.source, "Chain measured", f"{row.tag}: {message}")
        return
    if now is None or chain is None or row.years_worn is None:
        return
    if row.years_worn <= 0:
        yield Fault.at(row.source, "Measured on", f"{row.tag}: not after the day it was laid")
    elif now > chain.diameter_mm:
        message = f"{now:g} mm is more than {chain.diameter_mm:g} mm, the chain as new"
        yield Fault.at(row.source, "Chain measured", f"{row.tag}: {message}")
    else:
        rate, stated = (chain.diameter_mm - now) / row.years_worn, farm.project
        if rate > stated.chain_wear_mm_per_year and stated.service_life_years > 0:
            message = (
                f"{row.tag} wears {rate:.2g} mm a year, more than the Chain wear of Project, "
                f"{stated.chain_wear_mm_per_year:g}, that every limit is held at"
            )
            yield Fault.at(row.source, "Chain measured", message, Severity.WARNING)


def _no_test(row: LaidLine) -> str:
    """Return why a line's pull is no test; "": it is one."""
    if row.drag_m is None:
        return "no drag is recorded with the pull"
    if row.anchors != 1:
        return "nobody knows what each of several anchors took of the pull"
    return ""


def _can_be_looked_at(farm: Farm, row: LaidLine) -> bool:
    """Tell whether all that a line's standing rests on could be read."""
    leg = farm.leg_by_name[row.leg]
    placed = (row.easting_m, row.northing_m, row.pull_kn, row.drag_m)
    built = (row.chain_m, row.rope_m, row.anchors)
    asked = (leg.depth_m, leg.design_tension_kn, leg.allowed_drag_m)
    return (
        all(figure is None or math.isfinite(figure) for figure in (*built, *placed, *asked))
        and row.anchor in farm.anchor_by_name
        and row.chain in farm.chain_by_name
        and (row.rope is None or row.rope in farm.rope_by_name)
        and leg.seabed in farm.seabed_by_name
        and (row.rope is None) == (row.rope_m == 0)
    )


def _fallen(farm: Farm, row: LaidLine) -> Iterator[Fault]:
    """Yield what a line laid does not keep: an error, or a doubt where it is accepted by name."""
    found = laid_standing(farm, row)
    if found.stands:
        return
    told = [_missed(limit) for limit in found.missed]
    if found.refusal:
        told.append(found.refusal)
    if found.came_too_far and row.drag_m is not None:
        used, allowed = row.drag_m / found.allowed_drag_m, f"{found.allowed_drag_m:g} m allowed"
        told.append(f"drag {used:.1%} ({row.drag_m:g} m when it was set, {allowed})")
    if found.pulled_short and row.pull_kn is not None:
        share = f"{found.asked_pull_kn / row.pull_kn:.1%} " if row.pull_kn > 0 else ""
        pulls = f"{found.asked_pull_kn:.4g} kN asked, {row.pull_kn:.4g} kN held"
        told.append(f"setting pull {share}({pulls})")
    if found.standing is None:
        told.append("the line cannot hang so")
    message = f"{row.tag} as laid no longer stands: {'; '.join(told)}"
    if row.accepted_by:
        message += f"; accepted by {row.accepted_by}"
        yield Fault.at(row.source, "Accepted by", message, Severity.WARNING)
        return
    message += f". Lift it or lay it anew, or {ACCEPT}"
    yield Fault.at(row.source, "Line", message)


def _missed(limit: Limit) -> str:
    """Return a limit that is not kept, in words."""
    used = f" {limit.utilisation:.1%}" if math.isfinite(limit.utilisation) else ""
    case = f", {limit.case}" if limit.case else ""
    return (
        f"{limit.name}{used} ({limit.required:.4g} {limit.unit} required, "
        f"{limit.available:.4g} {limit.unit} there{case})"
    )
