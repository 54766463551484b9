import type { Finding } from "../errors/index.js";
import { significant } from "../numeric/figures/index.js";

/** A column of a text table: heading and alignment. */
export interface TextColumn {
  readonly title: string;
  readonly align?: "left" | "right";
}

/** Lays rows out in columns parted by two spaces; numbers should come ready formatted. */
export function textTable(columns: readonly TextColumn[], rows: readonly (readonly string[])[]): string {
  const widths = columns.map((column, i) =>
    Math.max(column.title.length, ...rows.map((row) => (row[i] ?? "").length)),
  );
  const line = (cells: readonly string[]): string =>
    columns
      .map((column, i) => {
        const cell = cells[i] ?? "";
        return column.align === "right" ? cell.padStart(widths[i]!) : cell.padEnd(widths[i]!);
      })
      .join("  ")
      .trimEnd();
  return [
    line(columns.map((column) => column.title)),
    line(widths.map((w) => "-".repeat(w))),
    ...rows.map(line),
  ]
    .join("\n")
    .concat("\n");
}

const marks = { error: "[!!]", warning: "[ !]", info: "[ i]" } as const;

/** Wraps text to a width, its own blanks before the first line and this indent before the following ones. */
export function wrap(text: string, indent = "", width = 96): string {
  const lines: string[] = [];
  let line = "";
  const [lead] = /^ */.exec(text)!;
  for (const word of text.trim().split(/\s+/)) {
    if (line !== "" && indent.length + line.length + 1 + word.length > width) {
      lines.push(line);
      line = word;
    } else line = line === "" ? word : `${line} ${word}`;
  }
  if (line !== "") lines.push(line);
  return lines.map((part, i) => (i === 0 ? lead : indent) + part).join("\n");
}

/** Findings, worst first, each with its advice. */
export function findingsText(findings: readonly Finding[]): string {
  const rank = { error: 0, warning: 1, info: 2 } as const;
  return [...findings]
    .sort((a, b) => rank[a.severity] - rank[b.severity])
    .map((finding) => {
      const advice = finding.advice === undefined ? "" : `\n     -> ${adviceText(finding.advice)}`;
      return `${marks[finding.severity]} ${wrap(finding.message, "     ")}${advice}\n`;
    })
    .join("");
}

/** An advice broken into lines, the commands at its end each on a line of its own, so that they can be pasted. */
function adviceText(advice: string): string {
  const [words, ...commands] = advice.split(/: (?=beadbench \S)/);
  if (commands.length === 0) return wrap(advice, "        ");
  const lines = commands.map((command) => `\n        ${command.replace(/ and$/, "")}`);
  return `${wrap(`${words}:`, "        ")}${lines.join("")}`;
}

/** {@link findingsText} under a blank line; nothing where there are none. */
export function findingsBelow(findings: readonly Finding[]): string {
  return findings.length === 0 ? "" : `\n${findingsText(findings)}`;
}

/** An estimate with its limits: "150 (142 to 159)"; a limit that is not there is left out. */
export function limitsText(range: {
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
}): string {
  const { estimate, lower, upper } = range;
  if (estimate === null) return "not reached";
  const value = significant(estimate);
  if (lower === null && upper === null) return `${value} (no limits)`;
  if (upper === null) return `${value} (from ${significant(lower!)})`;
  if (lower === null) return `${value} (up to ${significant(upper)})`;
  return lower === upper ? value : `${value} (${significant(lower)} to ${significant(upper)})`;
}
