import { escapeMarkup } from "../charts/index.js";
import { fixed } from "../numeric/index.js";
import { wholePage } from "./page.js";
import { type RunSheet, type SheetBox, type SheetCard, type SheetSetting, totalsText } from "./run-sheet.js";

/** Paper of a printer. */
export const papers = ["A4", "Letter"] as const;
export type Paper = (typeof papers)[number];

/** Settings large enough to be read through a visor, cards that are not torn by a page's end, ink on white. */
const sheetStyle = (paper: Paper, widths: readonly number[]): string =>
  `
@page{size:${paper};margin:12mm;@bottom-right{content:"page " counter(page) " of " counter(pages);font:9pt sans-serif}}
:root{color-scheme:light}
*{box-sizing:border-box}
body{margin:0 auto;max-width:62rem;padding:1rem;background:#fff;color:#000;font:1rem/1.35 system-ui,"DejaVu Sans",sans-serif}
h1{font-size:1.5rem;margin:0}
h2{font-size:1.1rem;margin:1.2rem 0 .4rem}
p{margin:.25rem 0}
ul{margin:.2rem 0;padding-left:1.2rem}
.tick{list-style:none;padding-left:0;columns:24rem}
.cautions ul{columns:24rem}
li{break-inside:avoid}
h2,h2+p{break-after:avoid}
.blank{display:inline-block;border-bottom:1.5px solid #000;min-width:7rem;height:1.5em}
.heads{display:flex;flex-wrap:wrap;gap:.6rem 1.5rem;margin:.6rem 0}
.cautions{border:2px solid #000;padding:.4rem .8rem;margin:.8rem 0;font-size:.88rem}
.cautions h2{margin:0}
.card{border:2px solid #000;border-radius:.4rem;padding:.5rem .7rem;margin:.6rem 0;break-inside:avoid}
.card h3{display:flex;flex-wrap:wrap;justify-content:space-between;gap:.3rem 1rem;font-size:1.35rem;margin:0}
.card h3 small{font-size:.95rem;font-weight:400}
.control{outline:2px solid #000}
.control h3 small{font-weight:700}
.settings{display:flex;flex-wrap:wrap;gap:.2rem 1rem;margin:.3rem 0}
.settings dt{font-size:.85rem}
.settings dd{margin:0;font-size:2.4rem;line-height:1.1;font-weight:700;white-space:nowrap}
.settings dd small{font-size:.5em}
${widths.map((ems, i) => `.settings div:nth-child(${i + 1}){min-width:${fixed(2.4 * ems, 1)}rem}`).join("\n")}
.settings .changed dd{text-decoration:underline;text-decoration-thickness:.12em;text-underline-offset:.12em}
.boxes{display:flex;flex-wrap:wrap;gap:.5rem 1.2rem;align-items:end;margin-top:.5rem}
.box .label{display:block;font-size:.85rem}
.box span.cell{display:inline-block;border:1.5px solid #000;height:2.6rem;width:3.4rem;margin-right:-1.5px}
.box .answer{font-size:1.15rem;white-space:nowrap}
.box.wide{flex:1 1 9rem}
.box.wide span.cell{width:100%}
table{border-collapse:collapse;width:100%}
caption{text-align:left;font-weight:700}
th,td{border:1px solid #000;height:2rem;text-align:left;padding:.2rem .4rem;font-weight:400;font-size:.9rem}
.incidents{break-inside:avoid}
@media print{body{padding:0;max-width:none;font-size:10pt}html{font-size:10pt}.card{margin:.5rem 0}}
`.trim();

/**
 * A run sheet as one HTML page for paper, complete in itself; it reads on a phone too. Always dark ink on white, since it
 * is made to be printed.
 */
export function renderRunSheet(
  sheet: RunSheet,
  { paper, currency }: { readonly paper: Paper; readonly currency?: string },
): string {
  const { title, subtitle, cards, boxes, blocks, held, checks, cautions, totals } = sheet;
  const text = escapeMarkup;
  return wholePage({
    title,
    style: sheetStyle(paper, columnWidths(cards)),
    body: [
      `<header>\n<h1>${text(title)}</h1>\n<p>${text(subtitle)}</p>`,
      `<div class="heads">${["date", "who", ...blocks].map((name) => `<span>${text(name)} <span class="blank"></span></span>`).join("")}</div>`,
      `<p><strong>In all:</strong> ${text(totalsText(totals, currency))}.</p>`,
      held.length === 0 ? "" : `<p><strong>On every coupon:</strong> ${text(held.join(", "))}.</p>`,
      "</header>",
      `<section class="cautions" aria-label="Cautions">\n<h2>Cautions</h2>\n${list(cautions)}\n</section>`,
      `<section aria-label="Set-up">\n<h2>Before the first coupon</h2>\n${list(
        checks.map((check) => `\u2610 ${check}`),
        "tick",
      )}\n</section>`,
      "<main>",
      "<h2>Coupons</h2>",
      "<p>A setting underlined differs from the coupon before.</p>",
      ...cards.map((card, i) => renderCard(card, { boxes, place: i + 1 })),
      "</main>",
      incidentTable(),
    ],
  });
}

function list(items: readonly string[], kind?: string): string {
  const rows = items.map((item) => `<li>${escapeMarkup(item)}</li>`).join("\n");
  return `<ul${kind === undefined ? "" : ` class="${kind}"`}>\n${rows}\n</ul>`;
}

/** Ems of bold digits and of a unit half their size, and a gap. */
const ems = ({ value, unit }: SheetSetting): number => 0.7 * value.length + 0.33 * unit.length + 0.3;

/** The width each setting needs at most, so that it stands at one place on every card. */
function columnWidths(cards: readonly SheetCard[]): readonly number[] {
  return (cards[0]?.settings ?? []).map((_, i) =>
    Math.max(...cards.map(({ settings }) => ems(settings[i]!))),
  );
}

function renderCard(
  { id, role, isControl, settings }: SheetCard,
  { boxes, place }: { readonly boxes: readonly SheetBox[]; readonly place: number },
): string {
  const rows = settings.map(
    ({ name, value, unit, changed }) =>
      `<div${changed ? ' class="changed"' : ""}><dt>${escapeMarkup(name)}</dt><dd>${escapeMarkup(value)}${unit === "" ? "" : ` <small>${escapeMarkup(unit)}</small>`}</dd></div>`,
  );
  return [
    `<article class="card${isControl ? " control" : ""}">`,
    `<h3><span>${place}. ${escapeMarkup(id)}</span><small>${escapeMarkup(role ?? "")}</small></h3>`,
    `<dl class="settings">${rows.join("")}</dl>`,
    `<div class="boxes">${boxes.map(renderBox).join("")}${wideBox("arc time [s]", false)}${wideBox("remarks, incidents", true)}</div>`,
    "</article>",
  ].join("\n");
}

/** Readings a sheet has room for along one bead. */
export const STATIONS = 3;

function renderBox({ name, unit, kind }: SheetBox): string {
  const label = unit === "1" ? name : `${name} [${unit}]`;
  const cells =
    kind === "verdict"
      ? '<span class="answer">\u2610 yes \u2610 no</span>'
      : '<span class="cell"></span>'.repeat(STATIONS);
  return `<div class="box"><span class="label">${escapeMarkup(label)}</span>${cells}</div>`;
}

const wideBox = (label: string, wide: boolean): string =>
  `<div class="box${wide ? " wide" : ""}"><span class="label">${label}</span><span class="cell"></span></div>`;

function incidentTable(): string {
  const heads = ["time", "coupon", "what went wrong or was changed", "cause", "minutes lost"];
  const row = `<tr>${"<td></td>".repeat(heads.length)}</tr>`;
  return `<table class="incidents">\n<caption>Incidents and changes</caption>\n<thead><tr>${heads
    .map((head) => `<th scope="col">${head}</th>`)
    .join("")}</tr></thead>\n<tbody>\n${`${row}\n`.repeat(5)}</tbody>\n</table>`;
}
