import { errorFromIssues, type Issue } from "../../errors/index.js";
import type { StudyDefinition } from "../definition/index.js";
import type { EntryBody } from "../journal/index.js";
import { appendEntries, prepareEntries, type Study, type WriteOptions } from "../record/index.js";
import { type CsvColumn, readHeader } from "./csv-header.js";
import { comparable } from "./csv-match.js";
import { type DecimalMark, tellDecimalMark } from "./csv-number.js";
import { holdsNumbers, type ParsedRow, parseRow } from "./csv-row.js";
import { readCsvText } from "./csv-text.js";
import { RowsToEntries, type SkippedRow } from "./rows-to-entries.js";

export interface ImportOptions extends WriteOptions {
  /** Import the rows without faults and list the others. Default false: all rows or none. */
  readonly acceptGood?: boolean;
  /** File name shown in messages. */
  readonly file?: string;
  /** Decimal mark, for a file from which it cannot be told. */
  readonly decimal?: DecimalMark;
}

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
  if (ofHeader.length > 0) throw refused([...ofHeader, ...plan.issues], options.file);
  const { bodies, issues } = prepareEntries(study.definition, study.entries, plan.bodies);
  const inFile = (issue: Issue): Issue => {
    const title = columns.find(({ name }) => name === issue.column)?.title;
    return { ...issue, line: plan.lines[issue.line! - 1]!, ...(title !== undefined && { column: title }) };
  };
  const faults = [...plan.issues, ...issues.map(inFile)]
    .map((issue) => placed(issue, options.file))
    .sort((a, b) => (a.line ?? 0) - (b.line ?? 0));
  if (faults.length > 0 && options.acceptGood !== true) throw refused(faults, options.file);
  const idsOf = (kind: EntryBody["kind"]): string[] =>
    bodies.flatMap((body) => (body.kind === kind && "coupon" in body ? [body.coupon ?? ""] : []));
  return {
    study: appendEntries(study, bodies, options),
    logged: idsOf("logged"),
    planned: idsOf("planned"),
    skipped: plan.skipped,
    notes: plan.notes,
    faults,
  };
}

/** The rows of a file, each with its own faults; throws for faults that concern the file. */
function readCsvRows(
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
  const { header, headerLine, rows, separator } = text;
  const cellsOf = (index: number): readonly string[] => rows.map(({ cells }) => cells[index] ?? "");
  const { columns, issues } = readHeader({ definition, header, cells: cellsOf, line: headerLine });
  if (rows.length === 0 && issues.length > 0) throw refused(issues, options.file);
  if (rows.length === 0)
    throw refused([{ line: headerLine, message: "names columns, but no row follows" }], options.file);
  const numbers = columns.filter(holdsNumbers).flatMap(({ index }) => cellsOf(index));
  const mark = options.decimal ?? tellDecimalMark(numbers, separator);
  if (typeof mark === "object")
    throw refused(
      [...issues, { line: lineOf(rows, mark.cell), message: mark.message, got: mark.cell }],
      options.file,
    );
  return { columns, issues, rows: rows.map((row) => parseRow({ columns, width: header.length, row, mark })) };
}

function lineOf(
  rows: readonly { readonly line: number; readonly cells: readonly string[] }[],
  cell: string,
): number {
  return rows.find(({ cells }) => cells.includes(cell))?.line ?? 1;
}

const placed = (issue: Issue, file: string | undefined): Issue =>
  file === undefined ? issue : { file, ...issue };

function refused(issues: readonly Issue[], file: string | undefined): Error {
  const count = issues.length === 1 ? "a fault" : `${issues.length} faults`;
  const listed = issues.map((issue) => placed(issue, file));
  return errorFromIssues("bad-csv", `nothing was imported: the file has ${count}:`, listed);
}
