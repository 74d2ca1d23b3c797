"""The largest rectangles of an area that is cut away and added to, on whole millimetres.

An area is the list of all its largest rectangles: those that lie in it and in no other such.
"""

from __future__ import annotations

Rectangle = tuple[int, int, int, int]
"""x0, y0, x1, y1."""


def without(rectangles: list[Rectangle], cut: Rectangle) -> list[Rectangle]:
    """Return the largest rectangles of what is left when one is cut out."""
    cx0, cy0, cx1, cy1 = cut
    kept: list[Rectangle] = []
    parts: list[Rectangle] = []
    for x0, y0, x1, y1 in rectangles:
        if cx0 >= x1 or cx1 <= x0 or cy0 >= y1 or cy1 <= y0:
            kept.append((x0, y0, x1, y1))
            continue
        if cx0 > x0:
            parts.append((x0, y0, cx0, y1))
        if cx1 < x1:
            parts.append((cx1, y0, x1, y1))
        if cy0 > y0:
            parts.append((x0, y0, x1, cy0))
        if cy1 < y1:
            parts.append((x0, cy1, x1, y1))
    return _largest(kept, parts)


def joined(rectangles: list[Rectangle], added: Rectangle) -> list[Rectangle]:
    """Return the largest rectangles when one more is added to an area of the same height."""
    known = list(rectangles)
    fresh = [added]
    while fresh:
        new = fresh.pop()
        if any(_holds(other, new) for other in known):
            continue
        known = [other for other in known if not _holds(new, other)]
        for other in known:
            x0, y0 = max(new[0], other[0]), max(new[1], other[1])
            x1, y1 = min(new[2], other[2]), min(new[3], other[3])
            if y0 < y1 and x0 <= x1:
                fresh.append((min(new[0], other[0]), y0, max(new[2], other[2]), y1))
            if x0 < x1 and y0 <= y1:
                fresh.append((x0, min(new[1], other[1]), x1, max(new[3], other[3])))
        known.append(new)
    return known


def _largest(kept: list[Rectangle], parts: list[Rectangle]) -> list[Rectangle]:
    """Return the rectangles that no other holds; those of `kept` are known to be such."""
    parts = sorted(set(parts), key=lambda r: -(r[2] - r[0]) * (r[3] - r[1]))
    for part in parts:
        if not any(_holds(other, part) for other in kept):
            kept.append(part)
    return kept


def _holds(outer: Rectangle, inner: Rectangle) -> bool:
    return (
        outer[0] <= inner[0]
        and outer[1] <= inner[1]
        and outer[2] >= inner[2]
        and outer[3] >= inner[3]
    )
