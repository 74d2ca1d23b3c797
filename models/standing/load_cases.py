"""The load cases of one leg, resolved: what the statics take, and what each part must stand."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..farm import Farm
from ..goods.anchor import Anchor
from ..site.leg import Leg
from ..site.load_case import CaseTension, LoadCase
from ..site.project import FactorActsOn

DESIGN = "design"
"""What the one case of the project's safety factors is called."""


@dataclass(frozen=True)
class LegCase:
    """One load case on one leg, with chain as new or as worn.

    Source: EN 1990:2002 6.3.2(4)(a) for the factor on the tension, where its effects grow faster
    than it does; UFC 4-159-03 for the working-load practice.
    """

    name: str
    tension_kn: float
    """At the attachment in the statics: load factor × tension."""
    depth_m: float
    anchor_factor: float
    """On what the statics bring to the anchor."""
    chain_required_kn: float
    """Strength that chain, fittings and connectors must have left."""
    rope_required_kn: float
    worn: bool = False
    """Whether the chain has the weight and strength of the end of its service life."""

    def __str__(self) -> str:
        return f"{self.name}, chain worn" if self.worn else self.name


def cases_for(farm: Farm, leg: Leg) -> tuple[LoadCase, ...]:
    """Return the load cases of the workbook that are for a leg."""
    return tuple(
        case
        for case in farm.load_cases
        if not case.legs or leg.name in case.legs or (leg.group and leg.group in case.legs)
    )


def own_factor(farm: Farm, anchor: Anchor | None) -> float:
    """Return the safety factor that stands for an anchor where there are no load cases."""
    if anchor is None or anchor.safety_factor is None or farm.load_cases:
        return farm.project.anchor_safety_factor
    return anchor.safety_factor


def leg_cases(farm: Farm, leg: Leg, anchor_safety_factor: float) -> tuple[LegCase, ...]:
    """Return every case in which a leg's limits must hold, each with chain as new and as worn.

    anchor_safety_factor : of the anchor looked at (`own_factor`); without meaning where the
    workbook has load cases, whose factors hold.
    """
    project = farm.project
    if farm.load_cases:
        found = [_of_workbook(case, leg) for case in cases_for(farm, leg)]
    else:
        on_tension = project.safety_factor_acts_on is FactorActsOn.TENSION
        tension = leg.design_tension_kn
        found = [
            LegCase(
                DESIGN,
                anchor_safety_factor * tension if on_tension else tension,
                leg.depth_m,
                1.0 if on_tension else anchor_safety_factor,
                project.chain_safety_factor * tension,
                project.rope_safety_factor * tension,
            )
        ]
    if project.wear_mm > 0:
        found += [replace(case, worn=True) for case in found]
    return tuple(found)


def _of_workbook(case: LoadCase, leg: Leg) -> LegCase:
    lost = case.tension is CaseTension.LINE_LOST
    tension = (leg.line_lost_tension_kn or 0.0) if lost else leg.design_tension_kn
    factored = case.load_factor * tension
    return LegCase(
        case.name,
        factored,
        leg.depth_m + case.extra_depth_m,
        case.anchor_factor,
        case.chain_factor * factored,
        case.rope_factor * factored,
    )
