import { BeadbenchError, onlyDefined } from "../errors/index.js";
import {
  type Column,
  findColumn,
  isNumeric,
  isPlainNumber,
  kindRules,
  LAYER_COLUMN,
  meantColumns,
  readVerdict,
} from "../study/definition/index.js";
import type { StudyDefinition, Values } from "../study/index.js";
import { nearestName } from "../study/shape/index.js";
import { readQuantities } from "../units/index.js";
import { pointsForCommas } from "./commas.js";

/** Values typed as `name=value unit`, with the unit of each number and the station readings. */
export interface Assignments {
  readonly values: Values;
  readonly units: Readonly<Record<string, string>>;
  readonly readings: Readonly<Record<string, readonly number[]>>;
}

/** What is known beside the study's definition. */
export interface AssignmentPlace {
  /** Units in which columns were logged before, by name: a bare number is in them, and their names mean themselves. */
  readonly logged?: ReadonlyMap<string, string>;
  /** Whether names are read as they stand, because they need not be columns of the study. */
  readonly exact?: boolean;
}

/** One word read. */
interface Assignment {
  readonly name: string;
  readonly value: number | string | boolean | readonly number[];
  readonly unit?: string;
}

/**
 * Reads words such as `current=150A`, `bead_height="2.1 2.2 2.0 mm"` (stations), `width=5.9,6.1`, `sound_bead=no`, and
 * `sound`, which is a yes to sound_bead.
 *
 * A name may be shortened as far as it means one column of the study. A number without a unit is in the study's unit
 * of its column; columns that the study does not define need one, unless they hold plain numbers (unit 1).
 *
 * @throws {BeadbenchError} `bad-argument` naming the word and how to write it
 */
export function parseAssignments(
  definition: StudyDefinition,
  items: readonly string[],
  place: AssignmentPlace = {},
): Assignments {
  const values: Record<string, number | string | boolean> = {};
  const units: Record<string, string> = {};
  const readings: Record<string, readonly number[]> = {};
  const words = new Map<string, string>();
  for (const item of items) {
    const { name, value, unit } = readItem(definition, item, place);
    const other = words.get(name);
    if (other !== undefined) throw bad(item, `${name} stands twice, also in "${other}"; give it once`);
    words.set(name, item);
    if (typeof value === "object") readings[name] = value;
    else values[name] = value;
    if (unit !== undefined) units[name] = unit;
  }
  return { values, units, readings };
}

function readItem(definition: StudyDefinition, item: string, { logged, exact }: AssignmentPlace): Assignment {
  const at = item.indexOf("=");
  if (at === -1) return readBareWord(definition, item);
  if (at === 0) throw bad(item, HOW);
  const typed = item.slice(0, at).trim();
  const text = item.slice(at + 1).trim();
  const isOwn = exact === true || logged?.has(typed) === true;
  const name = isOwn ? typed : nameMeant({ definition, item, typed, text });
  const column = findColumn(definition, name);
  if (isVerdict(column)) {
    const verdict = readVerdict(column.response, text);
    if (typeof verdict === "string") throw bad(item, verdict);
    return { name, value: verdict };
  }
  if (!isNumeric(column) && !(column.role === "context" && NUMBER.test(text))) return { name, value: text };
  const unit = "unit" in column ? column.unit : isPlainNumber(column) ? "1" : undefined;
  const place = onlyDefined({ like: unit, bare: logged?.get(name) ?? unit });
  const found = pointsForCommas(text, (plain) => readQuantities(plain, place));
  if (typeof found === "string") throw bad(item, `${noColumn(definition, column)}${found}`);
  return { name, value: found.values.length === 1 ? found.values[0]! : found.values, unit: found.unit };
}

const HOW = "write it as name=value, such as current=150A or sound_bead=yes";
const NUMBER = /^[-+\u2212\d.]/;

/** A word without `=` is a yes to a verdict. */
function readBareWord(definition: StudyDefinition, item: string): Assignment {
  const found = meantColumns(definition, item).filter((name) => isVerdict(findColumn(definition, name)));
  const [name, ...others] = found;
  if (name === undefined) throw bad(item, HOW);
  if (others.length > 0) throw bad(item, severalFault(found));
  const column = findColumn(definition, name);
  const verdict = isVerdict(column) ? readVerdict(column.response, "yes") : HOW;
  if (typeof verdict === "string") throw bad(item, `"yes" ${verdict}`);
  return { name, value: verdict };
}

/** The column a word before `=` stands for: one of the study that could hold the value, else one of its own. */
function nameMeant({
  definition,
  item,
  typed,
  text,
}: {
  readonly definition: StudyDefinition;
  readonly item: string;
  readonly typed: string;
  readonly text: string;
}): string {
  if (isPlainNumber(findColumn(definition, typed))) return typed;
  const found = meantColumns(definition, typed);
  const fitting = found.filter((name) => name === typed || couldHold(findColumn(definition, name), text));
  if (fitting.length > 1) throw bad(item, severalFault(fitting));
  // A verdict that cannot be read is a slip, not another column.
  return fitting[0] ?? found.find((name) => isVerdict(findColumn(definition, name))) ?? typed;
}

function couldHold(column: Column, text: string): boolean {
  if (isVerdict(column)) return typeof readVerdict(column.response, text) !== "string";
  return !isNumeric(column) || NUMBER.test(text);
}

/** Said before the fault of a number whose column the study does not have: its name may be the slip. */
function noColumn(definition: StudyDefinition, { role, name }: Column): string {
  if (role !== "context" || name === LAYER_COLUMN) return "";
  const known = [...definition.factors, ...definition.responses].map((column) => column.name);
  const words = new Map(
    known.flatMap((column) => [column, ...column.split("_")].map((word) => [word, column])),
  );
  const near = nearestName(name, [...words.keys()]);
  const meant = near === undefined ? "." : `, did you mean ${words.get(near)}?`;
  return `${name} is no column of this study${meant} As a column of its own it `;
}

const severalFault = (names: readonly string[]): string =>
  `may mean ${names.slice(0, -1).join(", ")} or ${names.at(-1)}; write more of the name`;

function isVerdict(column: Column): column is Column & { readonly role: "response" } {
  return column.role === "response" && kindRules(column.response.kind).cells === "verdicts";
}

function bad(item: string, message: string): BeadbenchError {
  return new BeadbenchError("bad-argument", `"${item}": ${message}`);
}
