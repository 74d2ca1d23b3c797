"""Load plan: where every pack stands in every container, drawn and listed for the stevedore."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...models.answer.plan import Booking
from ...models.constants import M3_PER_MM3
from ...models.goods.load import MOST_OFF_MIDDLE, LoadPlan, Pack, Placement
from ..drawings.load_picture import FULL_PX, load_picture, picture_px
from ..paper.book import PlanBook, unchanged
from ..paper.page import CLOSE_POINTS, Page, SheetColumn, Value, rows_of_picture
from ..paper.style import INDENT, LINE_POINTS, Look, lines_needed
from ..words.grammar import counted, listed
from ..words.kinds import NumberKind
from ..words.unpriced import sizes_words

COLUMNS = (
    SheetColumn("No.", NumberKind.COUNT),
    SheetColumn("Pack"),
    SheetColumn("From front (mm)", NumberKind.COUNT),
    SheetColumn("From left (mm)", NumberKind.COUNT),
    SheetColumn("Above floor (mm)", NumberKind.COUNT),
    SheetColumn("Along (mm)", NumberKind.COUNT),
    SheetColumn("Across (mm)", NumberKind.COUNT),
    SheetColumn("Up (mm)", NumberKind.COUNT),
    SheetColumn("Mass (kg)", NumberKind.MASS_KG),
    SheetColumn("Stands"),
)
PACK, STANDS, PICTURED = 2, 10, 11
"""Columns from 1; the picture stands beside the table, in a column of its own."""

WIDTHS = (5.0, 24.0, 8.0, 8.0, 8.0, 8.0, 8.0, 8.0, 8.0, 20.0, 80.0)
"""Of the columns, in digits: they are fixed, so that what goes on a page is known."""

PICTURE_CM = 14.5
"""Width of the picture of the longest container."""

PAGE_POINTS = 600.0
"""Height of what is printed on a page that is WIDTHS wide: they come to 35 cm, which A4 across
takes at 77 %; the 17.6 cm between its margins are then 640 points, less what programs differ."""

HEADING_POINTS = 40.0
"""Height of the table's headings, which take three lines."""

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


def write_load_plans(book: PlanBook) -> None:
    """Write the load plans of every booking."""
    write_loads_of(book, book.plan.bookings)


def write_loads_of(book: PlanBook, bookings: Sequence[Booking]) -> None:
    """Write a list and a picture beside it for every container of some bookings; like containers
    are shown once. Where no container is booked there is no sheet."""
    plan = book.plan
    if not any(booking.containers for booking in bookings):
        return
    page = book.page("Load plan")
    page.widths(WIDTHS)
    across = len(WIDTHS)
    containers = sum(len(booking.loads) for booking in bookings)
    page.head(
        "Load plan",
        (
            f"{containers} containers, each shown to hold what is booked in it."
            if containers
            else "No container that states its inside is booked: nothing is load-planned."
        ),
        of=plan.farm.project.name,
        across=across,
    )
    row = page.paragraphs(3, [CAUTION, HOW_TO_READ, CRATES], across, Look.NOTE)
    carried = [name for booking in bookings for name, _, _ in booking.packs]
    if assumed := sizes_words(plan.farm, carried):
        told = f"{assumed} They are drawn too small: more containers may be needed."
        row = page.paragraphs(row, [told], across, Look.ALERT)
    flags = [book.booking_flags[b.service] for b in bookings if b.service in book.booking_flags]
    flag = unchanged(flags, CHANGED)
    if flag is not None:
        page.put(row, 1, flag, look=Look.STRONG, across=across)
        row += 1
    for booking in bookings:
        if booking.containers and not booking.loads:
            told = (
                f"{booking.service}: {booking.containers} containers not load-planned: no inside "
                "dimensions given"
            )
            row = page.paragraphs(row, [told], across, Look.ALERT)
    left = PAGE_POINTS - 2 * LINE_POINTS * (row + 1)
    for booking in bookings:
        for numbers, load in _like(booking):
            points = _points(booking, load)
            if points > left:
                row = page.break_before(row)
                left = PAGE_POINTS
            left -= points
            row = _container(page, row, booking, numbers, load)
    page.finish(plan.farm.project.name, close=True)


def _like(booking: Booking) -> Iterator[tuple[list[int], LoadPlan]]:
    """Yield (the numbers of the containers that are loaded alike, their load plan)."""
    alike: dict[tuple[Placement, ...], list[int]] = {}
    for number, load in enumerate(booking.loads, 1):
        alike.setdefault(load.placements, []).append(number)
    for numbers in alike.values():
        yield numbers, booking.loads[numbers[0] - 1]


def _points(booking: Booking, load: LoadPlan) -> float:
    """Return how high one container's list, picture and texts come to stand."""
    rows = _rows(booking, load)
    lines = sum(
        max(
            lines_needed(str(row[column - 1]), WIDTHS[column - 1] - 1.0 - INDENT, Look.BODY)
            for column in (PACK, STANDS)
        )
        for row in rows
    )
    beside = rows_of_picture(_picture_cm(load)[1]) * LINE_POINTS
    texts = (3 + 2 * len(_above(booking, load))) * LINE_POINTS
    return texts + HEADING_POINTS + max(lines * CLOSE_POINTS, beside)


def _container(page: Page, row: int, booking: Booking, numbers: list[int], load: LoadPlan) -> int:
    """Write one container, or several alike; return the next free row."""
    each = "container" if len(numbers) == 1 else f"{len(numbers)} alike, containers"
    which = ", ".join(map(str, numbers))
    title = f"{booking.service}: {each} {which} of {len(booking.loads)}"
    page.put(row, 1, title, look=Look.SECTION, across=len(WIDTHS))
    row = page.paragraphs(row + 1, _above(booking, load), len(WIDTHS), Look.STRONG)
    rows = _rows(booking, load)
    table = page.table(row, COLUMNS, rows)
    page.heights(row, row, HEADING_POINTS)
    page.put(row, PICTURED, _facts(load))
    below = page.place_picture(lambda: load_picture(load), row + 1, PICTURED, *_picture_cm(load))
    return max(table.next_row, below) + 1


def _picture_cm(load: LoadPlan) -> tuple[float, float]:
    """Return the width and height of a container's picture: all are drawn to one scale."""
    wide_px, high_px = picture_px(load.box)
    wide = PICTURE_CM * wide_px / FULL_PX
    return wide, wide * high_px / wide_px


def _facts(load: LoadPlan) -> str:
    """Return what stands above the picture, in three lines, as the table's headings beside it."""
    box = load.box
    mass = f"{load.mass_kg / 1000:,.2f} t"
    if load.fill_by_mass is not None:
        mass += f", {load.fill_by_mass:.0%} of the payload"
    return (
        f"Inside {box.length_mm:,} × {box.width_mm:,} × {box.height_mm:,} mm, door "
        f"{box.door_width_mm or box.width_mm:,} × {box.door_height_mm or box.height_mm:,} mm.\n"
        f"{counted(len(load.placements), 'pack')}, {load.volume_mm3 * M3_PER_MM3:,.1f} m³ "
        f"({load.fill_by_volume:.0%} of the inside), {mass}.\n"
        f"{load.front_share:.0%} of the mass in the front half (at most 60 %); most on any metre "
        f"of length {load.line_load_t_per_m:,.1f} t."
    )


def _above(booking: Booking, load: LoadPlan) -> list[str]:
    """Return what is to be said of a container over its whole width; mostly nothing."""
    said = [mixed] if (mixed := _mixed(booking)) else []
    caution_t_per_m = load.box.line_load_caution_t_per_m
    if load.line_load_t_per_m > caution_t_per_m:
        said.append(
            f"Caution: more than {caution_t_per_m:g} t on one metre of length; the floor wants "
            "bedding along it, and the carrier's consent."
        )
    return [*said, *filter(None, [off_middle_words(load)])]


def off_middle_words(load: LoadPlan) -> str:
    """Return the caution of a load whose mass lies to one side of the width; else ""."""
    off_mm = load.right_of_middle_mm
    if abs(off_mm) <= MOST_OFF_MIDDLE * load.box.width_mm:
        return ""
    side = "right" if off_mm > 0 else "left"
    return (
        f"Caution: the centre of mass lies {abs(off_mm):,.0f} mm to the {side} of the middle, more "
        f"than {MOST_OFF_MIDDLE:.0%} of the width: a container so loaded may tip when it is lifted "
        "or driven. Shift or exchange packs, and secure them against sliding across."
    )


def _mixed(booking: Booking) -> str:
    """Return whose packs a booking mixes, of items bought from several suppliers; or ""."""
    told = [
        f"{item}: " + listed([f"{count} from {supplier}" for supplier, count in whose.items()])
        for item, whose in booking.suppliers_of.items()
        if len(whose) > 1
    ]
    return f"In the whole booking, of {'; of '.join(told)}; their packs are alike." if told else ""


def _rows(booking: Booking, load: LoadPlan) -> list[tuple[Value, ...]]:
    """Return a container's list, a row a pack in the order of loading."""
    kinds = {one.name: one for one in booking.stowed}
    return [_row(number, p, kinds[p.pack]) for number, p in enumerate(load.placements, 1)]


def _row(number: int, placed: Placement, one: Pack) -> tuple[Value, ...]:
    stands = "as packed" if placed.dz == one.height_mm else "turned on its side"
    if one.this_side_up:
        stands = "this side up"
    if not one.stackable:
        stands += "; nothing on top"
    return (
        number,
        one.name,
        placed.x,
        placed.y,
        placed.z,
        placed.dx,
        placed.dy,
        placed.dz,
        placed.mass_kg,
        stands,
    )
