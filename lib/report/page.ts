import { createHash } from "node:crypto";
import { escapeMarkup } from "../charts/index.js";
import { requireThat } from "../errors/index.js";
import type { ReportDocument, ReportSection } from "./document.js";
import { readPageScript } from "./explorer/index.js";
import { anchorOf, renderSection } from "./section.js";
import { onePaperStyle, styleSheet } from "./style.js";

/**
 * Renders a report as one HTML page that needs nothing else: style, drawings and what moves are inside, nothing is fetched.
 * Only a report with an explorer runs a script, and no other than its own. Readable in light and dark, on a phone, by a
 * screen reader, and on paper. The same document gives the same page.
 *
 * @throws {BeadbenchError} `bad-argument` when there is no section, a table row does not fit its columns, a claim
 *   names no section, or a chart cannot be drawn; `not-found` when the page's script is not built
 */
export async function renderReport(report: ReportDocument): Promise<string> {
  const { title, subtitle, answer, cautions, sections, onePaper, provenance = [] } = report;
  requireThat(sections.length > 0, "renderReport: needs at least one section, got none");
  requireEvidence(report);
  const bodies = await Promise.all(sections.map((section, i) => renderSection(section, i + 1)));
  const explored = sections.filter(({ explorer }) => explorer !== undefined).length;
  requireThat(explored <= 1, `renderReport: needs at most one explorer, got ${explored}`);
  return wholePage({
    title,
    style: onePaper === undefined ? styleSheet : `${styleSheet}\n${onePaperStyle}`,
    ...(onePaper === undefined ? {} : { kind: `one-paper ${onePaper.replaceAll(" ", "-")}` }),
    ...(explored === 0 ? {} : { script: readPageScript() }),
    body: [
      "<header>",
      '<div class="title">',
      `<h1>${escapeMarkup(title)}</h1>`,
      subtitle === undefined ? "" : `<p class="subtitle">${escapeMarkup(subtitle)}</p>`,
      answer === undefined ? "" : CAUTIONS_FOLLOW,
      "</div>",
      answer === undefined ? "" : `<div class="answer">\n${await renderSection(answer, 0)}\n</div>`,
      renderCautions(cautions),
      "</header>",
      renderContents(sections),
      "<main>",
      ...bodies,
      "</main>",
      provenance.length === 0
        ? ""
        : `<footer>\n${provenance.map((text) => `<p>${escapeMarkup(text)}</p>`).join("\n")}\n</footer>`,
    ],
  });
}

/** Every claim must lead to a section that is there. */
function requireEvidence({ answer, sections }: ReportDocument): void {
  const all = answer === undefined ? sections : [answer, ...sections];
  const keys = all.flatMap(({ key }) => key ?? []);
  const twice = keys.find((key, i) => keys.indexOf(key) !== i);
  requireThat(twice === undefined, `renderReport: the keys of sections must differ, got "${twice}" twice`);
  for (const { heading, paragraphs = [] } of all)
    for (const paragraph of paragraphs)
      for (const { key } of typeof paragraph === "string" ? [] : paragraph.evidence)
        requireThat(
          keys.includes(key),
          `renderReport: section "${heading}" rests a claim on a section "${key}" that is not there`,
        );
}

/** A page complete in itself; empty parts of its body are left out. */
export function wholePage({
  title,
  style,
  script,
  kind,
  body,
}: {
  readonly title: string;
  readonly style: string;
  /** Runs when the page is there. */
  readonly script?: string;
  /** Class of the body. */
  readonly kind?: string;
  readonly body: readonly string[];
}): string {
  const parts = [
    "<!DOCTYPE html>",
    '<html lang="en">',
    "<head>",
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policyFor(script)}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<title>${escapeMarkup(title)}</title>`,
    `<style>\n${style}\n</style>`,
    "</head>",
    kind === undefined ? "<body>" : `<body class="${kind}">`,
    ...body,
    script === undefined ? "" : `<script>${script}</script>`,
    "</body>",
    "</html>",
  ];
  return `${parts.filter((part) => part !== "").join("\n")}\n`;
}

/** Nothing may be fetched, and nothing run but the page's own script, known by its hash. */
function policyFor(script: string | undefined): string {
  const run =
    script === undefined
      ? ""
      : ` script-src 'sha256-${createHash("sha256").update(script).digest("base64")}';`;
  return `default-src 'none';${run} style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'`;
}

const CAUTIONS_FOLLOW =
  '<p class="heed"><a href="#cautions">The cautions below</a> come before any arc: these are estimates, and they permit nothing.</p>';

function renderCautions(cautions: readonly string[]): string {
  if (cautions.length === 0) return "";
  const items = cautions.map((text) => `<li>${escapeMarkup(text)}</li>`);
  return `<section class="cautions" aria-labelledby="cautions">\n<h2 id="cautions">Cautions</h2>\n<ul>\n${items.join("\n")}\n</ul>\n</section>`;
}

function renderContents(sections: readonly ReportSection[]): string {
  const items = sections.map(
    (section, i) => `<li><a href="#${anchorOf(section, i + 1)}">${escapeMarkup(section.heading)}</a></li>`,
  );
  return `<nav aria-label="Contents">\n<ol>\n${items.join("\n")}\n</ol>\n</nav>`;
}
