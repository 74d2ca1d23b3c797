"""How the page of a plan is dressed, and its policy: it asks nothing of the network."""

from __future__ import annotations

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
