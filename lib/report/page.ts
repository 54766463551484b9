import { escapeMarkup } from "../charts/index.js";
import { requireThat } from "../errors/index.js";
import type { ReportDocument } from "./document.js";
import { renderSection } from "./section.js";
import { onePaperStyle, styleSheet } from "./style.js";

/** Nothing may be fetched or run: the page is complete in itself. */
const policy = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/**
 * Renders a report as one HTML page that needs nothing else: style and drawings are inside, nothing is
 * fetched, no script runs. Readable in light and dark, on a phone, by a screen reader, and on paper.
 * The same document gives the same page.
 *
 * @throws {BeadbenchError} `bad-argument` when there is no section, a table row does not fit its columns,
 *   or a chart cannot be drawn
 */
export async function renderReport(report: ReportDocument): Promise<string> {
  const { title, subtitle, answer, cautions, sections, onePaper, provenance = [] } = report;
  requireThat(sections.length > 0, "renderReport: needs at least one section, got none");
  const bodies = await Promise.all(sections.map((section, i) => renderSection(section, i + 1)));
  return wholePage({
    title,
    style: onePaper === undefined ? styleSheet : `${styleSheet}\n${onePaperStyle}`,
    ...(onePaper === undefined ? {} : { kind: `one-paper ${onePaper.replaceAll(" ", "-")}` }),
    body: [
      "<header>",
      `<h1>${escapeMarkup(title)}</h1>`,
      subtitle === undefined ? "" : `<p class="subtitle">${escapeMarkup(subtitle)}</p>`,
      ...(answer === undefined
        ? [renderCautions(cautions)]
        : [
            CAUTIONS_FOLLOW,
            `<div class="answer">\n${await renderSection(answer, 0)}\n</div>`,
            renderCautions(cautions),
          ]),
      "</header>",
      renderContents(sections.map((section) => section.heading)),
      "<main>",
      ...bodies,
      "</main>",
      provenance.length === 0
        ? ""
        : `<footer>\n${provenance.map((text) => `<p>${escapeMarkup(text)}</p>`).join("\n")}\n</footer>`,
    ],
  });
}

/** A page complete in itself; empty parts of its body are left out. */
export function wholePage({
  title,
  style,
  kind,
  body,
}: {
  readonly title: string;
  readonly style: string;
  /** Class of the body. */
  readonly kind?: string;
  readonly body: readonly string[];
}): string {
  const parts = [
    "<!DOCTYPE html>",
    '<html lang="en">',
    "<head>",
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policy}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<title>${escapeMarkup(title)}</title>`,
    `<style>\n${style}\n</style>`,
    "</head>",
    kind === undefined ? "<body>" : `<body class="${kind}">`,
    ...body,
    "</body>",
    "</html>",
  ];
  return `${parts.filter((part) => part !== "").join("\n")}\n`;
}

const CAUTIONS_FOLLOW =
  '<p class="heed"><a href="#cautions">The cautions below</a> come before any arc: these are estimates, and they permit nothing.</p>';

function renderCautions(cautions: readonly string[]): string {
  if (cautions.length === 0) return "";
  const items = cautions.map((text) => `<li>${escapeMarkup(text)}</li>`);
  return `<section class="cautions" aria-labelledby="cautions">\n<h2 id="cautions">Cautions</h2>\n<ul>\n${items.join("\n")}\n</ul>\n</section>`;
}

function renderContents(headings: readonly string[]): string {
  const items = headings.map((text, i) => `<li><a href="#section-${i + 1}">${escapeMarkup(text)}</a></li>`);
  return `<nav aria-label="Contents">\n<ol>\n${items.join("\n")}\n</ol>\n</nav>`;
}
