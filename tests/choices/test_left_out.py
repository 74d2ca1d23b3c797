"""What no plan can use is listed with its reason; and dates are told as the cause they are.

The farm of one leg at 40 kN is `small_farm`'s; figures are worked by hand from its rows.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from moorledger.models.answer.left_out import Cause, LeftOut
from moorledger.models.farm import Farm
from moorledger.models.fault import FarmError
from moorledger.models.goods.freight import Basis
from moorledger.models.goods.price import PriceBreak
from moorledger.models.goods.supplier import Supplier
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.project import Project
from moorledger.optimiser.choices.left_out import left_out
from moorledger.optimiser.price import moorable_choices, price
from moorledger.optimiser.repricing.compare import compare
from moorledger.optimiser.repricing.farm_pricer import FarmPricer

from tests.farms.random_farms import random_farm
from tests.farms.small_farm import (
    ANCHOR,
    CHAIN,
    LEG,
    ROPE,
    SERVICE,
    SHACKLE,
    SUPPLIER,
    VESSEL,
    farm_with,
)

OTHER = replace(ANCHOR, name="other")
"""An anchor beside the farm's own, for the one that drops out."""
HELD = DeclaredHolding(ANCHOR.name, "sand", 100.0, "invented")
BOX = replace(
    SERVICE,
    name="box",
    origin="far port",
    basis=Basis.CONTAINER,
    volume_m3=30.0,
    payload_t=20.0,
    inside_length_mm=5900.0,
    inside_width_mm=2350.0,
    inside_height_mm=2390.0,
    door_width_mm=2340.0,
    door_height_mm=2280.0,
    transit_days=30,
)
FAR = Supplier("far works", origin="far port", currency="EUR", exchange_rate=1.0)
DATED = Project(order_date=date(2027, 1, 1), required_on_site=date(2027, 3, 2))
"""Sixty days from order to need."""


def sound(**changes: Any) -> Farm:
    """Return the small farm with the steep anchors that it can be moored with."""
    fields: dict[str, Any] = {
        "anchors": (replace(ANCHOR, largest_uplift_deg=12.0),),
        "declared_holdings": (HELD,),
    }
    return farm_with(**(fields | changes))


def beside(**changes: Any) -> Farm:
    """Return the sound farm with another anchor, changed, beside its own."""
    own = replace(ANCHOR, largest_uplift_deg=12.0)
    other = replace(OTHER, **({"largest_uplift_deg": 12.0} | changes))
    return sound(
        anchors=(own, other),
        declared_holdings=(HELD,)
        if other.name == "unknown"
        else (HELD, replace(HELD, anchor="other")),
        suppliers=(SUPPLIER, FAR) if other.supplier == "far works" else (SUPPLIER,),
        services=(SERVICE, BOX) if other.supplier == "far works" else (SERVICE,),
    )


def only(farm: Farm) -> LeftOut:
    """Return the one row that is left out of a farm."""
    (row,) = left_out(farm, moorable_choices(farm))
    return row


def test_nothing_is_left_out_of_a_farm_that_can_use_all() -> None:
    """The small farm uses all that it has."""
    farm = sound()
    assert left_out(farm, moorable_choices(farm)) == ()


ANCHORS: tuple[tuple[dict[str, Any], Cause, float | None, float | None, str], ...] = (
    ({"available": 4, "minimum_order": 10}, Cause.LEAST_ORDER, 10, 4, "units as sold"),
    ({"mass_kg": 7000.0}, Cause.CRANE, 7.0 * 1.3, 8.0, "t"),  # lift factor 1.3
    ({"deck_area_m2": 75.0}, Cause.DECK, 75.0, 60.0, "m²"),
    ({"structural_limit_kn": 20.0}, Cause.WEAK, None, 20.0, "kN"),
    ({"name": "unknown"}, Cause.EVIDENCE, None, None, ""),
    (
        {"supplier": "far works", "pack_height_mm": 2300.0, "this_side_up": True},
        Cause.DOOR, 2300.0, 2280.0, "mm",
    ),
    (
        {"supplier": "far works", "pack_quantity": 70},
        Cause.PAYLOAD, 21000.0, 20000.0, "kg",
    ),
    (
        {"supplier": "far works", "pack_length_mm": 5900.0, "pack_width_mm": 2300.0,
         "pack_height_mm": 2270.0},
        Cause.VOLUME, 5.9 * 2.3 * 2.27, 30.0, "m³",
    ),
)  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "cause", "required", "available", "unit"),
    ANCHORS,
    ids=[str(row[1]) + str(n) for n, row in enumerate(ANCHORS)],
)
def test_an_anchor_that_drops_out_says_why(
    changes: dict[str, Any],
    cause: Cause,
    required: float | None,
    available: float | None,
    unit: str,
) -> None:
    """The reason, and the nearest figure: what is required and what there is of it."""
    farm = beside(**changes)
    row = next(r for r in left_out(farm, moorable_choices(farm)) if r.what == "anchor")
    assert (row.what, row.cause, row.unit) == ("anchor", cause, unit), row
    if required is not None:
        assert row.required == pytest.approx(required)
    if available is not None:
        assert row.available == pytest.approx(available)
    assert row.told


def test_an_anchor_that_comes_too_late_says_by_how_many_days() -> None:
    """40 days of its supplier and 30 at sea are 70, of 60."""
    farm = replace(beside(supplier="far works", lead_time_days=40), project=DATED)
    row, service = left_out(farm, moorable_choices(farm))
    assert (service.what, service.cause, service.required) == ("service", Cause.DATES, 70)
    assert (row.cause, row.required, row.available) == (Cause.DATES, 70, 60)
    assert "10 more than the 60 from Order date to Required on site" in row.told


def test_an_anchor_that_no_leg_allows_is_told_so() -> None:
    """A leg fixed to another model leaves it out, and nothing is near."""
    row = only(replace(beside(), legs=(replace(LEG, fixed_anchor=ANCHOR.name),)))
    assert (row.name, row.cause) == ("other", Cause.NOT_ALLOWED)


def test_chain_and_rope_too_weak_for_every_leg() -> None:
    """120 kN by a factor of 3 on 40 kN: chain of 100 kN, rope of 110 kN × 0.9 at its splices."""
    weak_chain = replace(CHAIN, name="light", breaking_load_kn=100.0)
    weak_rope = replace(ROPE, name="thin", breaking_load_kn=110.0)
    farm = sound(chains=(CHAIN, weak_chain), ropes=(ROPE, weak_rope))
    chain, rope = left_out(farm, moorable_choices(farm))
    assert (chain.what, chain.cause, chain.required, chain.available) == (
        "chain", Cause.WEAK, pytest.approx(120.0), pytest.approx(100.0)
    )  # fmt: skip
    assert (rope.what, rope.cause, rope.required, rope.available) == (
        "rope", Cause.WEAK, pytest.approx(120.0), pytest.approx(99.0)
    )  # fmt: skip


def test_a_rope_too_short_for_any_leg() -> None:
    """1.5 × 30 m and a metre for its two eyes are 46 m; it is sold by 40."""
    farm = sound(ropes=(ROPE, replace(ROPE, name="short", length_sold_m=40.0)))
    row = only(farm)
    assert (row.name, row.cause, row.required, row.available) == (
        "short", Cause.LENGTH, pytest.approx(46.0), 40.0
    )  # fmt: skip


def test_services_and_vessels_that_drop_out() -> None:
    """A service from where nothing is sold, one too slow; a crane, a pull and a day too small."""
    row = only(sound(services=(SERVICE, BOX)))
    assert (row.what, row.name, row.cause) == ("service", "box", Cause.NOTHING)
    slow = replace(SERVICE, name="slow", transit_days=61)
    row = only(sound(services=(SERVICE, slow), project=DATED))
    assert (row.cause, row.required, row.available) == (Cause.DATES, 61, 60)
    row = only(sound(vessels=(VESSEL, replace(VESSEL, name="skiff", crane_limit_t=0.3))))
    assert (row.what, row.cause, row.required, row.available) == (
        "vessel", Cause.CRANE, pytest.approx(0.39), 0.3
    )  # fmt: skip
    puller = replace(VESSEL, bollard_pull_kn=50.0)
    farm = sound(project=Project(setting_pull_share=1.0),
                 vessels=(puller, replace(VESSEL, name="skiff", bollard_pull_kn=30.0)))  # fmt: skip
    row = only(farm)
    assert (row.cause, row.required, row.available) == (Cause.PULL, 40.0, 30.0)
    day = replace(VESSEL, name="day boat", home_every_day=True, round_trip_h=9.5)
    row = only(sound(vessels=(VESSEL, day)))
    assert (row.name, row.cause, row.available) == ("day boat", Cause.DAY, 0.5)


def test_a_price_break_and_a_fitting_that_cannot_be_had() -> None:
    """A break from fifty where forty can be had; a fitting sent from where no service goes."""
    anchor = replace(ANCHOR, largest_uplift_deg=12.0, available=40)
    row = only(sound(anchors=(anchor,), price_breaks=(PriceBreak(ANCHOR.name, 50, 800.0),)))
    assert (row.what, row.cause, row.required, row.available) == (
        "price break", Cause.LEAST_ORDER, 50, 40
    )  # fmt: skip
    ring = replace(SHACKLE, name="ring", supplier="far works")
    farm = sound(suppliers=(SUPPLIER, FAR), fittings=(SHACKLE, ring))
    row = next(row for row in left_out(farm, moorable_choices(farm)) if row.what == "fitting")
    assert (row.name, row.cause) == ("ring", Cause.CARRIAGE)


@pytest.mark.parametrize("seed", range(1, 9))
def test_what_is_left_out_is_in_no_choice(seed: int) -> None:
    """Of random farms: exactly what no choice uses is listed, each with a reason in words."""
    farm = random_farm(seed, "small")
    choices = moorable_choices(farm)
    rows = left_out(farm, choices)
    for what, catalogue, used in (
        ("anchor", farm.anchors, choices.make_ups.anchor),
        ("chain", farm.chains, choices.make_ups.chain),
        ("rope", farm.ropes, choices.make_ups.rope),
    ):
        listed = {row.name for row in rows if row.what == what}
        assert listed == {
            each.name for index, each in enumerate(catalogue) if index not in set(used.tolist())
        }
    assert all(row.told for row in rows)


# --- dates as the cause -------------------------------------------------------------------------


def test_dates_are_the_cause_that_is_told() -> None:
    """The only anchor that would hold comes ten days late, another has no evidence: the leg is
    told of the dates, with lead, transit and the days there are; not of the evidence."""
    late = replace(ANCHOR, largest_uplift_deg=12.0, supplier="far works", lead_time_days=40)
    farm = sound(
        anchors=(late, replace(ANCHOR, name="unknown")),
        suppliers=(SUPPLIER, FAR),
        services=(SERVICE, BOX),
        project=DATED,
    )
    with pytest.raises(FarmError) as refused:
        price(farm)
    (fault,) = refused.value.faults
    assert "would hold but comes too late" in fault.message
    assert (
        "40 days of 'far works' and 30 by 'box' are 70 days, 10 more than the 60" in fault.message
    )


def test_dates_that_are_not_the_cause_are_not_told() -> None:
    """A leg that nothing holds whatever the dates is told its nearest miss, as ever."""
    farm = sound(legs=(replace(LEG, design_tension_kn=500.0),), project=DATED)
    with pytest.raises(FarmError, match=r"nearest make-up|hangs right"):
        price(farm)


# --- where it is told ---------------------------------------------------------------------------


def test_a_plan_carries_what_it_leaves_out() -> None:
    """A price, and the plans of a comparison, have the same rows."""
    farm = beside(mass_kg=7000.0)
    plan = price(farm, gap=0.01)
    assert [row.cause for row in plan.left_out] == [Cause.CRANE]
    compared = compare(FarmPricer(farm, gap=0.01), time_limit_s=20).base.plan
    assert compared is not None
    assert compared.left_out == plan.left_out
