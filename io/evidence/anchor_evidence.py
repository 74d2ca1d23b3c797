"""Anchor evidence: what each anchor is relied on to hold, and every step from the pulls to it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from ...models.evidence.anchor_evidence import AnchorEvidence, allowed_drags_m, what_happened
from ...models.farm import Farm
from ...models.goods.anchor import HoldsBy
from ...models.standing.characteristic import Characteristic
from ...models.standing.holding import efficiency
from ..paper.book import Book
from ..paper.page import SheetColumn, Value
from ..paper.style import Look
from ..words.cautions import LOCAL, PULLS, WORK
from ..words.holding_evidence import evidence_text, what_it_rests_on
from ..words.kinds import NumberKind

HEADING_ROW = 5

MOST_DRAGS = 4
"""Allowed drags that have columns of their own; the workings have a row for every one."""


CAUTIONS = (PULLS, LOCAL, WORK)


def columned_drags_m(farm: Farm) -> tuple[float, ...]:
    """Return the allowed drags that have columns: of most lines, least first."""
    drags = allowed_drags_m(farm)
    lines: Counter[float] = Counter()
    for leg in farm.legs:
        lines[leg.allowed_drag_m] += leg.count
    if not farm.legs and farm.drags_m:
        return drags  # each of them was asked for
    most = sorted(drags, key=lambda drag: (-lines[drag], drag))[:MOST_DRAGS]
    return tuple(sorted(most))


def write_anchor_evidence(book: Book, farm: Farm, evidence: Sequence[AnchorEvidence]) -> None:
    """Write a row for every anchor and seabed: tests, peak, holding relied on, and why."""
    drags = columned_drags_m(farm)
    columns = (
        SheetColumn("Anchor", widest=19),
        SheetColumn("Seabed", widest=17),
        SheetColumn("Mass (kg)", NumberKind.MASS_KG),
        SheetColumn("Tests", NumberKind.COUNT),
        SheetColumn("What happened in the tests", widest=26),
        SheetColumn("Peak load (kN)", NumberKind.FORCE_KN),
        SheetColumn("Drag at peak (m)", NumberKind.LENGTH_M),
        SheetColumn("Peak ÷ weight", NumberKind.EFFICIENCY),
        *(SheetColumn(f"Relied on within {drag:g} m (kN)", NumberKind.FORCE_KN) for drag in drags),
        *(SheetColumn(f"÷ weight in {drag:g} m", NumberKind.EFFICIENCY) for drag in drags),
        SheetColumn("k_n", NumberKind.FACTOR),
        SheetColumn("Largest scatter s", NumberKind.FINE),
        SheetColumn("Structural limit (kN)", NumberKind.FORCE_KN),
        SheetColumn("Largest uplift (deg)", NumberKind.ANGLE_DEG),
        SheetColumn("Rests on, or refused because", widest=44),
    )
    page = book.page("Anchor evidence")
    page.head(
        "Anchor evidence",
        "What one anchor of each kind is relied on to hold on each seabed "
        "within the drag that legs allow, before safety factor and uplift, and what that rests on.",
        of=farm.project.name,
        across=len(columns),
    )
    page.put(
        3,
        1,
        "Relied on: the 5 % characteristic value of its own pull tests (EN 1990 Annex D.7), or a "
        "declared value that is no more than they support or overrides them by name; else its "
        "family's law, no more than the tests held; deadweights by weight × friction; never above "
        "the structural limit. Peak ÷ weight is what one test showed once; it is not relied "
        "on. k_n and s (the standard deviation of ln load) are those of the characteristic value; "
        "each step is on Pull test workings.",
        look=Look.NOTE,
        across=len(columns),
    )
    rows = [_row(row, drags) for row in evidence]
    table = page.table(HEADING_ROW, columns, rows)
    page.paragraphs(table.next_row + 1, CAUTIONS, len(columns), Look.STRONG)
    page.finish(farm.project.name, heading_row=HEADING_ROW, close=True)


def _row(row: AnchorEvidence, drags: tuple[float, ...]) -> tuple[Value, ...]:
    within = [next(at for at in row.within if at.allowed_drag_m == drag) for drag in drags]
    relied = [None if at.holding.refusal else at.relied_on_kn for at in within]
    mass = row.anchor.mass_kg
    peak = row.peak
    used = [at.statistics for at in within if at.statistics is not None]
    return (
        row.anchor.name,
        row.seabed,
        mass,
        len(row.tests) or None,
        row.what_happened,
        peak.load_kn if peak else None,
        peak.drag_m if peak else None,
        row.peak_efficiency,
        *("refused" if kn is None else kn for kn in relied),
        *(None if kn is None else efficiency(kn, mass) for kn in relied),
        used[0].k_n if used else None,
        max((each.deviation for each in used), default=None),
        row.structural_limit_kn if math.isfinite(row.structural_limit_kn) else "none stated",
        row.anchor.largest_uplift_deg,
        "; ".join([*what_it_rests_on(row), *(f"CAUTION: {said}" for said in let_go_words(row))]),
    )


def let_go_words(row: AnchorEvidence) -> tuple[str, ...]:
    """Return, each once, where its tests let go within twice a drag that they were asked for."""
    readings = (reading for at in row.within for reading in at.let_go_soon)
    return tuple(dict.fromkeys(f"{r.test} {r.event} at {r.drag_m:g} m" for r in readings))


def counted_tests(used: Characteristic) -> str:
    """Return which tests count in a characteristic value, and how those that were stopped do."""
    said = [f"{used.held} held" if used.held else ""]
    if used.stopped:
        most = used.most_counted_kn
        said.append(f"{used.stopped} stopped" + (f" at {most:.1f} kN at most" if most else ""))
    if used.left_out:
        said.append(f"{used.left_out} stopped left out")
    return ", ".join(words for words in said if words)


def write_workings(book: Book, farm: Farm, evidence: Sequence[AnchorEvidence]) -> None:
    """Write each step from the tests to the characteristic value, then every test by itself."""
    columns = (
        SheetColumn("Anchor", widest=19),
        SheetColumn("Seabed", widest=17),
        SheetColumn("Allowed drag (m)", NumberKind.LENGTH_M),
        SheetColumn("Tests", NumberKind.COUNT),
        SheetColumn("Least load at that drag (kN)", NumberKind.FORCE_KN),
        SheetColumn("Least usable (kN)", NumberKind.FORCE_KN),
        SheetColumn("Tests that count", widest=22),
        SheetColumn("Mean counted, geometric (kN)", NumberKind.FORCE_KN),
        SheetColumn("k_n", NumberKind.FACTOR),
        SheetColumn("Scatter s of ln load", NumberKind.FINE),
        SheetColumn("Scatter from", widest=13),
        SheetColumn("Row of Table D1", widest=10),
        SheetColumn("Characteristic value (kN)", NumberKind.FORCE_KN),
        SheetColumn("Relied on (kN)", NumberKind.FORCE_KN),
        SheetColumn("Rests on", widest=50),
    )
    page = book.page("Pull test workings")
    lead = (
        "Usable load of a test: its largest load within the allowed drag; "
        "after a roll-out no more than the lowest load after it; nothing once it broke. "
        "Characteristic value = mean × exp(−k_n × s), k_n of EN 1990 Table D1, 5 % value; s of "
        f"three tests or more is not taken below that of V_X "
        f"{farm.project.least_pull_test_scatter:g}."
    )
    page.head("Pull test workings", lead, of=farm.project.name, across=len(columns))
    tested = [row for row in evidence if row.tests]
    rows: list[tuple[Value, ...]] = []
    for row in tested:
        for at in row.within:
            loads = [load for load in at.loads_kn if load is not None]
            used = at.statistics
            rows.append(
                (
                    row.anchor.name,
                    row.seabed,
                    at.allowed_drag_m,
                    len(row.tests),
                    min(loads) if loads else "no reading",
                    min(at.usable_kn),
                    counted_tests(used) if used else "",
                    used.mean_kn if used else None,
                    used.k_n if used else None,
                    used.deviation if used else None,
                    used.scatter.value if used else "",
                    ("V_X known" if used.known else "V_X unknown") if used else "",
                    used.value_kn if used else "none",
                    "refused" if at.holding.refusal else at.relied_on_kn,
                    at.holding.refusal or evidence_text(at.holding.evidence),
                )
            )
    table = page.table(HEADING_ROW, columns, rows)
    if not rows:
        page.put(HEADING_ROW + 1, 1, "No pull tests.", across=4)
    page.paragraphs(
        max(table.next_row, HEADING_ROW + 2) + 1,
        [
            "k_n for one or two tests is that of a stated scatter (Project sheet); with none "
            "stated there is no k_n and the tests are not relied on: the factor is not "
            "extrapolated. From three tests on a stated scatter gives a second value, with V_X "
            "known, and the smaller of both counts.",
            "A test stopped within the drag is a lower bound and says nothing against: of such "
            "tests those count, from the highest load down, with which the value is largest, "
            "each at no more than the load at which it is. Where any counts, s is the largest of "
            "the counted tests' own, the stated and the least allowed.",
            PULLS,
        ],
        len(columns),
        Look.NOTE,
    )
    page.finish(farm.project.name, heading_row=HEADING_ROW, close=True)


def write_tests(book: Book, farm: Farm, evidence: Sequence[AnchorEvidence]) -> None:
    """Write a row for every pull test, as it was and as it is used."""
    drags = columned_drags_m(farm)
    columns = (
        SheetColumn("Test", widest=10),
        SheetColumn("Anchor", widest=19),
        SheetColumn("Seabed", widest=17),
        SheetColumn("What happened", widest=30),
        SheetColumn("Readings", NumberKind.COUNT),
        SheetColumn("Peak load (kN)", NumberKind.FORCE_KN),
        SheetColumn("Drag at peak (m)", NumberKind.LENGTH_M),
        SheetColumn("Peak ÷ weight", NumberKind.EFFICIENCY),
        *(SheetColumn(f"Load at {drag:g} m (kN)", NumberKind.FORCE_KN) for drag in drags),
        *(SheetColumn(f"Usable in {drag:g} m (kN)", NumberKind.FORCE_KN) for drag in drags),
        SheetColumn("Structural limit (kN)", NumberKind.FORCE_KN),
        SheetColumn("Deepest penetration (mm)", NumberKind.COUNT),
        SheetColumn("Soil", widest=26),
    )
    page = book.page("Each pull test")
    lead = (
        "Load at a drag is what the gauge showed there, whatever had "
        "happened (blank past the last reading); usable is what the test is relied on for."
    )
    page.head("Each pull test", lead, of=farm.project.name, across=len(columns))
    rows: list[tuple[Value, ...]] = []
    for row in evidence:
        for test in row.tests:
            broke = test.structural_limit_kn
            notes = dict.fromkeys(r.soil_note for r in test.readings if r.soil_note)
            rows.append(
                (
                    test.name,
                    row.anchor.name,
                    row.seabed,
                    what_happened(test),
                    len(test.readings),
                    test.peak.load_kn,
                    test.peak.drag_m,
                    efficiency(test.peak.load_kn, row.anchor.mass_kg),
                    *(test.load_at_kn(drag) for drag in drags),
                    *(test.usable_load_kn(drag) for drag in drags),
                    broke if math.isfinite(broke) else None,
                    test.deepest_mm,
                    "; ".join(notes),
                )
            )
    table = page.table(HEADING_ROW, columns, rows)
    said = ["Stopped while holding: the last load is a lower bound. " + PULLS]
    if any(row.anchor.holds_by is HoldsBy.WEIGHT and row.tests for row in evidence):
        said.append("A deadweight must satisfy both its tests and weight × friction.")
    page.paragraphs(table.next_row + 1, said, len(columns), Look.NOTE)
    page.finish(farm.project.name, heading_row=HEADING_ROW, close=True)
