import { BeadbenchError, onlyDefined } from "../errors/index.js";
import { findColumn, isNumeric, isPlainNumber, kindRules, readVerdict } from "../study/definition/index.js";
import type { StudyDefinition, Values } from "../study/index.js";
import { readQuantities } from "../units/index.js";

/** Values typed as `name=value unit`, with the unit of each number and the station readings. */
export interface Assignments {
  readonly values: Values;
  readonly units: Readonly<Record<string, string>>;
  readonly readings: Readonly<Record<string, readonly number[]>>;
}

/**
 * Reads words such as `current=150A`, `bead_height="2.1 2.2 2.0 mm"` (stations), `sound_bead=no`.
 *
 * A number must carry its unit, unless it is a plain one (unit 1): a bare feed of 120 could be in/min or mm/s.
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
    if (column.role === "response" && kindRules(column.response.kind).cells === "verdicts") {
      const verdict = readVerdict(column.response, text);
      if (typeof verdict === "string") throw bad(item, verdict);
      values[name] = verdict;
    } else if (isNumeric(column) || (column.role === "context" && /^[-+\u2212\d.]/.test(text))) {
      const like = "unit" in column ? column.unit : isPlainNumber(column) ? "1" : undefined;
      const found = readQuantities(text, onlyDefined({ like, bare: like === "1" ? "1" : undefined }));
      if (typeof found === "string") throw bad(item, found);
      if (found.values.length === 1) values[name] = found.values[0]!;
      else readings[name] = found.values;
      units[name] = found.unit;
    } else values[name] = text;
  }
  return { values, units, readings };
}

function bad(item: string, message: string): BeadbenchError {
  return new BeadbenchError("bad-argument", `"${item}": ${message}`);
}
