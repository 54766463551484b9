import { BeadbenchError } from "../../errors/index.js";
import { isDateFormat, serialDate } from "./serial-date.js";
import { type Cell, cellAt, type Range, type Sheet } from "./sheet.js";
import { type Unzipped, unzip } from "./unzip.js";
import { readXml } from "./xml.js";

/** A workbook's sheets by name, read when asked for. */
export interface Workbook {
  readonly sheets: readonly { readonly name: string; readonly hidden: boolean }[];
  sheet(name: string): Sheet;
}

/** Cells a sheet may have, filled ones, and merged ranges. */
const MOST_CELLS = 500_000;
const MOST_MERGED = 10_000;
/** Rows every spreadsheet program has. */
const MOST_ROWS = 1_048_576;

/** Whether a file begins as every XLSX file does. */
export const isWorkbook = (bytes: Uint8Array): boolean =>
  bytes[0] === 0x50 && bytes[1] === 0x4b && bytes[2] === 3 && bytes[3] === 4;

/**
 * Opens an XLSX workbook. Of formulas the value last saved is read, of dates the day they show, by the workbook's own calendar (from
 * 1900 or 1904).
 *
 * @throws {BeadbenchError} `bad-file` for what is no workbook or unpacks to too much
 * @source ISO/IEC 29500-1, SpreadsheetML: workbook, worksheet, shared strings and styles (from memory); held by tests to files that
 *   openpyxl wrote
 */
export function readWorkbook(bytes: Uint8Array, file: string): Workbook {
  const parts = unzip(bytes, file);
  const targets = new Map<string, string>();
  openings({ parts, file }, "xl/_rels/workbook.xml.rels", (name, { Id: id, Target: target }) => {
    if (name === "Relationship" && id !== undefined && target !== undefined)
      targets.set(id, target.startsWith("/") ? target.slice(1) : `xl/${target}`);
  });
  const sheets: { name: string; hidden: boolean; part: string }[] = [];
  let from1904 = false;
  openings({ parts, file }, "xl/workbook.xml", (element, { name = "", state, id = "", date1904 }) => {
    if (element === "workbookPr") from1904 = date1904 === "1" || date1904 === "true";
    if (element === "sheet")
      sheets.push({
        name,
        hidden: state === "hidden" || state === "veryHidden",
        part: targets.get(id) ?? "",
      });
  });
  if (sheets.length === 0)
    throw new BeadbenchError("bad-file", `${file} is no XLSX workbook: it has no sheet`);
  const strings = sharedStrings(parts, file);
  const dates = dateStyles(parts, file);
  return {
    sheets: sheets.map(({ name, hidden }) => ({ name, hidden })),
    sheet(name) {
      const found = sheets.find((sheet) => sheet.name === name)!;
      return readSheet({ parts, part: found.part, file, name, strings, dates, from1904 });
    },
  };
}

/** What opens in a part of the workbook; nothing where there is no such part. */
function openings(
  source: { readonly parts: Unzipped; readonly file: string },
  part: string,
  open: (name: string, attributes: Readonly<Record<string, string>>) => void,
): void {
  const bytes = source.parts.read(part);
  if (bytes !== undefined) readXml(bytes.toString("utf8"), `${source.file} (${part})`, { open });
}

function sharedStrings(parts: Unzipped, file: string): readonly string[] {
  const bytes = parts.read("xl/sharedStrings.xml");
  if (bytes === undefined) return [];
  const strings: string[] = [];
  let text = "";
  let inText = false;
  // Hints of pronunciation are no part of the text.
  let inHint = false;
  readXml(bytes.toString("utf8"), `${file} (texts)`, {
    open(name) {
      if (name === "si") text = "";
      else if (name === "t") inText = true;
      else if (name === "rPh") inHint = true;
    },
    text(part) {
      if (inText && !inHint) text += part;
    },
    close(name) {
      if (name === "si") strings.push(text);
      else if (name === "t") inText = false;
      else if (name === "rPh") inHint = false;
    },
  });
  return strings;
}

/** Whether a style shows numbers as dates, by the style's place. */
function dateStyles(parts: Unzipped, file: string): readonly boolean[] {
  const formats = new Map<number, string>();
  const styles: boolean[] = [];
  let inCells = false;
  const bytes = parts.read("xl/styles.xml");
  if (bytes === undefined) return [];
  readXml(bytes.toString("utf8"), `${file} (styles)`, {
    open(name, { numFmtId, formatCode }) {
      if (name === "numFmt") formats.set(Number(numFmtId), formatCode ?? "");
      else if (name === "cellXfs") inCells = true;
      else if (name === "xf" && inCells)
        styles.push(isDateFormat(Number(numFmtId), formats.get(Number(numFmtId))));
    },
    close(name) {
      if (name === "cellXfs") inCells = false;
    },
  });
  return styles;
}

interface SheetSource {
  readonly parts: Unzipped;
  readonly part: string;
  readonly file: string;
  readonly name: string;
  readonly strings: readonly string[];
  readonly dates: readonly boolean[];
  readonly from1904: boolean;
}

function readSheet(source: SheetSource): Sheet {
  const { parts, part, file, name } = source;
  const place = `${file}, sheet "${name}"`;
  const bytes = parts.read(part);
  if (bytes === undefined)
    throw new BeadbenchError("bad-file", `${place} is missing in the file, or is no table`);
  const rows = new Map<number, Map<number, Cell>>();
  const merged: Range[] = [];
  let at: Readonly<Record<string, string>> = {};
  let [value, inValue, formula, cells, row, column] = ["", false, false, 0, 0, -1];
  readXml(bytes.toString("utf8"), place, {
    open(element, attributes) {
      if (element === "row") {
        row = Number(attributes.r ?? row + 1);
        if (!(row >= 1 && row <= MOST_ROWS)) throw tooLarge(place, `a row ${attributes.r}`);
        column = -1;
      } else if (element === "c") {
        [at, value, formula] = [attributes, "", false];
        column = cellAt(attributes.r ?? "")?.column ?? column + 1;
      } else if (element === "f") formula = true;
      else if (element === "v" || element === "t") inValue = true;
      else if (element === "mergeCell") merged.push(...rangeOf(attributes.ref ?? ""));
    },
    text(part) {
      if (inValue) value += part;
    },
    close(element) {
      if (element === "v" || element === "t") inValue = false;
      if (element !== "c" || (value === "" && !formula)) return;
      const cell = cellOf(source, { at, value, formula });
      if (cell.text.trim() === "" && cell.kind === "text") return;
      if (++cells > MOST_CELLS) throw tooLarge(place, `more than ${MOST_CELLS} cells`);
      const line = rows.get(row) ?? new Map<number, Cell>();
      rows.set(row, line.set(column, cell));
    },
  });
  if (merged.length > MOST_MERGED) throw tooLarge(place, `${merged.length} merged ranges`);
  return { place, rows, merged, lettered: true };
}

const tooLarge = (place: string, what: string): BeadbenchError =>
  new BeadbenchError("bad-file", `${place} has ${what}; save what is needed as CSV (UTF-8)`);

function cellOf(
  { strings, dates, from1904 }: SheetSource,
  {
    at,
    value,
    formula,
  }: { readonly at: Readonly<Record<string, string>>; readonly value: string; readonly formula: boolean },
): Cell {
  if (formula && value === "" && at.t !== "str") return { kind: "unsaved", text: "" };
  switch (at.t) {
    case "s":
      return { kind: "text", text: strings[Number(value)] ?? "" };
    case "str":
    case "inlineStr":
      return { kind: "text", text: value };
    case "b":
      return { kind: "truth", text: value === "1" || value === "true" ? "yes" : "no" };
    case "e":
      return { kind: "error", text: value };
    case "d":
      return { kind: "date", text: value };
    default:
      break;
  }
  if (dates[Number(at.s ?? 0)] !== true) return { kind: "number", text: value };
  const date = serialDate(Number(value), from1904);
  return date === undefined ? { kind: "no-date", text: value } : { kind: "date", text: date };
}

function rangeOf(reference: string): readonly Range[] {
  const [from, to] = reference.split(":").map(cellAt);
  return from === undefined || to === undefined
    ? []
    : [{ top: from.row, left: from.column, bottom: to.row, right: to.column }];
}
