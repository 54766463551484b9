import { errorFromIssues, type Issue } from "../../errors/index.js";
import { settingDigits } from "../../numeric/figures/index.js";
import { isUnit, unitExamples, withUnit } from "../../units/index.js";
import {
  LAYER_COLUMN,
  parseStudyDefinition,
  type Quantity,
  reservedNames,
  STUDY_SCHEMA,
  type StudyDefinition,
  toStudyUnit,
} from "../definition/index.js";
import { splitHeader } from "./csv-header.js";
import { carriesUnit, isPassFailWord, parseCell, parseNumber, tellDecimalMark } from "./csv-number.js";
import { readCsvText } from "./csv-text.js";

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
  /** Names of columns that are responses, besides those told by their name or their stations. */
  readonly responses?: readonly string[];
}

export interface DraftDefinition {
  readonly definition: StudyDefinition;
  /** What was assumed, to be looked over before the study is used. */
  readonly notes: readonly string[];
}

const RESPONSE_NAME =
  /(^|_)(width|height|depth|penetration|area|angle|fullness|waviness|hardness|mass|grade)$/;
const BLOCK_NAME =
  /^(day|session|shift|batch|plate|operator|(gas_)?cylinder|(wire_)?spool|tungsten(_grind)?)$/;

/**
 * Drafts a study definition from the header and the ranges of a CSV file: columns with stations or named like a
 * bead dimension become responses, yes/no columns pass/fail responses, other numbers that vary become factors from
 * their lowest to their highest value, and numbers that never vary held settings of the rig. A column `layer` stays
 * beside the settings.
 *
 * @param input - the file's text or bytes
 * @throws {BeadbenchError} `bad-csv` when the header cannot be understood, `bad-study` when no factor or response is found
 */
export function draftDefinitionFromCsv(input: string | Uint8Array, options: DraftOptions): DraftDefinition {
  const text = readCsvText(input);
  if ("issues" in text) throw refused(text.issues);
  const columns = text.header.map((title, index) => ({
    title,
    ...splitHeader(title),
    cells: text.rows.map(({ cells }) => cells[index] ?? "").filter((cell) => cell !== ""),
  }));
  const draft = new Draft(text.separator, columns, options.responses ?? []);
  const issues = columns.flatMap((column) => {
    const message = draft.add(column);
    return message === undefined ? [] : [{ line: text.headerLine, column: column.title, message }];
  });
  if (issues.length > 0) throw refused(issues);
  const { name, process, wire } = options;
  const { factors, responses, blocks, settings, notes } = draft;
  const raw = { schema: STUDY_SCHEMA, name, process, wire, rig: { settings }, factors, responses, blocks };
  return { definition: parseStudyDefinition(raw), notes };
}

const refused = (issues: readonly Issue[]): Error =>
  errorFromIssues("bad-csv", "no study can be drafted from the file:", issues);

interface DraftColumn {
  readonly title: string;
  readonly name: string;
  readonly unit?: string;
  readonly cells: readonly string[];
}

class Draft {
  readonly factors: object[] = [];
  readonly responses: { name: string; unit?: string; kind: string }[] = [];
  readonly blocks: string[] = [];
  readonly settings: Record<string, Quantity> = {};
  readonly notes: string[] = [];
  readonly #mark: "." | ",";
  readonly #stations: ReadonlySet<string>;
  readonly #stated: readonly string[];

  constructor(separator: string, columns: readonly DraftColumn[], stated: readonly string[]) {
    const numbers = columns.flatMap(({ unit, cells }) =>
      unit === undefined ? cells.filter(carriesUnit) : cells,
    );
    const mark = tellDecimalMark(numbers, separator);
    if (typeof mark === "object") throw refused([{ got: mark.cell, message: mark.message }]);
    this.#mark = mark;
    const names = new Set(columns.map(({ name }) => name));
    this.#stations = new Set(
      [...names].filter((name) => names.has(`${name}_1`) || names.has(`${stem(name)}_2`)).map(stem),
    );
    this.#stated = stated;
  }

  /** Files a column under what it seems to be; returns what is wrong with it. */
  add(column: DraftColumn): string | undefined {
    const { name, cells } = column;
    const unit = column.unit ?? this.#unitOf(cells);
    if (name === "" || reservedNames.includes(name)) return undefined;
    if (name === LAYER_COLUMN) {
      this.notes.push(`${name} says where in a build each coupon was measured: kept beside its settings`);
      return undefined;
    }
    if (unit !== undefined && !isUnit(unit)) return `unknown unit "${unit}"; ${unitExamples()}`;
    if (unit === undefined) return this.#addPlain(name, cells);
    if (this.#isResponse(name)) this.#addResponse(this.#stations.has(stem(name)) ? stem(name) : name, unit);
    else this.#addSetting(name, unit, cells);
    return undefined;
  }

  /** The unit of the first cell, where every cell says its own and all are of one kind. */
  #unitOf(cells: readonly string[]): string | undefined {
    const first = parseCell(cells[0] ?? "", this.#mark, {});
    if (typeof first === "string" || !cells.every(carriesUnit)) return undefined;
    return cells.every((cell) => typeof parseCell(cell, this.#mark, { like: first.unit }) === "object")
      ? first.unit
      : undefined;
  }

  #isResponse(name: string): boolean {
    const known = (candidate: string): boolean =>
      RESPONSE_NAME.test(candidate) || this.#stated.includes(candidate);
    return known(name) || this.#stations.has(stem(name));
  }

  #addResponse(name: string, unit: string): void {
    if (!this.responses.some((response) => response.name === name))
      this.responses.push({ name, unit, kind: "measured" });
  }

  #addSetting(name: string, unit: string, cells: readonly string[]): void {
    const numbers = cells.flatMap((cell) => {
      const found = parseCell(cell, this.#mark, { like: unit, bare: unit });
      return typeof found === "string" ? [] : [toStudyUnit(found.value, found.unit, unit)];
    });
    if (numbers.length === 0) return;
    const low = Math.min(...numbers);
    const high = Math.max(...numbers);
    if (low < high) {
      this.factors.push({ name, unit, low, high });
      this.notes.push(
        `${name} varies from ${withUnit(`${settingDigits(low)} to ${settingDigits(high)}`, unit)}: taken as a factor`,
      );
    } else {
      this.settings[name] = { value: low, unit };
      this.notes.push(
        `${name} is ${withUnit(settingDigits(low), unit)} throughout: taken as a setting held constant`,
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
      return `holds numbers without a unit; write "${name} [unit]", or [1] for a plain number`;
    } else this.notes.push(`${name} holds text: kept as a note on each coupon`);
    return undefined;
  }
}

/** `bead_height_3` without its station. */
function stem(name: string): string {
  return name.replace(/_\d+$/, "");
}
