import {
  choleskyInPlace,
  choleskyInverse,
  choleskySolve,
  innerProduct,
} from "../../numeric/matrices/index.js";
import { Kernel, type SmoothRows, type SmoothSpread } from "./kernel.js";
import { likeliest } from "./likeliest.js";
import { aboutMiddle } from "./smooth.js";

/** A further column of a smooth, with its estimate. */
export interface SmoothEffect {
  readonly estimate: number;
  readonly standardError: number;
}

/** Estimates of further columns, one value per row each, beside a smooth. */
export type EffectsBeside = (columns: readonly (readonly number[])[]) => readonly SmoothEffect[];

/**
 * Makes ready to ask what further columns add to a smooth, by generalised least squares under the likeliest spread with
 * them. What the rows say without any column is computed once, however many sets of columns are asked for.
 */
export function effectsBeside(rows: SmoothRows): EffectsBeside {
  const kernel = new Kernel(rows);
  const y = aboutMiddle(rows).values;
  const spreadOf = (values: Float64Array, near?: SmoothSpread): SmoothSpread =>
    likeliest(kernel, { y: kernel.seen(values), aside: [] }, near).spread;
  const alone = spreadOf(y);
  return (columns) => {
    // The spread is found on what the columns leave: two more rounds settle it.
    let effects = generalised({ kernel, spread: alone, y, columns });
    for (let spread = alone, round = 0; round < 2; round++) {
      const left = y.map((value, i) =>
        columns.reduce((rest, column, j) => rest - effects[j]!.estimate * column[i]!, value),
      );
      spread = spreadOf(left, spread);
      effects = generalised({ kernel, spread, y, columns });
    }
    return effects;
  };
}

function generalised({
  kernel,
  spread,
  y,
  columns,
}: {
  readonly kernel: Kernel;
  readonly spread: SmoothSpread;
  readonly y: Float64Array;
  readonly columns: readonly (readonly number[])[];
}): readonly SmoothEffect[] {
  const p = columns.length;
  const solved = columns.map((column) => kernel.solve(spread, kernel.seen(Float64Array.from(column))));
  const normal = Float64Array.from(
    solved.flatMap((one) => columns.map((column) => innerProduct(one, column))),
  );
  if (!choleskyInPlace(normal, p))
    return columns.map(() => ({ estimate: 0, standardError: Number.POSITIVE_INFINITY }));
  const right = Float64Array.from(solved.map((one) => innerProduct(one, y)));
  choleskySolve(normal, p, right);
  const inverse = new Float64Array(p * p);
  choleskyInverse(normal, p, inverse);
  return columns.map((_, j) => ({ estimate: right[j]!, standardError: Math.sqrt(inverse[j * p + j]!) }));
}
