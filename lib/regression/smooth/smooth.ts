import { requireThat } from "../../errors/index.js";
import { median } from "../../numeric/figures/index.js";
import {
  choleskyInPlace,
  choleskyInverse,
  choleskyLogDeterminant,
  choleskySolve,
  innerProduct,
  shiftedDeviance,
  type Tridiagonal,
  tridiagonal,
} from "../../numeric/matrices/index.js";

/** Rows of a smooth: inputs scaled to a range of about 1, and what was observed. */
export interface SmoothRows {
  readonly x: readonly (readonly number[])[];
  readonly y: readonly number[];
  /** Rows of one group share a shift; absent without groups. */
  readonly group?: readonly string[];
  /** What is known of the middle of y before the rows; nearly nothing when absent. */
  readonly centre?: { readonly mean: number; readonly sd: number };
}

/** Standard deviations of the parts of a smooth, in units of y. */
export interface SmoothSpread {
  /** From row to row. */
  readonly scatter: number;
  /** Of the departure from a plane. */
  readonly bend: number;
  /** Of the shift that the rows of a group share. */
  readonly shift: number;
}

/** A smooth, with what it foresees for each row from the others. */
export interface Smooth {
  readonly spread: SmoothSpread;
  /** Logarithm of the marginal likelihood times the priors of the spread. */
  readonly evidence: number;
  /** For each row: what the others foresee, scatter included. */
  readonly leftOut: readonly { readonly mean: number; readonly sd: number }[];
}

/** A further column of a smooth, with its estimate. */
export interface SmoothEffect {
  readonly estimate: number;
  readonly standardError: number;
}

/** Standard deviation of the plane's slopes per range, in units of y. */
const SLOPE = 1;
/** Standard deviation of the middle of y about the median of the rows, where nothing else is known of it. */
const ANYWHERE = 2;
/** Length over which a bend turns, in ranges. */
const LENGTH = 0.8;
/** What is believed of the spread before the rows: median and log standard deviation. */
const beliefs = {
  scatter: [0.05, 0.8],
  bend: [0.06, 1],
  shift: [0.03, 1],
} as const satisfies Readonly<Record<keyof SmoothSpread, readonly [number, number]>>;

const ladder = (from: number, to: number, ratio: number): readonly number[] => {
  const steps: number[] = [];
  for (let value = from; value <= to; value *= ratio) steps.push(value);
  return steps;
};
const scatters = ladder(0.008, 0.6, 1.3);
const bends = [0.01, 0.03, 0.06, 0.11, 0.2, 0.4];
const shifts = [0.005, 0.03, 0.08];

/** Numbers that the matrices a kernel keeps of each kind may hold together: 160 MB. */
const KEPT_NUMBERS = 2e7;

/** The parts of the covariance that do not change with the spread, lower triangles. */
class Kernel {
  readonly n: number;
  private readonly plane: Float64Array;
  private readonly bend: Float64Array;
  /** Absent without groups. */
  readonly same: Float64Array | undefined;
  private readonly turnings = new Map<string, Tridiagonal>();
  private readonly factors = new Map<string, Float64Array>();

  constructor({ x, group, centre }: SmoothRows) {
    const n = x.length;
    const height = (centre?.sd ?? ANYWHERE) ** 2;
    this.n = n;
    this.plane = new Float64Array(n * n);
    this.bend = new Float64Array(n * n);
    this.same = group === undefined || new Set(group).size < 2 ? undefined : new Float64Array(n * n);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j <= i; j++) {
        const [a, b] = [x[i]!, x[j]!];
        let product = 0;
        let square = 0;
        for (let k = 0; k < a.length; k++) {
          product += a[k]! * b[k]!;
          square += (a[k]! - b[k]!) ** 2;
        }
        this.plane[i * n + j] = height + SLOPE ** 2 * product;
        this.bend[i * n + j] = Math.exp(-square / (2 * LENGTH ** 2));
        if (this.same !== undefined) this.same[i * n + j] = group![i] === group![j] ? 1 : 0;
      }
    }
  }

  /** The covariance but for the scatter made tridiagonal, once however many vectors are turned by it. */
  turning(bend: number, shift: number): Tridiagonal {
    return this.kept(`${bend} ${shift}`, this.turnings, () =>
      tridiagonal(this.withoutScatter(bend, shift), this.n),
    );
  }

  /** What was worked out under a name; the last ones are kept, one for every bend where there is room. */
  private kept<T>(name: string, among: Map<string, T>, work: () => T): T {
    const found = among.get(name) ?? work();
    among.delete(name);
    among.set(name, found);
    if (among.size * this.n ** 2 > KEPT_NUMBERS || among.size > bends.length)
      among.delete(among.keys().next().value!);
    return found;
  }

  /** The covariance but for the scatter, lower triangle, as a new matrix. */
  private withoutScatter(bend: number, shift: number): Float64Array {
    const { n, plane, same } = this;
    const sum = new Float64Array(n * n);
    for (let i = 0; i < n; i++) {
      for (let k = i * n; k <= i * n + i; k++) {
        sum[k] = plane[k]! + bend ** 2 * this.bend[k]! + (same === undefined ? 0 : shift ** 2 * same[k]!);
      }
    }
    return sum;
  }

  /** Cholesky factor of the covariance, lower triangle; to be read alone. */
  factor({ scatter, bend, shift }: SmoothSpread): Float64Array {
    return this.kept(`${scatter} ${bend} ${shift}`, this.factors, () => {
      const l = this.withoutScatter(bend, shift);
      for (let i = 0; i < this.n; i++) l[i * this.n + i]! += scatter ** 2;
      choleskyInPlace(l, this.n);
      return l;
    });
  }
}

function believed(part: keyof SmoothSpread, value: number): number {
  const [middle, sd] = beliefs[part];
  return -((Math.log(value / middle) / sd) ** 2) / 2;
}

/** @param deviance - ln |C| + y'C^-1 y for the covariance C of the n rows */
function evidenceOf({ scatter, bend, shift }: SmoothSpread, deviance: number, n: number): number {
  const prior = believed("scatter", scatter) + believed("bend", bend) + believed("shift", shift);
  return prior - (deviance + n * Math.log(2 * Math.PI)) / 2;
}

const middleOf = ({ y, centre }: SmoothRows): number => centre?.mean ?? median(y);

/** The likeliest spread: over the whole ladder, or near a spread known before. */
function likeliest(kernel: Kernel, y: Float64Array, near?: SmoothSpread): SmoothSpread {
  let best = near ?? { scatter: 0.05, bend: 0.06, shift: 0.03 };
  let most = Number.NEGATIVE_INFINITY;
  const close = (values: readonly number[], value: number | undefined): readonly number[] => {
    if (value === undefined) return values;
    const at = values.reduce(
      (b, v, i) => (Math.abs(Math.log(v / value)) < Math.abs(Math.log(values[b]! / value)) ? i : b),
      0,
    );
    return values.slice(Math.max(0, at - 2), at + 3);
  };
  for (const shift of kernel.same === undefined ? [0.03] : shifts) {
    for (const bend of close(bends, near?.bend)) {
      const turning = kernel.turning(bend, shift);
      const turned = turning.turn(y);
      for (const scatter of close(scatters, near?.scatter)) {
        const spread = { scatter, bend, shift };
        const evidence = evidenceOf(spread, shiftedDeviance(turning, turned, scatter ** 2), kernel.n);
        if (evidence > most) [best, most] = [spread, evidence];
      }
    }
  }
  return best;
}

/**
 * Smooths rows by a plane, a gentle departure from it and a shift per group, all with normal priors: what the rows say
 * of one another without a law. The spreads are the likeliest ones.
 *
 *     y = a + b'x + f(x) + shift(group) + e,  f a Gaussian process of length 0.8
 *
 * @param near - a spread found for nearly the same rows, to search near
 * @param held - take that spread as it is
 * @throws {BeadbenchError} `bad-argument` without rows
 * @source C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning (2006), 2.2, 5.4.2 (left-out rows)
 */
export function smooth(rows: SmoothRows, near?: SmoothSpread, held = false): Smooth {
  const n = rows.y.length;
  requireThat(n >= 1 && rows.x.length === n, `smooth: needs rows with an input each, got ${n}`);
  const kernel = new Kernel(rows);
  const middle = middleOf(rows);
  const y = Float64Array.from(rows.y, (value) => value - middle);
  const spread = held && near !== undefined ? near : likeliest(kernel, y, near);
  const l = kernel.factor(spread);
  const inverse = new Float64Array(n * n);
  choleskyInverse(l, n, inverse);
  const solved = y.slice();
  choleskySolve(l, n, solved);
  const deviance = choleskyLogDeterminant(l, n) + innerProduct(y, solved);
  const leftOut = rows.y.map((value, i) => ({
    mean: value - solved[i]! / inverse[i * n + i]!,
    sd: 1 / Math.sqrt(inverse[i * n + i]!),
  }));
  return { spread, evidence: evidenceOf(spread, deviance, n), leftOut };
}

/** Estimates of further columns, one value per row each, beside a smooth. */
export type EffectsBeside = (columns: readonly (readonly number[])[]) => readonly SmoothEffect[];

/**
 * Makes ready to ask what further columns add to a smooth, by generalised least squares under the likeliest spread with
 * them. What the rows say without any column is computed once, however many sets of columns are asked for.
 */
export function effectsBeside(rows: SmoothRows): EffectsBeside {
  const kernel = new Kernel(rows);
  const middle = middleOf(rows);
  const y = Float64Array.from(rows.y, (value) => value - middle);
  const alone = likeliest(kernel, y);
  return (columns) => {
    // The spread is found on what the columns leave: two more rounds settle it.
    let effects = generalised({ kernel, spread: alone, y, columns });
    for (let spread = alone, round = 0; round < 2; round++) {
      const left = y.map((value, i) =>
        columns.reduce((rest, column, j) => rest - effects[j]!.estimate * column[i]!, value),
      );
      spread = likeliest(kernel, left, spread);
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
  const { n } = kernel;
  const p = columns.length;
  const l = kernel.factor(spread);
  const solved = columns.map((column) => {
    const copy = Float64Array.from(column);
    choleskySolve(l, n, copy);
    return copy;
  });
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
