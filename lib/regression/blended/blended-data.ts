/** Columns that a blended surface is made of, one list per row. */
export interface BlendedColumns {
  /** Of the straight law, coded about -1 to +1, without a constant; distances are taken in them too. */
  readonly straight: readonly (readonly number[])[];
  /** Of squares and products, as many per row; rows may be empty. */
  readonly bent: readonly (readonly number[])[];
}

/** The columns of one point, in each coding. */
export interface BlendedPoint {
  readonly straight: readonly number[];
  readonly bent: readonly number[];
  readonly otherwise?: { readonly straight: readonly number[]; readonly bent: readonly number[] };
}

/** Measured rows with the columns that a blended surface is made of. */
export interface BlendedRows extends BlendedColumns {
  /** As many columns in another coding, as good a guess as the first: of settings rather than of their logarithms, say. */
  readonly otherwise?: BlendedColumns;
  readonly y: readonly number[];
  /** Rows of one setting are repeats. */
  readonly setting: readonly string[];
  /** Absent without blocks. */
  readonly block?: readonly string[];
  /** What is left of each row's weight where some look like slips. Default 1. */
  readonly weights?: readonly number[];
}

/**
 * Points as the columns that {@link BlendedRows} takes: one list per point, in each coding that the points have.
 */
export function blendedColumns(
  points: readonly BlendedPoint[],
): Pick<BlendedRows, "straight" | "bent" | "otherwise"> {
  const columns = (list: readonly BlendedPoint[]): BlendedColumns => ({
    straight: list.map(({ straight }) => straight),
    bent: list.map(({ bent }) => bent),
  });
  const others = points.flatMap(({ otherwise }) => (otherwise === undefined ? [] : [otherwise]));
  return { ...columns(points), ...(others.length === 0 ? {} : { otherwise: columns(others) }) };
}

/** Rows gathered by setting and block: the mean of each cell, and the scatter inside. */
export interface Cells {
  readonly count: number;
  /** Cell of each row. */
  readonly cellOf: readonly number[];
  /** The first row of each cell. */
  readonly first: readonly number[];
  readonly y: Float64Array;
  /** Sum of weights per cell. */
  readonly weight: Float64Array;
  /** Rows per cell. */
  readonly rows: Float64Array;
  /** Weighted sum of squares about the cell's mean. */
  readonly within: Float64Array;
  readonly setting: readonly string[];
  readonly block?: readonly string[];
}

/** @param apart - keep each row a cell of its own */
export function gatherCells(data: BlendedRows, apart = false): Cells {
  const { y, setting, block, weights } = data;
  const numbers = new Map<string, number>();
  const first: number[] = [];
  const cellOf = y.map((_, i) => {
    const key = apart ? String(i) : JSON.stringify([setting[i], block?.[i]]);
    if (!numbers.has(key)) {
      numbers.set(key, first.length);
      first.push(i);
    }
    return numbers.get(key)!;
  });
  const count = first.length;
  const sums = new Float64Array(count);
  const weight = new Float64Array(count);
  const rows = new Float64Array(count);
  const within = new Float64Array(count);
  const at = (i: number): number => weights?.[i] ?? 1;
  cellOf.forEach((c, i) => {
    sums[c]! += at(i) * y[i]!;
    weight[c]! += at(i);
    rows[c]! += 1;
  });
  const means = sums.map((sum, c) => sum / weight[c]!);
  cellOf.forEach((c, i) => {
    within[c]! += at(i) * (y[i]! - means[c]!) ** 2;
  });
  return {
    count,
    cellOf,
    first,
    y: means,
    weight,
    rows,
    within,
    setting: first.map((i) => setting[i]!),
    ...(block === undefined ? {} : { block: first.map((i) => block[i]!) }),
  };
}
