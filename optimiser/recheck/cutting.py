"""The cutting list of a finished plan, worked again: every piece once, no length overdrawn."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from ...models.answer.check_line import CheckLine
from ...models.answer.plan import Cut, Piece, Plan
from .articles import Article
from .legs import lines_to_lay, rope_cut_m
from .orders import ordered_of
from .tolerance import PHYSICAL, at_most, rule, same

Line = tuple[str, int]
"""A leg group and the number of one of its lines, from 1."""


def _pieces(plan: Plan, articles: dict[str, Article]) -> dict[tuple[str, Line], list[Piece]]:
    """Return (item, line) → the pieces cut for it."""
    found: dict[tuple[str, Line], list[Piece]] = defaultdict(list)
    for cut in plan.cuts:
        if cut.item in articles:
            for piece in cut.pieces:
                found[cut.item, (piece.leg, piece.line)].append(piece)
    return found


def joins_money(plan: Plan, articles: dict[str, Article]) -> float:
    """Return what the joins of the cutting list cost: one less than the pieces, for every line;
    of each chain as many as it has connectors on hand are free."""
    joins: Counter[str] = Counter()
    for (item, _), cut in _pieces(plan, articles).items():
        joins[item] += len(cut) - 1
    return sum(
        max(number - articles[item].connectors, 0) * articles[item].join_cost
        for item, number in joins.items()
    )


def cutting_lines(plan: Plan, articles: dict[str, Article]) -> Iterator[CheckLine]:
    """Yield the check lines of the cutting list."""
    ordered = ordered_of(plan)
    by_item: dict[str, list[Cut]] = defaultdict(list)
    for cut in plan.cuts:
        by_item[cut.item].append(cut)
    for item, cuts in by_item.items():
        article = articles.get(item)
        if article is None or article.length_m is None:
            yield rule("is chain or rope to cut", item, False)
            continue
        for cut in cuts:
            where = _place(cut)
            taken = sum(piece.length_m for piece in cut.pieces)
            yield at_most("pieces fit their length", where, taken, cut.stock_m, "m")
            shortest = min((piece.length_m for piece in cut.pieces), default=1.0)
            yield rule("every piece has a length", where, shortest > 0)
        yield from _stock_lines(item, article, cuts, ordered.get(item, 0))
    yield from _piece_lines(plan, articles)


def _place(cut: Cut) -> str:
    """Return the item and which of its lengths is cut."""
    return f"{cut.item}, {'on hand' if cut.on_hand else 'length'} {cut.number}"


def _stock_lines(item: str, article: Article, cuts: list[Cut], bought: int) -> Iterator[CheckLine]:
    """Every length cut is one that was bought or is on hand, and is cut once."""
    listed = Counter((cut.on_hand, cut.number) for cut in cuts)
    yield rule("each length is listed once", item, max(listed.values()) == 1)
    new = [cut for cut in cuts if not cut.on_hand]
    old = [cut for cut in cuts if cut.on_hand]
    yield at_most("lengths cut", item, len(new), bought, "lengths")
    for cut in new:
        where = _place(cut)
        yield at_most("length as sold", where, cut.stock_m, article.length_m or 0.0, "m")
    # The longest piece taken must not be longer than the longest on hand, and so on down.
    hand = sorted(article.stock, reverse=True)
    yield at_most("pieces on hand cut", item, len(old), len(hand), "pieces")
    taken = sorted((cut.stock_m for cut in old), reverse=True)
    for number, (used, there) in enumerate(zip(taken, hand, strict=False), 1):
        yield at_most("piece on hand as long as said", f"{item}, no. {number}", used, there, "m")


def _piece_lines(plan: Plan, articles: dict[str, Article]) -> Iterator[CheckLine]:
    """Every line of every leg has its chain and rope, and nothing is cut for no line."""
    lines: dict[Line, dict[str, list[Piece]]] = defaultdict(dict)
    for (item, line), pieces in _pieces(plan, articles).items():
        lines[line][item] = pieces
        where = f"{line[0]}, line {line[1]}: {item}"
        if articles[item].whole:
            yield at_most("one continuous length", where, len(pieces), 1, "pieces")
        count = len(pieces)
        apart = plan.farm.project.chain_between_joins_m
        if apart is not None and count > 1:
            metres = sum(piece.length_m for piece in pieces)
            yield at_most("metres between joins", where, (count - 1) * apart, metres, "m")
        numbered = sorted((piece.part, piece.parts) for piece in pieces)
        right = numbered == [(part, count) for part in range(1, count + 1)]
        yield rule("parts are numbered through", where, right)
    for leg in plan.farm.legs:
        mine = {number: cut for (name, number), cut in lines.items() if name == leg.name}
        due = lines_to_lay(plan.farm, leg)
        yield rule("every line to lay is cut, by its number", leg.name, sorted(mine) == [*due])
        left = list(mine.values())
        for a in plan.assignments:
            if a.leg != leg.name:
                continue
            lengths = {a.make_up.chain: a.make_up.chain_m}
            if a.make_up.rope is not None:
                lengths[a.make_up.rope] = rope_cut_m(plan.farm, a.make_up)
            fitting = [cut for cut in left if _is_cut_to(cut, lengths)][: a.count]
            for cut in fitting:
                left.remove(cut)
            where = f"{leg.name}: {a.make_up}, by {a.vessel}"
            yield same("lines with their chain and rope cut", where, a.count, len(fitting), "lines")
        yield same("lines cut for nothing", leg.name, 0, len(left), "lines")
    legs = {leg.name for leg in plan.farm.legs}
    for name, number in lines:
        if name not in legs:
            yield rule("is cut for a leg of the farm", f"{name}, line {number}", False)


def _is_cut_to(cut: dict[str, list[Piece]], lengths: dict[str, float]) -> bool:
    """Tell whether the pieces of one line are these lengths of these items."""
    if set(cut) != set(lengths):
        return False
    sums = {item: sum(piece.length_m for piece in pieces) for item, pieces in cut.items()}
    return all(abs(sums[item] - m) <= PHYSICAL * max(m, 1.0) for item, m in lengths.items())
