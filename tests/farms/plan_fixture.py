"""A farm of six lines and its plan, every figure worked by hand (invented goods and prices).

Anchors: 6 at 400 USD to unit 4, then 380 USD: 4 × 400 + 2 × 380 = 2360 USD, × 0.9 = 2124 EUR;
duty 5 % = 118 USD = 106.20 EUR; order charge 100 USD = 90 EUR.
Chain: 6 × 20 m = 120 m from 3 lengths of 50 m at 12 EUR per m (12.50 below three): 1800 EUR; the
third line's chain is joined of 10 m + 10 m: 1 join at 15 EUR.
Rope: 6 × 60 m, 3 from a length of 220 m: 2 lengths at 3 EUR per m: 1320 EUR.
Shackles: 12 needed, 2 on hand, 10 at 8 EUR = 80 EUR, duty 10 % = 8 EUR. Order charge 50 EUR.
Goods 2124 + 1800 + 1320 + 80 = 5324.
Freight: one container 1000 USD = 900 EUR; by road 3.4 m³ and 1.79 t, so 1.79 revenue tonnes at 50
= 89.50, raised to the least charge 100, + 20 fixed = 120. Together 1020.
Insurance 1 % of 5324 + 1020 = 63.44.
Vessel: 800 + 2 × 2000 + 1 × 150 = 4950.
2124 + 1800 + 1320 + 80 + 15 + 140 + 1020 + 63.44 + 114.20 + 800 + 4000 + 150 = 11626.64.
Contingency 10 % = 1162.66 to the cent.
"""

from __future__ import annotations

from datetime import date
from functools import cache

from moorledger.io.order.order_workbook import plan_workbook
from moorledger.models.answer.check_line import CheckLine
from moorledger.models.answer.plan import (
    Assignment,
    Booking,
    Campaign,
    Cut,
    OrderLine,
    Part,
    Piece,
    Plan,
    Proof,
)
from moorledger.models.answer.stopped import Stopped
from moorledger.models.answer.trip import Trip
from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import Anchor, TransportForm
from moorledger.models.goods.chain import Chain
from moorledger.models.goods.fitting import Fitting, UsedPer
from moorledger.models.goods.freight import Basis, FreightService
from moorledger.models.goods.price import PriceBreak, Scheme
from moorledger.models.goods.rope import Rope
from moorledger.models.goods.supplier import OnHand, Supplier
from moorledger.models.site.leg import Leg
from moorledger.models.site.project import Project
from moorledger.models.site.seabed import Seabed
from moorledger.models.site.vessel import Vessel
from moorledger.models.standing.holding_evidence import EvidenceKind, HoldingEvidence
from moorledger.models.standing.make_up import Limit, LimitName, MakeUp

PARTS = {
    Part.ANCHORS: 2124.00,
    Part.CHAIN: 1800.00,
    Part.ROPE: 1320.00,
    Part.FITTINGS: 80.00,
    Part.JOINS: 15.00,
    Part.ORDER_CHARGES: 140.00,
    Part.FREIGHT: 1020.00,
    Part.INSURANCE: 63.44,
    Part.DUTY: 114.20,
    Part.MOBILISATION: 800.00,
    Part.VESSEL_DAYS: 4000.00,
    Part.FUEL: 150.00,
}
INSTALLED_COST = 11626.64
WITH_CONTINGENCY = 12789.304

ONE_TRIP = Trip(
    (*(("north", line) for line in (1, 2, 3, 4)), ("south", 1), ("south", 2)), 2.346, 7.2, 9.5
)

CHECKS = (
    CheckLine(LimitName.HOLDING, "north", 67.5, 72.0, "kN", True),
    CheckLine(LimitName.CHAIN, "south", 150.0, 175.0, "kN", True),
    CheckLine("cost adds up", "whole plan", 11626.64, 11626.64, "EUR", True),
)


def example_plan(
    *,
    project_name: str = "Six lines",
    plate_supplier: str = "Plate works",
    anchor: str = "Plate 150",
    bound: float = 11620.0,
    stopped: Stopped | None = None,
) -> Plan:
    """Return the plan; names may be replaced to see how odd ones are written."""
    farm = _farm(project_name, plate_supplier, anchor)
    make_up = MakeUp(anchor, 1, "Chain 20", 20.0, "Rope 40", 60.0)
    return Plan(
        farm=farm,
        assignments=(
            _assignment("north", 4, 50.0, make_up),
            _assignment("south", 2, 45.0, make_up),
        ),
        orders=(
            OrderLine(anchor, plate_supplier, 6, 6.0, 0.0, 2360.0, 2124.0, 106.2),
            OrderLine("Chain 20", "Chain store", 3, 120.0, 0.0, 1800.0, 1800.0, 0.0),
            OrderLine("Rope 40", "Chain store", 2, 360.0, 0.0, 1320.0, 1320.0, 0.0),
            OrderLine("Shackle 20", "Chain store", 10, 12.0, 2.0, 80.0, 80.0, 8.0),
        ),
        order_charges={plate_supplier: 90.0, "Chain store": 50.0},
        cuts=_cuts(),
        bookings=(
            Booking(
                "Box 20", "East port", 1, ((anchor, plate_supplier, 2),), 2.88, 1.2, 2.88, 900.0
            ),
            Booking(
                "Road parcel",
                "West yard",
                0,
                (
                    ("Chain 20", "Chain store", 3),
                    ("Rope 40", "Chain store", 2),
                    ("Shackle 20", "Chain store", 10),
                ),
                3.4,
                1.79,
                1.79,
                120.0,
            ),
        ),
        campaigns=(
            Campaign("Work boat", 6, 6, 2.346, 7.2, 1, 12.5, 2, 800.0, 4000.0, 150.0, (ONE_TRIP,)),
        ),
        parts=dict(PARTS),
        proof=Proof(INSTALLED_COST, bound, 0.001, "HiGHS", 0.4, stopped),
        checks=CHECKS,
    )


@cache
def example_order() -> bytes:
    """Return the example's order workbook, written once."""
    return plan_workbook(example_plan())


def _farm(project_name: str, plate_supplier: str, anchor: str) -> Farm:
    return Farm(
        project=Project(
            name=project_name,
            insurance_share=0.01,
            contingency_share=0.10,
            rope_in_each_eye_m=0.0,
            order_date=date(2031, 3, 1),
            given=frozenset(
                {
                    "name",
                    "insurance_share",
                    "contingency_share",
                    "rope_in_each_eye_m",
                    "order_date",
                }
            ),
        ),
        legs=(
            Leg(
                "north",
                50.0,
                20.0,
                "sand",
                5.0,
                "grid",
                4,
                easting_m=100.0,
                northing_m=250.0,
                bearing_deg=0.0,
                spacing_m=10.0,
                row_bearing_deg=90.0,
            ),
            Leg("south", 45.0, 20.0, "sand", 5.0, "grid", 2),
        ),
        seabeds=(Seabed("sand", 0.7, reference="invented for the example"),),
        anchors=(
            Anchor(
                anchor,
                plate_supplier,
                "folding plate",
                TransportForm.FOLDING,
                150.0,
                400.0,
                lowering_min=30.0,
                setting_min=20.0,
                deck_area_m2=1.2,
                pack_length_mm=1500.0,
                pack_width_mm=1200.0,
                pack_height_mm=800.0,
                pack_quantity=4,
                lead_time_days=35,
            ),
        ),
        chains=(
            Chain("Chain 20", "Chain store", 20.0, 8.8, 175.0, 12.5, 50.0, 0.5, join_cost=15.0),
        ),
        suppliers=(
            Supplier(plate_supplier, "East port", "USD", 0.9, 100.0, 30, 0.05),
            Supplier("Chain store", "West yard", "EUR", 1.0, 50.0, 14),
            Supplier("Unused works", "West yard", "EUR", 1.0, 75.0),
        ),
        services=(
            FreightService("Box 20", "East port", Basis.CONTAINER, 1000.0, "USD", 0.9, 33.0, 21.0),
            FreightService(
                "Road parcel",
                "West yard",
                Basis.MEASURE,
                50.0,
                "EUR",
                1.0,
                m3_per_tonne=3.0,
                minimum_charge=100.0,
                fixed_charge=20.0,
            ),
        ),
        vessels=(
            Vessel("Work boat", 2000.0, 10.0, 2.0, 10.0, 40.0, 3.0, 15.0, 800.0, 0.8, None, 150.0),
        ),
        ropes=(Rope("Rope 40", "Chain store", 40.0, 1.0, 1140.0, 200.0, 3.0, 220.0, 0.9),),
        fittings=(
            Fitting(
                "Shackle 20", "Chain store", UsedPer.LEG, 2, 180.0, 8.0, 3.0, 0.01, duty_share=0.1
            ),
        ),
        price_breaks=(
            PriceBreak(anchor, 5, 380.0, Scheme.INCREMENTAL),
            PriceBreak("Chain 20", 3, 12.0, Scheme.ALL_UNITS),
        ),
        on_hand=(OnHand("Shackle 20", 2.0),),
        origin_file="six lines.xlsx",
    )


def _assignment(leg: str, count: int, tension_kn: float, make_up: MakeUp) -> Assignment:
    return Assignment(
        leg=leg,
        make_up=make_up,
        vessel="Work boat",
        count=count,
        uplift_deg=0.0,
        anchor_tension_kn=tension_kn * 0.9,
        radius_m=75.5,
        grounded_m=4.25,
        evidence=HoldingEvidence(EvidenceKind.DECLARED, "invented for the example"),
        limits=(
            Limit(LimitName.HOLDING, tension_kn * 0.9 * 1.5, 72.0, "kN"),
            Limit(LimitName.UPLIFT, 0.0, 0.0, "deg"),
            Limit(LimitName.CHAIN, tension_kn * 3.0, 175.0, "kN"),
            Limit(LimitName.ROPE, tension_kn * 3.0, 180.0, "kN"),
            Limit(LimitName.FITTING, tension_kn * 3.0, 180.0, "kN"),
            Limit(LimitName.CRANE, 0.195, 2.0, "t"),
        ),
    )


def _cuts() -> tuple[Cut, ...]:
    chain = (
        Cut(
            "Chain 20",
            1,
            50.0,
            (Piece("north", 1, 20.0), Piece("north", 2, 20.0), Piece("north", 3, 10.0, 1, 2)),
        ),
        Cut(
            "Chain 20",
            2,
            50.0,
            (Piece("north", 3, 10.0, 2, 2), Piece("north", 4, 20.0), Piece("south", 1, 20.0)),
        ),
        Cut("Chain 20", 3, 50.0, (Piece("south", 2, 20.0),)),
    )
    rope = (
        Cut("Rope 40", 1, 220.0, tuple(Piece("north", n, 60.0) for n in (1, 2, 3))),
        Cut(
            "Rope 40",
            2,
            220.0,
            (Piece("north", 4, 60.0), Piece("south", 1, 60.0), Piece("south", 2, 60.0)),
        ),
    )
    return chain + rope
