import { escapeMarkup, renderSvg } from "../charts/index.js";
import { asTyped, type Finding, requireThat } from "../errors/index.js";
import type { KeyFigure, ReportChart, ReportClaim, ReportSection, ReportTable } from "./document.js";
import { explorerHtml } from "./explorer/index.js";

const severityWord: Readonly<Record<Finding["severity"], string>> = {
  info: "Note",
  warning: "Warning",
  error: "Error",
};

/** Id of a section's heading, to be linked to: by its key, or else its place from 1 (0 for the answer). */
export const anchorOf = ({ key }: ReportSection, place: number): string => `section-${key ?? place}`;

/**
 * One section as HTML.
 *
 * @param place - number of the section, from 1; ids within the page are made from it
 */
export async function renderSection(section: ReportSection, place: number): Promise<string> {
  const { heading, basis, paragraphs = [], tables = [], charts = [], explorer } = section;
  const id = anchorOf(section, place);
  const alone = charts.length === 1 && explorer === undefined;
  const placeOf = (chart: ReportChart): keyof typeof chartWidths =>
    hasPanels(chart) ? "panels" : alone ? "alone" : "several";
  const figures = await Promise.all(
    charts.map((chart, i) => renderChart(chart, `figure-${place}-${i + 1}`, placeOf(chart))),
  );
  const said = [
    basis === undefined ? "" : `<p class="basis">${escapeMarkup(basis)}</p>`,
    ...paragraphs.map(renderParagraph),
    renderKeyFigures(section.keyFigures ?? []),
    renderFindings(section.findings ?? []),
    inGrid("tables", tables.map(renderTable)),
    explorer === undefined ? "" : explorerHtml(explorer),
  ].filter((part) => part !== "");
  const shown = inGrid(explorer === undefined ? "figures" : "figures still", figures);
  const beside = said.length > 0 && alone && charts.every((chart) => !hasPanels(chart));
  return [
    `<section aria-labelledby="${id}">`,
    `<h2 id="${id}">${escapeMarkup(heading)}</h2>`,
    beside
      ? `<div class="beside">\n<div>\n${said.join("\n")}\n</div>\n${shown}\n</div>`
      : [...said, shown].filter((part) => part !== "").join("\n"),
    "</section>",
  ].join("\n");
}

/** Parts side by side where the page is wide enough. */
function inGrid(kind: string, parts: readonly string[]): string {
  return parts.length === 0 ? "" : `<div class="${kind}">\n${parts.join("\n")}\n</div>`;
}

function renderParagraph(paragraph: string | ReportClaim): string {
  if (typeof paragraph === "string") return `<p>${escapeMarkup(paragraph)}</p>`;
  const links = paragraph.evidence.map(
    ({ text, key }) => `<a href="#section-${escapeMarkup(key)}">${escapeMarkup(text)}</a>`,
  );
  return `<p>${escapeMarkup(paragraph.text)} <span class="evidence">${links.join(" · ")}</span></p>`;
}

function renderKeyFigures(figures: readonly KeyFigure[]): string {
  if (figures.length === 0) return "";
  const items = figures.map(({ label, value, note }) => {
    const more = note === undefined ? "" : `<dd class="note">${escapeMarkup(note)}</dd>`;
    return `<div><dt>${escapeMarkup(label)}</dt><dd class="value">${escapeMarkup(value)}</dd>${more}</div>`;
  });
  return `<dl class="key-figures">\n${items.join("\n")}\n</dl>`;
}

function renderFindings(findings: readonly Finding[]): string {
  if (findings.length === 0) return "";
  const items = findings.map(({ severity, message, advice }) => {
    const more = advice === undefined ? "" : `<p class="advice">${escapeMarkup(asTyped(advice, "."))}</p>`;
    return `<li class="${severity}"><p><strong>${severityWord[severity]}:</strong> ${escapeMarkup(message)}</p>${more}</li>`;
  });
  return `<ul class="findings">\n${items.join("\n")}\n</ul>`;
}

/** Columns from which a table is stacked on a phone, a card for each row, and a length from which a cell is prose. */
const MANY_COLUMNS = 4;
const PROSE = 24;

function renderTable({ caption, columns, rows }: ReportTable): string {
  const stacked = columns.length >= MANY_COLUMNS;
  // A table laid out otherwise is one for a screen reader only where every part says so.
  const role = (name: string): string => (stacked ? ` role="${name}"` : "");
  const kinds = columns.map(({ numeric }, i) => {
    const prose = rows.some((row) => (row[i]?.length ?? 0) > PROSE);
    return numeric === true ? ' class="numeric"' : prose ? ' class="prose"' : "";
  });
  const head = columns.map(
    ({ heading }, i) =>
      `<th scope="col"${role("columnheader")}${kinds[i] === ' class="numeric"' ? kinds[i] : ""}>${escapeMarkup(heading)}</th>`,
  );
  const body = rows.map((row, r) => {
    requireThat(
      row.length === columns.length,
      `renderReport: table "${caption}", row ${r + 1}: needs ${columns.length} cells, got ${row.length}`,
    );
    const cells = row.map((cell, i) =>
      i === 0
        ? `<th scope="row"${role("rowheader")}${kinds[i]}>${escapeMarkup(cell)}</th>`
        : `<td${role("cell")}${kinds[i]}${stacked ? ` data-head="${escapeMarkup(columns[i]!.heading)}"` : ""}>${escapeMarkup(cell)}</td>`,
    );
    return `<tr${role("row")}>${cells.join("")}</tr>`;
  });
  return [
    scrollRegion(caption),
    `<table${stacked ? ' class="stacked" role="table"' : ""}>\n<caption>${escapeMarkup(caption)}</caption>`,
    `<thead${role("rowgroup")}><tr${role("row")}>${head.join("")}</tr></thead>`,
    `<tbody${role("rowgroup")}>\n${body.join("\n")}\n</tbody>\n</table>\n</div>`,
  ].join("\n");
}

/** Wide content scrolls within its own box, reachable by keyboard, instead of widening the page. */
function scrollRegion(name: string): string {
  return `<div class="scroll" tabindex="0" role="group" aria-label="${escapeMarkup(name)}">`;
}

/**
 * Widths that charts are drawn at, px, by their place: a chart of several panels, one that stands alone in its section, one
 * beside others. The first is for a phone or a column of paper; the style sheet shows the widest that fits.
 */
export const chartWidths = { panels: [334, 620, 1000], alone: [334, 600], several: [334, 500] } as const;
export const widthNames = ["narrow", "middle", "wide"] as const;

const hasPanels = ({ spec }: ReportChart): boolean => Array.isArray(spec.concat) && spec.concat.length > 1;

/** A chart drawn to each width it may be shown at, so that no text is ever scaled; the style shows the one that fits. */
async function renderChart(
  { spec, caption }: ReportChart,
  id: string,
  place: keyof typeof chartWidths,
): Promise<string> {
  const drawn = await Promise.all(
    chartWidths[place].map((width, i) => renderSvg(spec, { idPrefix: `${id}-${widthNames[i]}-`, width })),
  );
  return [
    `<figure id="${id}" class="${place}">`,
    scrollRegion(caption),
    ...drawn.map((svg, i) => `<div class="${widthNames[i]}">${svg}</div>`),
    `</div>\n<figcaption>${escapeMarkup(caption)}</figcaption>\n</figure>`,
  ].join("\n");
}
