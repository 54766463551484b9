import {
  choleskyInPlace,
  choleskySolve,
  dot,
  type Tridiagonal,
  tridiagonal,
} from "../../numeric/matrices/index.js";
import { kernelColumns, spanned } from "./low-rank.js";

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

/** Standard deviation of the plane's slopes per range, in units of y. */
const SLOPE = 1;
/** Standard deviation of the middle of y about the median of the rows, where nothing else is known of it. */
const ANYWHERE = 2;
/** Length over which a bend turns, in ranges. */
const LENGTH = 0.8;

/** Rows from which a basis smaller than they are is sought, and the share of them it may have. */
const MANY = 200;
const WORTH = 0.7;

/** Most matrices of each kind that are kept, and the numbers they may hold together: 160 MB. */
const KEPT = 18;
const KEPT_NUMBERS = 2e7;

/** One number per row, seen from a kernel's basis. */
export interface Seen {
  /** Parts along the basis. */
  readonly inside: Float64Array;
  /** What the basis leaves of it, row by row; absent where it leaves nothing. */
  readonly outside?: Float64Array;
}

/**
 * Covariances of the rows of a smooth: plane + bend^2 B + shift^2 S + scatter^2 I. Many rows differ by less than they are
 * many, so that all but the scatter lies within a basis Q of m vectors, found once:
 *
 *     C = Q (M + scatter^2 I) Q' + scatter^2 (I - Q Q')
 *
 * Few rows are their own basis.
 */
export class Kernel {
  readonly n: number;
  readonly m: number;
  readonly grouped: boolean;
  /** Row by row its parts along the basis, n x m; absent where the rows are the basis. */
  private readonly q: Float64Array | undefined;
  /** Lower triangles, m x m. */
  private readonly plane: Float64Array;
  private readonly bend: Float64Array;
  private readonly same: Float64Array | undefined;
  private readonly turnings = new Map<string, Tridiagonal>();
  private readonly factors = new Map<string, Float64Array>();

  constructor({ x, group, centre }: SmoothRows) {
    const n = x.length;
    const height = (centre?.sd ?? ANYWHERE) ** 2;
    const groups = [...new Set(group)];
    this.n = n;
    this.grouped = groups.length > 1;
    const bendAt = (i: number, j: number): number => {
      const [a, b] = [x[i]!, x[j]!];
      let square = 0;
      for (let k = 0; k < a.length; k++) square += (a[k]! - b[k]!) ** 2;
      return Math.exp(-square / (2 * LENGTH ** 2));
    };
    const planes = [
      new Float64Array(n).fill(Math.sqrt(height)),
      ...x[0]!.map((_, k) => Float64Array.from(x, (row) => SLOPE * row[k]!)),
    ];
    const most = Math.floor(WORTH * n) - planes.length - groups.length;
    const bends = n < MANY || most < 1 ? undefined : kernelColumns(n, bendAt, most);
    if (bends === undefined) {
      this.m = n;
      const filled = (entry: (i: number, j: number) => number): Float64Array => lower(n, entry);
      this.plane = filled((i, j) => planes.reduce((sum, column) => sum + column[i]! * column[j]!, 0));
      this.bend = filled(bendAt);
      this.same = this.grouped ? filled((i, j) => (group![i] === group![j] ? 1 : 0)) : undefined;
      return;
    }
    const shared = this.grouped
      ? groups.map((name) => Float64Array.from(group!, (one) => (one === name ? 1 : 0)))
      : [];
    const { basis, parts } = spanned([...planes, ...bends, ...shared]);
    const m = basis.length;
    this.m = m;
    this.q = new Float64Array(n * m);
    for (let i = 0; i < n; i++) for (let k = 0; k < m; k++) this.q[i * m + k] = basis[k]![i]!;
    const start = planes.length + bends.length;
    this.plane = productsOf(parts.slice(0, planes.length), m);
    this.bend = productsOf(parts.slice(planes.length, start), m);
    this.same = this.grouped ? productsOf(parts.slice(start), m) : undefined;
  }

  /** Numbers of the rows, seen from the basis. */
  seen(y: Float64Array): Seen {
    const { n, m, q } = this;
    if (q === undefined) return { inside: y };
    const inside = new Float64Array(m);
    for (let i = 0; i < n; i++) for (let k = 0; k < m; k++) inside[k]! += y[i]! * q[i * m + k]!;
    return { inside, outside: y.map((value, i) => value - dot(q, i * m, inside, 0, m)) };
  }

  /** One row alone, seen from the basis; its outside is not worked out. */
  place(i: number): Float64Array {
    const { m, q } = this;
    if (q !== undefined) return q.slice(i * m, (i + 1) * m);
    const place = new Float64Array(m);
    place[i] = 1;
    return place;
  }

  /** I - Q Q' between two rows. */
  outside(i: number, j: number): number {
    const { m, q } = this;
    if (q === undefined) return 0;
    const left = (i === j ? 1 : 0) - dot(q, i * m, q, j * m, m);
    return i === j ? Math.max(0, left) : left;
  }

  /** M made tridiagonal, once however many vectors are turned by it. */
  turning(bend: number, shift: number): Tridiagonal {
    return this.kept(`${bend} ${shift}`, this.turnings, () =>
      tridiagonal(this.withoutScatter(bend, shift), this.m),
    );
  }

  /** Cholesky factor of M + scatter^2 I, lower triangle; to be read alone. */
  factor({ scatter, bend, shift }: SmoothSpread): Float64Array {
    return this.kept(`${scatter} ${bend} ${shift}`, this.factors, () => {
      const l = this.withoutScatter(bend, shift);
      for (let i = 0; i < this.m; i++) l[i * this.m + i]! += scatter ** 2;
      choleskyInPlace(l, this.m);
      return l;
    });
  }

  /** C^-1 y. */
  solve(spread: SmoothSpread, { inside, outside }: Seen): Float64Array {
    const { n, m, q } = this;
    const solved = inside.slice();
    choleskySolve(this.factor(spread), m, solved);
    if (q === undefined) return solved;
    const variance = spread.scatter ** 2;
    return Float64Array.from({ length: n }, (_, i) => dot(q, i * m, solved, 0, m) + outside![i]! / variance);
  }

  /** All places along the basis, row by row, as a new n x m matrix. */
  places(): Float64Array {
    const { n, q } = this;
    if (q !== undefined) return q.slice();
    const places = new Float64Array(n * n);
    for (let i = 0; i < n; i++) places[i * n + i] = 1;
    return places;
  }

  /** What was worked out under a name; the last ones are kept, one for every spread of a ladder where there is room. */
  private kept<T>(name: string, among: Map<string, T>, work: () => T): T {
    const found = among.get(name) ?? work();
    among.delete(name);
    among.set(name, found);
    if (among.size * this.m ** 2 > KEPT_NUMBERS || among.size > KEPT)
      among.delete(among.keys().next().value!);
    return found;
  }

  /** M, lower triangle, as a new matrix. */
  private withoutScatter(bend: number, shift: number): Float64Array {
    const { m, plane, same } = this;
    const sum = new Float64Array(m * m);
    for (let i = 0; i < m; i++) {
      for (let k = i * m; k <= i * m + i; k++) {
        sum[k] = plane[k]! + bend ** 2 * this.bend[k]! + (same === undefined ? 0 : shift ** 2 * same[k]!);
      }
    }
    return sum;
  }
}

function lower(n: number, entry: (i: number, j: number) => number): Float64Array {
  const matrix = new Float64Array(n * n);
  for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) matrix[i * n + j] = entry(i, j);
  return matrix;
}

/** Sum of c c' over columns, lower triangle of m x m. */
function productsOf(columns: readonly Float64Array[], m: number): Float64Array {
  const sum = new Float64Array(m * m);
  for (const column of columns) {
    for (let i = 0; i < column.length; i++) {
      const factor = column[i]!;
      for (let j = 0; j <= i; j++) sum[i * m + j]! += factor * column[j]!;
    }
  }
  return sum;
}
