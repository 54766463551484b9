import { requireThat } from "../errors/index.js";
import { solveNonnegative } from "../numeric/index.js";

/**
 * How far rows lie outside the convex hull of the settings measured: 0 inside, else the distance to the nearest point
 * of the hull, in units of each factor's measured range. Cheap reply to "was this ever tried, in combination?"; each
 * factor may be inside its own range and the row still outside.
 *
 * The nearest mixture of measured rows is found by nonnegative least squares, with the sum of the shares held to 1.
 *
 * @param measured - rows of settings, without intercept or powers
 * @param rows - rows to judge
 */
export function distanceOutsideHull(
  measured: readonly (readonly number[])[],
  rows: readonly (readonly number[])[],
): number[] {
  requireThat(measured.length > 0, "distanceOutsideHull needs at least one measured row");
  const width = measured[0]!.length;
  const low = Array.from({ length: width }, (_, j) => Math.min(...measured.map((row) => row[j]!)));
  const range = low.map((lowest, j) => Math.max(...measured.map((row) => row[j]!)) - lowest);
  const scaled = (row: readonly number[]): number[] =>
    row.map((value, j) => (value - low[j]!) / (range[j] === 0 ? Math.max(1, Math.abs(low[j]!)) : range[j]!));
  const heavy = 1e4;
  const height = width + 1;
  const corners = measured.map(scaled);
  const matrix = new Float64Array(height * corners.length);
  corners.forEach((corner, k) => {
    matrix.set(corner, k * height);
    matrix[k * height + width] = heavy;
  });
  return rows.map((row) => {
    requireThat(
      row.length === width,
      `distanceOutsideHull: a row has ${row.length} values, the measured ones ${width}`,
    );
    const { residualNorm } = solveNonnegative(
      matrix,
      height,
      corners.length,
      Float64Array.from([...scaled(row), heavy]),
    );
    return residualNorm < 1e-6 ? 0 : residualNorm;
  });
}
