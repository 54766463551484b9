import type { StudyDefinition } from "../definition/index.js";
import { findColumn } from "../definition/index.js";
import { type Known, type KnownCoupon, recordColumns, sameKnown, wasLogged } from "../record/index.js";
import type { ParsedRow } from "./csv-row.js";

/** The coupon a row belongs to, and how that was found. */
export type Match =
  | { readonly by: "id" | "settings"; readonly coupon: KnownCoupon }
  | { readonly by: "same-results"; readonly coupon: KnownCoupon }
  | { readonly by: "none" }
  | { readonly by: "doubt"; readonly message: string };

/** A row's columns in the study's units. */
export interface ComparableRow extends ParsedRow {
  readonly columns: readonly (readonly [string, Known])[];
}

export function comparable(definition: StudyDefinition, row: ParsedRow): ComparableRow {
  return { ...row, columns: row.issues.length > 0 ? [] : recordColumns(definition, row.record) };
}

/** Whether a row reports a result: any response, or a state that says it was run. */
export function hasResult(definition: StudyDefinition, row: ComparableRow): boolean {
  const isResponse = ([name]: readonly [string, Known]): boolean =>
    findColumn(definition, name).role === "response";
  return row.columns.some(isResponse) || row.state === "logged" || row.state === "voided";
}

/**
 * Finds a row's coupon: by its id, else by settings equal to a planned coupon not yet run (repeats in run
 * order), else by settings and results equal to a coupon already logged (the same file again).
 */
export function matchRow({
  definition,
  known,
  free,
  row,
}: {
  readonly definition: StudyDefinition;
  readonly known: ReadonlyMap<string, KnownCoupon>;
  /** Those that no earlier row of the file was found to be. */
  readonly free: Iterable<KnownCoupon>;
  readonly row: ComparableRow;
}): Match {
  if (row.coupon !== undefined) {
    const coupon = known.get(row.coupon);
    return coupon === undefined ? { by: "none" } : { by: "id", coupon };
  }
  const settings = row.columns.filter(([name]) => findColumn(definition, name).role === "factor");
  if (settings.length < definition.factors.length) return { by: "none" };
  const candidates = [...free];
  const again = candidates.find(
    (coupon) =>
      coupon.logged.size > 0 && row.columns.every(([name, value]) => wasLogged(coupon, name, value)),
  );
  if (again !== undefined && hasResult(definition, row)) {
    const numeric = row.columns.some(
      ([name, value]) => findColumn(definition, name).role === "response" && typeof value !== "boolean",
    );
    if (numeric) return { by: "same-results", coupon: again };
    const message = `has the settings and results of ${again.id}, logged already: the same coupon or a repeat? Add a coupon column`;
    return { by: "doubt", message };
  }
  const planned = candidates.find(
    (coupon) =>
      coupon.planned &&
      coupon.logged.size === 0 &&
      settings.every(([name, value]) => sameSetting(coupon, name, value)),
  );
  return planned === undefined ? { by: "none" } : { by: "settings", coupon: planned };
}

function sameSetting(coupon: KnownCoupon, name: string, value: Known): boolean {
  const asked = coupon.settings.get(name);
  return asked !== undefined && sameKnown(asked, value);
}
