import { SOBOL_MAX_DIMENSIONS, sobolPoints } from "../../numeric/index.js";

/**
 * Further starts about a given one: Sobol points in the logarithms, each value times a power of ten, ever wider (from a
 * factor of 10 to one of 1000 both ways), sign kept; zeros become small values of either sign. Always the same ones.
 */
export function widerStarts(start: readonly number[], count: number): number[][] {
  const dimensions = Math.min(start.length, SOBOL_MAX_DIMENSIONS);
  return sobolPoints(count, dimensions, 1).map((point, index) => {
    const decades = 1 + (2 * index) / Math.max(1, count - 1);
    return start.map((value, j) => {
      const u = point[j % dimensions]!;
      return value === 0 ? (u - 0.5) * 10 ** (decades - 1) : value * 10 ** (decades * (2 * u - 1));
    });
  });
}
