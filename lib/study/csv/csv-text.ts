import { CsvError, parse } from "csv-parse/sync";
import type { Issue } from "../../errors/index.js";
import { decodeText } from "./decode-text.js";

/** What parts the cells of a row; never the decimal mark of the same file. */
export type Separator = "," | ";" | "\t";

/** A CSV file as text cells. */
export interface CsvText {
  readonly separator: Separator;
  readonly header: readonly string[];
  /** 1-based line of the header. */
  readonly headerLine: number;
  readonly rows: readonly CsvRow[];
}

export interface CsvRow {
  /** 1-based line of the file on which the row starts. */
  readonly line: number;
  readonly cells: readonly string[];
}

/** A cell and where it stands. */
export interface PlacedCell {
  readonly line: number;
  /** The heading as written. */
  readonly column: string;
  readonly cell: string;
}

/** The cells of one column that are not empty, each with its place. */
export function placedCells({ header, rows }: CsvText, index: number): readonly PlacedCell[] {
  return rows.flatMap(({ line, cells }) => {
    const cell = (cells[index] ?? "").trim();
    return cell === "" ? [] : [{ line, column: header[index] ?? `column ${index + 1}`, cell }];
  });
}

/**
 * Splits a CSV file into cells: comma, semicolon or tab (told from the header), quotes, CRLF, byte order mark
 * and the `sep=;` line of spreadsheets. Rows without any content are left out.
 */
export function readCsvText(input: string | Uint8Array): CsvText | { readonly issues: readonly Issue[] } {
  const decoded = typeof input === "string" ? input : decodeText(input);
  const text = decoded.replace(/^\uFEFF/, "").replace(/\r\n?/g, "\n");
  if (text.includes("\0")) {
    return { issues: [{ line: 1, message: "is not a text file; save it as CSV (UTF-8)" }] };
  }
  const stated = /^sep=([,;\t])\n/i.exec(text);
  const body = stated === null ? text : text.slice(stated[0].length);
  const separator = (stated?.[1] as Separator | undefined) ?? tellSeparator(body);
  if (separator === undefined) {
    return {
      issues: [
        {
          line: 1,
          message: "the header holds both , and ; outside quotes: which one separates? Use one only",
        },
      ],
    };
  }
  const records = parseRecords(body, separator);
  if ("issues" in records) return records;
  const offset = stated === null ? 0 : 1;
  const rows = records.rows
    .map((row) => ({ line: row.line + offset, cells: row.cells.map((cell) => cell.trim()) }))
    .filter(({ cells }) => cells.some((cell) => cell !== ""));
  const [header, ...rest] = rows;
  if (header === undefined)
    return { issues: [{ line: 1, message: "is empty; the first row must name the columns" }] };
  return { separator, header: header.cells, headerLine: header.line, rows: rest };
}

/** The separator found in the first line outside quotes and unit brackets. */
function tellSeparator(text: string): Separator | undefined {
  const header = /^(?:[ \t]*\n)*([^\n]*)/.exec(text)?.[1] ?? "";
  const bare = header.replace(/"(?:[^"]|"")*"/g, "").replace(/\[[^\]]*\]/g, "");
  if (bare.includes("\t")) return "\t";
  if (bare.includes(";")) return bare.includes(",") ? undefined : ";";
  return ",";
}

function parseRecords(
  text: string,
  delimiter: Separator,
): { readonly rows: readonly CsvRow[] } | { readonly issues: readonly Issue[] } {
  let previous = 0;
  try {
    const records = parse(text, { delimiter, info: true, relax_column_count: true, record_delimiter: "\n" });
    const rows = (records as unknown as { record: string[]; info: { lines: number } }[]).map(
      ({ record, info }) => {
        const line = previous + 1;
        previous = info.lines;
        return { line, cells: record };
      },
    );
    return { rows };
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const line = typeof error.lines === "number" ? error.lines : 1;
    return { issues: [{ line, message: `a quote is open or stands inside a cell (${error.message})` }] };
  }
}
