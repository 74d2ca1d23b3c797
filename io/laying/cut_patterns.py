"""Cut patterns: lengths that are cut alike, and the mark that every piece carries.

A mark names the chain or rope by a letter and a number (C2: the farm's second chain that is cut),
the length, and the piece within it: C2.7.1. Lengths of a pattern have pieces in the same order.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass

from ...models.answer.plan import Cut, Piece, Plan
from ...models.goods.item import ItemKind

CHAIN, ROPE = "C", "R"
ON_HAND = "H"


@dataclass(frozen=True)
class Pattern:
    """Lengths of one item that are cut alike, in order."""

    item: str
    code: str
    """Of the item: C2."""
    cuts: tuple[Cut, ...]

    @property
    def metres(self) -> tuple[float, ...]:
        """The pieces, in the order in which they are cut."""
        return tuple(piece.length_m for piece in in_order(self.cuts[0]))

    @property
    def stock_m(self) -> float:
        """The length that is cut."""
        return self.cuts[0].stock_m

    @property
    def on_hand(self) -> bool:
        """Whether they are cut from pieces on hand."""
        return self.cuts[0].on_hand


def in_order(cut: Cut) -> tuple[Piece, ...]:
    """Return the pieces of a length, the longest first."""
    return tuple(sorted(cut.pieces, key=lambda piece: -piece.length_m))


def codes_of(plan: Plan) -> dict[str, str]:
    """Return the code of every chain and rope that is cut."""
    cut = {each.item for each in plan.cuts}
    codes: dict[str, str] = {}
    for letter, kind in ((CHAIN, ItemKind.CHAIN), (ROPE, ItemKind.ROPE)):
        items = [item.name for item in plan.farm.items if item.kind is kind and item.name in cut]
        codes |= {name: f"{letter}{number}" for number, name in enumerate(items, start=1)}
    return codes


def patterns_of(plan: Plan) -> tuple[Pattern, ...]:
    """Return the patterns, by item; of each item those that are cut most often first."""
    codes = codes_of(plan)
    alike: defaultdict[tuple[str, bool, float, tuple[float, ...]], list[Cut]] = defaultdict(list)
    for cut in plan.cuts:
        metres = tuple(piece.length_m for piece in in_order(cut))
        alike[cut.item, cut.on_hand, cut.stock_m, metres].append(cut)
    order = list(codes)
    found = [Pattern(key[0], codes[key[0]], tuple(cuts)) for key, cuts in alike.items()]
    found.sort(key=lambda p: (order.index(p.item), p.on_hand, -len(p.cuts), -p.metres[0]))
    return tuple(found)


def numbers_of(plan: Plan) -> dict[tuple[str, bool, int], str]:
    """Return (item, on hand, number in the plan) → the number that its mark carries.

    Lengths bought are numbered pattern by pattern, so that those cut alike follow each other;
    pieces on hand keep their number, the longest first, behind an H.
    """
    numbers: dict[tuple[str, bool, int], str] = {}
    bought: Counter[str] = Counter()
    for pattern in patterns_of(plan):
        for cut in pattern.cuts:
            bought[cut.item] += not cut.on_hand
            number = f"{ON_HAND}{cut.number}" if cut.on_hand else f"{bought[cut.item]}"
            numbers[cut.item, cut.on_hand, cut.number] = number
    return numbers


def length_marks(plan: Plan) -> dict[tuple[str, bool, int], str]:
    """Return (item, on hand, number in the plan) → the mark of a length: C2.7."""
    codes = codes_of(plan)
    return {key: f"{codes[key[0]]}.{number}" for key, number in numbers_of(plan).items()}


def marks_by_line(plan: Plan) -> dict[tuple[str, str, int], tuple[str, ...]]:
    """Return (item, leg, line) → the marks of its pieces, in the order in which they are joined."""
    lengths = length_marks(plan)
    found: defaultdict[tuple[str, str, int], list[tuple[int, str]]] = defaultdict(list)
    for cut in plan.cuts:
        length = lengths[cut.item, cut.on_hand, cut.number]
        for number, piece in enumerate(in_order(cut), start=1):
            found[cut.item, piece.leg, piece.line].append((piece.part, f"{length}.{number}"))
    return {key: tuple(mark for _, mark in sorted(marks)) for key, marks in found.items()}
