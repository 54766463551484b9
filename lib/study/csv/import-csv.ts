import { errorFromIssues, type Issue } from "../../errors/index.js";
import type { StudyDefinition } from "../definition/index.js";
import type { EntryBody } from "../journal/index.js";
import { appendEntries, prepareEntries, type Study, type WriteOptions } from "../record/index.js";
import { type CsvColumn, lookalikes, readHeader } from "./csv-header.js";
import { comparable } from "./csv-match.js";
import { type DecimalMark, tellDecimalMark } from "./csv-number.js";
import { holdsNumbers, type ParsedRow, parseRow, type WhyImpossible } from "./csv-row.js";
import { readCsvText } from "./csv-text.js";
import { RowsToEntries, type SkippedRow } from "./rows-to-entries.js";

/** How a file is read; whatever is absent is told from the file, or refused where it cannot be. */
export interface ImportOptions extends WriteOptions {
  /** Import the rows without faults and list the others. Default false: all rows or none. */
  readonly acceptGood?: boolean;
  /** File name shown in messages. */
  readonly file?: string;
  /** Decimal mark, for a file from which it cannot be told. */
  readonly decimal?: DecimalMark;
  /**
   * Why no rig runs a setting, or undefined. Told among the faults of a file that is refused, so that all of it is
   * mended at once; alone it refuses nothing, since the record takes what was measured as it stands.
   */
  readonly whyImpossible?: WhyImpossible;
}

/** What an import put on record: ids of coupons in the order of the rows, lines of the file 1-based. Plain data. */
export interface CsvImport {
  /** The study with the imported coupons. */
  readonly study: Study;
  /** Ids of coupons that were logged or completed. */
  readonly logged: readonly string[];
  /** Ids of coupons that were planned: rows without any result. */
  readonly planned: readonly string[];
  readonly skipped: readonly SkippedRow[];
  /** What was understood and might not have been meant. */
  readonly notes: readonly string[];
  /** Rows left out; only with `acceptGood`. */
  readonly faults: readonly Issue[];
}

/**
 * Reads coupons from a CSV file into the study. The first row names columns as `name [unit]`; any unit of the
 * right dimension converts; an empty cell is not measured; `bead_height_1 … _n` are station readings, averaged
 * with their scatter kept. Rows belong to the coupon in the column `coupon`, else to the planned coupon with the
 * same settings, else to a new coupon. What is already logged with the same values is skipped. A column with a
 * unit that the study does not know is kept with the coupon, text is kept as a note.
 *
 * @param input - the file's text or bytes
 * @throws {BeadbenchError} `bad-csv` listing every fault with line and column; nothing is imported then
 */
export function importCsv(study: Study, input: string | Uint8Array, options: ImportOptions = {}): CsvImport {
  const { columns, rows, issues: ofHeader } = readCsvRows(study.definition, input, options);
  const plan = new RowsToEntries(study, options.acceptGood !== true);
  for (const row of rows) plan.add(comparable(study.definition, row));
  const inOrder = (issues: readonly Issue[]): readonly Issue[] =>
    issues
      .map((issue) => placed({ ...issue, ...titled(columns, issue.column) }, options.file))
      .sort((a, b) => (a.line ?? 0) - (b.line ?? 0));
  const oddities = rows.flatMap((row) => row.oddities);
  if (ofHeader.length > 0) throw refused(inOrder([...ofHeader, ...plan.issues, ...oddities]), options.file);
  const { bodies, issues } = prepareEntries(study.definition, study.entries, plan.bodies);
  const ofBodies = issues.map((issue) => ({ ...issue, line: plan.lines[issue.line! - 1]! }));
  const faults = inOrder([...plan.issues, ...ofBodies]);
  if (faults.length > 0 && options.acceptGood !== true)
    throw refused(inOrder([...faults, ...oddities]), options.file);
  const idsOf = (kind: EntryBody["kind"]): string[] =>
    bodies.flatMap((body) => (body.kind === kind && "coupon" in body ? [body.coupon ?? ""] : []));
  return {
    study: appendEntries(study, bodies, options),
    logged: idsOf("logged"),
    planned: idsOf("planned"),
    skipped: plan.skipped,
    notes: [...lookalikes(study.definition, columns), ...plan.notes],
    faults,
  };
}

/** The rows of a file, each with its own faults; throws for faults that concern the file. */
export function readCsvRows(
  definition: StudyDefinition,
  input: string | Uint8Array,
  options: ImportOptions,
): {
  readonly columns: readonly CsvColumn[];
  readonly rows: readonly ParsedRow[];
  /** Faults of the heading: nothing can be imported, but the rows are looked over all the same. */
  readonly issues: readonly Issue[];
} {
  const text = readCsvText(input);
  if ("issues" in text) throw refused(text.issues, options.file);
  const { header, headerLine, rows } = text;
  const cellsOf = (index: number): readonly string[] => rows.map(({ cells }) => cells[index] ?? "");
  const { columns, issues } = readHeader({ definition, header, cells: cellsOf, line: headerLine });
  if (rows.length === 0 && issues.length > 0) throw refused(issues, options.file);
  if (rows.length === 0)
    throw refused([{ line: headerLine, message: "names columns, but no row follows" }], options.file);
  const { mark, doubt } = tellDecimalMark(
    text,
    columns.filter(holdsNumbers).map(({ index }) => index),
    options.decimal,
  );
  return {
    columns,
    issues: doubt === undefined ? issues : [...issues, doubt],
    rows: rows.map((row) => parseRow({ columns, width: header.length, row, mark, ...options })),
  };
}

/** The heading of a column known by its name, as it is written in the file. */
function titled(columns: readonly CsvColumn[], column: string | undefined): Pick<Issue, "column"> {
  const title = columns.find(({ name }) => name === column)?.title;
  return title === undefined ? {} : { column: title };
}

const placed = (issue: Issue, file: string | undefined): Issue =>
  file === undefined ? issue : { file, ...issue };

/** The refusal of a whole file. */
export function refused(issues: readonly Issue[], file: string | undefined): Error {
  const count = issues.length === 1 ? "a fault" : `${issues.length} faults`;
  const listed = issues.map((issue) => placed(issue, file));
  return errorFromIssues("bad-csv", `nothing was imported: the file has ${count}:`, listed);
}
