"""A web page: what the pages for those who open no spreadsheet are made of.

One HTML file that asks nothing of the network: its style and drawings are in it, and its own policy
forbids the rest. Every text from the input is escaped here, at the one place where it is written.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from html import escape

from .drawings.drawing import Drawing
from .drawings.page_style import POLICY, STYLE
from .words.kinds import NumberKind, shown

Cell = str | int | float | None


def document(title: str, blocks: Iterable[str]) -> str:
    """Return the whole page of some blocks of HTML."""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<link rel="icon" href="data:,">\n'
        f"<title>{escape(title)}</title>\n<style>{STYLE}</style>\n</head>\n"
        f"<body>\n{chr(10).join(blocks)}\n</body>\n</html>\n"
    )


def escaped(text: str) -> str:
    """Return a text as the page may hold it, with what XML and HTML forbid taken out."""
    return escape("".join(letter for letter in text if letter.isprintable() or letter == "\n"))


def paragraph(text: str, look: str = "") -> str:
    """Return a paragraph; look : its class, such as "note"."""
    return f'<p class="{look}">{escaped(text)}</p>' if look else f"<p>{escaped(text)}</p>"


def bullets(kind: str, lines: Iterable[str]) -> str:
    """Return a list; kind : "ol" or "ul"."""
    return f"<{kind}>{''.join(f'<li>{escaped(line)}</li>' for line in lines)}</{kind}>"


def figure(drawing: Drawing, caption: str = "") -> str:
    """Return a drawing with the words above it."""
    told = f"<figcaption>{escaped(caption)}</figcaption>" if caption else ""
    return f'<figure>{told}<div class="wide">{drawing.svg()}</div></figure>'


def table(
    headings: Sequence[tuple[str, NumberKind]], rows: Iterable[Sequence[Cell]], *, totals: int = 0
) -> str:
    """Return a table; the last `totals` rows are set apart."""
    head = "".join(
        f'<th scope="col"{_class(kind)}>{escaped(heading)}</th>' for heading, kind in headings
    )
    rows = list(rows)
    body = []
    for number, row in enumerate(rows):
        cells = "".join(
            f"<td{_class(kind)}>{escaped(_shown(value, kind))}</td>"
            for value, (_, kind) in zip(row, headings, strict=True)
        )
        last = ' class="total"' if number >= len(rows) - totals else ""
        body.append(f"<tr{last}>{cells}</tr>")
    return (
        f'<div class="wide"><table><thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(body)}</tbody></table></div>"
    )


def _class(kind: NumberKind) -> str:
    return "" if kind is NumberKind.TEXT else ' class="number"'


def _shown(value: Cell, kind: NumberKind) -> str:
    if isinstance(value, float) and not math.isfinite(value):
        return "not known" if math.isnan(value) else "no limit"
    text = shown(value, kind)
    if kind is NumberKind.PRICE and "." in text:  # at least two decimals, and no needless ones
        whole, decimals = text.split(".")
        text = f"{whole}.{decimals.rstrip('0'):0<2}"
    return text
