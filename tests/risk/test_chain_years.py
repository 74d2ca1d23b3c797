"""Years of chain against the check values of the design basis."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from moorledger.models.risk.chain_years import (
    chain_years,
    least_diameter_mm,
    present_worth,
    worth_of_replacing,
)
from moorledger.models.site.laid_line import LaidLine

from tests.farms.plan_fixture import example_plan


@pytest.mark.parametrize(
    ("diameter", "breaking", "required", "rate", "least", "years"),
    [
        (20.0, 251.0, 162.0, 0.4, 16.0676, 9.831),
        (22.0, 280.0, 162.0, 0.4, 16.7341, 13.165),
        (13.0, 106.0, 66.0, 0.2, 10.2580, 13.71),
    ],
)
def test_the_basis_has_these_years(
    diameter: float, breaking: float, required: float, rate: float, least: float, years: float
) -> None:
    """BASIS C5: the least diameter and the years until it is reached."""
    found = least_diameter_mm(diameter, required, breaking)
    assert found == pytest.approx(least, abs=5e-5)
    assert (diameter - found) / rate == pytest.approx(years, abs=5e-4 if years < 13.5 else 5e-3)


def test_the_basis_has_this_worth() -> None:
    """BASIS C5: over 20 years at 6 %, every 9 years 0.942242, every 13 years 0.468839."""
    assert worth_of_replacing(9, 20, 0.06) == pytest.approx(0.942242, abs=5e-7)
    assert worth_of_replacing(13, 20, 0.06) == pytest.approx(0.468839, abs=5e-7)
    assert worth_of_replacing(1, 20, 0.06) == pytest.approx(11.469921, abs=5e-7)
    assert worth_of_replacing(10, 20, 0.0) == 2.0
    assert worth_of_replacing(21, 20, 0.06) == 0.0


def test_a_plan_tells_its_first_leg() -> None:
    """Chain of 20 mm, 175 kN: legs at 40 and 50 kN × 3 wear to their limit in that order.

    Replacing one line, by hand: 20 m at 12.50 EUR per m (no price break for one line), and 15 min
    of shifting with 20 m of chain at 5 min per 10 m = 25 min at 2000 EUR a day of 10 × 0.8 h.
    """
    plan = example_plan()
    project = replace(
        plan.farm.project,
        chain_wear_mm_per_year=0.4,
        replacement_horizon_years=20.0,
        discount_rate=0.06,
    )
    plan = replace(plan, farm=replace(plan.farm, project=project))
    found = chain_years(plan)
    legs = {leg.name: leg for leg in plan.farm.legs}
    chain = plan.farm.chains[0]
    for one in found:
        required = 3.0 * legs[one.leg].design_tension_kn
        least = chain.diameter_mm * (required / chain.breaking_load_kn) ** 0.5
        assert one.years == pytest.approx((chain.diameter_mm - least) / 0.4)
        minutes = 15.0 + 2 * chain.handling_min_per_10_m
        assert one.each == pytest.approx(20 * 12.5 + minutes / 60 * 2000 / 8)
        every = max(int(one.years), 1)
        assert one.present_worth == pytest.approx(
            one.lines * one.each * worth_of_replacing(every, 20, 0.06)
        )
    assert [one.years for one in found] == sorted(one.years for one in found)
    assert present_worth(found) == pytest.approx(sum(one.present_worth for one in found))
    assert chain_years(example_plan()) == ()


def test_a_measured_line_tells_its_rate_and_its_day() -> None:
    """20 mm as new, 19.2 mm after two years: 0.4 mm a year for the leg; by hand from 19.2 mm on."""
    plan = example_plan()
    row = plan.assignments[0]
    made = row.make_up
    lying = LaidLine(
        row.leg, 1, made.anchor, made.chain, made.chain_m, made.anchors, made.rope, made.rope_m,
        laid_on=date(2020, 1, 1), chain_measured_mm=19.2, measured_on=date(2021, 12, 31),
    )  # fmt: skip
    assert lying.years_worn == pytest.approx(2.0, abs=0.002)
    found = chain_years(replace(plan, farm=replace(plan.farm, laid=(lying,))))
    assert {one.leg for one in found} == {row.leg, f"{row.leg}/1"}  # no rate is stated for others
    own = next(one for one in found if one.leg == f"{row.leg}/1")
    others = [one for one in found if one is not own]
    assert all(one.measured for one in found)
    rate = own.rate_mm_per_year
    assert rate == pytest.approx(0.4, abs=0.001)
    assert own.years == pytest.approx((19.2 - own.least_mm) / rate)
    assert own.due == date(2021, 12, 31) + timedelta(days=int(own.years * 365.25))
    assert [one.years for one in others] == [
        pytest.approx((20.0 - one.least_mm) / rate) for one in others
    ]
    assert worth_of_replacing(9, 20, 0.06, 2) == pytest.approx(1.06**-2 + 1.06**-11 + 1.06**-20)
