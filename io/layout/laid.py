"""What lies on the seabed already: a row for each line, as its crew recorded it."""

from __future__ import annotations

from ...models.site.laid_line import LaidLine
from .column import Bounds, InputSheet
from .shared_columns import COUNT, DIAMETER, FORCE, METRES, MINUTES, C, K

# fmt: off
LAID = InputSheet(
    "Laid", "A row for each line that lies already: it stays as it is and costs nothing more.",
    LaidLine, "laid",
    (
        C("Leg", "leg", "A name on Legs", K.NAME, names="leg", example="north corner"),
        C("Line", "line", "Which of the leg's lines: its tag is leg/line", K.COUNT, range=COUNT,
          example=1),
        C("Anchor", "anchor", "A name on Anchors", K.NAME, names="anchor", example="plate 250"),
        C("Anchors", "anchors", "On the line", K.COUNT, range=COUNT),
        C("Chain", "chain", "A name on Chain", K.NAME, names="chain", example="chain 26"),
        C("Chain length", "chain_m", "As laid", unit="m", range=METRES, example=27.5),
        C("Rope", "rope", "A name on Rope", K.NAME, names="rope", blank="all chain"),
        C("Rope length", "rope_m", "Between its eyes", unit="m", range=Bounds(0, 5000)),
        C("Easting", "easting_m", "Where its anchor lies", unit="m", blank="as planned"),
        C("Northing", "northing_m", "Where its anchor lies", unit="m", blank="as planned"),
        C("Pull", "pull_kn", "Setting pull that was held, at the anchor: what the tow's angle and "
          "chain on the seabed take of it is taken off", unit="kN", range=FORCE,
          blank="not recorded", example=40),
        C("Held", "held_min", "For how long", unit="min", range=MINUTES, blank="not recorded"),
        C("Drag", "drag_m", "How far the anchor had moved when it held the pull", unit="m",
          range=Bounds(0, 1000), blank="not recorded: the pull is then no test", example=1.5),
        C("Date", "laid_on", "The day it was laid", K.DATE, blank="not recorded"),
        C("Chain measured", "chain_measured_mm", "The least diameter found on its chain; with both "
          "dates it tells how fast the leg's chain wears", unit="mm", range=DIAMETER,
          blank="not measured"),
        C("Measured on", "measured_on", "The day of that measure", K.DATE, blank="not measured"),
        C("Accepted by", "accepted_by", "The engineer who accepts that the line does not keep "
          "a limit of today", K.TEXT, blank="nobody: it must keep them",
          example="A. N. Engineer"),
        C("Note", "note", "What else is to be known", K.TEXT),
    ),
    absent="nothing is laid yet",
)
# fmt: on
