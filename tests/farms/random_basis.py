"""What an engineer's design basis adds to a farm made up at random; every number is invented.

Load cases, what the safety factor acts on, wear, the lease and where the lines lie, and the limits
of a practical line. Strengths and holdings are raised as far as the cases ask, so that most farms
stay feasible.
"""

from __future__ import annotations

import math
import random
from dataclasses import replace

from moorledger.models.farm import Farm
from moorledger.models.goods.chain import Chain
from moorledger.models.goods.fitting import Fitting, UsedPer
from moorledger.models.site.lease import LeaseCorner
from moorledger.models.site.leg import Leg
from moorledger.models.site.load_case import CaseTension, LoadCase
from moorledger.models.site.project import FactorActsOn, Project


def with_basis(farm: Farm, seed: str) -> Farm:
    """Return the farm with a design basis drawn by the seed; what it had stays as it was."""
    draw = random.Random(f"basis {seed}")
    project = _project(draw, farm.project)
    cases = _load_cases(draw, farm.legs) if draw.random() < 0.55 else ()
    legs = tuple(_lost(draw, leg) for leg in farm.legs)
    legs = _placed(draw, legs) if draw.random() < 0.6 else legs
    lease = _lease(draw, project, legs) if legs[-1].easting_m is not None else ()
    found = replace(farm, project=project, legs=legs, load_cases=cases, lease=lease)
    return _raised(draw, found)


def _project(draw: random.Random, project: Project) -> Project:
    acts_on = FactorActsOn.ANCHOR_LOAD if draw.random() < 0.3 else FactorActsOn.TENSION
    worn = draw.random() < 0.3
    return replace(
        project,
        safety_factor_acts_on=acts_on,
        service_life_years=10.0 if worn else project.service_life_years,
        chain_wear_mm_per_year=0.2 if worn else project.chain_wear_mm_per_year,
        shortest_chain_m=draw.choice((0.5, 2.0, 12.0, 25.0)),
        chain_on_seabed_m=draw.choice((0.0, 0.0, 2.0, 6.5)),
    )


def _load_cases(draw: random.Random, legs: tuple[Leg, ...]) -> tuple[LoadCase, ...]:
    on_tension, on_anchor = draw.choice(((1.5, 1.0), (1.0, 1.5), (1.3, 1.15)))
    intact = LoadCase("intact", CaseTension.DESIGN, on_tension, on_anchor, 2.2, 2.4)
    found = [intact]
    if draw.random() < 0.6:
        some = draw.choice(((), (legs[0].name,), (legs[-1].group,) if legs[-1].group else ()))
        lost = draw.choice(((1.0, 1.1), (1.15, 1.0)))
        found.append(LoadCase("line lost", CaseTension.LINE_LOST, *lost, 1.8, 2.0, legs=some))
    if draw.random() < 0.4:
        deeper = draw.choice((0.5, 1.5))
        found.append(LoadCase("surge", CaseTension.DESIGN, 1.2, 1.1, 2.0, 2.0, deeper))
    draw.shuffle(found)
    return tuple(found)


def _lost(draw: random.Random, leg: Leg) -> Leg:
    more = draw.choice((1.2, 1.4, 1.65))
    return replace(leg, line_lost_tension_kn=round(leg.design_tension_kn * more, 1))


def _placed(draw: random.Random, legs: tuple[Leg, ...]) -> tuple[Leg, ...]:
    """Return the legs in a row, each group's lines along a bearing of its own."""
    return tuple(
        replace(
            leg,
            easting_m=1000.0 + 60.0 * at,
            northing_m=2000.0 + draw.choice((0.0, 35.0)),
            bearing_deg=draw.choice((0.0, 37.5, 90.0, 180.0, 255.0)),
            spacing_m=draw.choice((12.0, 25.0)),
            row_bearing_deg=draw.choice((0.0, 90.0, 120.0)),
        )
        for at, leg in enumerate(legs)
    )


def _lease(draw: random.Random, project: Project, legs: tuple[Leg, ...]) -> tuple[LeaseCorner, ...]:
    """Return corners well beyond any anchor, or near enough to matter; one may be cut out."""
    kind = draw.choice(("none", "far", "near", "near"))
    if kind == "none":
        return ()
    depth = max(leg.depth_m for leg in legs)
    room = 4000.0 if kind == "far" else project.rope_lengths_tried[0] * depth + draw.uniform(35, 75)
    row = max((leg.count - 1) * (leg.spacing_m or 0.0) for leg in legs)
    west, east = 1000.0 - room - row, 1000.0 + 60.0 * len(legs) + room + row
    south, north = 2000.0 - room - row, 2035.0 + room + row
    cut = room / 3 if draw.random() < 0.5 else 0.0
    notch = ((east - cut, north), (east - cut, north - cut), (east, north - cut))
    corners = ((west, south), (west, north), *(notch if cut else ((east, north),)), (east, south))
    return tuple(LeaseCorner(round(x, 1), round(y, 1)) for x, y in corners)


def _asked(farm: Farm) -> tuple[float, float, float]:
    """Return how much more than 1.5, 3 and 3 × the hardest design tension anchor, chain and rope
    are asked to stand; at least 1."""
    hardest = max(leg.design_tension_kn for leg in farm.legs)
    on_anchor, on_chain, on_rope = [1.0], [1.0], [1.0]
    for case in farm.load_cases:
        for leg in farm.legs:
            tension = leg.design_tension_kn
            if case.tension is CaseTension.LINE_LOST:
                tension = leg.line_lost_tension_kn or tension
            load = case.load_factor * tension / hardest
            on_anchor.append(load * case.anchor_factor / 1.5)
            on_chain.append(load * case.chain_factor / 3)
            on_rope.append(load * case.rope_factor / 3)
    return max(on_anchor) * 1.1, max(on_chain), max(on_rope)


def _raised(draw: random.Random, farm: Farm) -> Farm:
    on_anchor, on_chain, on_rope = _asked(farm)
    wet = draw.choice((1.0, 0.9, 0.85))
    return replace(
        farm,
        anchors=tuple(
            a
            if a.structural_limit_kn is None
            else replace(a, structural_limit_kn=round(a.structural_limit_kn * on_anchor))
            for a in farm.anchors
        ),
        declared_holdings=tuple(
            replace(d, holding_kn=round(d.holding_kn * on_anchor, 1))
            for d in farm.declared_holdings
        ),
        readings=tuple(replace(r, load_kn=round(r.load_kn * on_anchor, 1)) for r in farm.readings),
        chains=tuple(_connected(draw, at, c, on_chain) for at, c in enumerate(farm.chains)),
        ropes=tuple(
            replace(
                rope,
                breaking_load_kn=math.ceil(rope.breaking_load_kn * on_rope / wet),
                wet_strength_share=wet,
            )
            for rope in farm.ropes
        ),
        fittings=tuple(
            replace(
                fitting,
                breaking_load_kn=math.ceil(fitting.breaking_load_kn * on_chain * more),
                wears_with_chain=more > 1,
            )
            for fitting in farm.fittings
            for more in (draw.choice(_shares_of(fitting)),)
        ),
    )


def _shares_of(fitting: Fitting) -> tuple[float, ...]:
    """Return what a fitting's strength may be multiplied by: one that wears must be stronger, and
    one of a second anchor may bar it."""
    return (0.7, 1.0, 1.4) if fitting.used_per is UsedPer.EXTRA_ANCHOR else (1.0, 1.4)


def _connected(draw: random.Random, at: int, chain: Chain, on_chain: float) -> Chain:
    """Return a chain as strong as is asked; its connectors, beyond the first's, may be too weak."""
    strength = math.ceil(chain.breaking_load_kn * on_chain)
    shares = (None, 0.9, 1.1) if at == 0 else (None, 0.6, 0.9, 1.1)
    share = draw.choice(shares)
    joins = None if share is None else round(strength * share)
    return replace(chain, breaking_load_kn=strength, connector_breaking_load_kn=joins)
