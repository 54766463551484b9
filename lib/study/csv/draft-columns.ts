import type { Issue } from "../../errors/index.js";
import { settingDigits } from "../../numeric/figures/index.js";
import { isUnit, unitExamples, withUnit } from "../../units/index.js";
import {
  isDefectName,
  isJudgement,
  LAYER_COLUMN,
  type Quantity,
  readYesNo,
  reservedNames,
  roleOfWord,
  toStudyUnit,
} from "../definition/index.js";
import { splitHeader } from "./csv-header.js";
import { carriesUnit, type DecimalMark, parseCell, parseNumber } from "./csv-number.js";
import type { WhyImpossible } from "./csv-row.js";
import type { PlacedCell } from "./csv-text.js";

const BLOCK_NAME =
  /^(day|session|shift|batch|plate|operator|(gas_)?cylinder|(wire_)?spool|tungsten(_grind)?)$/;
/** What is given by eye as a number, such as colour_grade; the grade of a steel is none. */
const GRADE_NAME =
  /^(?!(.*_)?(steel|alloy|material|base|plate|wire|filler|gas)_grade$)(.*_)?(grade|rating|score)$/;
/** Names that a category can hold before it is rather a remark on each coupon. Common practice, no source. */
const MOST_LEVELS = 12;

/** What the user says of columns, by their names. */
export interface StatedColumns {
  readonly responses?: readonly string[];
  readonly settings?: readonly string[];
  readonly blocks?: readonly string[];
  readonly whyImpossible?: WhyImpossible;
}

export interface DraftColumn {
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
export const isNamed = ({ word, name }: DraftColumn, typed: string): boolean =>
  [word, name, stem(name)].includes(splitHeader(typed).name);

/** What the columns of a file make of a study, one after the other. */
export class DraftColumns {
  readonly factors: object[] = [];
  readonly responses: { name: string; unit?: string; kind: string; good?: "no" }[] = [];
  readonly blocks: string[] = [];
  readonly settings: Record<string, Quantity> = {};
  readonly notes: string[] = [];
  readonly issues: Issue[] = [];
  readonly #mark: DecimalMark;
  readonly #stations: ReadonlySet<string>;
  readonly #stated: StatedColumns;

  constructor(mark: DecimalMark, columns: readonly DraftColumn[], stated: StatedColumns) {
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
    if (this.#isStated("blocks", column)) return this.#addBlock(name, unit);
    if ((unit ?? "1") === "1" && this.#isGrade(column)) return this.#addGrade(name);
    if (unit === undefined) return this.#addPlain(column);
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
    if (this.#isStated("settings", column)) return ["setting", "as --settings says"];
    if (this.#isStated("responses", column)) return ["result", "as --results says"];
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

  #isStated(as: "responses" | "settings" | "blocks", column: DraftColumn): boolean {
    return this.#stated[as]?.some((typed) => isNamed(column, typed)) === true;
  }

  #addBlock(name: string, unit?: string): string | undefined {
    if (unit !== undefined && unit !== "1")
      return "holds numbers with a unit, which no block does: a block is a name, such as that of an operator";
    this.blocks.push(name);
    this.notes.push(`${name}: taken as a block, as --blocks says`);
    return undefined;
  }

  /** A column without a unit: a block, verdicts, a category, or a remark on each coupon. */
  #addPlain(column: DraftColumn): string | undefined {
    const { name, cells } = column;
    if (cells.length === 0) return undefined;
    const isResult = this.#isStated("responses", column);
    if (this.#isStated("settings", column)) return this.#addCategory(name, cells);
    if (BLOCK_NAME.test(name) && !isResult) this.blocks.push(name);
    else if (cells.every((cell) => readYesNo(cell) !== undefined)) this.#addVerdict(name, cells);
    else if (this.#areNumbers(cells)) {
      return this.#withoutUnit(column);
    } else if (isResult)
      return "holds text: a result is a number with a unit, or yes and no; write grades as numbers";
    else
      this.notes.push(
        `${name} holds text: kept as a note on each coupon; if set, add --settings ${name}, if a day or the like, --blocks ${name}`,
      );
    return undefined;
  }

  /** Whether a column holds grades by its name and its whole numbers, and nobody says that they were set. */
  #isGrade(column: DraftColumn): boolean {
    const isWhole = (cell: string): boolean => Number.isInteger(parseNumber(cell, this.#mark));
    return GRADE_NAME.test(column.name) && column.cells.every(isWhole) && !this.#isStated("settings", column);
  }

  #addGrade(name: string): undefined {
    this.responses.push({ name, kind: "grade" });
    this.notes.push(`${name} holds whole numbers, and names a grade: taken as one, where more is better`);
  }

  #areNumbers(cells: readonly string[]): boolean {
    return cells.every((cell) => typeof parseNumber(cell, this.#mark) === "number");
  }

  /** Why numbers without a unit cannot be taken; those counted from 1 on may be what the coupons are called by. */
  #withoutUnit({ name, cells }: Pick<DraftColumn, "name" | "cells">): string {
    const mend = `holds numbers without a unit; write "${plainName(name)} [unit]", or [1] for a plain number`;
    const counted = cells.every((cell, i) => cell.trim() === String(i + 1));
    return counted ? `${mend}; where it numbers the coupons, call it "coupon"` : mend;
  }

  /** Under a defect yes says that it is there, unless the words judge by themselves. */
  #addVerdict(name: string, cells: readonly string[]): void {
    const isDefect = isDefectName(name) && !cells.every(isJudgement);
    this.responses.push({ name, kind: "passFail", ...(isDefect ? { good: "no" } : {}) });
    this.notes.push(
      isDefect
        ? `${name} holds only yes and no, and names a defect: taken as pass/fail, where no is good; if yes says that the bead passed, write "good": "yes" in study.json before importing`
        : `${name} holds only yes and no: taken as pass/fail, where yes is good`,
    );
  }

  /** Names of what was set, such as the gas. */
  #addCategory(name: string, cells: readonly string[]): string | undefined {
    const levels = [...new Set(cells)].sort();
    if (this.#areNumbers(cells)) return this.#withoutUnit({ name, cells });
    const alike = levels.find((level, i) => levels.findIndex((other) => fold(other) === fold(level)) < i);
    if (alike !== undefined)
      return `is written in two ways (${levels.filter((level) => fold(level) === fold(alike)).join(", ")}); write it one way`;
    if (levels.length > MOST_LEVELS)
      return `holds ${levels.length} different texts: a setting made of names has ${MOST_LEVELS} at most; leave it out of --settings, and it is kept as a note`;
    if (levels.length < 2) {
      this.notes.push(`${name} is ${levels[0]} throughout: no setting that varies, kept as a note`);
      return undefined;
    }
    this.factors.push({ name, kind: "category", levels });
    this.notes.push(`${name} is one of ${levels.join(", ")}: taken as a factor of names, as --settings says`);
    return undefined;
  }
}

const fold = (text: string): string => text.trim().toLowerCase();

/** A name without what no name may hold. */
const plainName = (name: string): string => name.replace(/[^a-z0-9]+/g, "_").replace(/^_+|_+$/g, "");

/** `bead_height_3` without its station. */
function stem(name: string): string {
  return name.replace(/_\d+$/, "");
}
