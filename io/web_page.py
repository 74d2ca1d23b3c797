"""A web page: what the pages for those who open no spreadsheet are made of.

One HTML file that asks nothing of the network: its style and drawings are in it, and its own policy
forbids the rest. Every text from the input is escaped here, at the one place where it is written.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from html import escape

from .drawings.drawing import Drawing
from .words.kinds import NumberKind, shown

STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 60rem; padding: 1rem; background: #fff; color: #000;
  font: 1rem/1.4 Arial, "Liberation Sans", sans-serif; overflow-wrap: break-word; }
h1 { font-size: 1.4rem; margin: 0 0 .5rem; }
h2 { font-size: 1.15rem; margin: 1.6rem 0 .5rem; border-bottom: 1px solid #000; }
h3 { font-size: 1rem; margin: 1.2rem 0 .3rem; }
p, ol, ul { margin: .4rem 0; }
.alert { border: 2px solid #000; padding: .4rem; font-weight: bold; }
.note { font-size: .875rem; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; font-size: .875rem; margin: .4rem 0; }
th { background: #e7e7e7; border-top: 1px solid #000; border-bottom: 1px solid #000;
  text-align: left; vertical-align: bottom; }
td, th { padding: .15rem .5rem; }
td { border-bottom: 1px solid #bbb; vertical-align: top; }
td.number, th.number { text-align: right; }
td.number { white-space: nowrap; }
td:first-child { min-width: 3.5rem; }
tr.total td { border-top: 1px solid #000; font-weight: bold; }
figure { margin: .8rem 0; }
svg { display: block; width: 100%; min-width: 48rem; height: auto;
  font-family: Arial, "Liberation Sans", sans-serif; }
.signed { display: flex; flex-wrap: wrap; gap: 1rem; }
.signed div { flex: 1 1 14rem; border-bottom: 1px solid #000; min-height: 4rem; }
@page { size: A4; margin: 14mm; }
@media print {
  body { max-width: none; padding: 0; font-size: 9pt; line-height: 1.3; }
  h2 { margin: .7rem 0 .3rem; }
  p, ol, ul { margin: .25rem 0; }
  table { font-size: 7.5pt; }
  .legs { display: grid; grid-template-columns: 1fr 1fr; gap: 0 1rem; }
  .orders { break-before: page; }
  .signed div { flex-basis: 10rem; min-height: 2.6rem; }
  td, th { padding: .1rem .25rem; }
  .wide { overflow: visible; }
  svg { min-width: 0; }
  tr, figure, .signed { break-inside: avoid; }
  h2, h3 { break-after: avoid; }
  thead { display: table-header-group; }
}
"""

POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; "
    "form-action 'none'"
)

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
