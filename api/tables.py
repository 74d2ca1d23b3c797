"""A plan as pandas tables, for a notebook."""

from __future__ import annotations

import pandas as pd

from .models.answer.plan import Plan


def frames(plan: Plan) -> dict[str, pd.DataFrame]:
    """Return a plan's tables by name: legs, orders, freight, campaigns, checks.

    Units stand in the columns' names; money is in the project's currency, orders before duty.
    A table without rows keeps its columns.
    """
    return {
        "legs": _frame(
            [
                {
                    "leg": row.leg,
                    "count": row.count,
                    "anchor": row.make_up.anchor,
                    "anchors_per_leg": row.make_up.anchors,
                    "chain": row.make_up.chain,
                    "chain_m": row.make_up.chain_m,
                    "rope": row.make_up.rope,
                    "rope_m": row.make_up.rope_m,
                    "vessel": row.vessel,
                    "uplift_deg": row.uplift_deg,
                    "required_kn": row.required_kn,
                    "available_kn": row.available_kn,
                    "radius_m": row.radius_m,
                    "utilisation": row.binding.utilisation,
                    "nearest_limit": str(row.binding.name),
                }
                for row in plan.assignments
            ],
            "leg count anchor anchors_per_leg chain chain_m rope rope_m vessel uplift_deg "
            "required_kn available_kn radius_m utilisation nearest_limit",
        ),
        "orders": _frame(
            [
                {
                    "item": line.item,
                    "supplier": line.supplier,
                    "quantity": line.quantity,
                    "needed": line.needed,
                    "from_stock": line.from_stock,
                    "money": line.money,
                    "duty": line.duty,
                }
                for line in plan.orders
            ],
            "item supplier quantity needed from_stock money duty",
        ),
        "freight": _frame(
            [
                {
                    "origin": booking.origin,
                    "service": booking.service,
                    "containers": booking.containers,
                    "revenue_tonnes": booking.revenue_tonnes,
                    "m3": booking.volume_m3,
                    "t": booking.tonnes,
                    "money": booking.money,
                    "duty": booking.duty,
                }
                for booking in plan.bookings
            ],
            "origin service containers revenue_tonnes m3 t money duty",
        ),
        "campaigns": _frame(
            [
                {
                    "vessel": campaign.vessel,
                    "legs": campaign.legs,
                    "anchors": campaign.anchors,
                    "mass_t": campaign.mass_t,
                    "trips": campaign.trips,
                    "hours": campaign.hours,
                    "days": campaign.days,
                    "money": campaign.money,
                }
                for campaign in plan.campaigns
            ],
            "vessel legs anchors mass_t trips hours days money",
        ),
        "checks": _frame(
            [
                {
                    "check": str(line.what),
                    "where": line.where,
                    "required": line.required,
                    "available": line.available,
                    "unit": line.unit,
                    "passed": line.passed,
                }
                for line in plan.checks
            ],
            "check where required available unit passed",
        ),
    }


def _frame(rows: list[dict[str, object]], columns: str) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=columns.split())
