import { grouped } from "./grouped.js";

/** What kind of trouble an error reports; stable, for programs that react to it. */
export type ErrorCode =
  | "bad-argument"
  | "bad-unit"
  | "bad-file"
  | "bad-study"
  | "bad-csv"
  | "bad-journal"
  | "locked"
  | "not-found"
  | "exists"
  | "infeasible"
  | "not-enough-data"
  | "refused";

/** One fault among several, located as exactly as the source allows. */
export interface Issue {
  readonly file?: string;
  /** 1-based line in the file. */
  readonly line?: number;
  /** Column name (CSV) or path (JSON). */
  readonly column?: string;
  /** The value found. */
  readonly got?: string;
  /** The rule that was broken, and how to mend it. */
  readonly message: string;
}

/**
 * The one error this library throws for bad input: the message says what, where and how to mend.
 * Statistical trouble is not an error but a {@link Finding} in the result.
 */
export class BeadbenchError extends Error {
  override readonly name = "BeadbenchError";
  readonly code: ErrorCode;
  readonly details: { readonly issues?: readonly Issue[]; readonly [key: string]: unknown };

  constructor(
    code: ErrorCode,
    message: string,
    details: { readonly issues?: readonly Issue[]; readonly [key: string]: unknown } = {},
  ) {
    super(message);
    this.code = code;
    this.details = details;
  }
}

/**
 * One issue as a line of text, with as much of file, line, column and value as it knows.
 *
 * @example formatIssue({ line: 3, column: "current", message: "must be above 0", got: "-5" }) // => `line 3, "current": must be above 0, got "-5"`
 */
export function formatIssue(issue: Issue): string {
  const place = [
    issue.file === undefined ? "" : issue.line === undefined ? issue.file : `${issue.file}:${issue.line}`,
    issue.file === undefined && issue.line !== undefined ? `line ${issue.line}` : "",
    issue.column === undefined ? "" : `"${issue.column}"`,
  ].filter((part) => part !== "");
  const where = place.length === 0 ? "" : `${place.join(", ")}: `;
  return `${where}${issue.message}${issue.got === undefined ? "" : `, got ${JSON.stringify(issue.got)}`}`;
}

/**
 * Issues as lines of text; one fault on many lines of a file is told once, with the lines and the values found:
 * `results.csv:3 (also lines 4 to 40, 44), "sound_bead": ..., got "maybe", "perhaps"`.
 */
export function formatIssues(issues: readonly Issue[]): readonly string[] {
  const alike = grouped(issues, ({ file, column, message }) => JSON.stringify([file, column, message]));
  return [...alike.values()].map((group) => {
    const [first, ...rest] = group;
    const lines = [...new Set(rest.flatMap(({ line }) => line ?? []))].filter((line) => line !== first!.line);
    if (lines.length === 0) return formatIssue(first!);
    const [head, ...values] = [...new Set(group.flatMap(({ got }) => got ?? []))];
    const told = formatIssue(head === undefined ? first! : { ...first!, got: head });
    const place = first!.file === undefined ? `line ${first!.line}` : `${first!.file}:${first!.line}`;
    const shown = values.slice(0, VALUES_SHOWN).map((value) => `, ${JSON.stringify(value)}`);
    const more = values.length > VALUES_SHOWN ? " and others" : "";
    return `${told.replace(place, `${place} (also lines ${runsOf(lines)})`)}${shown.join("")}${more}`;
  });
}

/** Values quoted of a fault that many lines share, beyond the first. */
const VALUES_SHOWN = 4;

/** Line numbers in rising order, neighbours joined: `4 to 40, 44`. */
function runsOf(lines: readonly number[]): string {
  const runs: [number, number][] = [];
  for (const line of [...lines].sort((a, b) => a - b)) {
    const last = runs.at(-1);
    if (last !== undefined && line === last[1] + 1) last[1] = line;
    else runs.push([line, line]);
  }
  return runs.map(([from, to]) => (from === to ? `${from}` : `${from} to ${to}`)).join(", ");
}

/** A {@link BeadbenchError} that lists every fault found, as {@link formatIssues} does; `details` holds each. */
export function errorFromIssues(code: ErrorCode, heading: string, issues: readonly Issue[]): BeadbenchError {
  return new BeadbenchError(code, [heading, ...formatIssues(issues).map((line) => `  ${line}`)].join("\n"), {
    issues,
  });
}
