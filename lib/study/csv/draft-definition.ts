import { errorFromIssues, type Issue } from "../../errors/index.js";
import { settingDigits } from "../../numeric/figures/index.js";
import { isUnit, unitExamples, withUnit } from "../../units/index.js";
import {
  LAYER_COLUMN,
  parseStudyDefinition,
  type Quantity,
  reservedNames,
  roleOfWord,
  STUDY_SCHEMA,
  type StudyDefinition,
  toStudyUnit,
  tradeName,
} from "../definition/index.js";
import { splitHeader } from "./csv-header.js";
import {
  carriesUnit,
  type DecimalMark,
  isPassFailWord,
  parseCell,
  parseNumber,
  tellDecimalMark,
} from "./csv-number.js";
import type { WhyImpossible } from "./csv-row.js";
import { type PlacedCell, placedCells, readCsvText } from "./csv-text.js";

/** What a CSV file cannot say of a study. */
export interface DraftOptions {
  readonly name: string;
  /** ISO 4063 process number. */
  readonly process: string;
  readonly wire: {
    readonly classification: string;
    readonly diameter: Quantity;
    readonly material?: string;
  };
  /** Names of columns that are results, whatever their name says. */
  readonly responses?: readonly string[];
  /** Names of columns that are settings, whatever their name says. */
  readonly settings?: readonly string[];
  /** File name shown in messages. */
  readonly file?: string | undefined;
  /** Decimal mark, for a file from which it cannot be told. */
  readonly decimal?: DecimalMark | undefined;
  /** Why no rig runs a setting, or undefined: no range may rest on such a one. */
  readonly whyImpossible?: WhyImpossible;
}

export interface DraftDefinition {
  readonly definition: StudyDefinition;
  /** What was assumed, to be looked over before the study is used. */
  readonly notes: readonly string[];
}

const BLOCK_NAME =
  /^(day|session|shift|batch|plate|operator|(gas_)?cylinder|(wire_)?spool|tungsten(_grind)?)$/;

/**
 * Drafts a study definition from the header and the ranges of a CSV file: columns with stations or with a word of the
 * trade for results become responses, yes/no columns pass/fail responses, other numbers that vary become factors from
 * their lowest to their highest value, and numbers that never vary held settings of the rig. Other words for known
 * names (`wfs`, `ctwd`) are read as those. A column `layer` stays beside the settings. What was assumed of each column
 * is told in the notes; `responses` and `settings` decide otherwise.
 *
 * @param input - the file's text or bytes
 * @throws {BeadbenchError} `bad-csv` when the header cannot be understood, `bad-study` when no factor or response is found
 */
export function draftDefinitionFromCsv(input: string | Uint8Array, options: DraftOptions): DraftDefinition {
  const { file } = options;
  const refused = (issues: readonly Issue[]): Error =>
    errorFromIssues(
      "bad-csv",
      "no study can be drafted from the file:",
      issues.map((issue) => (file === undefined ? issue : { file, ...issue })),
    );
  const text = readCsvText(input);
  if ("issues" in text) throw refused(text.issues);
  const stated = [...(options.responses ?? []), ...(options.settings ?? [])];
  const words = text.header.map((title) => splitHeader(title));
  const taken = new Set(words.map(({ name }) => name));
  const columns = text.header.map((title, index) => ({
    title,
    ...words[index]!,
    name: taken.has(tradeName(words[index]!.name)) ? words[index]!.name : tradeName(words[index]!.name),
    word: words[index]!.name,
    placed: placedCells(text, index),
    cells: placedCells(text, index).map(({ cell }) => cell),
  }));
  const unknown = stated.filter((name) => !columns.some((column) => isNamed(column, name)));
  if (unknown.length > 0) {
    const message = `is no column of the file; columns are ${columns.map(({ word }) => word).join(", ")}`;
    throw refused(unknown.map((name) => ({ got: name, message })));
  }
  const numeric = columns.flatMap(({ unit, cells }, index) =>
    unit !== undefined || cells.some(carriesUnit) ? [index] : [],
  );
  const { mark, doubt } = tellDecimalMark(text, numeric, options.decimal);
  const draft = new Draft(mark, columns, options);
  for (const column of columns) {
    const message = draft.add(column);
    if (message !== undefined) draft.issues.push({ line: text.headerLine, column: column.title, message });
  }
  const issues = [...(doubt === undefined ? [] : [doubt]), ...draft.issues];
  if (issues.length > 0) throw refused(issues.sort((a, b) => (a.line ?? 0) - (b.line ?? 0)));
  const { name, process, wire } = options;
  const { factors, responses, blocks, settings, notes } = draft;
  const raw = { schema: STUDY_SCHEMA, name, process, wire, rig: { settings }, factors, responses, blocks };
  return { definition: parseStudyDefinition(raw), notes };
}

interface DraftColumn {
  readonly title: string;
  /** The name used here. */
  readonly name: string;
  /** The name as written. */
  readonly word: string;
  readonly unit?: string;
  readonly placed: readonly PlacedCell[];
  readonly cells: readonly string[];
}

/** Whether a name typed on the command line is that of a column, as written or as used here. */
const isNamed = ({ word, name }: DraftColumn, typed: string): boolean =>
  [word, name, stem(name)].includes(splitHeader(typed).name);

class Draft {
  readonly factors: object[] = [];
  readonly responses: { name: string; unit?: string; kind: string }[] = [];
  readonly blocks: string[] = [];
  readonly settings: Record<string, Quantity> = {};
  readonly notes: string[] = [];
  readonly issues: Issue[] = [];
  readonly #mark: DecimalMark;
  readonly #stations: ReadonlySet<string>;
  readonly #stated: Pick<DraftOptions, "responses" | "settings" | "whyImpossible">;

  constructor(
    mark: DecimalMark,
    columns: readonly DraftColumn[],
    stated: Pick<DraftOptions, "responses" | "settings" | "whyImpossible">,
  ) {
    this.#mark = mark;
    const names = new Set(columns.map(({ name }) => name));
    this.#stations = new Set(
      [...names].filter((name) => names.has(`${name}_1`) || names.has(`${stem(name)}_2`)).map(stem),
    );
    this.#stated = stated;
  }

  /** Files a column under what it seems to be; returns what is wrong with it. */
  add(column: DraftColumn): string | undefined {
    const { name, cells, placed } = column;
    const unit = column.unit ?? this.#unitOf(cells);
    if (name === "" || reservedNames.includes(name)) return undefined;
    if (name === LAYER_COLUMN) {
      this.notes.push(`${name} says where in a build each coupon was measured: kept beside its settings`);
      return undefined;
    }
    if (unit !== undefined && !isUnit(unit)) return `unknown unit "${unit}"; ${unitExamples()}`;
    if (unit === undefined) return this.#addPlain(name, cells);
    const said = column.word === name ? "" : ` (${column.word} is another word for it)`;
    const [role, why] = this.#roleOf(column);
    const numbers = this.#numbersOf(placed, { name, unit, isSetting: role === "setting" });
    if (role === "result")
      this.#addResponse(this.#stations.has(stem(name)) ? stem(name) : name, unit, why + said);
    else this.#addSetting({ name, unit, numbers, why: why + said });
    return undefined;
  }

  /** The numbers of a column; a cell that holds none, or a setting no rig runs, is a fault. */
  #numbersOf(
    placed: readonly PlacedCell[],
    { name, unit, isSetting }: { readonly name: string; readonly unit: string; readonly isSetting: boolean },
  ): readonly number[] {
    return placed.flatMap(({ line, column, cell }) => {
      const found = parseCell(cell, this.#mark, { like: unit, bare: unit });
      const fault =
        typeof found === "string" ? found : isSetting ? this.#stated.whyImpossible?.(name, found) : undefined;
      if (fault !== undefined) this.issues.push({ line, column, got: cell, message: fault });
      return typeof found === "string" ? [] : [toStudyUnit(found.value, found.unit, unit)];
    });
  }

  /** The unit of the first cell, where every cell says its own and all are of one kind. */
  #unitOf(cells: readonly string[]): string | undefined {
    const first = parseCell(cells[0] ?? "", this.#mark, {});
    if (typeof first === "string" || !cells.every(carriesUnit)) return undefined;
    return cells.every((cell) => typeof parseCell(cell, this.#mark, { like: first.unit }) === "object")
      ? first.unit
      : undefined;
  }

  /** What a column is, and why it is taken so. */
  #roleOf(column: DraftColumn): readonly ["setting" | "result", why: string] {
    const { name } = column;
    const { responses = [], settings = [] } = this.#stated;
    if (settings.some((typed) => isNamed(column, typed))) return ["setting", "as --settings says"];
    if (responses.some((typed) => isNamed(column, typed))) return ["result", "as --results says"];
    if (this.#stations.has(stem(name))) return ["result", "it was read at stations"];
    const role = roleOfWord(name);
    if (role !== undefined) return [role, `a word for what is ${role === "setting" ? "set" : "measured"}`];
    return ["setting", `nothing tells whether it was set or measured; if measured, add --results ${name}`];
  }

  #addResponse(name: string, unit: string, why: string): void {
    if (this.responses.some((response) => response.name === name)) return;
    this.responses.push({ name, unit, kind: "measured" });
    this.notes.push(`${name}: taken as a result, ${why}`);
  }

  #addSetting({
    name,
    unit,
    numbers,
    why,
  }: {
    readonly name: string;
    readonly unit: string;
    readonly numbers: readonly number[];
    readonly why: string;
  }): void {
    if (numbers.length === 0) return;
    const low = Math.min(...numbers);
    const high = Math.max(...numbers);
    if (low < high) {
      this.factors.push({ name, unit, low, high });
      this.notes.push(
        `${name} varies from ${withUnit(`${settingDigits(low)} to ${settingDigits(high)}`, unit)}: taken as a factor, ${why}`,
      );
    } else {
      this.settings[name] = { value: low, unit };
      this.notes.push(
        `${name} is ${withUnit(settingDigits(low), unit)} throughout: taken as a setting held constant, ${why}`,
      );
    }
  }

  #addPlain(name: string, cells: readonly string[]): string | undefined {
    if (cells.length === 0) return undefined;
    if (BLOCK_NAME.test(name)) this.blocks.push(name);
    else if (cells.every(isPassFailWord)) {
      this.responses.push({ name, kind: "passFail" });
      this.notes.push(`${name} holds only yes and no: taken as pass/fail, where yes is good`);
    } else if (cells.every((cell) => typeof parseNumber(cell, this.#mark) === "number")) {
      return `holds numbers without a unit; write "${plainName(name)} [unit]", or [1] for a plain number`;
    } else this.notes.push(`${name} holds text: kept as a note on each coupon`);
    return undefined;
  }
}

/** A name without what no name may hold. */
const plainName = (name: string): string => name.replace(/[^a-z0-9]+/g, "_").replace(/^_+|_+$/g, "");

/** `bead_height_3` without its station. */
function stem(name: string): string {
  return name.replace(/_\d+$/, "");
}
