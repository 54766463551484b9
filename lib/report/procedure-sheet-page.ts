import { escapeMarkup } from "../charts/index.js";
import { wholePage } from "./page.js";
import type { ProcedureLine, ProcedureSheet } from "./procedure-sheet.js";
import type { Paper } from "./run-sheet-page.js";

const style = (paper: Paper): string =>
  `
@page{size:${paper};margin:12mm}
:root{color-scheme:light}
*{box-sizing:border-box}
body{margin:0 auto;max-width:54rem;padding:1rem;background:#fff;color:#000;font:.95rem/1.35 system-ui,"DejaVu Sans",sans-serif}
h1{font-size:1.45rem;margin:0 0 .2rem;line-height:1.2}
p{margin:.25rem 0}
.standing{border:3px double #000;padding:.4rem .8rem;margin:.6rem 0;font-weight:700}
.cautions{border:2px solid #000;padding:.4rem .8rem;margin:.6rem 0;font-size:.85rem;break-inside:avoid}
h2{font-size:1rem;margin:0}
ul{margin:.2rem 0;padding-left:1.2rem}
.cautions ul{columns:22rem;column-gap:2rem}
li{break-inside:avoid}
table{border-collapse:collapse;width:100%;table-layout:fixed}
col.what{width:30%}
col.value{width:28%}
col.mark{width:6.5rem}
th,td{border:1px solid #777;padding:.18rem .45rem;text-align:left;vertical-align:top;font-weight:400;overflow-wrap:anywhere}
tbody{break-inside:avoid}
tbody th[colspan]{background:#e8e8e8;font-weight:700;border-color:#000}
thead th{font-weight:700;border-bottom:2px solid #000}
td.value{font-weight:600}
td.open{height:1.9rem}
td.mark{font-weight:700}
@media (max-width:34rem){body{padding:.5rem;font-size:.85rem}th,td{padding:.15rem .25rem}}
@media print{body{padding:0;max-width:none;font-size:8.5pt}html{font-size:9pt}.cautions{font-size:7.5pt}td.open{height:5mm}}
`.trim();

/** What the sheet is, at its head; no option leaves it out. */
const STANDING =
  "PRELIMINARY \u2013 NOT QUALIFIED. This sheet is no welding procedure specification and no qualification: it permits nothing. Where a code asks for a qualified procedure, a procedure test by those it names comes first.";

/**
 * A procedure sheet as one HTML page for paper, complete in itself. Dark ink on white; empty cells are for a pen. One in doubt
 * says so at its head and on every line.
 */
export function renderProcedureSheet(
  { title, subtitle, mark, parts, cautions, lost }: ProcedureSheet,
  { paper }: { readonly paper: Paper },
): string {
  const text = escapeMarkup;
  const list = (items: readonly string[]): string =>
    `<ul>\n${items.map((item) => `<li>${text(item)}</li>`).join("\n")}\n</ul>`;
  const standing = mark === undefined ? "" : '<td class="mark">UNPROVEN</td>';
  const row = ({ what, value, range }: ProcedureLine): string =>
    `<tr><th scope="row">${text(what)}</th><td class="${value === "" ? "open" : "value"}">${text(value)}</td><td>${text(range)}</td>${standing}</tr>`;
  return wholePage({
    title,
    style: style(paper),
    body: [
      `<header>\n<h1>${text(title)}</h1>\n<p>${text(subtitle)}</p>\n<p class="standing">${text(STANDING)}</p>`,
      mark === undefined ? "" : `<p class="standing">${text(mark)}</p>`,
      "</header>",
      `<section class="cautions" aria-label="Cautions">\n<h2>Cautions</h2>\n${list(cautions)}\n</section>`,
      "<main>",
      "<table>",
      `<colgroup><col class="what"><col class="value"><col>${mark === undefined ? "" : '<col class="mark">'}</colgroup>`,
      `<thead><tr><th scope="col">What</th><th scope="col">Value</th><th scope="col">Range, remark</th>${mark === undefined ? "" : '<th scope="col">Standing</th>'}</tr></thead>`,
      ...parts
        .filter(({ lines }) => lines.length > 0)
        .map(
          ({ heading, lines }) =>
            `<tbody>\n<tr><th colspan="3" scope="rowgroup">${text(heading)}</th>${standing}</tr>\n${lines.map(row).join("\n")}\n</tbody>`,
        ),
      "</table>",
      `<p><strong>Not on this sheet, but in the preset:</strong> ${text(lost.join("; "))}.</p>`,
      "</main>",
      `<footer><p>${text(STANDING)}</p></footer>`,
    ],
  });
}
