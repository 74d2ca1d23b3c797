"""How wide a text is: advance widths of Arial, measured in Liberation Sans, which has the same.

Thousandths of the letter's size; letters that are not listed are taken to be wide.
"""

from __future__ import annotations

LETTERS = {
    191: "'", 222: "ijl", 260: "|", 278: " !,./:;I[\\]ft·", 333: '()-`r²³“”', 334: "{}", 355: '"',
    389: "*", 400: "°", 469: "^", 500: "Jcksvxyz", 549: "÷", 556: "#$0123456789?L_abdeghnopqu–é",
    584: "+<=>~×−", 611: "FTZ", 667: "&ABEKPSVXY", 722: "CDHNRUw", 778: "GOQ", 833: "Mm", 889: "%",
    944: "W", 1000: "…", 1015: "@",
}  # fmt: skip
WIDTHS = {letter: width for width, letters in LETTERS.items() for letter in letters}
BOLD = 1.08
"""Arial Bold is at most about so much wider over a text (common practice, no source)."""


def points(text: str, size: float, *, bold: bool = False) -> float:
    """Return how wide a text of one line is, in points."""
    width = sum(WIDTHS.get(letter, 800) for letter in text) / 1000 * size
    return width * BOLD if bold else width


def lines(text: str, room: float, size: float, *, bold: bool = False) -> int:
    """Return the lines that a text takes, broken between words where it can be."""
    count = 0
    for part in text.split("\n"):
        count += 1
        used = 0.0
        for word in part.split(" "):
            width = points(word, size, bold=bold)
            space = points(" ", size, bold=bold) if used else 0.0
            if used + space + width <= room:
                used += space + width
                continue
            if used:
                count += 1
            while width > room > 0:  # a word longer than the line is broken anywhere
                width -= room
                count += 1
            used = width
    return count
