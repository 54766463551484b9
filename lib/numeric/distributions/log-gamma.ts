import { createRequire } from "node:module";

const load = createRequire(import.meta.url);
let raw: ((x: number) => number) | undefined;

/**
 * Natural logarithm of the absolute gamma function; Infinity at 0 and the negative whole numbers.
 *
 * @example logGamma(5) // => 3.17805
 */
export function logGamma(x: number): number {
  raw ??= load("@stdlib/math-base-special-gammaln") as (x: number) => number;
  return raw(x);
}
