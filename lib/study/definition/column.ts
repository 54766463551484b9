import { rounds } from "../../numeric/figures/index.js";
import { convert, sameDimension } from "../../units/index.js";
import type { Factor, Response, StudyDefinition } from "./definition.js";
import { kindRules } from "./response-kind.js";

/** What a named column means in a study. */
export type Column =
  | { readonly role: "factor"; readonly name: string; readonly unit: string; readonly factor: Factor }
  | { readonly role: "response"; readonly name: string; readonly unit: string; readonly response: Response }
  | { readonly role: "block"; readonly name: string }
  | { readonly role: "context"; readonly name: string };

/** Finds what a column name means; a name the definition does not know is context. */
export function findColumn(definition: StudyDefinition, name: string): Column {
  const factor = definition.factors.find((candidate) => candidate.name === name);
  if (factor !== undefined) return { role: "factor", name, unit: factor.unit, factor };
  const response = definition.responses.find((candidate) => candidate.name === name);
  if (response !== undefined) return { role: "response", name, unit: response.unit, response };
  return definition.blocks.includes(name) ? { role: "block", name } : { role: "context", name };
}

/** Context that says on which layer of a build a coupon was measured: a plain number, which needs no unit. */
export const LAYER_COLUMN = "layer";

/** Whether a column is context in plain numbers. */
export function isPlainNumber(column: Column): boolean {
  return column.role === "context" && column.name === LAYER_COLUMN;
}

/** Whether a column holds numbers with a unit. */
export function isNumeric(column: Column): boolean {
  if (column.role === "factor") return column.factor.kind !== "category";
  return column.role === "response" && kindRules(column.response.kind).cells === "numbers";
}

/** Converts to the unit of the study; 14 digits, so that 120 in/min is 3048 mm/min and repeats stay equal. */
export function toStudyUnit(value: number, from: string, to: string): number {
  return from === to ? value : rounds(convert(value, from, to), 14);
}

/** Why a value cannot stand in a column, or undefined. */
export function valueFault(
  column: Column,
  value: number | string | boolean,
  unit?: string,
): string | undefined {
  if (isNumeric(column)) {
    if (typeof value !== "number") return "must be a number";
    const target = column.role === "factor" || column.role === "response" ? column.unit : "1";
    return unit === undefined || unit === target || sameDimension(unit, target)
      ? undefined
      : `must have a unit like ${target}, got ${unit}`;
  }
  switch (column.role) {
    case "factor": {
      const levels = column.factor.levels ?? [];
      return levels.includes(String(value))
        ? undefined
        : `must be one of ${levels.join(", ")}, got ${String(value)}`;
    }
    case "response":
      return typeof value === "boolean" ? undefined : "must be true (pass) or false (fail)";
    case "block":
      return typeof value === "string" ? undefined : 'must be a text, such as "2"';
    case "context":
      return typeof value === "number" && unit === undefined
        ? "needs a unit (1 for a plain number)"
        : undefined;
  }
}
