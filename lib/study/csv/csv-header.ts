import type { Issue } from "../../errors/index.js";
import { onlyDefined } from "../../errors/index.js";
import { findUnit, headed, isUnit, sameDimension, unitExamples, unitsLike } from "../../units/index.js";
import type { StudyDefinition } from "../definition/index.js";
import {
  asName,
  type Column,
  findColumn,
  isName,
  isNumeric,
  isPlainNumber,
  kindRules,
  NAME_RULE,
  reservedNames,
  tradeName,
} from "../definition/index.js";
import { nearestName } from "../shape/index.js";
import { carriesUnit } from "./csv-number.js";

/** What a column of a CSV file holds. */
export interface CsvColumn {
  /** Position in a row, from 0. */
  readonly index: number;
  /** The header as written, for messages. */
  readonly title: string;
  readonly name: string;
  /** The unit in the heading, or of all plain numbers. */
  readonly unit?: string;
  /** Whether the cells say their unit themselves, the heading none. */
  readonly unitsInCells?: true;
  /** 1-based place along the bead, for `bead_height_3`. */
  readonly station?: number;
  /** `own`: a column the CSV uses for itself, such as coupon. */
  readonly meaning: Column | { readonly role: "own" };
}

/**
 * A header cell taken apart: `Bead width [mm]` is bead_width in mm, a known unit by its symbol. A unit may stand in
 * round brackets too, as in `Wire feed (m/min)`, where it is one.
 */
export function splitHeader(title: string): { readonly name: string; readonly unit?: string } {
  const square = /^(.*?)\s*\[([^\]]*)\]$/.exec(title.trim());
  const round = /^(.*?)\s*\(([^()]*)\)$/.exec(title.trim());
  const match = square ?? (round !== null && /[a-z%°"]/i.test(round[2]!) && isUnit(round[2]!) ? round : null);
  const name = asName(match?.[1] ?? title);
  if (match === null) return { name };
  const unit = match[2]!.trim();
  return { name, unit: isUnit(unit) ? findUnit(unit).symbol : unit };
}

/** Reads the header row under a definition. `cells` are the columns' contents, to tell empty columns. */
export function readHeader({
  definition,
  header,
  cells,
  line,
}: {
  readonly definition: StudyDefinition;
  readonly header: readonly string[];
  readonly cells: (index: number) => readonly string[];
  readonly line: number;
}): { readonly columns: readonly CsvColumn[]; readonly issues: readonly Issue[] } {
  const columns: CsvColumn[] = [];
  const issues: Issue[] = [];
  const seen = new Map<string, string>();
  const names = new Set(header.map((title) => splitHeader(title).name));
  const known = (title: string): { readonly name: string; readonly unit?: string } => {
    const split = splitHeader(title);
    const { role } = findColumn(definition, split.name);
    const other = tradeName(split.name);
    // Another word of the trade is read where the study has the name and not the word.
    const isKnown = findColumn(definition, other).role !== "context" || (isOwn(other) && !names.has(other));
    return role === "context" && isKnown ? { ...split, name: other } : split;
  };
  const written = header.map((title) => known(title).name);
  for (const [index, title] of header.entries()) {
    const add = (message: string): void => {
      issues.push({ line, column: title, message });
    };
    const filled = cells(index).filter((cell) => cell !== "");
    const { name, unit } = known(title);
    if (title.trim() === "") {
      if (filled.length > 0)
        issues.push({ line, column: `column ${index + 1}`, message: "has values but no header; name it" });
    } else if (seen.has(name)) add(`the column stands twice (also "${seen.get(name)}"); remove one`);
    else {
      seen.set(name, title);
      const bare = { index, title, name, ...onlyDefined({ unit }) };
      const column = understand({ definition, bare, written, filled });
      if ("fault" in column) add(column.fault);
      else if (column.meaning.role !== "context" || filled.length > 0) columns.push(column);
    }
  }
  return { columns, issues };
}

/** Whether the CSV uses a name for itself. */
const isOwn = (name: string): boolean => reservedNames.includes(name);

type Bare = Omit<CsvColumn, "meaning">;

function understand({
  definition,
  bare,
  written,
  filled,
}: {
  readonly definition: StudyDefinition;
  readonly bare: Bare;
  readonly written: readonly string[];
  readonly filled: readonly string[];
}): CsvColumn | { readonly fault: string } {
  if (isOwn(bare.name)) return { ...bare, meaning: { role: "own" } };
  const station = /^(.+)_(\d+)$/.exec(bare.name);
  const response = definition.responses.find(
    ({ name, kind }) => name === station?.[1] && kindRules(kind).stations,
  );
  const meaning = findColumn(definition, response === undefined ? bare.name : response.name);
  const column =
    response === undefined ? bare : { ...bare, name: response.name, station: Number(station![2]) };
  const unitsInCells = sayTheirUnit(meaning, column, filled);
  const fault =
    meaning.role === "context"
      ? contextFault(definition, column, written)
      : unitsInCells
        ? undefined
        : unitFault(meaning, column);
  if (fault !== undefined) return { fault };
  if (unitsInCells) return { ...column, meaning, unitsInCells: true };
  return isPlainNumber(meaning) ? { unit: "1", ...column, meaning } : { ...column, meaning };
}

/**
 * Whether the cells of a column without unit say it themselves: some of them where numbers are wanted (the others
 * are faults then), all of them where it might be text.
 */
function sayTheirUnit(meaning: Column, { unit }: Bare, filled: readonly string[]): boolean {
  if (unit !== undefined || filled.length === 0 || isPlainNumber(meaning)) return false;
  if (meaning.role === "context") return filled.every(carriesUnit);
  return isNumeric(meaning) && "unit" in meaning && meaning.unit !== "1" && filled.some(carriesUnit);
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
  if (!isUnit(unit)) return `unknown unit "${unit}"; for ${name} ${unitExamples(meaning.unit)}`;
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
  if (!isName(name)) return `${NAME_RULE}; a unit stands in square brackets: "arc_voltage [V]"`;
  return unit === undefined || isUnit(unit) ? undefined : `unknown unit "${unit}"; ${unitExamples()}`;
}

/** How the header of a known column is written. */
export function titleFor(definition: StudyDefinition, name: string): string {
  const column = findColumn(definition, name);
  return isNumeric(column) && "unit" in column ? headed(name, column.unit) : name;
}

/**
 * Which columns taken as new ones may be a slip for one the study has: named nearly like it, or like the last word of
 * it (`wdith` beside bead_width), and in a unit of its kind.
 */
export function lookalikes(definition: StudyDefinition, columns: readonly CsvColumn[]): readonly string[] {
  const known = [...definition.factors, ...definition.responses].filter((column) =>
    isNumeric(findColumn(definition, column.name)),
  );
  return columns.flatMap(({ title, name, unit, meaning }) => {
    if (meaning.role !== "context" || unit === undefined) return [];
    const alike = known.find((column) => {
      const words = [column.name, column.name.split("_").at(-1)!];
      return sameDimension(column.unit, unit) && nearestName(name, words, SLIPS) !== undefined;
    });
    return alike === undefined
      ? []
      : [
          `"${title}" is kept as a column of its own; it looks like ${alike.name}: mend the heading if that is meant`,
        ];
  });
}
