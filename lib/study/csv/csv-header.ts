import type { Issue } from "../../errors/index.js";
import { findUnit, headed, isUnit, sameDimension, unitsLike } from "../../units/index.js";
import type { StudyDefinition } from "../definition/index.js";
import {
  type Column,
  findColumn,
  isNumeric,
  isPlainNumber,
  nearestName,
  reservedNames,
} from "../definition/index.js";

/** What a column of a CSV file holds. */
export interface CsvColumn {
  /** Position in a row, from 0. */
  readonly index: number;
  /** The header as written, for messages. */
  readonly title: string;
  readonly name: string;
  readonly unit?: string;
  /** 1-based place along the bead, for `bead_height_3`. */
  readonly station?: number;
  /** `own`: a column the CSV uses for itself, such as coupon. */
  readonly meaning: Column | { readonly role: "own" };
}

/** A header cell taken apart: `Bead width [mm]` is bead_width in mm. */
export function splitHeader(title: string): { readonly name: string; readonly unit?: string } {
  const match = /^(.*?)\s*\[([^\]]*)\]$/.exec(title.trim());
  const name = (match?.[1] ?? title)
    .trim()
    .toLowerCase()
    .replace(/[\s-]+/g, "_");
  return match === null ? { name } : { name, unit: match[2]!.trim() };
}

/** Reads the header row under a definition. `cells` are the columns' contents, to tell empty columns. */
export function readHeader(
  definition: StudyDefinition,
  header: readonly string[],
  cells: (index: number) => readonly string[],
  line: number,
): { readonly columns: readonly CsvColumn[]; readonly issues: readonly Issue[] } {
  const columns: CsvColumn[] = [];
  const issues: Issue[] = [];
  const seen = new Map<string, string>();
  const written = header.map((title) => splitHeader(title).name);
  for (const [index, title] of header.entries()) {
    const add = (message: string): void => {
      issues.push({ line, column: title, message });
    };
    const filled = cells(index).some((cell) => cell !== "");
    const { name, unit } = splitHeader(title);
    if (title.trim() === "") {
      if (filled)
        issues.push({ line, column: `column ${index + 1}`, message: "has values but no header; name it" });
    } else if (seen.has(name)) add(`the column stands twice (also "${seen.get(name)}"); remove one`);
    else {
      seen.set(name, title);
      const bare = { index, title, name, ...(unit === undefined ? {} : { unit }) };
      const column = understand(definition, bare, written);
      if ("fault" in column) add(column.fault);
      else if (column.meaning.role !== "context" || filled) columns.push(column);
    }
  }
  return { columns, issues };
}

type Bare = Omit<CsvColumn, "meaning">;

function understand(
  definition: StudyDefinition,
  bare: Bare,
  written: readonly string[],
): CsvColumn | { readonly fault: string } {
  if (reservedNames.includes(bare.name)) return { ...bare, meaning: { role: "own" } };
  const station = /^(.+)_(\d+)$/.exec(bare.name);
  const response = definition.responses.find(
    ({ name, kind }) => name === station?.[1] && kind === "measured",
  );
  const meaning = findColumn(definition, response === undefined ? bare.name : response.name);
  const column =
    response === undefined ? bare : { ...bare, name: response.name, station: Number(station![2]) };
  const fault =
    meaning.role === "context" ? contextFault(definition, column, written) : unitFault(meaning, column);
  if (fault !== undefined) return { fault };
  return isPlainNumber(meaning) ? { unit: "1", ...column, meaning } : { ...column, meaning };
}

function unitFault(meaning: Column, { unit, name }: Bare): string | undefined {
  if (!isNumeric(meaning) || !("unit" in meaning)) {
    return unit === undefined || unit === "1"
      ? undefined
      : `holds no number, so it has no unit; write "${name}"`;
  }
  const like = unitsLike(meaning.unit).join(", ");
  if (unit === undefined) {
    return meaning.unit === "1"
      ? undefined
      : `needs its unit; write "${name} [${meaning.unit}]" (or ${like})`;
  }
  if (!isUnit(unit)) return `unknown unit "${unit}"; for ${name} write one of ${like}`;
  if (sameDimension(unit, meaning.unit)) return undefined;
  return `${unit} is a unit of ${findUnit(unit).dimension}; for ${name} write one of ${like}`;
}

/** A column further than this from every known name is taken for another quantity, not for a misspelt one. */
const SLIPS = 2;

function contextFault(
  definition: StudyDefinition,
  { name, unit }: Bare,
  written: readonly string[],
): string | undefined {
  const known = [
    ...reservedNames,
    ...definition.factors.map((factor) => factor.name),
    ...definition.responses.map((response) => response.name),
    ...definition.blocks,
  ].filter((candidate) => !written.includes(candidate));
  const stationless = name.replace(/_\d+$/, "");
  const bare = name.replace(/[_(/]*\(.*\)?$/, "");
  const near = known.includes(bare) ? bare : nearestName(stationless, known, SLIPS);
  if (near !== undefined) return `is no column of this study; did you mean "${titleFor(definition, near)}"?`;
  if (!/^[a-z][a-z0-9]*(_[a-z0-9]+)*$/.test(name)) {
    return 'is not a plain name; write small letters, digits and _, and a unit in square brackets, such as "arc_voltage [V]"';
  }
  return unit === undefined || isUnit(unit)
    ? undefined
    : `unknown unit "${unit}"; write one such as V, mm, degC, or 1`;
}

/** How the header of a known column is written. */
export function titleFor(definition: StudyDefinition, name: string): string {
  const column = findColumn(definition, name);
  return isNumeric(column) && "unit" in column ? headed(name, column.unit) : name;
}
