"""Reasons for an order: every one a price of the whole farm with one thing otherwise."""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from ...models.answer.stopped import Stopped
from ...models.asked.reasons import Change, CostRange, Forced, Reasons
from ...models.farm import Farm
from ...models.fault import FarmError
from ...models.option import FREE, Option, Rule, What, one_rule
from ...models.standing.make_up import MakeUp
from .deciding import pairs_of, whys_of
from .farm_pricer import FarmPricer, PricedOption

NEXT_BEST = 3
"""Plans with another anchor somewhere that are looked for."""

LEAST_S = 0.5
"""Seconds that a question is given at least: enough to change a known plan."""

NOT_ASKED = "not priced: the time was up"

Told = Callable[[str, float, float], bool]
"""Called with (what is asked, best cost, bound); returns True to stop."""


def reasons(
    pricing: FarmPricer, *, time_limit_s: float = 600.0, progress: Told | None = None
) -> Reasons:
    """Return why the farm's plan is as it is; the free choice is priced first if it was not.

    The time is shared among the questions; what is proven of each is said with it. Raises
    FarmError where there is no plan to give reasons for.
    """
    return ReasonsRun(pricing, progress, time_limit_s).all()


@dataclass
class ReasonsRun:
    """The questions, their clock and the plan that they are asked of."""

    pricing: FarmPricer
    progress: Told | None
    time_limit_s: float
    stopped: Stopped | None = None

    def __post_init__(self) -> None:
        self.began = time.perf_counter()
        self.base = self.pricing.price(
            FREE, time_limit_s=self.time_limit_s / 4, progress=self._told("the plan itself")
        )
        if self.base.settlement is None:
            raise ValueError(self.base.why)

    def all(self) -> Reasons:
        """Ask everything; the time left is shared by how many questions are left."""
        plan = self.base.plan()
        assert plan is not None
        farm = self.pricing.farm
        regrets = [anchor.name for anchor in farm.anchors if anchor.name in self._laid(self.base)]
        forced = list(self._to_force())
        changed = list(_changed(farm))
        searches = len(changed) + len(regrets) + NEXT_BEST
        self.left = searches + len(forced) / 4  # a forced leg mostly needs no search
        changes = tuple(self._change(what, other) for what, other in changed)
        banned = tuple(self._regret(name) for name in regrets)
        others = tuple(self._next_best())
        told = tuple(self._force(leg, family) for leg, family in forced)
        return Reasons(
            farm.project.name,
            farm.project.currency,
            plan.installed_cost,
            self.pricing.gap,
            whys_of(plan, self.pricing.choices),
            told,
            changes,
            banned,
            others,
            self.stopped,
        )

    # --- questions ---------------------------------------------------------------------------

    def _to_force(self) -> Iterator[tuple[str, str]]:
        """Yield each leg group with each family that the plan does not use on it."""
        farm, settlement = self.pricing.farm, self.base.settlement
        assert settlement is not None
        made = settlement.choices.make_ups
        used: dict[int, set[str]] = {}
        for leg, anchor in zip(made.leg.tolist(), made.anchor.tolist(), strict=True):
            used.setdefault(leg, set()).add(farm.anchors[anchor].family)
        for index, leg_group in enumerate(farm.legs):
            for family in farm.families:
                if used[index] != {family}:
                    yield leg_group.name, family

    def _force(self, leg: str, family: str) -> Forced:
        if self._time_is_up():
            return Forced(leg, family, (), None, NOT_ASKED)
        option = one_rule(f"{leg} on {family}", Rule.ALLOW, What.FAMILIES, family, legs=(leg,))
        priced = self._price(option, weight=0.25)
        if priced.settlement is None:
            return Forced(leg, family, (), None, priced.why)
        return Forced(leg, family, self._on(priced, leg), self._adds(priced))

    def _regret(self, anchor: str) -> Change:
        if self._time_is_up():
            return Change(f"{anchor} not to be had", None, "", NOT_ASKED)
        option = one_rule(f"without {anchor}", Rule.FORBID, What.ANCHORS, anchor)
        return self._as_change(f"{anchor} not to be had", self._price(option))

    def _next_best(self) -> Iterator[Change]:
        """Yield the cheapest plans that each differ in an anchor from all before."""
        assert self.base.settlement is not None
        choices = self.pricing.choices
        unlike = [pairs_of(choices, self.base.settlement.chosen.tolist())]
        for number in range(1, NEXT_BEST + 1):
            what = f"the next best plan, {number}" if number > 1 else "the next best plan"
            if self._time_is_up():
                yield Change(what, None, "", NOT_ASKED)
                return
            priced = self.pricing.price(
                FREE,
                time_limit_s=self._share(1.0),
                progress=self._told(what),
                unlike=tuple(unlike),
            )
            yield self._as_change(what, priced)
            if priced.settlement is None:
                return
            unlike.append(pairs_of(choices, priced.settlement.chosen.tolist()))

    def _change(self, what: str, farm: Farm) -> Change:
        """Price a farm whose legs or factors are otherwise: its choices are enumerated anew."""
        if self._time_is_up():
            return Change(what, None, "", NOT_ASKED)
        seconds = self._share(1.0)
        try:
            pricing = FarmPricer(
                farm,
                gap=self.pricing.gap,
                solver=self.pricing.solver,
                workers=self.pricing.workers,
            )
        except FarmError as error:
            return Change(what, None, "", "; ".join(str(fault) for fault in error.faults[:2]))
        priced = pricing.price(FREE, time_limit_s=seconds, progress=self._told(what))
        return self._as_change(what, priced)

    # --- pieces of answers -------------------------------------------------------------------

    def _price(self, option: Option, weight: float = 1.0) -> PricedOption:
        seconds = self._share(weight)
        return self.pricing.price(option, time_limit_s=seconds, progress=self._told(option.name))

    def _share(self, weight: float) -> float:
        """Return the seconds of the next question, by its weight among those left."""
        left = self.time_limit_s - (time.perf_counter() - self.began)
        share = left * weight / max(self.left, weight)
        self.left -= weight
        return max(share, LEAST_S)

    def _time_is_up(self) -> bool:
        """Tell whether no further question may be asked."""
        if not self.stopped and time.perf_counter() - self.began > self.time_limit_s:
            self.stopped = Stopped.TIME_LIMIT
        return self.stopped is not None

    def _told(self, what: str) -> Callable[[float, float], bool]:
        def told(cost: float, bound: float) -> bool:
            if self.progress is not None and self.progress(what, cost, bound):
                self.stopped = Stopped.INTERRUPTED
            return self.stopped is not None

        return told

    def _adds(self, priced: PricedOption) -> CostRange:
        base = self.base
        return CostRange(
            priced.cost - base.cost,
            max(priced.bound - base.cost, 0.0) if math.isfinite(priced.bound) else 0.0,
            priced.cost - base.bound,
        )

    def _as_change(self, what: str, priced: PricedOption) -> Change:
        if priced.settlement is None:
            return Change(what, None, "", priced.why)
        counted = self._laid(priced)
        words = ", ".join(f"{count} × {name}" for name, count in counted.most_common())
        return Change(what, self._adds(priced), words)

    def _laid(self, priced: PricedOption) -> Counter[str]:
        """Return the anchors that a priced plan lays."""
        settlement = priced.settlement
        assert settlement is not None
        laid: Counter[str] = Counter()
        for anchor, each, count in zip(
            settlement.choices.make_ups.anchor.tolist(),
            settlement.choices.make_ups.anchors.tolist(),
            settlement.counts.tolist(),
            strict=True,
        ):
            laid[priced.farm.anchors[anchor].name] += each * count
        return laid

    def _on(self, priced: PricedOption, leg: str) -> tuple[MakeUp, ...]:
        """Return the make-ups of one leg in a priced plan."""
        settlement = priced.settlement
        assert settlement is not None
        place = [one.name for one in priced.farm.legs].index(leg)
        made = settlement.choices.make_ups
        return tuple(
            made.make_up(priced.farm, index)
            for index in range(len(made))
            if int(made.leg[index]) == place
        )


def _changed(farm: Farm) -> Iterator[tuple[str, Farm]]:
    """Yield the farm a little more loaded, deeper, safer, and with more weather."""
    tension = tuple(replace(g, design_tension_kn=g.design_tension_kn + 1.0) for g in farm.legs)
    yield "1 kN more design tension on every leg", replace(farm, legs=tension)
    deeper = tuple(replace(g, depth_m=g.depth_m + 1.0) for g in farm.legs)
    yield "1 m more depth under every leg", replace(farm, legs=deeper)
    project = replace(farm.project, anchor_safety_factor=farm.project.anchor_safety_factor + 0.1)
    anchors = tuple(
        a if a.safety_factor is None else replace(a, safety_factor=a.safety_factor + 0.1)
        for a in farm.anchors
    )
    yield "0.1 more anchor safety factor", replace(farm, project=project, anchors=anchors)
    if not farm.laying_priced:
        return
    vessels = tuple(
        replace(
            v,
            # One more charged day, whatever is laid, is the day's rate on top of mobilisation.
            mobilisation=v.mobilisation + v.day_rate,
            most_days=None if v.most_days is None else max(v.most_days - 1, 0),
        )
        for v in farm.vessels
    )
    yield "1 more day lost to weather by every vessel used", replace(farm, vessels=vessels)
