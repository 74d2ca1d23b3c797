"""What makes a line one that a crew will lay: the rope that its eyes take, and the gear that a
second anchor brings.

Worked by hand on the small farm; `test_against_brute_force` holds the same rules against trying
everything. What an eye takes is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from moorledger.io.told.plan_text import plan_cautions, plan_summary
from moorledger.models.answer.plan import Plan
from moorledger.models.doubts import doubts
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.models.goods.anchor import HoldsBy
from moorledger.models.goods.fitting import UsedPer
from moorledger.models.option import Rule, What, one_rule
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.project import Project
from moorledger.models.site.seabed import Seabed
from moorledger.models.standing.make_up import MakeUp
from moorledger.optimiser.price import price
from moorledger.optimiser.repricing.farm_pricer import FarmPricer

from tests.brute.brute_force import least_cost
from tests.brute.test_brute_force import three_lines
from tests.farms.small_farm import ANCHOR, LEG, ROPE, SHACKLE, SUPPLIER, VESSEL, farm_with

HOLDS = (DeclaredHolding(ANCHOR.name, "sand", 100.0, "invented"),)


def farm(rope_in_each_eye_m: float = 0.0, **changes: Any) -> Farm:
    """Return the small farm with 60 m of rope on its leg, and eyes that take so much."""
    fields: dict[str, Any] = {
        "project": Project(
            rope_lengths_tried=(2.0,),
            rope_in_each_eye_m=rope_in_each_eye_m,
            longest_chain_m=200.0,
        ),
        "declared_holdings": HOLDS,
    }
    return farm_with(**(fields | changes))


def rope_of(plan: Plan) -> tuple[float, float, float]:
    """Return the rope as it hangs, as it is needed and as it is cut, m."""
    (row,) = plan.assignments
    needed = next(line.needed for line in plan.orders if line.item == ROPE.name)
    cut = [piece.length_m for cut in plan.cuts if cut.item == ROPE.name for piece in cut.pieces]
    assert len(cut) == 1
    return row.make_up.rope_m, needed, cut[0]


def test_rope_piece_has_two_eyes() -> None:
    """60 m between the eyes and 0.75 m in each are cut as 61.5 m; all chain has no eyes."""
    project = Project(rope_in_each_eye_m=0.75)
    assert project.eyes_m == 1.5
    assert MakeUp("A", 1, "C", 20.0, "R", 60.0).rope_piece_m(project) == 61.5
    assert MakeUp("A", 1, "C", 20.0, None, 0.0).rope_piece_m(project) == 0.0


def test_eyes_are_needed_cut_and_carried_and_do_not_hang() -> None:
    """The line hangs as it did; 1.5 m more are needed, cut and carried, 1.2 kg a metre."""
    bare, eyed = price(farm(), gap=1e-7), price(farm(0.75), gap=1e-7)
    assert rope_of(bare) == pytest.approx((60.0, 60.0, 60.0))
    assert rope_of(eyed) == pytest.approx((60.0, 61.5, 61.5))
    assert eyed.assignments[0].make_up == bare.assignments[0].make_up
    assert eyed.assignments[0].radius_m == bare.assignments[0].radius_m
    heavier = eyed.campaigns[0].mass_t - bare.campaigns[0].mass_t
    assert heavier == pytest.approx(1.5 * 1.2 / 1000)


@pytest.mark.parametrize(("sold_m", "moored"), [(61.5, True), (61.4, False)])
def test_piece_with_its_eyes_must_come_out_of_one_length(sold_m: float, moored: bool) -> None:
    """A length of 61.5 m gives the piece with its eyes; one of 61.4 m does not."""
    short = farm(0.75, ropes=(replace(ROPE, length_sold_m=sold_m),))
    if moored:
        assert rope_of(price(short))[2] == 61.5
        return
    with pytest.raises(FarmError, match="every one is too short"):
        price(short)


@pytest.mark.parametrize(
    ("eye_m", "cost"),
    [(0.0, 2474.80), (2.5, 2474.80), (2.6, 2601.00), (5.0, 2601.00), (5.1, 2707.00)],
)
def test_eyes_by_hand(eye_m: float, cost: float) -> None:
    """The three lines of `three_lines`, 40 m of rope each, one length of 200 XTS bought.

    With 2.5 m an eye the piece, 45 m, is just what is on hand; with more all three come out of new
    lengths of 100 m: two lengths, and beyond 5 m an eye three, as 100 m do not give two pieces.
    Each length more: goods 100, duty 5. With 3.4 or 3.65 m³ two boxes are least, 300, 20 more than
    280. Insurance 1 % of goods and freight more: 1.20, 2.20. So 126.20 more, then 232.20.
    """
    farm, choices = three_lines()
    eyed = replace(farm, project=replace(farm.project, rope_in_each_eye_m=eye_m))
    assert least_cost(eyed, choices) == pytest.approx(cost, abs=1e-6)


BRIDLE = replace(
    SHACKLE, name="bridle", used_per=UsedPer.EXTRA_ANCHOR, quantity=3, mass_kg=10.0, unit_price=50.0
)


def two_anchors(**changes: Any) -> Farm:
    """Return two lines that each need two anchors of 45 kN, or rather one of 100 kN elsewhere.

    At 40 kN with a factor of 1.5 an anchor must hold some 57 kN; two hold 2 × 0.8 × 45 = 72.
    """
    fields: dict[str, Any] = {
        "project": Project(
            rope_lengths_tried=(2.0,), longest_chain_m=300.0, most_anchors_per_leg=2
        ),
        "legs": (replace(LEG, count=2),),
        "seabeds": (Seabed("sand", chain_friction=0.0),),
        "declared_holdings": (DeclaredHolding(ANCHOR.name, "sand", 45.0, "invented"),),
        "fittings": (SHACKLE, BRIDLE),
    }
    return farm_with(**(fields | changes))


@pytest.mark.parametrize(("anchors", "per_leg"), [(1, 0), (2, 3), (3, 6)])
def test_extra_anchors_each_bring_their_fittings(anchors: int, per_leg: int) -> None:
    """Three bridles an extra anchor: none with one anchor, three with two, six with three."""
    assert BRIDLE.needed(anchors) == per_leg


def test_second_anchors_bring_their_fittings() -> None:
    """Two lines of two anchors: 2 × 3 bridles are bought and carried, 10 kg each."""
    plan = price(two_anchors(), gap=1e-7)
    assert {row.make_up.anchors for row in plan.assignments} == {2}
    bought = {line.item: (line.needed, line.quantity) for line in plan.orders}
    assert bought["bridle"] == (6.0, 6)
    assert bought[SHACKLE.name] == (4.0, 4)
    plain = price(two_anchors(fittings=(SHACKLE,)), gap=1e-7)
    heavier = plan.campaigns[0].mass_t - plain.campaigns[0].mass_t
    assert heavier == pytest.approx(6 * 10.0 / 1000)


def test_single_anchors_do_without_fittings_of_a_second() -> None:
    """Where no bridle can be had, lines of one anchor are still laid; those of two are not."""
    far = replace(SUPPLIER, name="far works")
    bridle = replace(BRIDLE, supplier="far works")
    strong = (DeclaredHolding(ANCHOR.name, "sand", 100.0, "invented"),)
    for holdings, done in ((strong, True), (two_anchors().declared_holdings, False)):
        farm = two_anchors(
            suppliers=(SUPPLIER, far), fittings=(SHACKLE, bridle), declared_holdings=holdings
        )
        barred = one_rule("no far works", Rule.FORBID, What.SUPPLIERS, "far works")
        priced = FarmPricer(farm).price(barred)
        assert (priced.settlement is not None) == done


@pytest.mark.parametrize(
    ("pull", "holds_by", "said"),
    [
        (0.0, HoldsBy.EMBEDDING, True),
        (0.6, HoldsBy.EMBEDDING, False),
        (0.0, HoldsBy.WEIGHT, False),
    ],
)
def test_no_setting_pull_is_a_caution_where_anchors_embed(
    pull: float, holds_by: HoldsBy, said: bool
) -> None:
    """The doubt when a workbook is read, and the plan's own caution on every summary."""
    weight = {"holds_by": holds_by, "stated_volume_m3": 0.04, "largest_uplift_deg": 20.0}
    changed = farm(
        project=Project(rope_lengths_tried=(2.0,), longest_chain_m=200.0, setting_pull_share=pull),
        vessels=(replace(VESSEL, bollard_pull_kn=200.0),),
        anchors=(replace(ANCHOR, **weight),),
        seabeds=(Seabed("sand", 0.0, 50.0),),
    )
    asked = [fault for fault in doubts(changed) if fault.heading == "Setting pull"]
    assert bool(asked) == said
    plan = price(changed, gap=1e-3)
    told = [words for words in plan_cautions(plan) if words.startswith("Setting:")]
    assert bool(told) == said
    assert ("Setting: the setting pull is 0" in plan_summary(plan)) == said


def test_vessel_that_is_home_before_it_lays_anything_is_doubted() -> None:
    """A round trip as long as the working day leaves nothing for the lines."""
    for hours, doubted in ((3.0, True), (3.5, False)):
        boat = replace(VESSEL, working_hours_per_day=hours, home_every_day=True)
        found = [f for f in doubts(farm(vessels=(boat,))) if f.heading == "Home every day"]
        assert bool(found) == doubted
