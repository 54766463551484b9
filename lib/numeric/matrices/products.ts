/** Inner product a . b over the length of a; b may be longer. */
export function innerProduct(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

/** g' C g of a square C, in rows. */
export function quadraticForm(g: ArrayLike<number>, c: readonly ArrayLike<number>[]): number {
  let sum = 0;
  for (let j = 0; j < g.length; j++) sum += g[j]! * innerProduct(g, c[j]!);
  return sum;
}
