"""Basis: what the engineer signs: cases, factors, evidence, and what was not looked at."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from ...models.answer.plan import Plan
from ...models.farm import Farm
from ...models.site.load_case import CaseTension
from ...models.site.project import FactorActsOn
from ...models.standing.holding import structural_limit_kn
from ..paper.book import PlanBook
from ..paper.page import SheetColumn, Value
from ..paper.paged_tables import TitledTable, write_tables
from ..paper.style import Look
from ..words.cautions import CAUTIONS, pull_words
from ..words.holding_evidence import evidence_text
from ..words.kinds import NumberKind

WIDTHS = (24.0, 16.0, 11.0, 11.0, 11.0, 11.0, 11.0, 9.0, 46.0)
LONG_WORDS = 46
"""Widest of the last column, which says in words what the figures rest on."""

CASES = (
    SheetColumn("Load case", widest=26),
    SheetColumn("Tension", widest=16),
    SheetColumn("Load factor", NumberKind.FACTOR),
    SheetColumn("Extra depth (m)", NumberKind.LENGTH_M),
    SheetColumn("Anchor factor", NumberKind.FACTOR),
    SheetColumn("Chain factor", NumberKind.FACTOR),
    SheetColumn("Rope factor", NumberKind.FACTOR),
    SheetColumn("Lines", NumberKind.COUNT),
    SheetColumn("For", widest=LONG_WORDS),
)
ACROSS = len(CASES)

STRENGTH = (
    SheetColumn("Chain or rope", widest=26),
    SheetColumn("What", widest=16),
    SheetColumn("Diameter (mm)", NumberKind.LENGTH_M),
    SheetColumn("Mass (kg/m)", NumberKind.FACTOR),
    SheetColumn("New (kN)", NumberKind.FORCE_KN),
    SheetColumn("Relied on (kN)", NumberKind.FORCE_KN),
    SheetColumn("Share left", NumberKind.SHARE_FINE),
    SheetColumn("Lines", NumberKind.COUNT),
    SheetColumn("Why", widest=LONG_WORDS),
)

HELD = (
    SheetColumn("Anchor", widest=26),
    SheetColumn("Seabed", widest=16),
    SheetColumn("Mass (kg)", NumberKind.MASS_KG),
    SheetColumn("Own safety factor", NumberKind.FACTOR),
    SheetColumn("Largest uplift (deg)", NumberKind.ANGLE_DEG),
    SheetColumn("Structural limit (kN)", NumberKind.FORCE_KN),
    SheetColumn("Allowed drag (m)", NumberKind.LENGTH_M),
    SheetColumn("Lines", NumberKind.COUNT),
    SheetColumn("What its holding rests on", widest=LONG_WORDS),
)

OPEN: tuple[tuple[str, str, str], ...] = (
    (
        "Slope of the seabed",
        "A deadweight pulled downslope keeps cos β − sin β ÷ μ of its holding: at μ 0.45, 80 % at "
        "5°, 60 % at 10°, 39 % at 15° (elementary statics). Downslope of an anchor is uplift.",
        "Slope at every anchor, from a survey; a lower friction or largest uplift where it matters",
    ),
    (
        "Stretch of lines",
        "Lines that stretch unlike share a load unequally; pretension and rope age count.",
        "Stiffness of the ropes as laid, pretension, and an analysis of the whole grid",
    ),
    (
        "Dynamics and fatigue",
        "Waves and motion raise tensions above their static values, and wear what moves.",
        "A dynamic analysis, whose tensions then go into Legs",
    ),
    (
        "Load from the other side",
        "An anchor set one way may turn, roll or lose its holding when it is pulled another way.",
        "Pull tests in the direction of the reversed load, or an anchor that does not mind",
    ),
    (
        "Floating rope",
        "A line of floating rope may lift its anchor a little more at a lower tension than the "
        "factored one (by 2 % of the angle in the few lines where that was seen).",
        "A load case with a lower load factor, where a line is mostly floating rope",
    ),
    (
        "Depth of soil, layers and scour",
        "Holding is that of the tests and laws stated, on the seabed named.",
        "A site survey at the anchors, and tests there",
    ),
)
"""What the model leaves out, what it may do (common practice, no source, but where one is named),
and what would be needed to look at it."""

LINE_LOST = (
    "A line lost",
    "When one line parts its neighbours take its load; two neighbours of three at 30° take 1.67 "
    "times theirs. No load case of Load cases takes a line-lost tension.",
    "Line-lost tensions in Legs, and a case for them in Load cases",
)
WATER = (
    "More water",
    "Surge and tide above the depth given lift the line at the anchor.",
    "A load case with extra depth in Load cases",
)
VESSELS = (
    "Vessels",
    "None is named: no crane, deck or bollard pull was looked at, nor whether any vessel can lift, "
    "carry, set and lay this.",
    "The sheet Vessels",
)


def write_basis(book: PlanBook) -> None:
    """Write the page that the engineer of the farm signs."""
    plan = book.plan
    page = book.page("Basis")
    page.head(
        "Basis",
        "The design basis, for the engineer who answers for it: every "
        "limit on Leg limits holds in all of these cases, by these inputs.",
        of=plan.farm.project.name,
        across=ACROSS,
    )
    page.widths(WIDTHS)
    tables = (
        TitledTable("Load cases", _acts_on(plan.farm), CASES, list(_cases(plan))),
        TitledTable("Strength of chain and rope", "", STRENGTH, list(_strengths(plan))),
        TitledTable("Holding of the anchors laid", pull_words(plan.farm), HELD, list(_held(plan))),
    )
    row = write_tables(page, 4, tables, WIDTHS)
    row = page.break_before(row)  # so that what is signed stands with what it is signed under
    page.put(row, 1, "Not looked at", look=Look.SECTION, across=ACROSS)
    row = page.paragraphs(row + 1, _open(plan.farm), ACROSS, Look.BODY) + 1
    row = page.paragraphs(row, CAUTIONS, ACROSS, Look.STRONG) + 1
    page.put(row, 1, "Accepted as the design basis:", look=Look.STRONG, across=4)
    page.put(row + 1, 1, None, look=Look.FIELD, across=4)
    page.put(row + 2, 1, "Engineer: name, signature, date", look=Look.NOTE, across=4)
    page.finish(plan.farm.project.name, close=True)


def _acts_on(farm: Farm) -> str:
    wear = farm.project.wear_mm
    worn = (
        f" Each case with chain as new and with {wear:g} mm of its diameter worn off."
        if wear > 0
        else " Chain is taken to stay as new: no service life and wear are given."
    )
    if farm.load_cases:
        return "The engineer's own, from the sheet Load cases." + worn
    if farm.project.safety_factor_acts_on is FactorActsOn.TENSION:
        return (
            "One case, of the safety factors of Project. The anchor's multiplies the tension "
            "before the statics, since the load on the anchor and its uplift grow faster than the "
            "tension (EN 1990:2002 6.3.2(4)(a)); chain's and rope's multiply the tension itself."
            + worn
        )
    return (
        "One case, of the safety factors of Project, by the working-load practice (UFC 4-159-03): "
        "statics at design tension, the anchor's factor on the load that they bring to it." + worn
    )


def _cases(plan: Plan) -> Iterator[tuple[Value, ...]]:
    farm = plan.farm
    laid: Counter[str] = Counter()
    for assignment in plan.assignments:
        laid[assignment.leg] += assignment.count
    if not farm.load_cases:
        project = farm.project
        on_tension = project.safety_factor_acts_on is FactorActsOn.TENSION
        factor = project.anchor_safety_factor
        load, anchor = (factor, 1.0) if on_tension else (1.0, factor)
        chain, rope = project.chain_safety_factor / load, project.rope_safety_factor / load
        lines = sum(laid.values())
        yield "design", str(CaseTension.DESIGN), load, 0.0, anchor, chain, rope, lines, "all legs"
        return
    for case in farm.load_cases:
        legs = [leg for leg in farm.legs if not case.legs or {leg.name, leg.group} & set(case.legs)]
        yield (
            case.name,
            str(case.tension),
            case.load_factor,
            case.extra_depth_m,
            case.anchor_factor,
            case.chain_factor,
            case.rope_factor,
            sum(laid[leg.name] for leg in legs),
            ", ".join(case.legs) or "all legs",
        )


def _strengths(plan: Plan) -> Iterator[tuple[Value, ...]]:
    farm, project = plan.farm, plan.farm.project
    chains: Counter[str] = Counter()
    ropes: Counter[str] = Counter()
    for row in plan.assignments:
        chains[row.make_up.chain] += row.count
        if row.make_up.rope is not None:
            ropes[row.make_up.rope] += row.count
    for name, lines in sorted(chains.items()):
        chain = farm.chain_by_name[name]
        left = chain.share_after_wear(project)
        why = f"{project.wear_mm:g} mm of {chain.diameter_mm:g} mm worn off" if left < 1 else "new"
        yield (
            name,
            "chain",
            chain.diameter_mm,
            chain.mass_kg_per_m,
            chain.breaking_load_kn,
            chain.breaking_load_kn * left,
            left,
            lines,
            why,
        )
    for name, lines in sorted(ropes.items()):
        rope = farm.rope_by_name[name]
        left = project.rope_splice_share * rope.wet_strength_share
        why = f"splices {project.rope_splice_share:.0%}, wet {rope.wet_strength_share:.0%}"
        yield (
            name,
            "rope",
            rope.diameter_mm,
            rope.mass_kg_per_m,
            rope.breaking_load_kn,
            rope.breaking_load_kn * left,
            left,
            lines,
            why,
        )


def _held(plan: Plan) -> Iterator[tuple[Value, ...]]:
    lines: Counter[tuple[str, str, float, str]] = Counter()
    for row in plan.assignments:
        leg = plan.farm.leg_by_name[row.leg]
        key = (row.make_up.anchor, leg.seabed, leg.allowed_drag_m, evidence_text(row.evidence))
        lines[key] += row.count
    for (name, seabed, drag, source), count in sorted(lines.items()):
        anchor = plan.farm.anchor_by_name[name]
        factor = None if plan.farm.load_cases else anchor.safety_factor
        limit = structural_limit_kn(plan.farm, anchor)
        yield (
            name,
            seabed,
            anchor.mass_kg,
            factor,
            anchor.largest_uplift_deg,
            limit if math.isfinite(limit) else "none stated",
            drag,
            count,
            source,
        )


def _open(farm: Farm) -> Iterator[str]:
    """Yield what was not looked at, what it may do, and what would be needed to look at it."""
    left_out = [*OPEN]
    if not any(case.tension is CaseTension.LINE_LOST for case in farm.load_cases):
        left_out.append(LINE_LOST)
    if not any(case.extra_depth_m > 0 for case in farm.load_cases):
        left_out.append(WATER)
    if not farm.laying_priced:
        left_out.append(VESSELS)
    for what, does, needed in left_out:
        yield f"{what}. {does} Needed: {needed}."
