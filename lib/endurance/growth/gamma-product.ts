import { chiSquareCdf, chiSquareQuantile, findRoot, logGamma } from "../../numeric/index.js";

const POINTS = 80;
/** Beyond these the density of the second variable is below 1e-14 of the whole. */
const TAIL = 1e-15;

/**
 * Quantile of the product of two independent gamma variables with shapes a and b and scale 1. The distribution function
 * is an integral over the logarithm of the second variable, by the trapezoidal rule, which converges fast there.
 *
 * @param p - above 0 and below 1
 */
export function productQuantile(p: number, a: number, b: number): number {
  const from = Math.log(chiSquareQuantile(TAIL, 2 * b) / 2);
  const step = (Math.log(chiSquareQuantile(1 - TAIL, 2 * b) / 2) - from) / POINTS;
  const nodes = Array.from({ length: POINTS + 1 }, (_, i) => {
    const log = from + i * step;
    return { y: Math.exp(log), weight: step * Math.exp(b * log - Math.exp(log) - logGamma(b)) };
  });
  const below = (z: number): number =>
    nodes.reduce((sum, { y, weight }) => sum + weight * chiSquareCdf((2 * z) / y, 2 * a), 0);
  const end = (q: number): number => (chiSquareQuantile(q, 2 * a) * chiSquareQuantile(q, 2 * b)) / 4;
  const tail = Math.min(p, 1 - p) / 10;
  return findRoot({ f: (z) => below(z) - p, lower: end(tail), upper: end(1 - tail), tolerance: 1e-10 }).x;
}
