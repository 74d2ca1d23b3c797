"""Load plans: every pack in its place in a container.

No pack hangs over: each stands wholly on the floor or on tops of one height. A plan is for the
stevedore to follow and to judge; lashing, dunnage and the plate on the container are not in it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from ...models.arrays import ROUNDING, floor_to_whole
from ...models.goods.load import Binding, Box, LoadPlan, Pack, Placement
from .balance import balanced, lightened
from .blocks import Block, BlockTable, passes_door
from .filling import Filling, FillingRule, PlaceOrder, search, usable

RULES = (
    FillingRule(PlaceOrder.FRONT, 0.5),
    FillingRule(PlaceOrder.TIGHT, 1.0),
    FillingRule(PlaceOrder.FLOOR, 0.5),
)
EVENLY = (FillingRule(PlaceOrder.LIGHTER, 0.5), FillingRule(PlaceOrder.LIGHTER, 2.0))
"""For loads that no order of slices balances."""


@dataclass(frozen=True)
class Effort:
    """How long to look: the widths of the searches, tried in turn until everything fits."""

    widths: tuple[int, ...] = (0, 2)
    """0: only one filling a rule, without search."""


QUICK = Effort((0,))
USUAL = Effort()
THOROUGH = Effort((0, 2, 4))

MANY = 1000
"""Of more like packs than this, only the quick fillings are counted."""


def pack(packs: Sequence[Pack], box: Box, effort: Effort = USUAL) -> LoadPlan:
    """Return a load plan with all the packs, or with as much of their volume as was found to fit.

    Args:
        packs: one entry a pack; equal packs are alike.
        box: the container.
        effort: how long to look.

    Raises:
        ValueError: a pack or box with a side that is not above 0, a pack of negative mass, or
            different packs of one name.
    """
    _check_sizes(packs, box)
    numbers = sorted(Counter(packs).items(), key=lambda of: (-of[0].volume_mm3, of[0].name))
    return _packed(tuple(numbers), box, effort)


@lru_cache(maxsize=2000)
def _packed(numbers: tuple[tuple[Pack, int], ...], box: Box, effort: Effort) -> LoadPlan:
    """Return what `pack` does, of so many packs of each kind: among the many containers of one
    booking, and from one booking to the next, most shares are alike."""
    barred = [kind for kind, _ in numbers if not passes_door(kind, box)]
    kinds = [kind for kind, _ in numbers if kind not in barred]
    counts = [number for kind, number in numbers if kind not in barred]
    best: list[Placement] = []
    best_volume = -1.0
    unbalanced: list[Placement] = []
    unbalanced_volume = -1.0
    for rules in (RULES, EVENLY):
        if rules is EVENLY and unbalanced_volume <= best_volume:
            break
        for filling in _fillings(kinds, counts, box, effort, rules):
            if filling.volume <= best_volume:
                continue
            load = _placements(filling.blocks, kinds)
            moved = balanced(load, box)
            if moved is not None:
                best, best_volume = moved, filling.volume
                if not filling.left.any():
                    break
            elif filling.volume > unbalanced_volume:
                unbalanced, unbalanced_volume = load, filling.volume
    by_balance = False
    if unbalanced_volume > best_volume:
        kept, off = lightened(unbalanced, box)
        volume = float(sum(p.dx * p.dy * p.dz for p in kept))
        if volume > best_volume:
            best, by_balance = kept, bool(off)
    packs = [kind for kind, number in numbers for _ in range(number)]
    return _plan(best, packs, barred, box, by_balance)


def pack_into(
    packs: Sequence[Pack], box: Box, boxes: int, effort: Effort = USUAL
) -> tuple[LoadPlan, ...] | None:
    """Return load plans of at most `boxes` containers that hold all the packs, or None.

    None means that no plan was found, not that there is none. No plan has anything left out; its
    `binding` says what sent packs on to the next container. First each container in turn is
    filled as far as it goes; then the packs are shared evenly.

    Raises:
        ValueError: as `pack`.
    """
    _check_sizes(packs, box)
    if not packs:
        return ()
    if boxes < 1 or not all(passes_door(kind, box) for kind in set(packs)):
        return None
    if sum(one.volume_mm3 for one in packs) > boxes * box.volume_mm3:
        return None
    if box.payload_kg is not None:
        mass = sum(one.mass_kg for one in packs)
        if mass > boxes * box.payload_kg * (1 + ROUNDING):
            return None
    for look in (QUICK, effort) if effort != QUICK else (QUICK,):
        for shares in ([tuple(packs)] + [()] * (boxes - 1), _even_shares(packs, box, boxes)):
            plans: list[LoadPlan] = []
            waiting: tuple[Pack, ...] = ()
            for share in shares:
                plan = pack([*waiting, *share], box, look)
                waiting = plan.left_out
                plans.append(plan)
            if not waiting:
                return tuple(replace(plan, left_out=()) for plan in plans if plan.placements)
            if boxes == 1:
                break
    return None


def how_many(one: Pack, box: Box, effort: Effort | None = None) -> int:
    """Return how many like packs were found to fit: by space, payload and balance."""
    _check_sizes([one], box)
    if not passes_door(one, box):
        return 0
    most = box.volume_mm3 // one.volume_mm3
    if box.payload_kg is not None and one.mass_kg > 0:
        most = min(most, floor_to_whole(box.payload_kg / one.mass_kg, ROUNDING))
    if effort is None:
        effort = THOROUGH if most <= MANY else QUICK
    return len(pack([one] * most, box, effort).placements)


def _check_sizes(packs: Sequence[Pack], box: Box) -> None:
    things: list[Box | Pack] = [box, *packs]
    for thing in things:
        if min(thing.length_mm, thing.width_mm, thing.height_mm) <= 0:
            raise ValueError(f"{thing.name}: every side must be longer than nothing")
    named: dict[str, Pack] = {}
    for one in packs:
        if one.mass_kg < 0:
            raise ValueError(f"{one.name}: its mass is negative")
        if named.setdefault(one.name, one) != one:
            raise ValueError(f"{one.name}: two different packs have this name")


def _fillings(
    kinds: Sequence[Pack],
    numbers: Sequence[int],
    box: Box,
    effort: Effort,
    rules: Sequence[FillingRule],
) -> Iterator[Filling]:
    """Yield ways to fill the box, the longer searches last."""
    table = BlockTable.of(kinds, numbers, box)
    reach = usable(kinds, box)
    start = Filling.empty(kinds, numbers, box, table)
    start.from_both_ends = rules is EVENLY
    for width in effort.widths:
        for rule in rules:
            if width == 0:
                yield start.copy().fill(rule, reach)
            else:
                yield search(start, rule, reach, width)
    if len(kinds) == 1:
        # The largest single block, which balances wherever it stands.
        largest = start.copy()
        if len(largest.rows):
            row = int(largest.rows[table.volume[largest.rows].argmax()])
            largest.put(row, 0, largest.levels[0][0])
            yield largest


def _placements(blocks: Sequence[Block], kinds: Sequence[Pack]) -> list[Placement]:
    placements = []
    for block in blocks:
        one = kinds[block.kind]
        a, b, c = block.sides
        placements += [
            Placement(
                one.name, block.x + i * a, block.y + j * b, block.z + k * c, a, b, c, one.mass_kg
            )
            for i in range(block.counts[0])
            for k in range(block.counts[2])
            for j in range(block.counts[1])
        ]
    return placements


def _plan(
    load: Sequence[Placement],
    packs: Sequence[Pack],
    barred: Sequence[Pack],
    box: Box,
    by_balance: bool,
) -> LoadPlan:
    placed = Counter(one.pack for one in load)
    left: list[Pack] = []
    for one in packs:
        if placed[one.name]:
            placed[one.name] -= 1
        else:
            left.append(one)
    spare = None if box.payload_kg is None else box.payload_kg - sum(p.mass_kg for p in load)
    waiting = [one for one in left if one not in barred]
    if not left:
        binding = Binding.NOTHING
    elif not waiting:
        binding = Binding.DOOR
    elif spare is not None and min(one.mass_kg for one in waiting) > spare:
        binding = Binding.PAYLOAD
    else:
        binding = Binding.BALANCE if by_balance else Binding.SPACE
    return LoadPlan(box, tuple(loading_order(load)), tuple(left), binding)


def loading_order(load: Sequence[Placement]) -> list[Placement]:
    """Return the load from the front wall to the door, what is below before what is on it."""
    by_top: dict[int, list[Placement]] = defaultdict(list)
    for placed in load:
        by_top[placed.z + placed.dz].append(placed)
    order: dict[Placement, None] = {}

    def carry_in(placed: Placement) -> None:
        if placed in order:
            return
        for below in by_top[placed.z] if placed.z else ():
            if (
                below.x < placed.x + placed.dx
                and placed.x < below.x + below.dx
                and below.y < placed.y + placed.dy
                and placed.y < below.y + below.dy
            ):
                carry_in(below)
        order[placed] = None

    for placed in sorted(load, key=lambda placed: (placed.x, placed.z, placed.y)):
        carry_in(placed)
    return list(order)


def _even_shares(packs: Sequence[Pack], box: Box, boxes: int) -> list[tuple[Pack, ...]]:
    """Return the packs shared out, each to the container that is least full by space or mass."""
    shares: list[list[Pack]] = [[] for _ in range(boxes)]
    full = [[0.0, 0.0] for _ in range(boxes)]
    payload = box.payload_kg or float("inf")

    def takes(one: Pack) -> tuple[float, float]:
        return one.volume_mm3 / box.volume_mm3, one.mass_kg / payload

    for one in sorted(packs, key=lambda one: (-max(takes(one)), one.name)):
        space, mass = takes(one)
        least = min(range(boxes), key=lambda i: max(full[i][0] + space, full[i][1] + mass))
        shares[least].append(one)
        full[least][0] += space
        full[least][1] += mass
    return [tuple(share) for share in shares]
