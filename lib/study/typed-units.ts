import { effectiveEntries } from "./effective-entry.js";
import type { Entry } from "./journal-entry.js";

/** The unit in which each column of each coupon was written down, corrections taken in. */
export function typedUnits(entries: readonly Entry[]): ReadonlyMap<string, Readonly<Record<string, string>>> {
  const units = new Map<string, Record<string, string>>();
  for (const entry of effectiveEntries(entries)) {
    if (entry.coupon === undefined) continue;
    units.set(entry.coupon, { ...units.get(entry.coupon), ...entry.units });
  }
  return units;
}
