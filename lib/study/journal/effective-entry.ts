import type { CorrectedBody, CouponRecord, Entry, LoggedBody, PlannedBody } from "./journal-entry.js";

/** A planned or logged entry of a coupon. */
export type CouponEntry = Entry<PlannedBody | LoggedBody>;

export function isCouponEntry(entry: Entry): entry is CouponEntry {
  return entry.kind === "planned" || entry.kind === "logged";
}

/** A coupon's record with a correction applied; a column corrected as values loses its readings and back. */
export function applyCorrection<T extends CouponRecord>(
  record: T,
  correction: Omit<CorrectedBody, "kind" | "entry" | "reason">,
): T {
  const values: Record<string, number | string | boolean> = { ...record.values };
  const readings: Record<string, readonly number[]> = { ...record.readings };
  for (const [name, value] of Object.entries(correction.values ?? {})) {
    delete readings[name];
    if (value === null) delete values[name];
    else values[name] = value;
  }
  for (const [name, list] of Object.entries(correction.readings ?? {})) {
    delete values[name];
    readings[name] = list;
  }
  return { ...record, values, readings, units: { ...record.units, ...correction.units } };
}

/** Planned and logged entries as they stand after corrections and voids, in journal order. */
export function effectiveEntries(entries: readonly Entry[]): readonly CouponEntry[] {
  const standing = new Map<number, CouponEntry>();
  for (const entry of entries) {
    if (isCouponEntry(entry)) standing.set(entry.seq, entry);
    else if (entry.kind === "voided" && entry.entry !== undefined) standing.delete(entry.entry);
    else if (entry.kind === "corrected") {
      const target = standing.get(entry.entry);
      if (target !== undefined) standing.set(entry.entry, applyCorrection(target, entry));
    }
  }
  return [...standing.values()];
}
