"""Next tests in words: what more pull tests save, and where to stop."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ...models.asked.next_tests import NextTest, NextTests
from ..words.cautions import PULLS
from ..words.grammar import counted
from ..words.stopped import ended_early

READ_TESTS = (
    "Each figure is the whole farm priced again as if so many more tests had been made there and "
    "mean and scatter stayed as they are: what they will be, nobody knows. Saves: by the plans "
    "found; at least and at most are proven. A test is paid by the project's price, else by whole "
    "days of the cheapest vessel that lifts the anchor."
)


NOT_PRICED = (
    "The tests themselves are NOT PRICED: no Price of a pull test in Project and no vessel. Hold "
    "what they save against what they cost."
)


def read_words(found: NextTests) -> tuple[str, ...]:
    """Return how the figures are to be read."""
    return (READ_TESTS,) if found.tests_priced else (NOT_PRICED, READ_TESTS)


def verdict_of(row: NextTest) -> str:
    """Return in a sentence whether to test on."""
    if row.why:
        return f"stop testing here: {row.why}" if not row.worth_it else row.why
    if all(one.saves is None for one in row.options):
        return "not priced: the time was up"
    best = row.best
    if row.worth_it:
        assert best.saves is not None
        sure = "" if best.saves.least > best.price else "; not proven"
        return (
            f"{counted(best.more, 'more test')}: saves {best.saves.found:,.0f} for "
            f"{best.price:,.0f}{sure}"
        )
    most = max(one.saves.most - one.price for one in row.options if one.saves is not None)
    if math.isinf(most):
        return "stop testing here, by the plans found; not proven"
    if most > 0:
        return f"stop testing here, by the plans found; not proven (to gain at most {most:,.0f})"
    return "stop testing here: no more tests are worth their price"


def next_tests_text(found: NextTests) -> str:
    """Return a table of plain text, the tests that leave most first."""
    return "\n".join(_lines(found))


def _lines(found: NextTests) -> Iterator[str]:
    yield (
        f"Next tests, {found.currency}: the farm now costs {found.cost:,.2f}."
        f"{ended_early(found.stopped)}"
    )
    if not found.rows:
        yield "No more tests would raise what any anchor is relied on to hold."
        return
    width = max(len(f"{row.anchor} on {row.seabed}") for row in found.rows)
    heads = "".join(f"  {f'{n} more: kN':>12} {'saves':>10} {'price':>8}" for n in (1, 2, 3))
    yield f"{'Anchor on seabed':<{width}}  {'tests':>5}  {'kN now':>8}{heads}"
    lawful = [row for row in found.rows if row.why and row.by_law]
    for row in (row for row in found.rows if row not in lawful):
        cells = "".join(
            f"  {one.relied_on_kn:>12,.1f} "
            f"{'' if one.saves is None else f'{one.saves.found:,.0f}':>10} {one.price:>8,.0f}"
            for one in row.options
        )
        name = f"{row.anchor} on {row.seabed}"
        yield f"{name:<{width}}  {row.tests:>5}  {row.relied_on_kn:>8,.1f}{cells}"
        yield f"{'':<{width}}  {verdict_of(row)}"
    if lawful:
        yield (
            f"{len(lawful)} more rest on a law: tests that come out as the law says would not "
            "raise what they are relied on for."
        )
    yield from read_words(found)
    yield PULLS
