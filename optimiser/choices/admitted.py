"""What an option leaves of a farm: its offers, and the choices of its legs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ...models.arrays import Bools
from ...models.farm import Farm
from ...models.goods.item import GoodT
from ...models.option import Option, Restriction, Rule, What
from ...models.option_menu import names_of
from ...models.site.leg import Leg
from .choices import Choices, fittings_needed, obtainable
from .make_ups import may_use
from .nearest_miss import nearest_miss

NAMED = 3
"""Most legs of which it is said in full why an option cannot moor them."""


def offers_left(farm: Farm, option: Option) -> Farm:
    """Return the farm with nothing to be had of the suppliers, and no services, that the option
    bars; every leg, item and vessel keeps its place. What is on hand stays."""
    barred = option.barred(What.SUPPLIERS, names_of(farm, What.SUPPLIERS))
    no_service = option.barred(What.SERVICES, names_of(farm, What.SERVICES))
    if no_service:
        kept = tuple(s for s in farm.services if s.name not in no_service)
        farm = replace(farm, services=kept)
    if not barred:
        return farm

    def none_of(good: GoodT) -> GoodT:
        return replace(good, available=0) if good.supplier in barred else good

    offers = tuple(replace(o, available=0) if o.supplier in barred else o for o in farm.offers)
    return replace(farm.with_goods(none_of), offers=offers)


def admitted(farm: Farm, choices: Choices, option: Option) -> Bools:
    """Return (X,): which choices an option leaves; `farm` is what `offers_left` returned.

    A leg that nothing preferred can moor keeps what the option's other rows leave it.
    """
    left = _to_be_had(farm, choices)
    wanted: dict[tuple[Rule, What, tuple[str, ...]], Bools] = {}
    for row in option.restrictions:
        hit = _named(farm, choices, row)
        if hit is None:
            continue
        if row.rule is Rule.FORBID:
            left &= ~(hit & _on_legs(farm, choices, row))
            continue
        key = (row.rule, row.what, row.legs)
        wanted[key] = wanted[key] | hit if key in wanted else hit
    for (rule, _, legs), hit in sorted(wanted.items(), key=lambda one: one[0][0] is Rule.PREFER):
        ok = left & (hit | ~_on(farm, choices, legs))
        if rule is Rule.PREFER:
            served = np.zeros(len(farm.legs), dtype=bool)
            served[choices.make_ups.leg[ok]] = True
            ok |= left & ~served[choices.make_ups.leg]
        left = ok
    return left


def _to_be_had(farm: Farm, choices: Choices) -> Bools:
    """Return which choices use only items that can be ordered or are on hand, fittings too."""
    orderable = obtainable(farm)

    def had(names: Sequence[str]) -> Bools:
        by_name = farm.item_by_name
        return np.array([orderable[n] or by_name[n].on_hand_total > 0 for n in names] + [True])

    made = choices.make_ups
    left = (
        had([a.name for a in farm.anchors])[made.anchor]
        & had([c.name for c in farm.chains])[made.chain]
        & had([r.name for r in farm.ropes])[made.rope]
    )
    there = had([f.name for f in farm.fittings])
    for fitting, needed in fittings_needed(farm, made):
        if not there[fitting]:
            left &= needed == 0
    return np.asarray(left)


def _named(farm: Farm, choices: Choices, row: Restriction) -> Bools | None:
    """Return (X,): which choices use what a row names; None for what no choice has."""
    which = set(row.which)
    made = choices.make_ups
    if row.what is What.VESSELS:
        return np.array([v.name in which for v in farm.vessels])[choices.vessel]
    if row.what is What.CHAINS:
        return np.array([c.name in which for c in farm.chains])[made.chain]
    if row.what is What.ROPES:
        return np.array([*(r.name in which for r in farm.ropes), False])[made.rope]
    by_anchor = {
        What.ANCHORS: [a.name in which for a in farm.anchors],
        What.FAMILIES: [a.family in which for a in farm.anchors],
        What.TRANSPORT_FORM: [str(a.transport_form) in which for a in farm.anchors],
    }.get(row.what)
    return None if by_anchor is None else np.array(by_anchor)[made.anchor]


def _on_legs(farm: Farm, choices: Choices, row: Restriction) -> Bools:
    return _on(farm, choices, row.legs)


def _on(farm: Farm, choices: Choices, legs: tuple[str, ...]) -> Bools:
    """Return (X,): which choices are of the legs named; none named: all."""
    if not legs:
        return np.ones(len(choices), dtype=bool)
    return np.array([leg.name in legs for leg in farm.legs])[choices.make_ups.leg]


def why_none(farm: Farm, option: Option, legs: Sequence[Leg]) -> str:
    """Return why an option leaves some legs without a choice; `farm` is what it leaves."""
    told = [f"leg '{leg.name}' {why}" for leg in legs if (why := _why_at_once(farm, option, leg))]
    plain = {leg.name for leg in legs if not _why_at_once(farm, option, leg)}
    missed = [str(nearest_miss(_narrowed(farm, option, leg), leg))
              for leg in [leg for leg in legs if leg.name in plain][:NAMED]]  # fmt: skip
    shown = [*told[: max(NAMED - len(missed), 1)], *missed][:NAMED]
    more = len(legs) - len(shown)
    return "; ".join([*shown, f"and {more} more leg groups"] if more else shown)


def _why_at_once(farm: Farm, option: Option, leg: Leg) -> str:
    """Return why nothing is left for a leg, where no limit need be looked at; or ""."""
    orderable = obtainable(farm)
    lacking = [
        f
        for f in farm.fittings
        if not orderable[f.name] and farm.item_by_name[f.name].on_hand_total <= 0
    ]
    chains = [c for c in farm.chains if leg.fixed_chain in (None, c.name)]
    lacking = [f for f in lacking if f.needed(1) > 0]
    if chains and all(any(f.applies_to(c.name) for f in lacking) for c in chains):
        names = " and ".join(f"'{f.name}'" for f in lacking[:2])
        return f"needs fittings that can then not be had, such as {names}"
    narrow = _narrowed(farm, option, leg)
    left = {anchor.name for anchor in narrow.anchors}
    listed = [anchor for anchor in farm.anchors if may_use(leg, anchor)]
    if not any(anchor.name in left for anchor in listed):
        own = ", ".join(dict.fromkeys(anchor.family for anchor in listed)) or "no anchor"
        return f"may by its own lists use only {own}"
    if not narrow.chains or not narrow.vessels or (farm.ropes and not narrow.ropes):
        return "has no chain, rope or vessel left"
    return ""


def _narrowed(farm: Farm, option: Option, leg: Leg) -> Farm:
    """Return the farm with only the goods and vessels that the option leaves one leg."""
    rows = tuple(
        replace(row, legs=())
        for row in option.restrictions
        if row.rule is not Rule.PREFER and (not row.legs or leg.name in row.legs)
    )
    here = Option(option.name, rows)

    def barred(what: What) -> frozenset[str]:
        return here.barred(what, names_of(farm, what))

    anchors = tuple(
        a
        for a in farm.anchors
        if a.name not in barred(What.ANCHORS)
        and a.family not in barred(What.FAMILIES)
        and str(a.transport_form) not in barred(What.TRANSPORT_FORM)
    )
    return replace(
        farm,
        anchors=anchors,
        chains=tuple(c for c in farm.chains if c.name not in barred(What.CHAINS)),
        ropes=tuple(r for r in farm.ropes if r.name not in barred(What.ROPES)),
        vessels=tuple(v for v in farm.vessels if v.name not in barred(What.VESSELS)),
    )
