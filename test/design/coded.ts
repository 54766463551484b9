import type { DesignFactor } from "../../lib/design/index.js";

/** Factors x1 .. xk from -1 to 1. */
export function codedFactors(count: number, step = 0.01): readonly DesignFactor[] {
  return Array.from({ length: count }, (_, j) => ({ name: `x${j + 1}`, unit: "1", low: -1, high: 1, step }));
}

/** X'X of a matrix given by rows. */
export function crossProducts(rows: readonly (readonly number[])[]): number[][] {
  const p = rows[0]!.length;
  return Array.from({ length: p }, (_, i) =>
    Array.from({ length: p }, (_, j) => rows.reduce((sum, row) => sum + row[i]! * row[j]!, 0)),
  );
}

/** Determinant by elimination with partial pivoting: independent of the library's own algebra. */
export function determinant(matrix: readonly (readonly number[])[]): number {
  const a = matrix.map((row) => [...row]);
  let product = 1;
  for (let k = 0; k < a.length; k++) {
    const pivot = a
      .slice(k)
      .reduce((best, row, i) => (Math.abs(row[k]!) > Math.abs(a[best]![k]!) ? k + i : best), k);
    if (a[pivot]![k] === 0) return 0;
    if (pivot !== k) {
      [a[k], a[pivot]] = [a[pivot]!, a[k]!];
      product = -product;
    }
    product *= a[k]![k]!;
    for (let i = k + 1; i < a.length; i++) {
      const factor = a[i]![k]! / a[k]![k]!;
      for (let j = k; j < a.length; j++) a[i]![j]! -= factor * a[k]![j]!;
    }
  }
  return product;
}

/** Row of the full second-order model: 1, x, products, squares. */
export function secondOrder(x: readonly number[]): number[] {
  const products = x.flatMap((a, i) => x.slice(i + 1).map((b) => a * b));
  return [1, ...x, ...products, ...x.map((a) => a * a)];
}
