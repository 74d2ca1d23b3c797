"""The sample farm: it reads, it is as rich as its README says, and its trade data is plausible."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest
from moorledger.io.inputs.template import write_template
from moorledger.io.reading.workbook import read_farm, read_farm_with_warnings
from moorledger.models.farm import Farm
from moorledger.models.goods.anchor import HoldsBy, TransportForm
from moorledger.models.goods.freight import Basis
from moorledger.models.goods.price import Scheme
from moorledger.models.site.pull_test import Event
from moorledger.optimiser.choices.make_ups import enumerate_make_ups

SAMPLES = Path(__file__).resolve().parents[2] / "sample_inputs"
FOLDER = SAMPLES / "heron_sound"
WORKBOOK = SAMPLES / "heron_sound.xlsx"

FAMILIES = {"folding plate", "fixed fluke", "hinged fluke", "stockless", "deadweight"}


@pytest.fixture(scope="module")
def farm() -> Farm:
    """The sample as its CSV folder has it."""
    return read_farm(FOLDER)


def unlike(one: Farm, other: Farm) -> list[str]:
    """Name the parts in which two farms differ, whatever file they came from."""
    return [
        part.name
        for part in fields(Farm)
        if part.name != "origin_file" and getattr(one, part.name) != getattr(other, part.name)
    ]


def test_sample_reads_without_a_warning() -> None:
    """A clean workbook in both forms."""
    for path in (FOLDER, WORKBOOK):
        assert read_farm_with_warnings(path)[1] == ()


def test_stored_workbook_agrees_with_the_csv_folder(farm: Farm) -> None:
    """Whoever edits one of the two must write the other anew."""
    assert unlike(read_farm(WORKBOOK), farm) == []


def test_workbook_written_from_the_folder_reads_back(farm: Farm, tmp_path: Path) -> None:
    """The folder and a workbook made from it are one farm."""
    path = tmp_path / "heron_sound.xlsx"
    write_template(path, farm)
    assert unlike(read_farm(path), farm) == []


def test_farm_is_of_a_real_farms_size(farm: Farm) -> None:
    """At least 24 leg groups, 120 legs and 3 seabeds, every group drawn at a place of its own."""
    assert len(farm.legs) >= 24
    assert farm.leg_count >= 120
    assert len({leg.seabed for leg in farm.legs}) >= 3
    places = {(leg.easting_m, leg.northing_m) for leg in farm.legs}
    assert None not in {coordinate for place in places for coordinate in place}
    assert len(places) == len(farm.legs)


def test_catalogues_are_rich(farm: Farm) -> None:
    """16 anchors of the five families, 5 chains, 3 ropes, fittings, stock and both schemes."""
    assert set(farm.families) == FAMILIES
    assert len(farm.anchors) >= 16
    assert len(farm.chains) >= 5
    assert len(farm.ropes) >= 3
    assert any(not chain.joinable for chain in farm.chains)
    assert any(chain.join_cost > 0 for chain in farm.chains)
    assert any(fitting.for_chain for fitting in farm.fittings)
    assert {b.scheme for b in farm.price_breaks} == set(Scheme)
    assert len({b.item for b in farm.price_breaks}) >= 6
    assert {farm.item_by_name[stock.item].kind for stock in farm.on_hand} >= {
        "anchor", "chain", "rope",
    }  # fmt: skip


def test_offers_are_rich(farm: Farm) -> None:
    """Five suppliers, three origins, two foreign currencies, both freight bases everywhere."""
    assert len(farm.suppliers) >= 5
    origins = {supplier.origin for supplier in farm.suppliers}
    assert len(origins) >= 3
    assert len({supplier.currency for supplier in farm.suppliers} - {farm.project.currency}) >= 2
    for origin in origins:
        services = [service for service in farm.services if service.origin == origin]
        assert {service.basis for service in services} == set(Basis)
        lengths = {service.inside_length_mm for service in services} - {None}
        assert lengths == {5867, 11998}
    assert len(farm.vessels) == 3


def test_pull_tests_show_every_case(farm: Farm) -> None:
    """Many tests, single tests, a roll-out, a breakage and runs that were stopped."""
    tests = farm.pull_tests
    counted = Counter((test.anchor, test.seabed) for test in tests)
    assert len(counted) >= 6
    assert sum(count >= 3 for count in counted.values()) >= 3
    assert sum(count == 1 for count in counted.values()) >= 1
    assert farm.project.pull_test_scatter is not None
    for event in (Event.ROLLED_OUT, Event.BROKE, Event.STOPPED):
        assert any(test.first(event) for test in tests)
    assert all(4 <= len(test.readings) <= 7 for test in tests)


def test_roll_out_costs_the_hinged_fluke_its_holding(farm: Farm) -> None:
    """Test T16 is worth 49 kN at 2 m, but after the roll-out at 3 m only the 18.5 kN it fell to.

    Both are readings of the sheet; the rule is common practice, no source.
    """
    test = next(test for test in farm.pull_tests if test.name == "T16")
    assert test.usable_load_kn(2.0) == 49.0
    assert test.usable_load_kn(4.0) == 18.5


def test_broken_fluke_sets_a_structural_limit(farm: Farm) -> None:
    """Test T35 broke the anchor at 2.5 m: useless there, 20 kN carried before (its own reading)."""
    test = next(test for test in farm.pull_tests if test.name == "T35")
    assert test.usable_load_kn(2.5) == 0.0
    assert test.structural_limit_kn == 20.0


def test_every_seabed_has_evidence_for_all_families_that_embed(farm: Farm) -> None:
    """On every leg's seabed four families have a law, and deadweights a friction."""
    for seabed in {leg.seabed for leg in farm.legs}:
        lawful = {law.family for law in farm.holding_laws if law.seabed == seabed}
        assert lawful == FAMILIES - {"deadweight"}
        assert farm.seabed_by_name[seabed].deadweight_friction is not None


def test_every_leg_can_be_built_in_several_ways(farm: Farm) -> None:
    """Each leg group has at least four admissible make-ups, and seven lines in ten have at least
    three families; under the factored tension most pens and the barge are left with two."""
    made = enumerate_make_ups(farm)
    ways = np.bincount(made.leg, minlength=len(farm.legs))
    assert ways.min() >= 4
    families: dict[int, set[str]] = defaultdict(set)
    for leg, anchor in zip(made.leg.tolist(), made.anchor.tolist(), strict=True):
        families[leg].add(farm.anchors[anchor].family)
    lines = [leg.count for leg in farm.legs]
    free = sum(lines[leg] for leg, names in families.items() if len(names) >= 3)
    assert free >= 0.7 * sum(lines)


def test_dates_bar_a_slow_ship_and_a_late_anchor(farm: Farm) -> None:
    """At least one anchor reaches the site by no service, and one service carries no anchor."""
    days = farm.project.days_to_deliver
    assert days == 112  # 2 February to 25 May 2026, by the calendar
    sold = [farm.item_by_name[anchor.name] for anchor in farm.anchors]
    ways = [
        (i, s) for i in sold for s in farm.services for o in i.offers if i.travels_by(s, o, days)
    ]
    late = [i.name for i in sold if i not in [item for item, _ in ways]]
    slow = [s.name for s in farm.services if s not in [service for _, service in ways]]
    assert late == ["Hinged fluke 180"]
    assert slow == ["Far slow sea by measure"]


def test_every_solid_pack_passes_a_container_door(farm: Farm) -> None:
    """ISO 1496-1 least door openings (seen in a copy): 2286 mm wide, 2134 or 2261 mm high."""
    for anchor in farm.anchors:
        assert max(anchor.pack_width_mm, anchor.pack_height_mm) <= 2134
    for service in farm.services:
        if service.basis is Basis.CONTAINER:
            assert service.door_width_mm == 2286
            assert service.door_height_mm in (2134, 2261)
            assert service.inside_width_mm == 2330


def test_chain_weighs_and_breaks_as_chain_does(farm: Farm) -> None:
    """Mass 0.0199 to 0.0219 d² kg/m (public chain reference); breaking load by its link.

    Studless: 400 N/mm² on both sections, which fits every row of EN 818-3 Table 5 (seen in a
    copy). Stud link: grade 2 of IACS UR W18, 0.01373 d² (44 − 0.08 d) (from memory,
    cross-checked with a published table).
    """
    for chain in farm.chains:
        d = chain.diameter_mm
        assert 0.0196 <= chain.mass_kg_per_m / d**2 <= 0.0222
        if chain.name.startswith("Stud link"):
            expected = 0.01373 * d**2 * (44 - 0.08 * d)
        else:
            expected = 400e-3 * 2 * math.pi * d**2 / 4
        assert chain.breaking_load_kn == pytest.approx(expected, rel=0.01)


def test_anchors_are_plausible(farm: Farm) -> None:
    """15 to 250 kg where they embed, 1 to 5 t where they lie heavy; folding ones pack denser.

    Common practice, no source.
    """
    density: dict[TransportForm, list[float]] = defaultdict(list)
    for anchor in farm.anchors:
        if anchor.holds_by is HoldsBy.WEIGHT:
            assert 1000 <= anchor.mass_kg <= 5000
            assert 45 <= anchor.largest_uplift_deg <= 60
            # Concrete of about 2400 kg/m³, stated.
            assert anchor.stated_density_kg_m3 == 2400
            assert anchor.mass_kg / anchor.displaced_m3 == pytest.approx(2400, rel=0.01)
            continue
        assert 15 <= anchor.mass_kg <= 250
        assert anchor.largest_uplift_deg <= 12
        if anchor.family in ("folding plate", "fixed fluke"):
            density[anchor.transport_form].append(anchor.pack_mass_kg / anchor.pack_volume_m3)
    assert min(density[TransportForm.FOLDING]) > 3 * max(density[TransportForm.SOLID])


def test_loads_and_depths_are_plausible(farm: Farm) -> None:
    """Design tensions of 5 to 90 kN in 8 to 45 m, drags of 1 to 4 m: common practice, no source."""
    for leg in farm.legs:
        assert 5 <= leg.design_tension_kn <= 90
        assert 8 <= leg.depth_m <= 45
        assert 1 <= leg.allowed_drag_m <= 4


def test_sample_says_that_it_is_invented(farm: Farm) -> None:
    """Suppliers bear "Sample" in their names, evidence says invented, and so does the README."""
    assert "invented" in (SAMPLES / "README.md").read_text(encoding="utf-8")
    assert "invented" in farm.project.name
    assert all("Sample" in supplier.name for supplier in farm.suppliers)
    for evidence in (*farm.holding_laws, *farm.declared_holdings):
        assert "invented" in evidence.reference.casefold()
