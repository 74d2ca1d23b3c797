"""The lines laid in the plan of the whole farm: as built, beside those that are still to lay."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from ..answer.plan import Assignment, Plan
from ..farm import Farm
from ..site.laid_line import LaidLine
from ..site.leg import Leg
from ..standing.holding_evidence import HoldingEvidence
from ..standing.laid_standing import laid_standing
from ..standing.make_up import Limit, LimitName


def whole_plan(plan: Plan) -> Plan:
    """Return a plan of the lines still to lay as one of the whole farm: every line under its own
    number, and those that lie already beside them."""
    whole = plan.farm.whole
    if whole is None:
        return plan
    legs = plan.farm.leg_by_name
    farm = replace(plan.farm, legs=whole.legs, readings=whole.readings, laid=whole.laid, whole=None)
    cuts = tuple(
        replace(
            cut,
            pieces=tuple(
                replace(piece, line=legs[piece.leg].numbers[piece.line - 1]) for piece in cut.pieces
            ),
        )
        for cut in plan.cuts
    )
    campaigns = tuple(
        replace(
            campaign,
            loaded=tuple(
                replace(trip, lines=tuple((leg, legs[leg].numbers[n - 1]) for leg, n in trip.lines))
                for trip in campaign.loaded
            ),
        )
        for campaign in plan.campaigns
    )
    return replace(
        plan,
        farm=farm,
        assignments=tuple(
            part for row in plan.assignments for part in _numbered(legs[row.leg], row)
        ),
        cuts=cuts,
        campaigns=campaigns,
        laid=laid_rows(farm),
    )


def _numbered(leg: Leg, row: Assignment) -> Iterator[Assignment]:
    """Yield a row's lines under their own numbers, a row for each run of them."""
    numbers = leg.numbers[row.first_line - 1 : row.first_line - 1 + row.count]
    for run in _runs(numbers):
        yield replace(row, first_line=run[0], count=len(run))


def _runs(numbers: Sequence[int]) -> Iterator[Sequence[int]]:
    """Yield the runs of numbers without a gap."""
    starts = [0, *(at for at, (a, b) in enumerate(pairwise(numbers), 1) if b != a + 1)]
    for start, stop in pairwise([*starts, len(numbers)]):
        yield numbers[start:stop]


def laid_rows(farm: Farm) -> tuple[Assignment, ...]:
    """Return a row for each line that lies already, in the order of the legs."""
    order = {leg.name: at for at, leg in enumerate(farm.legs)}
    rows = sorted(farm.laid, key=lambda row: (order[row.leg], row.line))
    return tuple(_row(farm, row) for row in rows)


def _row(farm: Farm, laid: LaidLine) -> Assignment:
    found = laid_standing(farm, laid)
    standing = found.standing
    if standing is None:
        tension = farm.leg_by_name[laid.leg].design_tension_kn
        cannot = Limit(LimitName.HOLDING, tension, 0.0, "kN")
        nothing = HoldingEvidence()
        return Assignment(
            laid.leg, found.make_up, "", 1, 0.0, 0.0, 0.0, 0.0, nothing, (cannot,), laid.line
        )
    return Assignment(
        laid.leg,
        found.make_up,
        "",
        1,
        standing.uplift_deg,
        standing.anchor_tension_kn,
        standing.radius_m,
        standing.grounded_m,
        standing.holding.evidence,
        standing.limits,
        laid.line,
    )
