import { requireCount } from "../errors/index.js";
import { counted, inWords, settingDigits } from "../numeric/index.js";
import { escapeMarkup } from "./markup.js";

/** Anything that can show HTML in a notebook cell, such as the `display` of the notebook kernel. */
export interface HtmlDisplay {
  html(text: string): void;
}

/** Rows to show: a table of columns, as `couponTable` gives, or plain objects. */
export type TableRows = readonly object[] | { objects(): object[]; columnNames(): string[] };

/** Rows shown where no number is asked for. */
const SHOWN = 20;

/**
 * Shows rows as a table in a notebook cell, in the colours of the notebook's theme: numbers flush right, as they were typed
 * or to four digits, an empty cell where there is nothing.
 *
 * @param display - what shows it; in a notebook the `display` imported from the kernel's own module
 * @param options.rows - rows shown at most; those left out are counted below. Default 20
 * @throws {BeadbenchError} `bad-argument` unless rows is a whole number of at least 1
 */
export function showTable(
  display: HtmlDisplay,
  table: TableRows,
  options: { readonly rows?: number } = {},
): void {
  display.html(tableHtml(table, requireCount("rows", options.rows ?? SHOWN, { min: 1 })));
}

function tableHtml(table: TableRows, most: number): string {
  const rows = "objects" in table ? table.objects() : table;
  const columns =
    "columnNames" in table ? table.columnNames() : [...new Set(rows.flatMap((row) => Object.keys(row)))];
  const cells = rows.map((row) => new Map(Object.entries(row)));
  const numeric = new Set(columns.filter((name) => cells.some((row) => typeof row.get(name) === "number")));
  const open = (tag: string, name: string): string =>
    `<${tag} style="text-align:${numeric.has(name) ? "right" : "left"}">`;
  const head = columns.map((name) => `${open("th", name)}${escapeMarkup(inWords(name))}</th>`);
  const body = cells
    .slice(0, most)
    .map(
      (row) =>
        `<tr>${columns.map((name) => `${open("td", name)}${escapeMarkup(cellText(row.get(name)))}</td>`).join("")}</tr>`,
    );
  const more = rows.length > most ? `<p>${most} of ${counted(rows.length, "row")}</p>` : "";
  return `<table>\n<thead><tr>${head.join("")}</tr></thead>\n<tbody>\n${body.join("\n")}\n</tbody>\n</table>${more}`;
}

function cellText(value: unknown): string {
  if (value === null || value === undefined) return "";
  if (typeof value === "number") return Number.isFinite(value) ? settingDigits(value) : "";
  if (typeof value === "boolean") return value ? "yes" : "no";
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}
