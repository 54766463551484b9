/** Sum of products. */
export function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, part, j) => sum + part * b[j]!, 0);
}

/** g' C g. */
export function quadraticForm(g: readonly number[], c: readonly (readonly number[])[]): number {
  return g.reduce((sum, part, j) => sum + part * dot(c[j]!, g), 0);
}
