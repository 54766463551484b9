/**
 * Inner product a . b over the length of a; b may be longer, and gives NaN where it is shorter.
 *
 * @example innerProduct([1, 2], [3, 4]) // => 11
 */
export function innerProduct(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

/**
 * g' C g, the variance of a sum with weights g under the covariance C.
 *
 * @param c - square, one list per row, as many rows as g has numbers
 * @example quadraticForm([1, 2], [[2, 1], [1, 3]]) // => 18
 */
export function quadraticForm(g: ArrayLike<number>, c: readonly ArrayLike<number>[]): number {
  let sum = 0;
  for (let j = 0; j < g.length; j++) sum += g[j]! * innerProduct(g, c[j]!);
  return sum;
}
