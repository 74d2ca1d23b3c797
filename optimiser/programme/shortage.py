"""Why a farm whose every leg can be moored still has no plan: what runs short, and by how much."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from ...models.farm import Farm
from ...models.fault import Fault, Source
from ..choices.choices import Choices
from ..solvers.report import SolveOptions, Status
from ..solvers.solve import solve
from .order_programme import OrderProgramme

One = TypeVar("One")

LONGEST_TRY_S = 20.0
"""Seconds that one eased limit is tried for at most."""

POLICIES = {
    "most_anchor_models": "Most anchor models",
    "most_chains": "Most chains",
    "most_ropes": "Most ropes",
    "most_suppliers": "Most suppliers",
    "make_ups_per_leg_group": "Make-ups per leg group",
}
"""Field of the project → its heading: how many of a kind the whole farm may have."""

PLENTY = 10**6
"""What an amount is lifted to when the question is how much of it would do."""


def explain_shortage(farm: Farm, choices: Choices, options: SolveOptions) -> tuple[Fault, ...]:
    """Return one fault for each single limit that, lifted alone, lets the farm be moored.

    Tried in turn, while the time limit of `options` lasts: what each supplier has available, the
    containers of each service, each vessel's most days and going home, and the policies. Where no
    single one is enough, or not all could be tried, says so.
    """
    until = time.perf_counter() + options.time_limit_s
    ask = options.on_progress

    def no_plan_yet(_cost: float, _bound: float) -> bool:
        """Costs of farms with a limit less are not told: no plan of this one has them."""
        return ask is not None and ask(math.inf, -math.inf)

    faults: list[Fault] = []
    tried, limits = 0, list(_eased(farm))
    for place, heading, found, eased in limits:
        left = until - time.perf_counter()
        if left < 0.1:
            break
        quick = replace(
            options, gap=1.0, time_limit_s=min(left, LONGEST_TRY_S), on_progress=no_plan_yet
        )
        report = solve(OrderProgramme(eased, choices).matrix(), quick)
        tried += report.status in (Status.OPTIMAL, Status.FEASIBLE, Status.INFEASIBLE)
        if report.values is not None:
            faults.append(
                Fault.at(
                    place,
                    heading,
                    f"{found} is too little for the whole farm: with more of it alone "
                    "there would be a plan",
                )
            )
    if tried < len(limits):
        message = (
            "every leg can be moored by itself, but not all of them together; of the "
            f"{len(limits)} limits of the whole farm the time was enough to try easing {tried}: "
            "allow more time"
        )
        faults.append(Fault.at(farm.project.source, "", message))
    if faults:
        return tuple(faults)
    return (
        Fault.at(
            farm.project.source,
            "",
            "every leg can be moored by itself, but not all of them together: what is available, "
            "the containers, the vessels' most days and the policies are too tight jointly, and "
            "easing any one of them alone is not enough",
        ),
    )


Eased = tuple[Source | None, str, str, Farm]
"""(source, heading, what was found, the farm with that limit lifted)."""


def _eased(farm: Farm) -> Iterator[Eased]:
    """Yield the farm with each limit lifted alone."""
    yield from _eased_goods(farm)
    for index, service in enumerate(farm.services):
        if service.available is not None:
            lifted = _with(farm.services, index, replace(service, available=None))
            found = f"{service.available} containers of '{service.name}'"
            yield service.source, "Available", found, replace(farm, services=lifted)
    for index, vessel in enumerate(farm.vessels):
        if vessel.most_days is not None:
            vessels = _with(farm.vessels, index, replace(vessel, most_days=None))
            found = f"{vessel.most_days} days of '{vessel.name}'"
            yield vessel.source, "Most days", found, replace(farm, vessels=vessels)
        if vessel.home_every_day:
            vessels = _with(farm.vessels, index, replace(vessel, home_every_day=False))
            found = f"the working day of '{vessel.name}', which goes home every day,"
            yield vessel.source, "Home every day", found, replace(farm, vessels=vessels)
    project = farm.project
    for field, heading in POLICIES.items():
        most = getattr(project, field)
        if most is not None:
            no_limit: dict[str, Any] = {field: None}
            eased = replace(farm, project=replace(project, **no_limit))
            yield project.source, heading, f"{heading} {most}", eased


def _eased_goods(farm: Farm) -> Iterator[Eased]:
    """Yield the farm with plenty of each item that is short, alone."""
    for n, anchor in enumerate(farm.anchors):
        if anchor.available is not None:
            anchors = _with(farm.anchors, n, replace(anchor, available=PLENTY))
            found = f"{anchor.available} of '{anchor.name}'"
            yield anchor.source, "Available", found, replace(farm, anchors=anchors)
    for n, chain in enumerate(farm.chains):
        if chain.available is not None:
            chains = _with(farm.chains, n, replace(chain, available=PLENTY))
            found = f"{chain.available} of '{chain.name}'"
            yield chain.source, "Available", found, replace(farm, chains=chains)
    for n, rope in enumerate(farm.ropes):
        if rope.available is not None:
            ropes = _with(farm.ropes, n, replace(rope, available=PLENTY))
            found = f"{rope.available} of '{rope.name}'"
            yield rope.source, "Available", found, replace(farm, ropes=ropes)
    for n, fitting in enumerate(farm.fittings):
        if fitting.available is not None:
            fittings = _with(farm.fittings, n, replace(fitting, available=PLENTY))
            found = f"{fitting.available} of '{fitting.name}'"
            yield fitting.source, "Available", found, replace(farm, fittings=fittings)
    for n, offer in enumerate(farm.offers):
        if offer.available is not None:
            offers = _with(farm.offers, n, replace(offer, available=PLENTY))
            found = f"{offer.available} of '{offer.item}' from '{offer.supplier}'"
            yield offer.source, "Available", found, replace(farm, offers=offers)


def _with(things: Sequence[One], index: int, one: One) -> tuple[One, ...]:
    """Return the things with another in one place."""
    return (*things[:index], one, *things[index + 1 :])
