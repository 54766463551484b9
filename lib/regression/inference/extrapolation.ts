import { requireThat } from "../../errors/index.js";
import { solveNonnegative } from "../../numeric/index.js";

/**
 * How far rows lie outside the convex hull of the settings measured: 0 inside, else the distance to the nearest point
 * of the hull, in units of each factor's measured range. Cheap reply to "was this ever tried, in combination?"; each
 * factor may be inside its own range and the row still outside.
 *
 * With corners c and a row q, minimising |sum u (c - q)|^2 + (1 - sum u)^2 over u >= 0 finds the nearest mixture
 * u / sum u exactly.
 *
 * @param measured - rows of settings, without intercept or powers
 * @param rows - rows to judge
 * @throws {BeadbenchError} `bad-argument` without a measured row, or for a row of another width
 * @source Lawson and Hanson (1974) chapter 23, least-distance programming
 * @example distanceOutsideHull([[0, 0], [1, 0], [0, 1]], [[1, 1]])[0] // => 0.7071067812
 */
export function distanceOutsideHull(
  measured: readonly (readonly number[])[],
  rows: readonly (readonly number[])[],
): number[] {
  requireThat(measured.length > 0, "distanceOutsideHull needs at least one measured row");
  const width = measured[0]!.length;
  const low = Array.from({ length: width }, (_, j) => Math.min(...measured.map((row) => row[j]!)));
  const range = low.map((lowest, j) => {
    const spread = Math.max(...measured.map((row) => row[j]!)) - lowest;
    return spread === 0 ? Math.max(1, Math.abs(lowest)) : spread;
  });
  const height = width + 1;
  const target = new Float64Array(height);
  target[width] = 1;
  const matrix = new Float64Array(height * measured.length);
  return rows.map((row) => {
    requireThat(
      row.length === width,
      `distanceOutsideHull: a row has ${row.length} values, the measured ones ${width}`,
    );
    measured.forEach((corner, k) => {
      for (let j = 0; j < width; j++) matrix[k * height + j] = (corner[j]! - row[j]!) / range[j]!;
      matrix[k * height + width] = 1;
    });
    const { x, residuals } = solveNonnegative({ matrix, rows: height, columns: measured.length, y: target });
    const total = x.reduce((sum, share) => sum + share, 0);
    const distance = Math.hypot(...residuals.subarray(0, width)) / total;
    return distance < 1e-9 ? 0 : distance;
  });
}
