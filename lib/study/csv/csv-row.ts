import { type Issue, onlyDefined, ownValue } from "../../errors/index.js";
import { mean, significant } from "../../numeric/figures/index.js";
import type { Quantity } from "../../units/index.js";
import { isNumeric, readVerdict, toStudyUnit, valueFault } from "../definition/index.js";
import type { CouponRecord } from "../journal/index.js";
import { unguardCell } from "./csv-guard.js";
import type { CsvColumn } from "./csv-header.js";
import { type DecimalMark, parseCell, parseNumber } from "./csv-number.js";
import type { CsvRow } from "./csv-text.js";

/** A row understood: what it says of the coupon, and the columns the CSV uses for itself. */
export interface ParsedRow {
  readonly line: number;
  readonly record: CouponRecord;
  readonly coupon?: string;
  readonly order?: number;
  readonly state?: string;
  readonly role?: string;
  readonly issues: readonly Issue[];
  /** What no rig runs, told beside the faults of a file that is refused. */
  readonly oddities: readonly Issue[];
}

/** Why no rig runs a setting, by its name, value and unit; undefined where one may. */
export type WhyImpossible = (name: string, quantity: Quantity) => string | undefined;

/** Whether the cells of a column are numbers (a context column with units, or a numeric known one). */
export function holdsNumbers({ meaning, unit, unitsInCells, name }: CsvColumn): boolean {
  if (meaning.role === "own") return name === "run_order";
  return meaning.role === "context" ? unit !== undefined || unitsInCells === true : isNumeric(meaning);
}

/** Reads one row; an empty cell leaves no trace. */
export function parseRow({
  columns,
  width,
  row,
  mark,
  whyImpossible,
}: {
  readonly columns: readonly CsvColumn[];
  readonly width: number;
  readonly row: CsvRow;
  readonly mark: DecimalMark;
  readonly whyImpossible?: WhyImpossible;
}): ParsedRow {
  const draft = new RowDraft(row.line, whyImpossible);
  const surplus = row.cells.slice(width);
  if (surplus.some((cell) => cell !== "")) {
    // Which cell is one too many nobody knows: the others of the row may stand under the wrong heading.
    const message = `has ${row.cells.length} cells for ${width} columns: a comma inside a number or text needs quotes, or ; as separator`;
    draft.issues.push({
      line: row.line,
      column: `column ${width + 1}`,
      got: surplus.join(","),
      message: `the row ${message}`,
    });
    return draft.finish();
  }
  for (const column of columns) {
    const cell = row.cells[column.index] ?? "";
    if (cell !== "") readCell({ draft, column, cell, mark });
  }
  return draft.finish();
}

class RowDraft {
  readonly issues: Issue[] = [];
  readonly values: Record<string, number | string | boolean> = {};
  readonly units: Record<string, string> = {};
  readonly stations: Record<string, { place: number; reading: number }[]> = {};
  readonly own: { coupon?: string; order?: number; state?: string; role?: string; note?: string } = {};

  readonly oddities: Issue[] = [];

  constructor(
    readonly line: number,
    private readonly whyImpossible: WhyImpossible = () => undefined,
  ) {}

  fault(column: CsvColumn, got: string, message: string): void {
    this.issues.push({ line: this.line, column: column.title, got, message });
  }

  /** A value or a station reading; the columns of one name share the unit of the first. */
  addNumber({ name, station, title, meaning }: CsvColumn, got: string, { value, unit }: Quantity): void {
    const message = meaning.role === "response" ? undefined : this.whyImpossible(name, { value, unit });
    if (message !== undefined) this.oddities.push({ line: this.line, column: title, got, message });
    const own = ownValue(this.units, name) ?? unit;
    this.units[name] = own;
    const number = toStudyUnit(value, unit, own);
    if (station === undefined) this.values[name] = number;
    else
      this.stations[name] = [...(ownValue(this.stations, name) ?? []), { place: station, reading: number }];
  }

  finish(): ParsedRow {
    const readings: Record<string, readonly number[]> = {};
    for (const [name, list] of Object.entries(this.stations)) {
      const inPlace = [...list].sort((a, b) => a.place - b.place).map(({ reading }) => reading);
      readings[name] = inPlace;
      this.dropMeanBeside(name, inPlace);
    }
    const { note, ...own } = this.own;
    const record: CouponRecord = {
      values: this.values,
      units: this.units,
      readings,
      ...onlyDefined({ note }),
    };
    return { line: this.line, record, ...own, issues: this.issues, oddities: this.oddities };
  }

  /** The mean beside its readings says nothing new, but must agree with them. */
  private dropMeanBeside(name: string, readings: readonly number[]): void {
    const stated = ownValue(this.values, name);
    if (typeof stated !== "number") return;
    const average = mean(readings);
    if (Math.abs(stated - average) > 1e-6 * Math.abs(average)) {
      const message = `is not the mean of its station readings (${significant(average, 6)}); leave one of them out`;
      this.issues.push({ line: this.line, column: name, got: String(stated), message });
    }
    delete this.values[name];
  }
}

/** A cell, and the row that it goes into. */
interface CellOfRow {
  readonly draft: RowDraft;
  readonly column: CsvColumn;
  readonly cell: string;
  readonly mark: DecimalMark;
}

function readCell({ draft, column, cell, mark }: CellOfRow): void {
  const { name, meaning, unit } = column;
  if (meaning.role === "own") {
    readOwn({ draft, column, cell, mark });
    return;
  }
  if (holdsNumbers(column)) {
    const kind = "unit" in meaning ? meaning.unit : unit;
    const found = parseCell(
      cell,
      mark,
      onlyDefined({ like: kind, bare: column.unitsInCells === true ? undefined : (unit ?? kind) }),
    );
    if (typeof found === "string") draft.fault(column, cell, found);
    else draft.addNumber(column, cell, found);
    return;
  }
  const value = meaning.role === "response" ? readVerdict(meaning.response, cell) : unguardCell(cell);
  if (meaning.role === "response" && typeof value === "string")
    draft.fault(column, cell, `${value}, or leave the cell empty`);
  else {
    const fault = valueFault(meaning, value);
    if (fault === undefined) draft.values[name] = value;
    else draft.fault(column, cell, fault);
  }
}

function readOwn({ draft, column, cell, mark }: CellOfRow): void {
  const text = unguardCell(cell);
  switch (column.name) {
    case "run_order": {
      const order = parseNumber(cell, mark);
      if (typeof order === "number" && Number.isInteger(order) && order > 0) draft.own.order = order;
      else draft.fault(column, cell, "must be a whole number from 1, or empty");
      break;
    }
    case "state":
      if (["planned", "logged", "voided"].includes(text)) draft.own.state = text;
      else draft.fault(column, cell, "must be planned, logged, voided or empty");
      break;
    case "coupon":
      draft.own.coupon = text;
      break;
    case "role":
      draft.own.role = text;
      break;
    case "note":
      draft.own.note = text;
      break;
    default:
      break;
  }
}
