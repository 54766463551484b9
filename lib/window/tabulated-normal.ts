import { normalCdf, normalPdf, normalQuantile } from "../numeric/index.js";

/** Half width of the table, beyond which the distribution is 0 or 1 to 1e-15, and intervals per unit. */
const REACH = 8;
const PER_UNIT = 64;

const nodes = Array.from({ length: 2 * REACH * PER_UNIT + 1 }, (_, i) => i / PER_UNIT - REACH);
const values = Float64Array.from(nodes, normalCdf);
const slopes = Float64Array.from(nodes, (z) => normalPdf(z) / PER_UNIT);

/**
 * P(Z <= z) from a table of exact values and slopes (cubic Hermite): within 1e-9 of the exact one and some
 * ten times quicker, for maps of a hundred thousand settings.
 */
export function quickNormalCdf(z: number): number {
  if (!(z > -REACH)) return 0;
  if (z >= REACH) return 1;
  const at = (z + REACH) * PER_UNIT;
  const i = Math.floor(at);
  const t = at - i;
  const s = 1 - t;
  return (
    values[i]! * (1 + 2 * t) * s * s +
    slopes[i]! * t * s * s +
    values[i + 1]! * t * t * (3 - 2 * t) -
    slopes[i + 1]! * t * t * s
  );
}

/** Intervals of the quantile's table between 1/64 and 63/64. */
const CELLS = 2048;
const quantiles = Float64Array.from({ length: CELLS + 1 }, (_, i) =>
  normalQuantile(Math.min(Math.max(i / CELLS, 1e-15), 1 - 1e-15)),
);

/** z with P(Z <= z) = p: interpolated within 5e-5 between 1/64 and 63/64, exact outside. */
export function quickNormalQuantile(p: number): number {
  if (p < 1 / 64 || p > 63 / 64) return normalQuantile(Math.min(Math.max(p, 1e-15), 1 - 1e-15));
  const at = p * CELLS;
  const i = Math.floor(at);
  return quantiles[i]! + (at - i) * (quantiles[i + 1]! - quantiles[i]!);
}
