/** Columns sorted into independent ones, made orthonormal, and those that repeat earlier ones. */
export interface IndependentColumns {
  /** Orthonormal columns, one array of n numbers per independent column. */
  readonly orthonormal: readonly Float64Array[];
  /** Index of the original column behind each orthonormal one. */
  readonly kept: readonly number[];
  /** Original columns that are linear combinations of earlier kept ones. */
  readonly dependent: readonly number[];
}

/**
 * Gram-Schmidt in the given order, each column cleaned twice, so that a term counts as aliased only with
 * terms before it.
 */
export function independentColumns(columns: readonly Float64Array[]): IndependentColumns {
  const orthonormal: Float64Array[] = [];
  const kept: number[] = [];
  const dependent: number[] = [];
  for (const [index, column] of columns.entries()) {
    const rest = Float64Array.from(column);
    for (let sweep = 0; sweep < 2; sweep++) {
      for (const q of orthonormal) {
        let dot = 0;
        for (let i = 0; i < rest.length; i++) dot += q[i]! * rest[i]!;
        for (let i = 0; i < rest.length; i++) rest[i]! -= dot * q[i]!;
      }
    }
    const norm = Math.hypot(...rest);
    if (norm > 1e-8 * Math.max(Math.hypot(...column), 1e-300)) {
      for (let i = 0; i < rest.length; i++) rest[i]! /= norm;
      orthonormal.push(rest);
      kept.push(index);
    } else dependent.push(index);
  }
  return { orthonormal, kept, dependent };
}
