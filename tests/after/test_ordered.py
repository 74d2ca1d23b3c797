"""Against an earlier order: its goods are there, and every change says what it costs."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from datetime import date

import pytest
from moorledger.models.after.changes import after_plan
from moorledger.models.after.kept_goods import without_kept
from moorledger.models.after.ordered import farm_after, rows_by_line, spent
from moorledger.models.answer.change import ChangeOf
from moorledger.models.answer.plan import Part, Piece, Plan
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.models.goods.item import without_own_offer
from moorledger.models.goods.supplier import Offer, OnHand
from moorledger.models.site.laid_line import LaidLine
from moorledger.models.standing.holding import design_holding
from moorledger.optimiser.failures import NoPlanError
from moorledger.optimiser.price import price
from moorledger.optimiser.recheck.articles import articles_of
from moorledger.optimiser.recheck.cutting import joins_money
from moorledger.optimiser.recheck.recheck import recheck

from tests.after.buyers_life import TEN, half_laid, leg_added, new_offer, pull_failed
from tests.after.laid_farms import without_laid
from tests.brute.brute_force import least_cost
from tests.brute.brute_make_ups import every_make_up
from tests.farms.plan_fixture import example_plan
from tests.farms.random_farms import random_farm
from tests.quick_run import LONG, mostly_long

CENT = 0.005


def _own(farm: Farm) -> Farm:
    """Return a farm as its buyer holds it: without the rows that a pricing wrote."""
    farm = without_kept(farm)
    return replace(farm, on_hand=tuple(row for row in farm.on_hand if not row.ordered_from))


def _after(farm: Farm, old: Plan, *, keep: bool = False, gap: float = 1e-3) -> Plan:
    plan = price(farm_after(farm, old), gap=gap, time_limit_s=20.0, like=old, keep=keep)
    return after_plan(plan, old, "order.xlsx")


def _laid(plan: Plan, *lines: tuple[str, int]) -> Farm:
    """Return a farm of a plan with some lines recorded as it builds them."""
    rows = rows_by_line(plan)
    made = {line: rows[line].make_up for line in lines}
    laid = tuple(
        LaidLine(leg, n, m.anchor, m.chain, m.chain_m, m.anchors, m.rope, m.rope_m)
        for (leg, n), m in made.items()
    )
    return replace(plan.farm, laid=laid)


def test_goods_left_of_an_order_by_hand() -> None:
    """Tests what is there of the example's order once lines north/1 and south/2 lie.

    Anchors 6 − 2 = 4; shackles 10 bought + 2 on hand − 4: 6 of the order's, and the 2. Chain: of
    length 1 (20, 20, 10) 50 − 20 = 30 m, of length 3 (20) 50 − 20 = 30 m, length 2 whole, 50 m.
    Rope: of length 1 (60, 60, 60) 220 − 60 = 160 m, of length 2 likewise. 35 days from 1 March and
    no transit: 5 April; from the chain store 14 days, 15 March.
    """
    old = example_plan()
    farm = _laid(old, ("north", 1), ("south", 2))
    there = farm_after(farm, old).on_hand
    april, march = date(2031, 4, 5), date(2031, 3, 15)
    assert Counter(there) == Counter(
        [
            OnHand("Plate 150", 4.0, "Plate works", april),
            OnHand("Chain 20", 30.0, "Chain store", march),
            OnHand("Chain 20", 30.0, "Chain store", march),
            OnHand("Chain 20", 50.0, "Chain store", march),
            OnHand("Rope 40", 160.0, "Chain store", march),
            OnHand("Rope 40", 160.0, "Chain store", march),
            OnHand("Shackle 20", 6.0, "Chain store", march),
            OnHand("Shackle 20", 2.0),
            OnHand("Chain 20", 1.0, "Chain store", march, connectors=True),
        ]
    )


def test_connectors_left_of_an_order_by_hand() -> None:
    """Tests that the example's one connector, for the join of line north/3, is there until that
    line lies; of 3 that were there before it, the join took none from the order, and 2 are left.

    Where north/3 was built with 140 m of chain otherwise than planned, of three lengths of 50 m,
    two joins took the connector all the same.
    """

    def left(farm: Farm, old: Plan) -> list[float]:
        return [row.quantity for row in farm_after(farm, old).on_hand if row.connectors]

    old = example_plan()
    assert left(old.farm, old) == [1.0]
    assert left(_laid(old, ("north", 1)), old) == [1.0]
    assert left(_laid(old, ("north", 3)), old) == []
    longer = _laid(old, ("north", 3))
    longer = replace(longer, laid=(replace(longer.laid[0], chain_m=140.0),))
    assert left(longer, old) == []
    three = OnHand("Chain 20", 3.0, "Chain store", date(2031, 3, 1), connectors=True)
    had = replace(old, farm=replace(old.farm, on_hand=(*old.farm.on_hand, three)))
    assert not had.connectors_bought
    assert left(_laid(had, ("north", 3)), had) == [2.0]
    late = farm_after(old.farm, old)
    early = replace(late, project=replace(late.project, required_on_site=date(2031, 3, 14)))
    assert early.item_by_name["Chain 20"].connectors == 0


def test_connectors_of_an_order_are_charged_once_by_hand() -> None:
    """Tests that the example, ordered again as it is, joins with the connector that was bought:
    15 were spent on it and nothing is to be paid; with two joins and one there, one is, and the
    change names it."""
    old = example_plan()
    there = farm_after(old.farm, old)
    assert there.item_by_name["Chain 20"].connectors == 1
    new = after_plan(replace(old, farm=there), old, "order.xlsx")
    assert new.before[Part.JOINS] == old.parts[Part.JOINS] == 15.0
    assert new.connectors_bought == {}
    halves = (Piece("south", 2, 10.0, 1, 2), Piece("south", 2, 10.0, 2, 2))
    cuts = (*old.cuts[:2], replace(old.cuts[2], pieces=halves), *old.cuts[3:])
    two = after_plan(replace(old, farm=there, cuts=cuts), old, "order.xlsx")
    assert two.connectors_bought == {"Chain 20": 1}
    assert joins_money(two, articles_of(there)) == 15.0
    (told,) = (change for change in two.changes if change.of is ChangeOf.JOINS)
    assert (told.old, told.new, told.purchase) == (
        "1 ordered",
        "2 ordered, 1 of them now",
        15.0,
    )


def test_what_was_spent_by_hand() -> None:
    """Tests that goods, connectors and carriage are spent whole, of laying two lines of six a
    third."""
    old = example_plan()
    gone = spent(_laid(old, ("north", 1), ("south", 2)), old)
    assert gone[Part.ANCHORS] == 2124.0
    assert gone[Part.FREIGHT] == 1020.0
    assert gone[Part.JOINS] == 15.0
    assert gone[Part.VESSEL_DAYS] == pytest.approx(4000.0 / 3)
    assert gone[Part.MOBILISATION] == pytest.approx(800.0 / 3)


def test_a_line_built_otherwise_takes_what_it_took() -> None:
    """Tests that 25 m of chain instead of 20 come off the shortest length that holds them whole:
    of three of 50 m the first."""
    old = example_plan()
    farm = _laid(old, ("south", 2))
    farm = replace(farm, laid=(replace(farm.laid[0], chain_m=25.0),))
    left = _metres(farm_after(farm, old), "Chain 20")
    assert sorted(left) == [25.0, 50.0, 50.0]


def test_goods_on_their_way_come_too_late() -> None:
    """Tests that goods there from 5 April do not count where they are needed on 1 April, that
    they are named, and that they are not lost: later they count."""
    old = example_plan()
    there = farm_after(old.farm, old)
    soon = replace(there, project=replace(there.project, required_on_site=date(2031, 4, 1)))
    assert soon.item_by_name["Plate 150"].on_hand_total == 0
    assert soon.item_by_name["Chain 20"].on_hand_total == 150
    late = replace(soon.project, required_on_site=date(2031, 4, 5))
    assert replace(soon, project=late).item_by_name["Plate 150"].on_hand_total == 6
    told = after_plan(replace(old, farm=soon), old, "order.xlsx").changes
    assert any(
        change.of is ChangeOf.GOODS
        and change.what == "Plate 150 from Plate works, ordered before"
        and "6 not there before 2031-04-05" in change.new
        for change in told
    )


@pytest.mark.parametrize("seed", [0, 3, 4])
def test_nothing_changed_costs_nothing(seed: int) -> None:
    """Tests that a farm priced after its own order orders nothing and comes to the same total."""
    old = price(random_farm(seed), gap=1e-6)
    new = _after(_own(old.farm), old, gap=1e-6)
    assert not new.orders
    assert not new.bookings
    assert new.total_cost <= old.total_cost + CENT
    assert sum(c.money for c in new.changes) == pytest.approx(
        new.total_cost - old.total_cost, abs=CENT
    )


@LONG
@pytest.mark.parametrize("seed", [0, 2, 3, 6, 8, 9, 10, 11, 12])
def test_a_leg_more_after_an_order_is_least(seed: int) -> None:
    """Tests, half laid and a leg more, that what is still to pay is the brute force's least."""
    old = price(random_farm(seed), gap=1e-3)
    farm = half_laid(_own(old.farm), old)
    try:
        new = _after(leg_added(farm, old), old, gap=1e-7)
    except FarmError:
        return  # what can be had does not serve one leg more
    alone = without_laid(new.farm)
    needed = alone.project.required_on_site
    alone = replace(alone, on_hand=tuple(r for r in alone.on_hand if r.there_by(needed)))
    assert new.installed_cost == pytest.approx(least_cost(alone, every_make_up(alone)), rel=1e-6)


def _metres(farm: Farm, name: str) -> list[float]:
    """Return what a farm has of an item, row by row, its connectors apart."""
    return [row.quantity for row in farm.on_hand if row.item == name and not row.connectors]


def _connectors(farm: Farm, name: str) -> float:
    """Return how many connectors a farm has of a chain."""
    return sum(row.quantity for row in farm.on_hand if row.item == name and row.connectors)


def _named(new: Plan, old: Plan) -> None:
    """Assert that nothing ordered or laid is lost, or changed without being named."""
    assert all(line.passed for line in recheck(new))
    difference = new.total_cost - old.total_cost
    assert sum(change.money for change in new.changes) == pytest.approx(difference, abs=CENT)
    there = [replace(row, accepted_by="") for row in new.farm.laid]
    for row in old.farm.laid:
        assert replace(row, accepted_by="") in there
    lying = {(row.leg, row.line) for row in new.farm.laid}
    named = {c.what for c in new.changes if c.of is ChangeOf.LINE}
    built = {
        (row.leg, row.first_line + n): (row.make_up, row.vessel)
        for row in old.assignments
        for n in range(row.count)
    }
    now = {
        (row.leg, row.first_line + n): (row.make_up, row.vessel)
        for row in new.assignments
        for n in range(row.count)
    }
    for (leg, line), made in built.items():
        if now.get((leg, line)) != made:
            numbers = (
                what.removeprefix(f"{leg}/").split(", ")
                for what in named
                if what.startswith(f"{leg}/")
            )
            assert any(str(line) in each for each in numbers), (leg, line)
    kept = {s.name for s in new.farm.suppliers if s.ordered_before}
    for name in {line.item for line in old.orders}:
        unit = old.farm.item_by_name[name].length_sold_m or 1.0
        bought = unit * sum(line.quantity for line in old.orders if line.item == name)
        there = sum(_metres(new.farm, name))
        # What can be given back is on offer as what is kept; what is given back, `changes` name.
        there += unit * sum(
            offer.available or 0
            for offer in new.farm.offers
            if offer.item == name and offer.supplier in kept
        )
        links = _connectors(old.farm, name) + old.connectors_bought[name]
        since = lying - {(row.leg, row.line) for row in old.farm.laid}
        if not since:
            assert there == pytest.approx(bought + sum(_metres(old.farm, name)))
            assert _connectors(new.farm, name) == links
        else:
            assert there <= bought + sum(_metres(old.farm, name)) + CENT
            assert _connectors(new.farm, name) <= links


SEQUENCES = range(200)
LIFE = 41
"""A farm at random on which each of the ten changes bears, and none is refused."""


@mostly_long("seed", SEQUENCES, quick=[1, 4, 8], most=17)
def test_nothing_is_lost_on_random_sequences(seed: int) -> None:
    """Tests four changes at random, one after another, each priced after the last order."""
    draw = random.Random(f"changes {seed}")
    try:
        plan = price(random_farm(seed), gap=1e-2, time_limit_s=10.0)
    except (FarmError, NoPlanError):
        return  # the farm cannot be priced at all
    back = draw.choice((0.0, 0.0, 0.4))
    for change in draw.sample(TEN, k=4):
        try:
            farm = change(_own(plan.farm), plan)
            sellers = tuple(replace(s, returns_share=back) for s in farm.suppliers)
            farm = replace(farm, suppliers=sellers)
            new = _after(farm, plan, keep=draw.random() < 0.3, gap=1e-2)
        except (FarmError, NoPlanError):
            continue  # refused with its reason; the buyer goes on from the last order
        _named(new, plan)
        plan = new


def test_keep_holds_what_stands() -> None:
    """Tests that with keep every line of an undisturbed leg is built as it was."""
    old = price(random_farm(4), gap=1e-6)
    cheaper = tuple(replace(a, unit_price=1.0) for a in old.farm.anchors)
    farm = replace(_own(old.farm), anchors=cheaper)
    new = _after(farm, old, keep=True)
    made = {(row.leg, row.make_up) for row in old.assignments}
    assert {(row.leg, row.make_up) for row in new.assignments} == made


def _changed(new: Plan, old: Plan) -> int:
    """Return how many lines are built otherwise."""
    before, now = rows_by_line(old), rows_by_line(new)
    return sum(now[line].make_up != row.make_up for line, row in before.items())


@LONG
def test_a_change_must_save_more_than_is_asked_of_it() -> None:
    """Tests, where other goods have become cheap, that a change of lines costs what is stated: with
    none stated the least plan is taken, with a large one no line changes, and in between neither
    of the two is better, the cost of changing counted in."""
    old = price(random_farm(4), gap=1e-6)
    used = {row.make_up.anchor for row in old.assignments}
    cheaper = tuple(a if a.name in used else replace(a, unit_price=1.0) for a in old.farm.anchors)
    farm = replace(old.farm, anchors=cheaper)
    free = price(farm, gap=1e-6, like=old)
    kept = price(farm, gap=1e-6, like=old, change_cost=1e6)
    assert _changed(kept, old) == 0 < _changed(free, old)
    saved = kept.installed_cost - free.installed_cost
    assert saved > CENT
    for change_cost in (0.5 * saved / _changed(free, old), 2.0 * saved / _changed(free, old)):
        new = price(farm, gap=1e-6, like=old, change_cost=change_cost)
        best = min(p.installed_cost + change_cost * _changed(p, old) for p in (free, kept))
        assert new.installed_cost + change_cost * _changed(new, old) <= best + CENT
    assert _changed(price(farm, gap=1e-6, like=old, change_cost=2.0 * saved), old) == 0


@mostly_long("seed", [1, 4, 12, 19, 20, 25, 28, 57], quick=[12])
def test_a_pull_test_that_fails_bears_on_what_lies_and_what_is_laid(seed: int) -> None:
    """Tests, half laid, that after an anchor failed a line laid with it is an error with its
    utilisation until it is accepted by name, that the anchor's value is lower there, and that the
    lines left are laid otherwise, each named, with money that adds up."""
    first = price(random_farm(seed), gap=1e-2)
    old = _after(half_laid(_own(first.farm), first), first, gap=1e-2)
    farm = pull_failed(_own(old.farm), old)
    fallen = next(row for row in farm.laid if row.accepted_by)
    with pytest.raises(FarmError, match=rf"{fallen.tag} as laid no longer stands.*\d%"):
        price(replace(farm, laid=old.farm.laid))
    leg = farm.leg_by_name[fallen.leg]
    anchor = farm.anchor_by_name[fallen.anchor]
    held = [design_holding(f, anchor, leg.seabed, leg.allowed_drag_m) for f in (old.farm, farm)]
    assert held[1].holding_kn < held[0].holding_kn
    new = _after(farm, old, gap=1e-2)
    _named(new, old)
    assert any(change.of is ChangeOf.LINE for change in new.changes)
    assert any("readings" in c.what for c in new.changes if c.of is ChangeOf.INPUT)


@mostly_long("seed", [0, 2, 3, 5, 9, 14], quick=[9])
def test_a_new_offer_is_taken_for_what_is_ordered_more(seed: int) -> None:
    """Tests, a leg group more after an order, that what is to be bought more of the anchor used
    most is bought at a new, cheaper offer, that it costs less by it, and that the offer is told."""
    old = price(random_farm(seed), gap=1e-6)
    more = leg_added(_own(old.farm), old)
    plain = _after(more, old, gap=1e-6)
    new = _after(new_offer(more, old), old, gap=1e-6)
    (offer,) = (row for row in new.farm.offers if row.supplier == "Newcomer")
    assert (offer.item, offer.supplier) in {(row.item, row.supplier) for row in new.orders}
    assert new.total_cost < plain.total_cost - CENT
    assert any("'Newcomer'" in c.what for c in new.changes if c.of is ChangeOf.INPUT)
    _named(new, old)


def test_ten_changes_of_a_buyers_life() -> None:
    """Tests one after the other, each priced after the last order, that nothing is lost or changed
    unnamed, and that the money of the changes is the difference of the totals to the cent."""
    plan = price(random_farm(LIFE), gap=1e-2)
    for change in TEN:
        farm = change(_own(plan.farm), plan)
        new = _after(farm, plan, gap=1e-2)
        _named(new, plan)
        plan = new


def test_an_own_price_that_is_quoted_anew_is_told_as_one_price() -> None:
    """A quotation moves an anchor's own price to Offers, 5 dearer: told as that price, not as a
    supplier and a price that go blank and an offer that comes."""
    old = example_plan()
    anchor = old.farm.anchors[0]
    assert anchor.supplier is not None
    assert anchor.unit_price is not None
    offer = Offer(anchor.name, anchor.supplier, anchor.unit_price + 5.0,
                  anchor.minimum_order, anchor.order_multiple, anchor.available,
                  anchor.lead_time_days, anchor.duty_share)  # fmt: skip
    blank = without_own_offer(anchor)
    farm = replace(
        old.farm, anchors=(blank, *old.farm.anchors[1:]), offers=(*old.farm.offers, offer)
    )
    changes = after_plan(replace(old, farm=farm), old, "order.xlsx").changes
    assert [(c.what, c.old, c.new) for c in changes if c.of is ChangeOf.INPUT] == [
        (
            f"offers '{anchor.name}' '{anchor.supplier}' unit price",
            f"{anchor.unit_price:g}",
            f"{anchor.unit_price + 5:g}",
        )
    ]
