import { BeadbenchError } from "../errors/index.js";
import type { StudyDefinition, Values } from "../study/index.js";
import { findColumn, isNumeric, isPlainNumber } from "../study/index.js";
import { isUnit } from "../units/index.js";

const yes = new Set(["true", "yes", "pass", "good", "1"]);
const no = new Set(["false", "no", "fail", "bad", "0"]);

/** Values typed as `name=value unit`, with the unit of each number and the station readings. */
export interface Assignments {
  readonly values: Values;
  readonly units: Readonly<Record<string, string>>;
  readonly readings: Readonly<Record<string, readonly number[]>>;
}

/**
 * Reads words such as `current=150A`, `bead_height="2.1 2.2 2.0 mm"` (stations), `sound_bead=no`.
 *
 * A number must carry its unit: a bare feed of 120 could be in/min or mm/s.
 *
 * @throws {BeadbenchError} `bad-argument` naming the word and how to write it
 */
export function parseAssignments(definition: StudyDefinition, items: readonly string[]): Assignments {
  const values: Record<string, number | string | boolean> = {};
  const units: Record<string, string> = {};
  const readings: Record<string, readonly number[]> = {};
  for (const item of items) {
    const at = item.indexOf("=");
    if (at < 1) throw bad(item, "write it as name=value, such as current=150A or sound_bead=yes");
    const name = item.slice(0, at).trim();
    const text = item.slice(at + 1).trim();
    const column = findColumn(definition, name);
    if (column.role === "response" && column.response.kind === "passFail") {
      const word = text.toLowerCase();
      if (!yes.has(word) && !no.has(word)) throw bad(item, "write yes or no");
      values[name] = yes.has(word);
    } else if (isNumeric(column) || (column.role === "context" && /^[-+\d.]/.test(text))) {
      const { numbers, unit } = numbersWithUnit(item, text);
      const wanted = "unit" in column ? column.unit : isPlainNumber(column) ? "1" : undefined;
      if (unit === "" && wanted !== "1")
        throw bad(item, `give the unit, such as ${name}="${text} ${wanted ?? "mm"}"`);
      if (numbers.length === 1) values[name] = numbers[0]!;
      else readings[name] = numbers;
      units[name] = unit === "" ? "1" : unit;
    } else values[name] = text;
  }
  return { values, units, readings };
}

function numbersWithUnit(
  item: string,
  text: string,
): { readonly numbers: readonly number[]; readonly unit: string } {
  const match = /^((?:[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?[\s;]*)+)(.*)$/i.exec(text);
  if (match === null) throw bad(item, "expected a number");
  const unit = match[2]!.trim();
  if (!isUnit(unit))
    throw bad(item, `"${unit}" is no unit; write one such as A, V, mm, mm/min, m/min, in/min, degC`);
  return {
    numbers: match[1]!
      .trim()
      .split(/[\s;]+/)
      .map(Number),
    unit,
  };
}

function bad(item: string, message: string): BeadbenchError {
  return new BeadbenchError("bad-argument", `"${item}": ${message}`);
}
