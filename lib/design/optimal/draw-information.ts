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
import type { PlotLayout } from "./plot-layout.js";

/** What the information of one prior draw is made of. */
export interface DrawInput {
  /** All runs' rows, `width` numbers each, of which this draw's `size` start at `from`; read only here. */
  readonly rows: Float64Array;
  readonly width: number;
  readonly from: number;
  readonly size: number;
  readonly layout: PlotLayout;
  /** Information of coupons already run, size x size. */
  readonly fixed: Float64Array;
  /** Weights W of the trace criterion, size x size; absent for D. */
  readonly weights: Float64Array | undefined;
}

/**
 * The information M of a set of runs under one prior draw, its inverse D and, for a trace criterion, B = D W D, while
 * rows are changed one after another; the formulas stand with `makeInformation`.
 */
export class DrawInformation {
  readonly #input: DrawInput;
  readonly #total: Float64Array;
  readonly #inverse: Float64Array;
  readonly #spread: Float64Array;
  #logDet = 0;
  #trace = 0;

  /** Of the selected run: w = f - c s, D w, B w, w' D w and w' B w. */
  readonly #w: Float64Array;
  readonly #solved: Float64Array;
  readonly #spreadRow: Float64Array;
  #own = 0;
  #ownSpread = 0;

  /** The difference of the selected run's row to a candidate, and the places where it is not zero. */
  readonly #change: Float64Array;
  readonly #places: Int32Array;
  #changed = 0;

  readonly #u: Float64Array;
  readonly #solvedChange: Float64Array;
  readonly #solvedU: Float64Array;
  readonly #sum: Float64Array;
  readonly #work: Float64Array;
  readonly #otherInverse: Float64Array;

  constructor(input: DrawInput) {
    this.#input = input;
    const vector = (): Float64Array => new Float64Array(input.size);
    const square = (): Float64Array => new Float64Array(input.size * input.size);
    [this.#total, this.#inverse, this.#spread, this.#work, this.#otherInverse] = [
      square(),
      square(),
      square(),
      square(),
      square(),
    ];
    [this.#w, this.#solved, this.#spreadRow, this.#change] = [vector(), vector(), vector(), vector()];
    [this.#u, this.#solvedChange, this.#solvedU, this.#sum] = [vector(), vector(), vector(), vector()];
    this.#places = new Int32Array(input.size);
  }

  /** Logarithm of the criterion, higher is better. */
  score(): number {
    return this.#input.weights === undefined ? this.#logDet / this.#input.size : -Math.log(this.#trace);
  }

  select(run: number): void {
    const { rows, width, from, size, layout, weights } = this.#input;
    const plot = layout.plotOf[run]!;
    const c = layout.shared[plot]!;
    for (let i = 0; i < size; i++) {
      const place = from + i;
      let value = rows[run * width + place]!;
      if (c > 0) for (const other of layout.members[plot]!) value -= c * rows[other * width + place]!;
      this.#w[i] = value;
    }
    multiply(this.#inverse, size, this.#w, this.#solved);
    this.#own = dot(this.#solved, this.#w, size);
    if (weights === undefined) return;
    multiply(this.#spread, size, this.#w, this.#spreadRow);
    this.#ownSpread = dot(this.#spreadRow, this.#w, size);
  }

  /** Gain if the selected run took the row `g`, k being (1 - c) / 2 of its plot. */
  trial(selected: number, g: Float64Array, k: number): number {
    this.#takeChange(selected, g);
    const { size, weights } = this.#input;
    const q = sparseQuadraticForm(this.#inverse, size, this.#change, this.#places, this.#changed);
    const h = sparseDot(this.#solved, this.#change, this.#places, this.#changed);
    const a = h + k * q;
    const b = this.#own + k * (2 * h + k * q);
    const r = (1 + a) * (1 + a) - b * q;
    if (!(r > 1e-12)) return Number.NEGATIVE_INFINITY;
    if (weights === undefined) return Math.log(r) / size;
    const spreadQ = sparseQuadraticForm(this.#spread, size, this.#change, this.#places, this.#changed);
    const spreadH = sparseDot(this.#spreadRow, this.#change, this.#places, this.#changed);
    const spreadA = spreadH + k * spreadQ;
    const spreadB = this.#ownSpread + k * (2 * spreadH + k * spreadQ);
    const fall = (2 * (1 + a) * spreadA - q * spreadB - b * spreadQ) / r;
    return this.#trace - fall > 0 ? -Math.log1p(-fall / this.#trace) : Number.NEGATIVE_INFINITY;
  }

  /** Takes the row `g` for the selected run into account; the rows themselves are the caller's to change. */
  accept(selected: number, g: Float64Array, k: number): void {
    this.#takeChange(selected, g);
    const { size } = this.#input;
    for (let i = 0; i < size; i++) this.#u[i] = this.#w[i]! + k * this.#change[i]!;
    multiply(this.#inverse, size, this.#change, this.#solvedChange);
    multiply(this.#inverse, size, this.#u, this.#solvedU);
    const grown = 1 + dot(this.#u, this.#solvedChange, size);
    const b = dot(this.#u, this.#solvedU, size);
    const q = dot(this.#change, this.#solvedChange, size);
    const r = grown * grown - b * q;
    addSymmetricPair(this.#total, size, this.#u, this.#change);
    for (let i = 0; i < size; i++) {
      const byU = (grown * this.#solvedChange[i]! - q * this.#solvedU[i]!) / r;
      const byChange = (grown * this.#solvedU[i]! - b * this.#solvedChange[i]!) / r;
      for (let j = 0; j < size; j++) {
        this.#inverse[i * size + j]! -= byU * this.#solvedU[j]! + byChange * this.#solvedChange[j]!;
      }
    }
    this.#logDet += Math.log(r);
    this.#settleTrace();
  }

  /** Gain if the runs of a whole plot took these rows, one after another in `candidate`. */
  trialPlot(plot: number, candidate: Float64Array): number {
    const { size, weights } = this.#input;
    const before = this.score();
    this.#work.set(this.#total);
    this.#exchangePlot(this.#work, plot, candidate);
    if (!choleskyInPlace(this.#work, size)) return Number.NEGATIVE_INFINITY;
    if (weights === undefined) return choleskyLogDeterminant(this.#work, size) / size - before;
    choleskyInverse(this.#work, size, this.#otherInverse);
    return -Math.log(dot(this.#otherInverse, weights, size * size)) - before;
  }

  acceptPlot(plot: number, candidate: Float64Array): void {
    this.#exchangePlot(this.#total, plot, candidate);
    this.#settle();
  }

  /** Recomputes from the rows, to shed rounding; false while the model cannot be estimated. */
  refresh(ridge: number): boolean {
    const { rows, width, size, layout, fixed } = this.#input;
    this.#total.set(fixed);
    for (const [plot, runs] of layout.members.entries()) {
      this.#addPlot(this.#total, plot, rows, (k) => runs[k]! * width, 1);
    }
    for (let i = 0; i < size; i++) {
      this.#total[i * size + i]! += ridge * Math.max(this.#total[i * size + i]!, 1e-6);
    }
    return this.#settle();
  }

  #takeChange(selected: number, g: Float64Array): void {
    const { rows, width, from, size } = this.#input;
    this.#changed = 0;
    for (let i = 0; i < size; i++) {
      const step = g[from + i]! - rows[selected * width + from + i]!;
      this.#change[i] = step;
      if (step !== 0) this.#places[this.#changed++] = i;
    }
  }

  /** matrix += sign * information of one plot; run k of the plot has its row at `start(k)` of `source`. */
  // biome-ignore lint/complexity/useMaxParams: an inner loop, where an object per call would cost
  #addPlot(
    matrix: Float64Array,
    plot: number,
    source: Float64Array,
    start: (k: number) => number,
    sign: number,
  ): void {
    const { from, size, layout } = this.#input;
    this.#sum.fill(0);
    for (const k of layout.members[plot]!.keys()) {
      const place = start(k) + from;
      addOuter(matrix, size, source, place, sign);
      for (let i = 0; i < size; i++) this.#sum[i]! += source[place + i]!;
    }
    const c = layout.shared[plot]!;
    if (c > 0) addOuter(matrix, size, this.#sum, 0, -sign * c);
  }

  #exchangePlot(matrix: Float64Array, plot: number, candidate: Float64Array): void {
    const { rows, width, layout } = this.#input;
    this.#addPlot(matrix, plot, rows, (k) => layout.members[plot]![k]! * width, -1);
    this.#addPlot(matrix, plot, candidate, (k) => k * width, 1);
  }

  /** Brings inverse, determinant and trace in line with the total information. */
  #settle(): boolean {
    const { size } = this.#input;
    this.#work.set(this.#total);
    if (!choleskyInPlace(this.#work, size)) return false;
    this.#logDet = choleskyLogDeterminant(this.#work, size);
    choleskyInverse(this.#work, size, this.#inverse);
    this.#settleTrace();
    return true;
  }

  #settleTrace(): void {
    const { size, weights } = this.#input;
    if (weights === undefined) return;
    sandwich(this.#inverse, weights, size, this.#work, this.#spread);
    this.#trace = dot(this.#inverse, weights, size * size);
  }
}
