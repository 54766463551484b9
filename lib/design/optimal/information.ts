import { choleskyInPlace, choleskyInverse, choleskyLogDeterminant } from "../../numeric/index.js";
import {
  addOuter,
  addSymmetricPair,
  dot,
  multiply,
  sandwich,
  sparseDot,
  sparseQuadraticForm,
} from "../model/index.js";

/** D: volume of the joint confidence region; I: mean prediction variance; A: mean variance of coefficients. */
export type Criterion = "D" | "I" | "A";

/**
 * Quality of a set of runs while rows are changed one after another. Gains are in the logarithm of the
 * criterion (higher is better; per parameter for D).
 */
export interface Information {
  value(): number;
  select(run: number): void;
  /** Gain if the selected run took the row `g`. */
  trial(g: Float64Array): number;
  /** Gives the selected run the row `g`. */
  accept(g: Float64Array): void;
  /** Gain if the runs of a whole plot took these rows, one after another in `rows`. */
  trialPlot(plot: number, rows: Float64Array): number;
  acceptPlot(plot: number, rows: Float64Array): void;
  /** Recomputes from the rows, to shed rounding; false while the model cannot be estimated. */
  refresh(ridge: number): boolean;
}

/** What an {@link Information} is made of. */
export interface InformationInput {
  /** Runs being chosen, one model row of `size * copies` numbers each; changed in place. */
  readonly rows: Float64Array;
  /** Whole plot of each run. */
  readonly plots: readonly number[];
  /** Variance shared within a whole plot over the variance of a run; 0 when nothing is hard to change. */
  readonly varianceRatio: number;
  readonly size: number;
  /** Prior draws whose log criteria are averaged. */
  readonly copies: number;
  /** Information of coupons already run: size x size per copy. */
  readonly fixed: Float64Array;
  /** Weights of the trace criterion (I: moments of the region, A: identity), size x size per copy; absent for D. */
  readonly moments?: Float64Array;
}

/** One prior draw: its information, the inverse D, B = D W D, and what the selected run needs. */
interface Copy {
  readonly total: Float64Array;
  readonly inverse: Float64Array;
  readonly spread: Float64Array;
  /** w = f - c s of the selected run, D w and B w. */
  readonly w: Float64Array;
  readonly solved: Float64Array;
  readonly spreadRow: Float64Array;
  /** w' D w and w' B w. */
  own: number;
  ownSpread: number;
  logDet: number;
  trace: number;
}

/**
 * Information with an error shared within whole plots:
 *
 *     M = X' V^-1 X = sum over plots of (R'R - c s s'),   s = sum of the plot's rows, c = eta / (1 + n eta)
 *
 * Changing a run's row f by d adds u d' + d u' with u = f - c s + k d, k = (1 - c) / 2, so that with
 * D = M^-1, a = u'Dd, b = u'Du, q = d'Dd
 *
 *     |M| grows by r = (1 + a)^2 - b q
 *     tr(W D) falls by (2 (1 + a) u'Bd - q u'Bu - b d'Bd) / r,   B = D W D
 *
 * For eta = 0 this is the usual rank-two exchange of independent runs.
 *
 * @source Meyer and Nachtsheim, Technometrics 37 (1995) 60-69; V as in Goos and Vandebroek, Technometrics
 *   45 (2003); the update is derived here
 */
export function makeInformation(input: InformationInput): Information {
  const { rows, plots, varianceRatio, size: p, copies, fixed, moments } = input;
  const width = p * copies;
  const members: number[][] = [];
  for (const [run, plot] of plots.entries()) {
    members[plot] ??= [];
    members[plot]!.push(run);
  }
  const shared = members.map((runs) => varianceRatio / (1 + runs.length * varianceRatio));
  const vector = (): Float64Array => new Float64Array(p);
  const square = (): Float64Array => new Float64Array(p * p);
  const states = Array.from(
    { length: copies },
    (): Copy => ({
      total: square(),
      inverse: square(),
      spread: square(),
      w: vector(),
      solved: vector(),
      spreadRow: vector(),
      own: 0,
      ownSpread: 0,
      logDet: 0,
      trace: 0,
    }),
  );
  const work = square();
  const candidateInverse = square();
  const [change, u, solvedChange, solvedU] = [vector(), vector(), vector(), vector()];
  const sum = new Float64Array(width);
  const places = new Int32Array(p);
  let changed = 0;
  let selected = 0;

  const weightsOf = (copy: number): Float64Array => moments!.subarray(copy * p * p, (copy + 1) * p * p);
  /** matrix += sign * information of one plot; `source` holds all rows, or the plot's own one after another. */
  const addPlot = (
    matrix: Float64Array,
    copy: number,
    plot: number,
    source: Float64Array,
    sign: number,
  ): void => {
    const from = copy * p;
    sum.fill(0);
    for (const [k, run] of members[plot]!.entries()) {
      const start = (source === rows ? run : k) * width + from;
      addOuter(matrix, p, source, start, sign);
      for (let i = 0; i < p; i++) sum[i]! += source[start + i]!;
    }
    if (shared[plot]! > 0) addOuter(matrix, p, sum, 0, -sign * shared[plot]!);
  };
  const score = (state: Copy): number => (moments === undefined ? state.logDet / p : -Math.log(state.trace));
  /** Brings inverse, determinant and trace in line with the total information. */
  const settle = (state: Copy, copy: number): boolean => {
    work.set(state.total);
    if (!choleskyInPlace(work, p)) return false;
    state.logDet = choleskyLogDeterminant(work, p);
    choleskyInverse(work, p, state.inverse);
    settleTrace(state, copy);
    return true;
  };
  const settleTrace = (state: Copy, copy: number): void => {
    if (moments === undefined) return;
    const w = weightsOf(copy);
    sandwich(state.inverse, w, p, work, state.spread);
    state.trace = dot(state.inverse, w, p * p);
  };
  const select = (run: number): void => {
    selected = run;
    const c = shared[plots[run]!]!;
    for (const [copy, state] of states.entries()) {
      for (let i = 0; i < p; i++) {
        const place = copy * p + i;
        let value = rows[run * width + place]!;
        if (c > 0) for (const other of members[plots[run]!]!) value -= c * rows[other * width + place]!;
        state.w[i] = value;
      }
      multiply(state.inverse, p, state.w, state.solved);
      state.own = dot(state.solved, state.w, p);
      if (moments === undefined) continue;
      multiply(state.spread, p, state.w, state.spreadRow);
      state.ownSpread = dot(state.spreadRow, state.w, p);
    }
  };
  /** The difference of the selected run's row to g, and where it is not zero: few places when one factor moves. */
  const takeChange = (copy: number, g: Float64Array): void => {
    const from = selected * width + copy * p;
    changed = 0;
    for (let i = 0; i < p; i++) {
      const step = g[copy * p + i]! - rows[from + i]!;
      change[i] = step;
      if (step !== 0) places[changed++] = i;
    }
  };
  const gain = (state: Copy, k: number): number => {
    const q = sparseQuadraticForm(state.inverse, p, change, places, changed);
    const h = sparseDot(state.solved, change, places, changed);
    const a = h + k * q;
    const b = state.own + k * (2 * h + k * q);
    const r = (1 + a) * (1 + a) - b * q;
    if (!(r > 1e-12)) return Number.NEGATIVE_INFINITY;
    if (moments === undefined) return Math.log(r) / p;
    const spreadQ = sparseQuadraticForm(state.spread, p, change, places, changed);
    const spreadH = sparseDot(state.spreadRow, change, places, changed);
    const spreadA = spreadH + k * spreadQ;
    const spreadB = state.ownSpread + k * (2 * spreadH + k * spreadQ);
    const fall = (2 * (1 + a) * spreadA - q * spreadB - b * spreadQ) / r;
    return state.trace - fall > 0 ? -Math.log1p(-fall / state.trace) : Number.NEGATIVE_INFINITY;
  };

  return {
    value: () => states.reduce((total, state) => total + score(state), 0) / copies,
    select,
    trial(g) {
      const k = (1 - shared[plots[selected]!]!) / 2;
      let total = 0;
      for (let copy = 0; copy < copies; copy++) {
        takeChange(copy, g);
        total += gain(states[copy]!, k);
      }
      return total / copies;
    },
    accept(g) {
      const k = (1 - shared[plots[selected]!]!) / 2;
      for (const [copy, state] of states.entries()) {
        takeChange(copy, g);
        for (let i = 0; i < p; i++) u[i] = state.w[i]! + k * change[i]!;
        multiply(state.inverse, p, change, solvedChange);
        multiply(state.inverse, p, u, solvedU);
        const grown = 1 + dot(u, solvedChange, p);
        const b = dot(u, solvedU, p);
        const q = dot(change, solvedChange, p);
        const r = grown * grown - b * q;
        addSymmetricPair(state.total, p, u, change);
        for (let i = 0; i < p; i++) {
          const byU = (grown * solvedChange[i]! - q * solvedU[i]!) / r;
          const byChange = (grown * solvedU[i]! - b * solvedChange[i]!) / r;
          for (let j = 0; j < p; j++) {
            state.inverse[i * p + j]! -= byU * solvedU[j]! + byChange * solvedChange[j]!;
          }
        }
        state.logDet += Math.log(r);
        settleTrace(state, copy);
      }
      rows.set(g, selected * width);
      select(selected);
    },
    trialPlot(plot, candidate) {
      let total = 0;
      for (const [copy, state] of states.entries()) {
        const before = score(state);
        work.set(state.total);
        addPlot(work, copy, plot, rows, -1);
        addPlot(work, copy, plot, candidate, 1);
        if (!choleskyInPlace(work, p)) return Number.NEGATIVE_INFINITY;
        if (moments === undefined) total += choleskyLogDeterminant(work, p) / p - before;
        else {
          choleskyInverse(work, p, candidateInverse);
          total += -Math.log(dot(candidateInverse, weightsOf(copy), p * p)) - before;
        }
      }
      return total / copies;
    },
    acceptPlot(plot, candidate) {
      for (const [copy, state] of states.entries()) {
        addPlot(state.total, copy, plot, rows, -1);
        addPlot(state.total, copy, plot, candidate, 1);
        settle(state, copy);
      }
      for (const [k, run] of members[plot]!.entries()) {
        rows.set(candidate.subarray(k * width, (k + 1) * width), run * width);
      }
    },
    refresh(ridge) {
      let estimable = true;
      for (const [copy, state] of states.entries()) {
        state.total.set(fixed.subarray(copy * p * p, (copy + 1) * p * p));
        for (const plot of members.keys()) addPlot(state.total, copy, plot, rows, 1);
        for (let i = 0; i < p; i++) {
          state.total[i * p + i]! += ridge * Math.max(state.total[i * p + i]!, 1e-6);
        }
        estimable = settle(state, copy) && estimable;
      }
      return estimable;
    },
  };
}
