import { escapeMarkup, renderSvg } from "../charts/index.js";
import { type Finding, requireThat } from "../errors/index.js";
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
  const figures = await Promise.all(charts.map((chart, i) => renderChart(chart, `figure-${place}-${i + 1}`)));
  return [
    `<section aria-labelledby="${id}">`,
    `<h2 id="${id}">${escapeMarkup(heading)}</h2>`,
    basis === undefined ? "" : `<p class="basis">${escapeMarkup(basis)}</p>`,
    ...paragraphs.map(renderParagraph),
    renderKeyFigures(section.keyFigures ?? []),
    renderFindings(section.findings ?? []),
    inGrid("tables", tables.map(renderTable)),
    explorer === undefined ? "" : explorerHtml(explorer),
    inGrid(explorer === undefined ? "figures" : "figures still", figures),
    "</section>",
  ]
    .filter((part) => part !== "")
    .join("\n");
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
    const more = advice === undefined ? "" : `<p class="advice">${escapeMarkup(advice)}</p>`;
    return `<li class="${severity}"><p><strong>${severityWord[severity]}:</strong> ${escapeMarkup(message)}</p>${more}</li>`;
  });
  return `<ul class="findings">\n${items.join("\n")}\n</ul>`;
}

function renderTable({ caption, columns, rows }: ReportTable): string {
  const open = (i: number, tag: string, scope: string): string =>
    `<${tag}${scope}${columns[i]!.numeric === true ? ' class="numeric"' : ""}>`;
  const head = columns.map(
    ({ heading }, i) => `${open(i, "th", ' scope="col"')}${escapeMarkup(heading)}</th>`,
  );
  const body = rows.map((row, r) => {
    requireThat(
      row.length === columns.length,
      `renderReport: table "${caption}", row ${r + 1}: needs ${columns.length} cells, got ${row.length}`,
    );
    const cells = row.map((cell, i) =>
      i === 0
        ? `${open(i, "th", ' scope="row"')}${escapeMarkup(cell)}</th>`
        : `${open(i, "td", "")}${escapeMarkup(cell)}</td>`,
    );
    return `<tr>${cells.join("")}</tr>`;
  });
  return [
    scrollRegion(caption),
    `<table>\n<caption>${escapeMarkup(caption)}</caption>`,
    `<thead><tr>${head.join("")}</tr></thead>`,
    `<tbody>\n${body.join("\n")}\n</tbody>\n</table>\n</div>`,
  ].join("\n");
}

/** Wide content scrolls within its own box, reachable by keyboard, instead of widening the page. */
function scrollRegion(name: string): string {
  return `<div class="scroll" tabindex="0" role="group" aria-label="${escapeMarkup(name)}">`;
}

async function renderChart({ spec, caption }: ReportChart, id: string): Promise<string> {
  const svg = await renderSvg(spec, { idPrefix: `${id}-` });
  const width = Number(/ width="([\d.]+)"/.exec(svg)![1]);
  // On a narrow screen the drawing shrinks to four fifths, still readable, and then scrolls.
  const drawing = svg.replace("<svg ", `<svg style="min-width:${Math.round(0.8 * width)}px" `);
  return [
    `<figure id="${id}">`,
    scrollRegion(caption),
    drawing,
    `</div>\n<figcaption>${escapeMarkup(caption)}</figcaption>\n</figure>`,
  ].join("\n");
}
