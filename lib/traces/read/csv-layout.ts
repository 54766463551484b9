import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import { readHeading } from "./channels.js";
import type { TableHeading } from "./choose-columns.js";

/** How a CSV file is written, found from its first lines. */
export interface CsvLayout {
  /** Byte between cells. */
  readonly separator: number;
  /** Byte before decimals; undefined while no cell has any. */
  readonly mark: number | undefined;
  /** One heading per cell of a row; empty names where the file has no header. */
  readonly headings: readonly TableHeading[];
  /** Byte at which the rows begin, and the line that is, from 1. */
  readonly dataAt: number;
  readonly dataLine: number;
}

/** Bytes in which a header and the first row must come: loggers write a page about themselves before it at most. */
export const HEAD_BYTES = 65_536;

const NUMBER = /^[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?$/i;
/** What may stand in a row of numbers instead of one: not measured, or a date and time of day, which is not read. */
const NO_NUMBER = /^(?:nan|null|n\/a|-+|[+-]?inf(?:inity)?|\d{4}-\d\d-\d\d[T ].*|\d{1,2}:\d\d:\d\d.*)$/i;
const separators = ["\t", ";", ","] as const;
/** Lines looked at for a decimal mark. */
const MARK_LINES = 200;

/**
 * Finds header and rows: the first line of two numbers or more begins the rows, the line before it names the columns,
 * and where that holds units alone, the one before that does.
 *
 * @param head - the first {@link HEAD_BYTES} of the file, or all of it
 * @throws {BeadbenchError} `bad-file` for other encodings, and where no line holds numbers
 */
export function readCsvLayout(file: string, head: Uint8Array): CsvLayout {
  const refuse = (why: string): BeadbenchError => new BeadbenchError("bad-file", `${file}: ${why}`);
  if ((head[0] === 0xff && head[1] === 0xfe) || (head[0] === 0xfe && head[1] === 0xff))
    throw refuse("is written in UTF-16; save it as UTF-8 (in a spreadsheet: CSV UTF-8)");
  const lines = linesOf(head);
  const at = lines.findIndex(({ text }) => separatorOf(text) !== undefined);
  if (at < 0)
    throw refuse(
      `no line of its first ${HEAD_BYTES / 1024} KiB holds two numbers parted by a comma, semicolon or tab; a trace needs rows such as 0.0001,150.2,12.1`,
    );
  const separator = separatorOf(lines[at]!.text)!;
  const rows = lines.slice(at, at + MARK_LINES).map(({ text }) => text);
  return {
    separator: separator.charCodeAt(0),
    mark: decimalMark(rows, separator),
    headings: headingsOf(lines, at, separator),
    dataAt: lines[at]!.start,
    dataLine: at + 1,
  };
}

interface Line {
  readonly text: string;
  /** Byte it begins at. */
  readonly start: number;
}

function linesOf(head: Uint8Array): readonly Line[] {
  const lines: Line[] = [];
  let start = head[0] === 0xef && head[1] === 0xbb && head[2] === 0xbf ? 3 : 0;
  while (start < head.length) {
    const end = head.indexOf(10, start);
    const stop = end < 0 ? head.length : end;
    lines.push({ text: decoded(head.subarray(start, stop)).replace(/\r$/, ""), start });
    start = stop + 1;
  }
  return lines;
}

/** UTF-8, or Windows-1252 where it is none; only headings have letters beyond ASCII. */
function decoded(bytes: Uint8Array): string {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    return new TextDecoder("windows-1252").decode(bytes);
  }
}

const unquoted = (cell: string): string =>
  cell
    .trim()
    .replace(/^"(.*)"$/, "$1")
    .trim();

/** What parts the cells of a row of numbers; undefined for a line that is none. */
function separatorOf(line: string): string | undefined {
  return separators.find((separator) => {
    const cells = line.split(separator).map(unquoted);
    const filled = cells.filter((cell) => cell !== "" && !NO_NUMBER.test(cell));
    return (
      filled.length >= 2 &&
      filled.every((cell) => NUMBER.test(cell) && !(separator === "," && cell.includes(",")))
    );
  });
}

function decimalMark(rows: readonly string[], separator: string): number | undefined {
  const text = rows.join("\n");
  if (separator !== "," && text.includes(",")) return 44;
  return text.includes(".") ? 46 : undefined;
}

function headingsOf(lines: readonly Line[], at: number, separator: string): readonly TableHeading[] {
  const cells = lines[at]!.text.split(separator).length;
  const above = lines
    .slice(Math.max(0, at - 2), at)
    .map(({ text }) => text.replace(/^#\s*/, "").split(separator).map(unquoted))
    .filter((line) => line.length >= Math.min(cells, 2));
  const last = above.at(-1) ?? [];
  const units = last.map((cell) => /^[[(](.*)[\])]$/.exec(cell)?.[1]);
  const named = above.at(-2);
  if (named !== undefined && last.every((cell, i) => cell === "" || units[i] !== undefined))
    return Array.from({ length: cells }, (_, i) => ({
      name: named[i] ?? "",
      ...onlyDefined({ unit: units[i] }),
    }));
  return Array.from({ length: cells }, (_, i) => readHeading(last[i] ?? ""));
}
