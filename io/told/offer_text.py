"""Offers compared in words and rows: for sheet, page and terminal alike."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...models.answer.plan import within_gap
from ...models.arrays import WHOLE, floor_to_whole
from ...models.asked.offer_worth import OfferWorth, OfferWorths
from ..words.grammar import counted, percent, price_text
from ..words.kinds import NumberKind
from ..words.stopped import in_brackets
from ..words.unpriced import first_price_words, total_in_text

LOST = "Offers that lost, the nearest to winning first: what each must come down to"
WON = "Offers that won: what each may rise to before it loses"

READ = (
    "Each offer is moved by itself, its whole price list by one share, all other prices held fast. "
    "At its target or less, buying an offer that lost costs the farm no more than the plan above: "
    "that is sure, by a plan in hand. Whatever an offer that won rises to, the farm need not pay "
    "more than 'The farm then pays': that is sure too, by a plan in hand that does without it, and "
    "above the figure it may rise to that plan is the cheaper one. 'Money' is what the move comes "
    "to. Where the last column says that a cheaper plan is not ruled out, the offer may come in, "
    "or go out, at another price yet: where a supplier stops a little short of a target, price the "
    "farm with what is offered. A target is a figure to bargain with, not a price that anyone has "
    "given."
)

MOST_LINES = 12
"""Offers of a kind that the terminal names."""

Cell = str | int | float | None
Row = tuple[Cell, ...]


def columns_of(currency: str) -> tuple[tuple[str, NumberKind], ...]:
    """Return the headings of an offer's row, and what each holds."""
    return (
        ("Item", NumberKind.TEXT),
        ("Supplier", NumberKind.TEXT),
        ("Quotation", NumberKind.TEXT),
        ("Currency", NumberKind.TEXT),
        ("Price asked (each, or per m)", NumberKind.PRICE),
        ("Target, or may rise to", NumberKind.PRICE),
        ("Move", NumberKind.SHARE_FINE),
        ("Units bought there", NumberKind.COUNT),
        (f"Money ({currency})", NumberKind.MONEY),
        (f"The farm then pays ({currency})", NumberKind.MONEY),
        (f"Each 1 % is worth ({currency})", NumberKind.MONEY),
        (f"With it at the price asked ({currency})", NumberKind.MONEY),
        ("What is not sure", NumberKind.TEXT),
    )


def lost_rows(worths: OfferWorths) -> list[Row]:
    """Return a row for every offer that lost."""
    return [_row(one, worths) for one in worths.lost]


def won_rows(worths: OfferWorths) -> list[Row]:
    """Return a row for every offer that is bought."""
    return [_row(one, worths) for one in worths.won]


def _row(one: OfferWorth, worths: OfferWorths) -> Row:
    known = one.turning is not None
    return (
        one.item,
        one.supplier,
        one.quotation,
        one.currency,
        one.price,
        target_told(one),
        None if one.turning is None else one.turning - 1.0,
        one.taken if known else None,
        one.stake,
        one.there if known else None,
        one.per_share / 100.0 if known else None,
        one.with_it,
        not_sure(one, worths),
    )


def target_told(one: OfferWorth) -> float | None:
    """Return the target as it is told, rounded down so that it stays true: from 10 on to a
    hundredth, as prices are quoted; below, to a ten-thousandth."""
    if one.target is None:
        return None
    parts = 100 if one.target >= 10 else 10_000
    return floor_to_whole(one.target * parts, WHOLE) / parts


def not_sure(one: OfferWorth, worths: OfferWorths) -> str:
    """Return what must be said of an offer's figures; "" where they are exact to the gap."""
    if one.why or within_gap(one.gap, worths.asked_gap):
        return one.why
    if not math.isfinite(one.gap):
        return "how sure is not known: the time was up"
    money = f"{worths.plan.farm.project.currency} {one.cheaper_yet:,.0f}"
    what = "it may go out sooner, or later" if one.won else "a higher price may do"
    return f"a plan cheaper by up to {percent(one.gap)} ({money}) is not ruled out there: {what}"


def standing(worths: OfferWorths) -> str:
    """Return how many offers there are, and how sure the figures are, in a sentence."""
    every = len(worths.lost) + len(worths.won)
    told = f"{counted(every, 'offer')}, {len(worths.won)} bought of. "
    if worths.proven:
        return told + (
            f"Every target is exact to the gap of {percent(worths.asked_gap)}, by "
            f"{counted(worths.solves, 'solve')}."
        )
    near = [one.gap for one in worths.unsure if one.turning is not None and one.gap < 1.0]
    open_ = len(worths.unsure) - len(near)
    parts = [f"{every - len(worths.unsure)} are exact to the gap of {percent(worths.asked_gap)}"]
    if near:
        itself = percent(worths.plan.proof.gap)
        parts.append(f"{len(near)} to {percent(max(near))} at most (the plan itself to {itself})")
    if open_:
        parts.append(f"{open_} are not proven")
    return told + (
        f"{'; '.join(parts)}{in_brackets(worths.stopped)}: see what is not sure, and allow more "
        "time (--time-limit)."
    )


def offers_text(worths: OfferWorths) -> str:
    """Return the comparison as the terminal shows it."""
    project = worths.plan.farm.project
    cost = worths.plan.installed_cost
    what = total_in_text(worths.plan.farm)
    lines = [
        *first_price_words(worths.plan.farm),
        f"{project.name}: {what} {project.currency} {cost:,.2f}. {standing(worths)}",
    ]
    for title, offers in ((LOST, worths.lost), (WON, worths.won)):
        lines += ["", title, *_lines(offers, worths)]
    return "\n".join(lines)


def _lines(offers: Sequence[OfferWorth], worths: OfferWorths) -> list[str]:
    told = [f"  {_line(one, worths)}" for one in offers[:MOST_LINES]]
    more = len(offers) - MOST_LINES
    return [*told, f"  and {more} more, in the workbook"] if more > 0 else told or ["  none"]


def _line(one: OfferWorth, worths: OfferWorths) -> str:
    whose = f"{one.item} from {one.supplier}, {one.currency} {price_text(one.price)}"
    doubt = not_sure(one, worths)
    target = target_told(one)
    if target is None or one.turning is None:
        return f"{whose}: {doubt}"
    verb = "may rise to" if one.won else "enters at"
    told = (
        f"{whose}: {verb} {price_text(target)} ({one.turning - 1:+.2%}, "
        f"{worths.plan.farm.project.currency} {one.stake or 0.0:,.2f})"
    )
    return f"{told}; {doubt}" if doubt else told
