import { table } from "arquero";

/** Rows that share a key. */
export interface RowGroup<T> {
  readonly key: string;
  readonly rows: readonly T[];
}

/** Rows gathered by a key, groups and rows in the order they come in. For tables, not for what a search repeats. */
export function groupRows<T>(rows: readonly T[], keyOf: (row: T) => string): readonly RowGroup<T>[] {
  if (rows.length === 0) return [];
  const keys = rows.map(keyOf);
  const parts = table({ key: keys }).groupby("key").partitions() as readonly ArrayLike<number>[];
  return parts.map((places) => ({
    key: keys[places[0]!]!,
    rows: Array.from(places, (place) => rows[place]!),
  }));
}
