import { BeadbenchError, errorFromIssues } from "../../errors/index.js";
import { decodeText, readCsvText } from "../csv/index.js";
import type { Cell, Sheet } from "./sheet.js";
import { isWorkbook, readWorkbook } from "./workbook.js";

/** Which part of a file is the table. */
export interface SheetWanted {
  /** Name of a sheet; of a workbook with one visible sheet it may be left out. */
  readonly sheet?: string | undefined;
  /** Row of the heading, from 1; of a CSV file the first that holds anything where left out. */
  readonly headerRow?: number | undefined;
}

/**
 * Reads a table of another program, an XLSX workbook or a CSV file, as cells.
 *
 * @throws {BeadbenchError} `bad-file` for what cannot be read, and where a workbook has several sheets and none is named
 */
export function readSheet(bytes: Uint8Array, file: string, wanted: SheetWanted = {}): Sheet {
  if (!isWorkbook(bytes)) return csvSheet(bytes, file, wanted.headerRow ?? 1);
  const workbook = readWorkbook(bytes, file);
  const visible = workbook.sheets.filter(({ hidden }) => !hidden).map(({ name }) => name);
  const { sheet } = wanted;
  const all = visible.map((name) => `"${name}"`).join(", ");
  if (sheet !== undefined) {
    if (workbook.sheets.some(({ name }) => name === sheet)) return workbook.sheet(sheet);
    throw new BeadbenchError("bad-file", `${file} has no sheet "${sheet}"; it has ${all}`);
  }
  if (visible.length === 1) return workbook.sheet(visible[0]!);
  throw new BeadbenchError(
    "bad-file",
    visible.length === 0
      ? `all sheets of ${file} are hidden; name the one that is meant`
      : `${file} has ${visible.length} sheets; name the one that is meant: ${all}`,
  );
}

/** Lines above the heading are left empty, so that they do not tell what parts the cells, and lines keep their numbers. */
function csvSheet(bytes: Uint8Array, file: string, headerRow: number): Sheet {
  const lines = decodeText(bytes)
    .replace(/^\uFEFF/, "")
    .replace(/\r\n?/g, "\n")
    .split("\n");
  const text = readCsvText(lines.map((line, i) => (i + 1 < headerRow ? "" : line)).join("\n"));
  if ("issues" in text)
    throw errorFromIssues(
      "bad-file",
      "the table cannot be read:",
      text.issues.map((issue) => ({ ...issue, file })),
    );
  const { header, headerLine, rows } = text;
  const cells = (row: readonly string[]): ReadonlyMap<number, Cell> =>
    new Map(
      row.flatMap((cell, i) => (cell.trim() === "" ? [] : [[i, { kind: "text" as const, text: cell }]])),
    );
  return {
    place: file,
    rows: new Map([[headerLine, cells(header)], ...rows.map((row) => [row.line, cells(row.cells)] as const)]),
    merged: [],
    lettered: false,
  };
}
