import { BeadbenchError, requireNumber, requireThat } from "../../errors/index.js";

/** Measured rows for a Gaussian process. */
export interface ProcessObservations {
  /** One row of settings per measurement, in any unit; equal rows are repeats. */
  readonly x: readonly (readonly number[])[];
  readonly y: readonly number[];
  /**
   * What a fitted model says at each row: the process then describes y - trend. Without it a constant is
   * estimated.
   */
  readonly trend?: readonly number[];
}

/** The box that is scaled to the unit cube; length scales are shares of its sides. */
export interface InputBox {
  readonly lower: readonly number[];
  readonly upper: readonly number[];
}

/** Distinct settings with mean and count: all that the likelihood needs of the repeats, with `within`. */
export interface SettingMeans {
  /** Scaled to the unit cube, settings x dimensions, row by row. */
  readonly points: Float64Array;
  readonly dimensions: number;
  readonly counts: Float64Array;
  readonly means: Float64Array;
  /** Sum of squares of the repeats around their means. */
  readonly within: number;
  /** Measurements in all. */
  readonly total: number;
  /** Setting of each row. */
  readonly settingOf: readonly number[];
}

/** The range of each column; a column that never moves gets a side of 1. */
export function boxOf(x: readonly (readonly number[])[]): InputBox {
  const columns = x[0]!.length;
  const lower: number[] = [];
  const upper: number[] = [];
  for (let d = 0; d < columns; d++) {
    let low = Number.POSITIVE_INFINITY;
    let high = Number.NEGATIVE_INFINITY;
    for (const row of x) {
      low = Math.min(low, row[d]!);
      high = Math.max(high, row[d]!);
    }
    lower.push(low);
    upper.push(high > low ? high : low + 1);
  }
  return { lower, upper };
}

/** Refuses rows that are missing, ragged or not finite. */
export function checkProcessObservations(data: ProcessObservations): void {
  const { x, y, trend } = data;
  if (x.length < 2) {
    throw new BeadbenchError("not-enough-data", `fitGaussianProcess needs at least 2 rows, got ${x.length}`);
  }
  requireThat(
    y.length === x.length && (trend ?? y).length === x.length,
    `fitGaussianProcess: ${x.length} rows of x need as many values of y (${y.length}) and trend`,
  );
  const width = x[0]!.length;
  requireThat(width > 0, "fitGaussianProcess needs at least one column");
  x.forEach((row, i) => {
    requireThat(
      row.length === width,
      `fitGaussianProcess: row ${i + 1} holds ${row.length} values, row 1 ${width}`,
    );
    for (const value of row) requireNumber(`fitGaussianProcess: a setting of row ${i + 1}`, value);
    requireNumber(`fitGaussianProcess: y of row ${i + 1}`, y[i]!);
    if (trend !== undefined) requireNumber(`fitGaussianProcess: trend of row ${i + 1}`, trend[i]!);
  });
}

/** Scales rows to the unit cube of the box. */
export function scaleRows(x: readonly (readonly number[])[], box: InputBox): Float64Array {
  const columns = box.lower.length;
  const scaled = new Float64Array(x.length * columns);
  for (let i = 0; i < x.length; i++) {
    const row = x[i]!;
    for (let d = 0; d < columns; d++) {
      scaled[i * columns + d] = (row[d]! - box.lower[d]!) / (box.upper[d]! - box.lower[d]!);
    }
  }
  return scaled;
}

/** Gathers repeats of y - trend into means, counts and the sum of squares within. */
export function gatherSettings(data: ProcessObservations, box: InputBox): SettingMeans {
  const dimensions = box.lower.length;
  const found = new Map<string, number>();
  const first: number[] = [];
  const settingOf = data.x.map((row, i) => {
    const key = row.join("/");
    const known = found.get(key);
    if (known !== undefined) return known;
    found.set(key, first.length);
    first.push(i);
    return first.length - 1;
  });
  const counts = new Float64Array(first.length);
  const means = new Float64Array(first.length);
  const residual = data.y.map((value, i) => value - (data.trend?.[i] ?? 0));
  let within = 0;
  residual.forEach((value, i) => {
    const s = settingOf[i]!;
    counts[s]! += 1;
    const delta = value - means[s]!;
    means[s]! += delta / counts[s]!;
    within += delta * (value - means[s]!);
  });
  const points = scaleRows(
    first.map((i) => data.x[i]!),
    box,
  );
  return { points, dimensions, counts, means, within, total: data.x.length, settingOf };
}
