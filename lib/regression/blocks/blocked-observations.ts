/** Measured rows that come in blocks: days, spools, gas cylinders. */
export interface BlockedObservations {
  /** One row per measurement, one value per name, a 1 where an intercept is wanted. */
  readonly x: readonly (readonly number[])[];
  readonly y: readonly number[];
  readonly block: readonly string[];
}

/** The blocks in order of first appearance, and the number of each row's. */
export function blockIndex({ block }: Pick<BlockedObservations, "block">): {
  readonly labels: readonly string[];
  readonly block: Int32Array;
} {
  const numbers = new Map<string, number>();
  for (const label of block) if (!numbers.has(label)) numbers.set(label, numbers.size);
  return { labels: [...numbers.keys()], block: Int32Array.from(block, (label) => numbers.get(label)!) };
}
