"""Sizes and setting: the fit across sizes, shown as evidence, and the drag that sets an anchor."""

from __future__ import annotations

from collections.abc import Sequence

from ...models.evidence.setting_drag import AnchorSetting
from ...models.evidence.size_law import SizeLaw
from ...models.farm import Farm
from ..paper.book import Book
from ..paper.page import SheetColumn, Value
from ..paper.style import Look
from ..words.cautions import PULLS
from ..words.kinds import NumberKind

HEADING_ROW = 5

ADOPT = (
    "To adopt a law, the engineer of the farm writes a row of the Holding laws sheet: Family, "
    "Seabed, Reference mass, Reference holding and Exponent as in the first table, and in Source "
    "who accepted it. The reference holding there is lowered so that the law lies nowhere above "
    "the lower limit between the sizes tested. Until then nothing is priced on it; an anchor's "
    "own tests and declared holdings come before any law."
)


def write_size_laws(book: Book, farm: Farm, laws: Sequence[SizeLaw]) -> None:
    """Write each fitted law, then what it says of every anchor of its family."""
    columns = (
        SheetColumn("Family", widest=19),
        SheetColumn("Seabed", widest=17),
        SheetColumn("Allowed drag (m)", NumberKind.LENGTH_M),
        SheetColumn("Tests", NumberKind.COUNT),
        SheetColumn("Sizes tested (kg)", widest=18),
        SheetColumn("Exponent", NumberKind.FINE),
        SheetColumn("Standard error", NumberKind.FINE),
        SheetColumn("Reference mass (kg)", NumberKind.LENGTH_M),
        SheetColumn("Reference holding (kN)", NumberKind.FORCE_KN),
        SheetColumn("Remark", widest=60),
    )
    page = book.page("Fit across sizes")
    page.head(
        "Fit across sizes",
        "Where one family was tested at two sizes or more on a seabed: "
        "usable load against mass, fitted as holding = a × mass^exponent. Shown as evidence; "
        "nothing is priced on it.",
        of=farm.project.name,
        across=len(columns),
    )
    page.put(3, 1, ADOPT, look=Look.NOTE, across=len(columns))
    rows = [_law(law) for law in laws]
    table = page.table(HEADING_ROW, columns, rows)
    row = table.next_row
    if not rows:
        page.put(row, 1, "No family was tested at two sizes on one seabed.", across=6)
        row += 1
    row += 1
    page.put(row, 1, "What the fits say of each size", look=Look.SECTION, across=len(columns))
    sizes = (
        SheetColumn("Anchor", widest=19),
        SheetColumn("Seabed", widest=17),
        SheetColumn("Allowed drag (m)", NumberKind.LENGTH_M),
        SheetColumn("Mass (kg)", NumberKind.MASS_KG),
        SheetColumn("Tested there", widest=18),
        SheetColumn("Fit (kN)", NumberKind.FORCE_KN),
        SheetColumn("Lower limit (kN)", NumberKind.FORCE_KN),
        SheetColumn("Upper limit (kN)", NumberKind.FORCE_KN),
        SheetColumn("", widest=12),
        SheetColumn("Size", widest=60),
    )
    table = page.table(row + 1, sizes, _sizes(farm, laws))
    page.paragraphs(
        table.next_row + 1,
        [
            "Limits: 90 % prediction interval of one further test (Student t): 5 % of further "
            "tests would fall below the lower limit, the level of the characteristic value. They "
            "know the scatter of these tests only: not another seabed, weather or maker. " + PULLS
        ],
        len(columns),
        Look.STRONG,
    )
    page.finish(farm.project.name, heading_row=row + 1, freeze=False)


def _law(law: SizeLaw) -> tuple[Value, ...]:
    adopt = law.row_to_adopt
    return (
        law.family,
        law.seabed,
        law.allowed_drag_m,
        law.tests,
        ", ".join(f"{mass:g}" for mass in law.masses_kg),
        law.fit.exponent if law.fit else None,
        law.fit.exponent_error if law.fit else None,
        adopt[0] if adopt else None,
        adopt[1] if adopt else None,
        law.remark,
    )


def _sizes(farm: Farm, laws: Sequence[SizeLaw]) -> list[tuple[Value, ...]]:
    rows: list[tuple[Value, ...]] = []
    for law in laws:
        for anchor in sorted(farm.anchors, key=lambda a: a.mass_kg):
            said = law.prediction(anchor) if anchor.family == law.family else None
            if said is None:
                continue
            tested = any((t.anchor, t.seabed) == (anchor.name, law.seabed) for t in farm.pull_tests)
            rows.append(
                (
                    anchor.name,
                    law.seabed,
                    law.allowed_drag_m,
                    anchor.mass_kg,
                    "yes" if tested else "no",
                    said.holding_kn,
                    "none" if said.lower_kn is None else said.lower_kn,
                    "none" if said.upper_kn is None else said.upper_kn,
                    "",
                    said.remark or "between the sizes tested",
                )
            )
    return rows


def write_setting(
    book: Book, farm: Farm, settings: Sequence[AnchorSetting], *, planned: bool
) -> None:
    """Write the drag that each leg's anchor needs; `planned` where they are those of a plan.

    Where no anchor was tested there is no sheet.
    """
    if not settings:
        return
    columns = (
        SheetColumn("Leg", widest=14),
        SheetColumn("Anchor", widest=19),
        SheetColumn("Seabed", widest=17),
        SheetColumn("Required of one anchor (kN)", NumberKind.FORCE_KN),
        SheetColumn("Tests", NumberKind.COUNT),
        SheetColumn("Tests that held it", NumberKind.COUNT),
        SheetColumn("Drag needed, at most (m)", NumberKind.FACTOR),
        SheetColumn("Allowed drag (m)", NumberKind.LENGTH_M),
        SheetColumn("Share of allowed", NumberKind.SHARE),
        SheetColumn("Penetration in the tests (mm)", widest=20),
        SheetColumn("Remark", widest=44),
    )
    page = book.page("Setting drag")
    which = (
        "The anchor chosen for each leg"
        if planned
        else "Every tested anchor that is relied on for enough to hold a leg alone, without uplift"
    )
    page.head(
        "Setting drag",
        f"{which}: how far it dragged in its own pull tests before it held "
        "what the leg requires, safety factor in.",
        of=farm.project.name,
        across=len(columns),
    )
    rows = [_setting(one) for one in settings]
    table = page.table(HEADING_ROW, columns, rows)
    notes = [
        "Drag needed is the largest of the tests, read between readings in a straight line; where "
        "the first reading already reached the load the true drag is less. An anchor comes to rest "
        "that much nearer: it is laid so much farther out. " + PULLS
    ]
    if planned:
        notes.append("Legs whose anchor was not tested on that seabed, or holds by weight, have "
                     "no row.")  # fmt: skip
    page.paragraphs(max(table.next_row, HEADING_ROW + 2) + 1, notes, len(columns), Look.NOTE)
    page.finish(farm.project.name, heading_row=HEADING_ROW, close=True)


def _setting(one: AnchorSetting) -> tuple[Value, ...]:
    depths = one.depths_mm
    shown = f"{min(depths):,.0f}" if depths else "not recorded"
    if depths and max(depths) > min(depths):
        shown += f" to {max(depths):,.0f}"
    remark = ""
    if one.reached == 0:
        remark = "no test held as much as this"
    elif one.drag_m is None:
        remark = f"{one.short} of the tests never held as much as this"
    elif one.share is not None and one.share > 1:
        remark = "MORE DRAG than the leg allows"
    return (
        one.leg.name,
        one.anchor.name,
        one.leg.seabed,
        one.required_kn,
        len(one.tests),
        one.reached,
        one.drag_m,
        one.leg.allowed_drag_m,
        one.share,
        shown,
        remark,
    )
