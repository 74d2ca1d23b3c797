"""The plan for programs: the record that `price --json` writes."""

from __future__ import annotations

import json
import math
from typing import Any

from ..models.answer.plan import Part, Plan
from ..models.answer.spread import Percentiles, Spread
from ..models.evidence.lines import every_line


def plan_record(plan: Plan) -> dict[str, Any]:
    """Return the plan as plain dicts, lists, strings and numbers.

    Money is in the project's currency, not rounded; `parts` names every part and adds up to
    `installed_cost`. A bound or gap that is not known is None.
    """
    return {
        "installed_cost": plan.installed_cost,
        "bound": _known(plan.proof.bound),
        "gap": _known(plan.proof.gap),
        "proven": plan.proof.proven,
        "not_priced": [
            name
            for name, priced in (
                ("freight", plan.farm.freight_priced),
                ("laying", plan.farm.laying_priced),
            )
            if not priced
        ],
        "currency": plan.farm.project.currency,
        "contingency": plan.contingency,
        "spread": _spread(plan.spread),
        "parts": {str(part): float(plan.parts.get(part, 0.0)) for part in Part},
        "legs": [
            {
                "leg": row.leg,
                "anchor": row.make_up.anchor,
                "anchors_per_leg": row.make_up.anchors,
                "chain": row.make_up.chain,
                "chain_m": row.make_up.chain_m,
                "rope": row.make_up.rope,
                "rope_m": row.make_up.rope_m,
                "vessel": row.vessel,
                "count": row.count,
                "uplift_deg": row.uplift_deg,
                "required_kn": row.required_kn,
                "available_kn": row.available_kn,
            }
            for row in plan.assignments
        ],
        "lines": [
            {
                "tag": line.tag,
                "leg": line.leg,
                "line": line.line,
                "laid": not line.row.vessel,
                "anchor_e_m": line.anchor[0] if line.anchor else None,
                "anchor_n_m": line.anchor[1] if line.anchor else None,
                "drop_e_m": line.drop[0] if line.drop else None,
                "drop_n_m": line.drop[1] if line.drop else None,
            }
            for line in every_line(plan)
        ],
        "orders": [
            {
                "item": line.item,
                "supplier": line.supplier,
                "quotation": plan.farm.offer_by_key[line.item, line.supplier].quotation,
                "quantity": line.quantity,
                "money": line.money,
            }
            for line in plan.orders
        ],
        "freight": [
            {
                "origin": booking.origin,
                "service": booking.service,
                "containers": booking.containers,
                "revenue_tonnes": booking.revenue_tonnes,
                "m3": booking.volume_m3,
                "t": booking.tonnes,
                "money": booking.money,
                "packs": [
                    {"item": item, "supplier": supplier, "packs": packs}
                    for item, supplier, packs in booking.packs
                ],
            }
            for booking in plan.bookings
        ],
        "campaigns": [
            {
                "vessel": campaign.vessel,
                "trips": campaign.trips,
                "hours": campaign.hours,
                "days": campaign.days,
                "money": campaign.money,
            }
            for campaign in plan.campaigns
        ],
        "left_out": [
            {
                "what": row.what,
                "name": row.name,
                "reason": str(row.cause),
                "nearest": row.told,
                "required": None if row.required is None else _known(row.required),
                "available": None if row.available is None else _known(row.available),
                "unit": row.unit,
            }
            for row in plan.left_out
        ],
        "doubts": [
            {
                "sheet": doubt.sheet,
                "cell": doubt.cell,
                "heading": doubt.heading,
                "message": doubt.message,
            }
            for doubt in plan.farm.doubts
        ],
    }


def plan_json(plan: Plan) -> str:
    """Return the record as JSON text (RFC 8259: no NaN, no infinity), with a final newline."""
    return json.dumps(plan_record(plan), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _spread(spread: Spread | None) -> dict[str, Any] | None:
    """Return how sure the cost is, all together and by source; None where not worked out."""
    if spread is None:
        return None
    return {
        **_range(spread.total),
        "mean": spread.mean,
        "dearest_fifth": spread.dearest_fifth,
        "chance_within": spread.chance_within,
        "draws": spread.draws,
        "sources": [{"what": one.name, **_range(one.cost)} for one in spread.sources],
        "days": [
            {
                "vessel": one.vessel,
                "working_days": one.working_days,
                "charged_days": one.charged_days,
                "chance_within": one.chance_within,
                "p10": one.p10,
                "p50": one.p50,
                "p80": one.p80,
                "p90": one.p90,
            }
            for one in spread.days
        ],
    }


def _range(cost: Percentiles) -> dict[str, float]:
    return {"p10": cost.p10, "p50": cost.p50, "p80": cost.p80, "p90": cost.p90}


def _known(number: float) -> float | None:
    """Return a number, or None where it is not finite."""
    return float(number) if math.isfinite(number) else None
