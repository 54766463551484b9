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

/** One issue as a line of text: `file:line, column "x": message, got "v"`. */
export function formatIssue(issue: Issue): string {
  const place = [
    issue.file === undefined ? "" : issue.line === undefined ? issue.file : `${issue.file}:${issue.line}`,
    issue.file === undefined && issue.line !== undefined ? `line ${issue.line}` : "",
    issue.column === undefined ? "" : `"${issue.column}"`,
  ].filter((part) => part !== "");
  const where = place.length === 0 ? "" : `${place.join(", ")}: `;
  return `${where}${issue.message}${issue.got === undefined ? "" : `, got ${JSON.stringify(issue.got)}`}`;
}

/** A {@link BeadbenchError} that lists every fault found, one per line. */
export function errorFromIssues(code: ErrorCode, heading: string, issues: readonly Issue[]): BeadbenchError {
  return new BeadbenchError(code, [heading, ...issues.map((issue) => `  ${formatIssue(issue)}`)].join("\n"), {
    issues,
  });
}
