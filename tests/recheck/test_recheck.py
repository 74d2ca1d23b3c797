"""The check of a finished plan: a sound plan passes, and every tampering is caught."""

from __future__ import annotations

import math
import random
import statistics
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from moorledger.models.answer.plan import Assignment, Campaign, Part, Piece, Plan
from moorledger.models.goods.anchor import UpliftLoss
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.project import Project
from moorledger.models.standing.catenary import line_states
from moorledger.models.standing.holding import design_holding
from moorledger.models.standing.make_up import Limit, LimitName
from moorledger.optimiser.recheck.holding import fractile_kn, reliance
from moorledger.optimiser.recheck.recheck import recheck
from moorledger.optimiser.recheck.statics import hang

from tests.farms.plan_fixture import example_plan
from tests.farms.random_farms import random_farm

ANCHOR, CHAIN, ROPE, SHACKLE = "Plate 150", "Chain 20", "Rope 40", "Shackle 20"


def sound_plan() -> Plan:
    """Return the worked plan of six lines, its lines hung and its boat's work added up.

    Line: 150 + 20 × 8.8 + 60 × 1 + 2 × 3 = 392 kg; six are 2.352 t. Boat: one trip of 3 h and six
    times 15 + 30 + 20 + 20/10 × 5 = 75 min, 10.5 h; at 8 h a day, 2 days.
    """
    plan = example_plan()
    farm = replace(
        plan.farm,
        anchors=(replace(plan.farm.anchors[0], largest_uplift_deg=20.0),),
        uplift_losses=(UpliftLoss("folding plate", 10.0, 0.9), UpliftLoss(ANCHOR, 20.0, 0.8)),
        declared_holdings=(DeclaredHolding(ANCHOR, "sand", 95.0, "invented"),),
    )
    boat = Campaign("Work boat", 6, 6, 2.352, 7.2, 1, 10.5, 2, 800.0, 4000.0, 150.0)
    bare = replace(plan, farm=farm, campaigns=(boat,))
    return replace(bare, assignments=tuple(_hung(bare, a) for a in plan.assignments))


def _hung(plan: Plan, assignment: Assignment) -> Assignment:
    """Return an assignment as the model's own catenary hangs it."""
    farm = plan.farm
    leg = farm.leg_by_name[assignment.leg]
    chain, rope = farm.chains[0].submerged_weight_kn_m, farm.ropes[0].submerged_weight_kn_m
    state = line_states(leg.design_tension_kn, leg.depth_m, 20.0, chain, 60.0, rope, 0.7)
    uplift, tension = float(state.uplift_deg), float(state.anchor_tension_kn)
    kept = 1 - 0.2 * uplift / 20
    limits = (
        Limit(LimitName.HOLDING, 1.5 * tension, 95 * kept, "kN"),
        Limit(LimitName.UPLIFT, uplift, 20.0, "deg"),
        Limit(LimitName.CHAIN, 3 * leg.design_tension_kn, 175.0, "kN"),
        Limit(LimitName.ROPE, 3 * leg.design_tension_kn, 180.0, "kN"),
        Limit(LimitName.CRANE, 0.195, 2.0, "t"),
    )
    return replace(
        assignment,
        uplift_deg=uplift,
        anchor_tension_kn=tension,
        radius_m=float(state.radius_m),
        grounded_m=float(state.grounded_m),
        limits=limits,
    )


Tampering = Callable[[Plan], Plan]


def _farm(name: str, **changes: Any) -> Tampering:
    """Change the first record of one of the farm's tuples, or the project."""

    def tamper(plan: Plan) -> Plan:
        records = getattr(plan.farm, name)
        if isinstance(records, Project):
            return replace(plan, farm=replace(plan.farm, project=replace(records, **changes)))
        changed: Any = (replace(records[0], **changes), *records[1:])
        return replace(plan, farm=replace(plan.farm, **{name: changed}))

    return tamper


def _of_plan(name: str, at: int, **changes: Any) -> Tampering:
    """Change one record of one of the plan's tuples."""

    def tamper(plan: Plan) -> Plan:
        records = getattr(plan, name)
        changed: Any = (*records[:at], replace(records[at], **changes), *records[at + 1 :])
        return replace(plan, **{name: changed})

    return tamper


def _make_up(**changes: Any) -> Tampering:
    def tamper(plan: Plan) -> Plan:
        first, *others = plan.assignments
        changed = replace(first, make_up=replace(first.make_up, **changes))
        return replace(plan, assignments=(changed, *others))

    return tamper


def _pieces(at: int, pieces: tuple[Piece, ...]) -> Tampering:
    return _of_plan("cuts", at, pieces=pieces)


def _part(part: Part, by: float) -> Tampering:
    return lambda plan: replace(plan, parts={**plan.parts, part: plan.parts[part] + by})


def _without(name: str, at: int) -> Tampering:
    def tamper(plan: Plan) -> Plan:
        records = getattr(plan, name)
        return replace(plan, **{name: records[:at] + records[at + 1 :]})

    return tamper


def _doubled(name: str, at: int) -> Tampering:
    def tamper(plan: Plan) -> Plan:
        records = getattr(plan, name)
        doubled: Any = (*records, records[at])
        return replace(plan, **{name: doubled})

    return tamper


def _no_stock(plan: Plan) -> Plan:
    return replace(plan, farm=replace(plan.farm, on_hand=()))


TAMPERINGS: dict[str, tuple[Tampering, str]] = {
    # what is laid
    "a group is missing": (_without("assignments", 1), "lines laid"),
    "a line too many": (_of_plan("assignments", 0, count=5), "lines laid"),
    "unknown vessel": (_of_plan("assignments", 0, vessel="Tug"), "every name is in the farm"),
    "unknown chain": (_make_up(chain="Chain 99"), "every name is in the farm"),
    "two anchors where one is the most": (_make_up(anchors=2), "anchors per leg"),
    "family not allowed": (_farm("legs", allowed_families=("stockless",)), "allowed family"),
    "another anchor is fixed": (_farm("legs", fixed_anchor="Plate 300"), "fixed anchor"),
    "another chain is fixed": (_farm("legs", fixed_chain="Chain 30"), "fixed chain"),
    # lengths
    "not a cutting step": (_make_up(chain_m=20.2), "chain is a whole number of cutting steps"),
    "chain over the longest": (_farm("project", longest_chain_m=19.0), "longest chain"),
    "rope length not tried": (_make_up(rope_m=55.0), "rope length is one of those tried"),
    "line too short": (_farm("legs", depth_m=81.0), "the line can hang"),
    # limits
    "holding too small": (
        _farm("declared_holdings", holding_kn=70.0),
        LimitName.HOLDING,
    ),
    "nothing known of the holding": (
        lambda p: replace(p, farm=replace(p.farm, declared_holdings=())),
        "there is a holding to rely on",
    ),
    "holding lost under uplift": (
        _farm("uplift_losses", anchor_or_family=ANCHOR, holding_kept=0.5),
        LimitName.HOLDING,
    ),
    "anchor breaks": (_farm("anchors", structural_limit_kn=70.0), LimitName.STRUCTURE),
    "higher safety factor": (_farm("anchors", safety_factor=2.0), LimitName.HOLDING),
    "pull beyond uplift": (_farm("anchors", largest_uplift_deg=5.0), LimitName.UPLIFT),
    "chain worn": (
        _farm("project", service_life_years=10.0, chain_wear_mm_per_year=0.2),
        LimitName.CHAIN,
    ),
    "rope weak at splices": (_farm("project", rope_splice_share=0.7), LimitName.ROPE),
    "fitting weak": (_farm("fittings", breaking_load_kn=149.0), LimitName.FITTING),
    "radius too long": (_farm("legs", longest_radius_m=70.0), LimitName.RADIUS),
    "over the crane": (_farm("vessels", crane_limit_t=0.19), LimitName.CRANE),
    "no bollard pull": (_farm("project", setting_pull_share=0.5), LimitName.BOLLARD),
    "anchor larger than the deck": (_farm("vessels", deck_area_m2=1.1), LimitName.DECK),
    "anchor heavier than the deck": (_farm("vessels", deck_load_t=0.149), LimitName.DECK),
    "uplift misstated": (_of_plan("assignments", 0, uplift_deg=1.0), "stated uplift"),
    "tension misstated": (_of_plan("assignments", 0, anchor_tension_kn=1.0), "stated tension"),
    "radius misstated": (_of_plan("assignments", 1, radius_m=70.0), "stated radius"),
    "limit misstated": (
        _of_plan("assignments", 1, limits=(Limit(LimitName.CRANE, 0.15, 2.0, "t"),)),
        "stated utilisation: vessel crane",
    ),
    # orders
    "one anchor fewer": (
        _of_plan("orders", 0, quantity=5),
        "ordered and on hand cover the need",
    ),
    "spares not ordered": (
        _farm("project", spare_anchor_share=0.05),
        "ordered and on hand cover the need",
    ),
    "stock that is not there": (_no_stock, "ordered and on hand cover the need"),
    "item ordered twice": (_doubled("orders", 0), "is ordered on one line"),
    "another supplier": (
        _of_plan("orders", 1, supplier="Unused works"),
        "is ordered from its supplier",
    ),
    "below the minimum order": (_farm("anchors", minimum_order=7), "minimum order"),
    "not a multiple": (
        _farm("anchors", order_multiple=4),
        "is a whole number of its order multiple",
    ),
    "more than is available": (_farm("anchors", available=5), "what is available"),
    "price break forgotten": (_of_plan("orders", 0, money_supplier=2400.0), "price of the order"),
    "price break of the other scheme": (
        lambda p: replace(
            p,
            farm=replace(
                p.farm,
                price_breaks=tuple(replace(b, from_quantity=4) for b in p.farm.price_breaks),
            ),
        ),
        "price of the order",
    ),
    "exchange rate moved": (_farm("suppliers", exchange_rate=0.95), "price of the order"),
    "duty forgotten": (_of_plan("orders", 3, duty=0.0), "duty"),
    "order charge forgotten": (
        lambda p: replace(p, order_charges={"Chain store": 50.0}),
        "order charge",
    ),
    # cutting list
    "a length fewer": (_of_plan("orders", 1, quantity=2), "lengths cut"),
    "a metre less": (
        _pieces(2, (Piece("south", 2, 19.0),)),
        "lines with their chain and rope cut",
    ),
    "a piece missing": (_pieces(2, ()), "lines with their chain and rope cut"),
    "a rope piece missing": (
        _pieces(4, (Piece("north", 4, 60.0), Piece("south", 1, 60.0))),
        "lines with their chain and rope cut",
    ),
    "a piece twice": (
        _pieces(2, (Piece("south", 2, 20.0), Piece("south", 2, 20.0))),
        "parts are numbered through",
    ),
    "a piece for no line": (
        _pieces(2, (Piece("south", 2, 20.0), Piece("south", 3, 20.0))),
        "lines are numbered from 1",
    ),
    "a length overdrawn": (
        _pieces(0, tuple(Piece("north", n, 20.0) for n in (1, 2, 3))),
        "pieces fit their length",
    ),
    "longer than is sold": (_of_plan("cuts", 2, stock_m=60.0), "length as sold"),
    "one length cut twice": (_of_plan("cuts", 2, number=1), "each length is listed once"),
    "a piece on hand that is not": (
        _of_plan("cuts", 2, number=1, on_hand=True),
        "pieces on hand cut",
    ),
    "joined where it may not be": (_farm("chains", joinable=False), "one continuous length"),
    # freight
    "one container fewer": (_of_plan("bookings", 0, containers=0), "container volume"),
    "over the payload": (
        _farm("services", payload_t=1.1),
        "container payload",
    ),
    "no such container left": (_farm("services", available=0), "containers available"),
    "packs left behind": (
        _of_plan("bookings", 1, packs=((CHAIN, 3), (ROPE, 2))),
        "packs carried",
    ),
    "packs carried twice": (
        _of_plan("bookings", 1, packs=((CHAIN, 3), (ROPE, 2), (SHACKLE, 10), (ROPE, 2))),
        "packs carried",
    ),
    "from another port": (
        _of_plan("bookings", 0, packs=((ANCHOR, 2), (SHACKLE, 10))),
        "item is shipped from its origin",
    ),
    "too wide for the door": (
        _farm("services", door_width_mm=1100.0, door_height_mm=900.0),
        "packs may go by this service",
    ),
    "too long for the box": (
        _farm("services", inside_length_mm=700.0),
        "packs may go by this service",
    ),
    "comes too late": (
        _farm("project", required_on_site=date(2031, 3, 31)),
        "packs may go by this service",
    ),
    "charge misstated": (_of_plan("bookings", 1, money=109.5), "freight charge"),
    "two consignments by one service": (_doubled("bookings", 0), "bookings of one service"),
    "revenue tonnes misstated": (_of_plan("bookings", 1, revenue_tonnes=1.1), "revenue tonnes"),
    # installation
    "one day fewer": (_of_plan("campaigns", 0, days=1), "hours in the days charged"),
    "days in parts": (_of_plan("campaigns", 0, days=1.5), "whole days"),
    "days over the most": (_farm("vessels", most_days=1), "most days"),
    "a trip too few by mass": (_farm("vessels", deck_load_t=2.3), "deck load of all trips"),
    "a trip too few by area": (_farm("vessels", deck_area_m2=7.0), "deck area of all trips"),
    "hours misstated": (_of_plan("campaigns", 0, hours=9.0), "stated hours"),
    "no campaign": (_without("campaigns", 0), "campaigns of the vessel"),
    "mobilisation forgotten": (_of_plan("campaigns", 0, mobilisation=0.0), "mobilisation"),
    # policies and money
    "too many models": (_farm("project", most_anchor_models=0), "anchor models used"),
    "too many suppliers": (_farm("project", most_suppliers=1), "suppliers ordered from"),
    "insurance misreckoned": (_farm("project", insurance_share=0.02), "cost of insurance"),
    "join not paid": (_part(Part.JOINS, -15.0), "cost of joins"),
    "bound above the cost": (
        lambda p: replace(p, proof=replace(p.proof, bound=12000.0)),
        "lower bound",
    ),
    "another cost proven": (
        lambda p: replace(p, proof=replace(p.proof, cost=11600.0)),
        "cost that was proven",
    ),
    **{f"{part} off by one": (_part(part, 1.0), f"cost of {part}") for part in Part},
}


def test_sound_plan_passes() -> None:
    """Tests that every line of a plan worked by hand passes, and that none is empty."""
    lines = recheck(sound_plan())
    assert [line for line in lines if not line.passed] == []
    assert len(lines) > 150


@pytest.mark.parametrize("name", TAMPERINGS)
def test_tampering_is_caught(name: str) -> None:
    """Tests that a plan with one thing wrong has a failed line that names it."""
    tamper, what = TAMPERINGS[name]
    failed = {line.what for line in recheck(tamper(sound_plan())) if not line.passed}
    assert what in failed


def test_a_cent_of_rounding_is_no_fault() -> None:
    """Tests that money rounded to its cents still passes."""
    assert all(line.passed for line in recheck(_part(Part.INSURANCE, 0.004)(sound_plan())))


def test_chain_hangs_as_the_textbook_catenary() -> None:
    """Tests an all-chain line: T = H + w D, suspended s = √(D (D + 2 H/w)).

    Source: the catenary of mooring texts (Faltinsen, Sea Loads, 1990, ch. 8, from memory).
    """
    h, w, depth = 30.0, 0.2, 25.0
    hanging = math.sqrt(depth * (depth + 2 * h / w))
    line = hang(h + w * depth, depth, hanging + 10, w, 0.0, 0.0, 0.5)
    assert line is not None
    assert line.grounded_m == pytest.approx(10.0, rel=1e-9)
    assert line.vertical_kn == 0.0
    assert line.horizontal_kn == pytest.approx(h - 0.5 * w * 10, rel=1e-9)
    assert line.radius_m == pytest.approx(10 + h / w * math.asinh(w * hanging / h), rel=1e-9)


def test_weightless_rope_is_a_straight_line() -> None:
    """Tests that with next to no weight a line stands as a stretched string (trigonometry)."""
    line = hang(50.0, 30.0, 10.0, 1e-9, 50.0, 0.0, 0.5)
    assert line is not None
    assert line.uplift_deg == pytest.approx(math.degrees(math.asin(30 / 60)), rel=1e-6)
    assert line.radius_m == pytest.approx(math.sqrt(60**2 - 30**2), rel=1e-6)


def test_two_ways_to_hang_a_line_agree() -> None:
    """Tests the check's top-down statics against the model's own, over lines of all sorts."""
    draw = random.Random(5)
    hung = 0
    for _ in range(400):
        line = (
            draw.uniform(2, 150),
            draw.uniform(4, 50),
            draw.uniform(0.5, 110),
            draw.uniform(0.03, 0.8),
            draw.uniform(0, 120),
            draw.uniform(-0.01, 0.02),
            draw.choice((0.0, 0.7)),
        )
        theirs, ours = line_states(*line), hang(*line)
        assert bool(theirs.possible) == (ours is not None)
        if ours is not None:
            hung += 1
            assert ours.vertical_kn == pytest.approx(float(theirs.anchor_vertical_kn), abs=1e-7)
            assert ours.tension_kn == pytest.approx(float(theirs.anchor_tension_kn), abs=1e-7)
            assert ours.radius_m == pytest.approx(float(theirs.radius_m), abs=1e-6)
    assert hung > 250


def test_fractile_of_three_tests() -> None:
    """Tests EN 1990:2002 Table D1's k_n = 3.37 for three results, scatter by `statistics`."""
    loads = [90.0, 100.0, 115.0]
    logs = [math.log(load) for load in loads]
    owed = math.exp(statistics.mean(logs) - 3.37 * statistics.stdev(logs))
    assert fractile_kn(loads, 0.2) == pytest.approx(owed, rel=1e-12)
    assert fractile_kn([100.0], None) == 0.0


@pytest.mark.parametrize("seed", range(12))
def test_two_ways_to_a_design_holding_agree(seed: int) -> None:
    """Tests the check's holdings against the model's own on farms made up at random."""
    farm = random_farm(seed, "middling")
    for leg in farm.legs:
        for anchor in farm.anchors:
            theirs = design_holding(farm, anchor, leg.seabed, leg.allowed_drag_m)
            ours = reliance(farm, anchor, leg)
            assert ours.structure_kn == theirs.structural_limit_kn
            if theirs.refusal:
                assert not ours.usable or ours.embedding_kn == 0.0
            elif ours.embedding_kn is not None:
                assert ours.embedding_kn == pytest.approx(theirs.holding_kn, rel=1e-12)
            else:
                assert math.isinf(theirs.holding_kn)
            if ours.weight_kn is not None and ours.friction is not None:
                by_weight = ours.weight_kn * ours.friction
                assert by_weight == pytest.approx(theirs.by_weight_kn, rel=1e-12)
