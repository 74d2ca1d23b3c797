"""The evidence of pull tests, from the workbook to the row: check values of the trade.

The loads in kgf and masses in kg are common practice, no source.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from moorledger.io.evidence.anchor_evidence import counted_tests, let_go_words
from moorledger.io.reading.workbook import read_farm
from moorledger.models.evidence.anchor_evidence import (
    AnchorEvidence,
    allowed_drags_m,
    anchor_evidence,
    what_happened,
)
from moorledger.models.site.declared_holding import DeclaredHolding
from moorledger.models.site.project import Project
from moorledger.models.site.pull_test import Event
from moorledger.models.standing.characteristic import Scatter
from moorledger.models.standing.holding_evidence import EvidenceKind, HoldingEvidence

from tests.farms.small_farm import ANCHOR, farm_with, run
from tests.farms.typed_workbook import save, typed

STATED = Project(pull_test_scatter=0.1)

KGF_KN = 9.80665e-3
"""One kilogram-force in kN, exact by definition (ISO 80000-4)."""

POUND_KG = 0.45359237
"""One pound in kg, exact (international yard and pound agreement, 1959)."""

ANCHORS = {
    "hinged 28": 28.0,
    "fixed 60": 60.0,
    "stockless 180": 180.0,
    "dead 1000": 1000.0,
    "hinged 300": 300.0,
    "plate 25": 25.0,
    "plate 50": 50.0,
}
"""Anchor → mass, kg."""

PULLS: dict[str, list[tuple[Any, ...]]] = {
    # Drag m, load kgf, event, penetration mm.
    "hinged 28": [(2, 300), (4.5, 570, "rolled out")],
    "fixed 60": [(1, 1060), (2, 1670), (3, 800, "rolled out")],
    "stockless 180": [(1, 260), (2, 500), (4, 550)],
    "dead 1000": [(1, 850), (2, 1155), (3, 1310)],
    "hinged 300": [(1, 390), (2, 2020, "broke")],
    "plate 25": [(1, 1155), (2, 2525), (3, 3065, "stopped", 730)],
    "plate 50": [(2, 3180), (3, 5020, None, 910)],
}
DRAGS = (1.0, 1.5, 2.0, 3.0, 5.0)

UNITS = {"kgf": 1.0, "tf": 1e-3, "kN": KGF_KN, "lbf": 1 / POUND_KG}
"""Unit of the load → how many of it one kgf is."""

MASSES = {"kg": 1.0, "lb": 1 / POUND_KG, "t": 1e-3}
"""Unit of the mass → how many of it one kg is."""


def read(folder: Path, load_unit: str = "kgf", mass_unit: str = "kg") -> list[AnchorEvidence]:
    """Return the evidence of the check values, written to a workbook in these units and read."""
    cells = typed()
    head, plate, block = cells["Anchors"]
    head[4] = f"Mass ({mass_unit})"
    for row in (plate, block):
        row[4] *= MASSES[mass_unit]
    plate[16] = None
    for name, kg in ANCHORS.items():
        new = [*plate[:2], name.split()[0], *plate[3:]]
        new[0], new[4], new[7] = name, kg * MASSES[mass_unit], None
        cells["Anchors"].append(new)
    pulls = cells["Pull tests"]
    pulls[0][4] = f"Load ({load_unit})"
    pulls[1:] = [
        [name, name, "sand", drag, load * UNITS[load_unit], *[*rest, None, None][:2], None]
        for name, points in PULLS.items()
        for drag, load, *rest in points
    ]
    legs = cells["Legs"]
    for drag in DRAGS[:-1]:
        legs.append([f"leg {drag}", None, 1, 10, None, 20, "sand", drag, *[None] * 10])
    farm = read_farm(save(cells, folder / "tests.xlsx"))
    assert allowed_drags_m(farm) == (0.0, *DRAGS)
    return [row for row in anchor_evidence(farm) if row.seabed == "sand" and row.tests]


def usable_kgf(row: AnchorEvidence, drag: float) -> float:
    """Return what the only test of a row is worth within a drag, kgf."""
    (load,) = next(at.usable_kn for at in row.within if at.allowed_drag_m == drag)
    return load / KGF_KN


@pytest.mark.parametrize(
    ("load_unit", "mass_unit"), [("kgf", "kg"), ("tf", "t"), ("kN", "lb"), ("lbf", "kg")]
)
def test_check_values_whatever_their_units(tmp_path: Path, load_unit: str, mass_unit: str) -> None:
    """Peak efficiencies, usable loads and limits of the trade, through the reader in any unit."""
    rows = {row.anchor.name: row for row in read(tmp_path, load_unit, mass_unit)}
    peaks = {name: row.peak_efficiency for name, row in rows.items()}
    for name, expected in {
        "hinged 28": 20.36,
        "stockless 180": 3.06,
        "dead 1000": 1.31,
        "plate 25": 122.6,
        "plate 50": 100.4,
    }.items():
        assert peaks[name] == pytest.approx(expected, abs=0.005 if expected < 100 else 0.05)
    fixed = rows["fixed 60"]
    for drag, kgf in ((1.0, 1060), (1.5, 1365), (2.0, 1670), (3.0, 800), (5.0, 800)):
        assert usable_kgf(fixed, drag) == pytest.approx(kgf, rel=1e-9)
    broken = rows["hinged 300"]
    assert [usable_kgf(broken, drag) for drag in (2.0, 3.0, 5.0)] == [0.0, 0.0, 0.0]
    assert broken.structural_limit_kn == pytest.approx(2020 * KGF_KN, rel=1e-9)
    assert usable_kgf(rows["hinged 28"], 5.0) == 0.0
    assert usable_kgf(rows["plate 25"], 5.0) == pytest.approx(3065)


def test_what_happened_and_how_deep_are_told(tmp_path: Path) -> None:
    """Held, rolled out, broke and stopped are four different words; depths are kept."""
    rows = {row.anchor.name: row for row in read(tmp_path)}
    assert {name: row.what_happened for name, row in rows.items()} == {
        "hinged 28": "rolled out at 4.5 m",
        "fixed 60": "rolled out at 3 m",
        "stockless 180": "held to 4 m",
        "dead 1000": "held to 3 m",
        "hinged 300": "broke at 2 m",
        "plate 25": "stopped while holding at 3 m",
        "plate 50": "held to 3 m",
    }
    assert rows["plate 25"].tests[0].deepest_mm == 730
    assert rows["plate 50"].tests[0].deepest_mm == 910
    assert rows["fixed 60"].tests[0].deepest_mm is None


def test_broken_anchor_is_refused_from_the_drag_at_which_it_broke(tmp_path: Path) -> None:
    """Within 1 m it is relied on, within 2 m and more refused by the name of the test."""
    row = next(row for row in read(tmp_path) if row.anchor.name == "hinged 300")
    refused = {at.allowed_drag_m: at.holding.refusal for at in row.within}
    assert refused[1.0] == ""
    assert refused[1.5] == ""
    assert all("hinged 300" in refused[drag] for drag in (2.0, 3.0, 5.0))
    assert row.refusals[0] == refused[0.0]  # no reading at a drag of 0 m
    assert next(at for at in row.within if at.allowed_drag_m == 3.0).relied_on_kn == 0.0


def test_one_test_is_held_back_by_the_stated_scatter(tmp_path: Path) -> None:
    """1060 kgf with a stated scatter of 20 %: s = √ln 1.04 = 0.19804, k_1 = 2.31 (EN 1990 Table
    D1), 1060 × exp(−0.45747) = 670.9 kgf, worked by hand."""
    row = next(row for row in read(tmp_path) if row.anchor.name == "fixed 60")
    used = next(at for at in row.within if at.allowed_drag_m == 1.0).statistics
    assert used is not None
    assert (used.k_n, used.scatter, used.known) == (2.31, Scatter.STATED, True)
    assert used.deviation == pytest.approx(0.19804, abs=1e-5)
    assert used.value_kn / KGF_KN == pytest.approx(670.9, abs=0.05)


TABLE_D1 = {3: 3.37, 4: 2.63, 5: 2.33, 6: 2.18, 8: 2.00, 10: 1.92, 20: 1.76, 30: 1.73}
"""EN 1990:2002 Table D1, 5 % characteristic value, V_X unknown (seen in a copy)."""


@pytest.mark.parametrize(("count", "factor"), TABLE_D1.items())
def test_working_uses_table_d1(count: int, factor: float) -> None:
    """The row states the table's k_n, and mean × exp(−k_n s) is its value."""
    loads = [50.0 * 1.2**n for n in range(count)]
    readings = sum((run(f"t{n}", [(3.0, load)]) for n, load in enumerate(loads)), ())
    (row,) = anchor_evidence(farm_with(readings=readings))
    used = row.within[0].statistics
    assert used is not None
    assert (used.k_n, used.scatter, used.known) == (factor, Scatter.TESTS, False)
    assert (used.held, used.stopped) == (count, 0)
    mean = math.log(50.0) + math.log(1.2) * (count - 1) / 2
    # Standard deviation of 0, 1, ... n − 1 is √(n (n + 1) / 12).
    s = math.log(1.2) * math.sqrt(count * (count + 1) / 12)
    assert used.value_kn == pytest.approx(math.exp(mean - factor * s), rel=1e-9)


def test_words_for_the_tests_that_count() -> None:
    """Held, stopped and at most how much, left out: what the sheet of workings says."""
    readings = (
        *run("a", [(3.0, 60.0, Event.STOPPED)]),
        *run("b", [(3.0, 60.0, Event.STOPPED)]),
        *run("c", [(3.0, 90.0, Event.STOPPED)]),
        *run("d", [(1.0, 5.0, Event.STOPPED)]),
    )
    (row,) = anchor_evidence(farm_with(readings=readings))
    used = row.within[0].statistics
    assert used is not None
    assert counted_tests(used) == "3 stopped at 71.3 kN at most, 1 stopped left out"
    (row,) = anchor_evidence(farm_with(readings=run("e", [(3.0, 9.0)]), project=STATED))
    used = row.within[0].statistics
    assert used is not None
    assert counted_tests(used) == "1 held"


def test_letting_go_soon_is_told_on_the_row() -> None:
    """Rolled out at 5 m where 3 are allowed, up to 6: a caution; the value at 3 m is as it was."""
    bad = run("a", [(3.0, 50.0), (5.0, 20.0, Event.ROLLED_OUT)])
    (row,) = anchor_evidence(farm_with(readings=bad, project=STATED))
    assert let_go_words(row) == ("a rolled out at 5 m",)
    later = run("a", [(3.0, 50.0), (6.5, 20.0, Event.ROLLED_OUT)])
    (other,) = anchor_evidence(farm_with(readings=later, project=STATED))
    assert let_go_words(other) == ()
    assert other.within[0].relied_on_kn == row.within[0].relied_on_kn


@pytest.mark.parametrize("count", [1, 2])
def test_refused_below_three_tests_without_a_stated_scatter(count: int) -> None:
    """Table D1 is blank there: no statistics, nothing relied on, and the reason."""
    readings = sum((run(f"t{n}", [(1.0, 40.0), (3.0, 50.0)]) for n in range(count)), ())
    farm = farm_with(project=Project(pull_test_scatter=None), readings=readings)
    (row,) = anchor_evidence(farm)
    (at,) = row.within
    assert at.statistics is None
    assert at.relied_on_kn == 0.0
    assert "scatter" in row.refusals[0]
    assert row.peak_efficiency is not None


def test_a_declared_holding_below_the_tests_is_relied_on_and_the_tests_still_shown() -> None:
    """What the tests alone would give, 42 × 0.7145 = 30.0 kN at the least scatter, stays there.

    By EN 1990 Table D1 and D.7.1, by hand: 41.968 × e^(−3.37 × 0.0997513) = 29.987.
    """
    readings = sum((run(f"t{n}", [(3.0, load)]) for n, load in enumerate((40.0, 42.0, 44.0))), ())
    declared = (DeclaredHolding(ANCHOR.name, "sand", 25.0, "letter of 3 May"),)
    (row,) = anchor_evidence(farm_with(readings=readings, declared_holdings=declared))
    (at,) = row.within
    assert at.relied_on_kn == 25.0
    assert row.rests_on == (HoldingEvidence(EvidenceKind.DECLARED, "letter of 3 May"),)
    assert at.statistics is not None
    assert at.statistics.value_kn == pytest.approx(29.987, abs=1e-3)


def test_nothing_beyond_the_structural_limit_is_relied_on() -> None:
    """Held 100 kN twice, broke at 60 kN on another occasion beyond the allowed drag: 60 kN."""
    readings = (
        *run("a", [(3.0, 100.0)]),
        *run("b", [(3.0, 100.0)]),
        *run("c", [(3.0, 55.0), (4.0, 60.0, Event.BROKE)]),
    )
    (row,) = anchor_evidence(farm_with(readings=readings[:2]))
    farm = farm_with(project=Project(pull_test_scatter=0.01), readings=readings)
    (limited,) = anchor_evidence(farm)
    assert row.structural_limit_kn == math.inf
    assert limited.structural_limit_kn == 60.0
    assert limited.within[0].relied_on_kn <= 60.0
    strong = farm_with(
        declared_holdings=(DeclaredHolding(ANCHOR.name, "sand", 95.0, "letter", True),),
        readings=readings,
    )
    assert anchor_evidence(strong)[0].within[0].relied_on_kn == 60.0


def test_several_tests_are_counted_and_the_bad_ones_named() -> None:
    """Two held, one stopped and one rolled out: the row says so in that order."""
    readings = (
        *run("a", [(3.0, 50.0)]),
        *run("b", [(1.0, 40.0), (2.0, 20.0, Event.ROLLED_OUT), (3.0, 25.0)]),
        *run("c", [(3.0, 52.0, Event.STOPPED)]),
        *run("d", [(3.0, 51.0)]),
    )
    (row,) = anchor_evidence(farm_with(readings=readings))
    assert row.what_happened == "2 held; 1 stopped while holding; b rolled out at 2 m"
    assert row.peak is not None
    assert row.peak.test == "c"
    twice = farm_with(readings=run("e", [(1.0, 9.0, Event.ROLLED_OUT), (2.0, 9.0, Event.BROKE)]))
    assert what_happened(twice.pull_tests[0]) == "rolled out at 1 m, broke at 2 m"
