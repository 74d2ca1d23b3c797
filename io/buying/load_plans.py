"""Load plan: where every pack stands in every container, drawn and listed for the stevedore."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...models.answer.plan import Booking
from ...models.constants import M3_PER_MM3
from ...models.goods.load import LoadPlan, Pack, Placement
from ..drawings.load_picture import FULL_PX, load_picture, sides_px
from ..paper.book import PlanBook, unchanged
from ..paper.page import Page, SheetColumn, Value
from ..paper.style import Look
from ..words.grammar import listed
from ..words.kinds import NumberKind
from ..words.unpriced import sizes_words

COLUMNS = (
    SheetColumn("No.", NumberKind.COUNT),
    SheetColumn("Pack", widest=30),
    SheetColumn("Item", widest=24),
    SheetColumn("Of it", NumberKind.COUNT),
    SheetColumn("From front wall (mm)", NumberKind.COUNT),
    SheetColumn("From left wall (mm)", NumberKind.COUNT),
    SheetColumn("Above floor (mm)", NumberKind.COUNT),
    SheetColumn("Along (mm)", NumberKind.COUNT),
    SheetColumn("Across (mm)", NumberKind.COUNT),
    SheetColumn("Up (mm)", NumberKind.COUNT),
    SheetColumn("Mass (kg)", NumberKind.MASS_KG),
    SheetColumn("Stands", widest=24),
)

HOW_TO_READ = (
    "Packs are numbered in the order of loading, from the front wall to the door and from below. "
    "Places are those of the pack's corner nearest to the front wall, the left wall and the floor; "
    "left is on the left hand of someone inside who faces the door, and at the top of the picture "
    "from above. Where several packs show as one rectangle, the picture gives their numbers, the "
    "nearest first."
)
CRATES = (
    "Chain, rope and fittings state a packed volume and no sides. It is assumed that their "
    "shipper puts them in crates or drums of one item, of at most 1 m³ and 1,000 kg unless one "
    "piece is more, about as high as wide, made to stand two abreast through the door. Have the "
    "shipper confirm sizes before stuffing."
)
CAUTION = (
    "A plan to start from, not a stowage certificate. Securing, dunnage, bedding for heavy packs, "
    "the plate on the container and road and sea rules (the CTU Code among them) come first; a "
    "competent person plans and leads the stuffing, and nobody stands below or behind a lift."
)

CHANGED = "THE ORDERS HAVE CHANGED SINCE: price again, and load by the new plan."

PICTURE_CM = 24.0
"""Width of the picture of the longest container."""


def write_load_plans(book: PlanBook) -> None:
    """Write the load plans of every booking."""
    write_loads_of(book, book.plan.bookings)


def write_loads_of(book: PlanBook, bookings: Sequence[Booking]) -> None:
    """Write a picture and a list for every container of some bookings; like containers are shown
    once. Where no container is booked there is no sheet."""
    plan = book.plan
    if not any(booking.containers for booking in bookings):
        return
    page = book.page("Load plan")
    containers = sum(len(booking.loads) for booking in bookings)
    page.head(
        "Load plan",
        (
            f"{containers} containers, each shown to hold what is booked in it."
            if containers
            else "No container that states its inside is booked: nothing is load-planned."
        ),
        of=plan.farm.project.name,
        across=len(COLUMNS),
    )
    row = page.paragraphs(3, [HOW_TO_READ, CRATES, CAUTION], len(COLUMNS), Look.NOTE) + 1
    carried = [name for booking in bookings for name, _, _ in booking.packs]
    if assumed := sizes_words(plan.farm, carried):
        told = f"{assumed} They are drawn too small: more containers may be needed."
        row = page.paragraphs(row - 1, [told], len(COLUMNS), Look.ALERT) + 1
    flags = [book.booking_flags[b.service] for b in bookings if b.service in book.booking_flags]
    flag = unchanged(flags, CHANGED)
    if flag is not None:
        page.put(row - 1, 1, flag, look=Look.STRONG, across=len(COLUMNS))
        row += 1
    first = True
    for booking in bookings:
        if booking.containers and not booking.loads:
            told = (
                f"{booking.service}: {booking.containers} containers not load-planned: no inside "
                "dimensions given"
            )
            page.put(row, 1, told, look=Look.ALERT, across=len(COLUMNS))
            row += 2
        for numbers, load in _like(booking):
            if not first:
                row = page.break_before(row)
            first = False
            row = _container(page, row, booking, numbers, load)
    page.finish(plan.farm.project.name)


def _like(booking: Booking) -> Iterator[tuple[list[int], LoadPlan]]:
    """Yield (the numbers of the containers that are loaded alike, their load plan)."""
    alike: dict[tuple[Placement, ...], list[int]] = {}
    for number, load in enumerate(booking.loads, 1):
        alike.setdefault(load.placements, []).append(number)
    for numbers in alike.values():
        yield numbers, booking.loads[numbers[0] - 1]


def _container(page: Page, row: int, booking: Booking, numbers: list[int], load: LoadPlan) -> int:
    """Write one container, or several alike; return the next free row."""
    which = ", ".join(map(str, numbers))
    each = "container" if len(numbers) == 1 else "each of containers"
    title = f"{booking.service}: {each} {which} of {len(booking.loads)}"
    page.put(row, 1, title, look=Look.SECTION, across=len(COLUMNS))
    box = load.box
    mass = f"{load.mass_kg / 1000:,.2f} t"
    if load.fill_by_mass is not None:
        mass += f", {load.fill_by_mass:.0%} of the payload"
    facts = (
        f"Inside {box.length_mm:,} × {box.width_mm:,} × {box.height_mm:,} mm, door "
        f"{box.door_width_mm or box.width_mm:,} × {box.door_height_mm or box.height_mm:,} mm. "
        f"{len(load.placements)} packs, {load.volume_mm3 * M3_PER_MM3:,.1f} m³ "
        f"({load.fill_by_volume:.0%} of the inside), {mass}. "
        f"{load.front_share:.0%} of the mass in the front half (at most 60 %). "
        f"Most on any metre of length {load.line_load_t_per_m:,.1f} t."
    )
    page.put(row + 1, 1, facts, across=len(COLUMNS))
    row += 2
    if mixed := _mixed(booking):
        page.put(row, 1, mixed, across=len(COLUMNS))
        row += 1
    if load.line_load_t_per_m > box.line_load_caution_t_per_m:
        caution = (
            f"Caution: more than {box.line_load_caution_t_per_m:g} t on one metre of length; the "
            "floor wants bedding along it, and the carrier's consent."
        )
        page.put(row, 1, caution, look=Look.STRONG, across=len(COLUMNS))
        row += 1
    wide_px, high_px = sides_px(load)
    wide = PICTURE_CM * wide_px / FULL_PX
    row = page.place_picture(lambda: load_picture(load), row, 1, wide, wide * high_px / wide_px)
    kinds = {one.name: one for one in booking.stowed}
    rows = [_row(number, p, kinds[p.pack]) for number, p in enumerate(load.placements, 1)]
    return page.table(row, COLUMNS, rows).next_row + 1


def _mixed(booking: Booking) -> str:
    """Return whose packs a booking mixes, of items bought from several suppliers; or ""."""
    told = [
        f"{item}: " + listed([f"{count} from {supplier}" for supplier, count in whose.items()])
        for item, whose in booking.suppliers_of.items()
        if len(whose) > 1
    ]
    return f"In the whole booking, of {'; of '.join(told)}; their packs are alike." if told else ""


def _row(number: int, placed: Placement, one: Pack) -> tuple[Value, ...]:
    stands = "as packed" if placed.dz == one.height_mm else "turned on its side"
    if one.this_side_up:
        stands = "this side up"
    if not one.stackable:
        stands += "; nothing on top"
    return (
        number,
        one.name,
        one.item,
        one.units,
        placed.x,
        placed.y,
        placed.z,
        placed.dx,
        placed.dy,
        placed.dz,
        placed.mass_kg,
        stands,
    )
