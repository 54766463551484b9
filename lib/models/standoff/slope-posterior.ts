import { minimiseScalar } from "../../numeric/index.js";
import { filterSeries } from "./filter.js";
import type { StationSeries } from "./layer-log.js";

/** Weak belief about the growth slope before the log: normal. */
export interface SlopePrior {
  readonly mean: number;
  /** Infinity for no opinion. */
  readonly sd: number;
}

/** Belief about slope and layer spread after the log, on a grid of equal cells. */
export interface SlopePosterior {
  /** Cell centres of kappa, ascending. */
  readonly slopes: readonly number[];
  /** Cell centres of sigma, mm, ascending. */
  readonly layerSds: readonly number[];
  /** Chance of each cell, slope by slope, summing to 1. */
  readonly weights: readonly number[];
  /** Slope and spread of the highest restricted likelihood, without the prior. */
  readonly slope: number;
  readonly layerSd: number;
}

interface Span {
  readonly lower: number;
  readonly upper: number;
}

/** Slopes beyond these leave no stand-off to speak of after a few layers. */
const RANGE: Span = { lower: -0.6, upper: 2.2 };
/** Cells kept in view: those with more than this share of the highest marginal. */
const VISIBLE = 1e-4;

/**
 * Posterior of slope and layer spread: restricted likelihood times a normal prior of the slope and a flat
 * prior of the spread.
 *
 * @param gaugeSd - mm, known
 * @param reference - mm, see {@link filterSeries}
 * @param cells - grid cells along slope and spread
 */
export function slopePosterior(
  series: readonly StationSeries[],
  gaugeSd: number,
  reference: number,
  prior: SlopePrior,
  cells: readonly [slopes: number, spreads: number],
): SlopePosterior {
  const gaugeVariance = gaugeSd ** 2;
  const loss = (slope: number, sd: number): number => {
    let sum = 0;
    for (const one of series) sum += filterSeries(one, slope, sd * sd, gaugeVariance, reference).loss;
    return sum;
  };
  const mode = likeliest(loss, roughSpread(series), gaugeSd);
  const prioritised = (slope: number, sd: number): number =>
    loss(slope, sd) + ((slope - prior.mean) / prior.sd) ** 2;
  const rough = slopeScale(prioritised, mode.slope, mode.layerSd);
  let slopes: Span = {
    lower: Math.max(RANGE.lower, mode.slope - 8 * rough),
    upper: Math.min(RANGE.upper, mode.slope + 8 * rough),
  };
  let spreads: Span = { lower: 0, upper: 4 * mode.layerSd + gaugeSd };
  let grid = evaluate(prioritised, slopes, spreads, cells);
  for (let round = 0; round < 3; round++) {
    const nextSlopes = visible(grid.slopes, grid.slopeMarginal, slopes, RANGE);
    const nextSpreads = visible(grid.layerSds, grid.spreadMarginal, spreads, { lower: 0, upper: Infinity });
    const settled = close(nextSlopes, slopes) && close(nextSpreads, spreads);
    if (settled) break;
    slopes = nextSlopes;
    spreads = nextSpreads;
    grid = evaluate(prioritised, slopes, spreads, cells);
  }
  return { slopes: grid.slopes, layerSds: grid.layerSds, weights: grid.weights, ...mode };
}

function close(a: Span, b: Span): boolean {
  const room = 0.15 * (b.upper - b.lower);
  return Math.abs(a.lower - b.lower) < room && Math.abs(a.upper - b.upper) < room;
}

/** Root mean square of second differences: an upper scale for the layer spread. */
function roughSpread(series: readonly StationSeries[]): number {
  let [sum, count] = [0, 0];
  for (const { standoff, rise } of series) {
    let last = Number.NaN;
    for (let n = 1; n < standoff.length; n++) {
      const step = standoff[n]! - standoff[n - 1]! - rise[n - 1]!;
      const change = step - last;
      if (!Number.isNaN(change)) {
        sum += change * change;
        count++;
      }
      last = step;
    }
  }
  return count === 0 ? 0.1 : Math.max(1e-3, Math.sqrt(sum / count));
}

function likeliest(
  loss: (slope: number, sd: number) => number,
  rough: number,
  gaugeSd: number,
): { readonly slope: number; readonly layerSd: number } {
  const bestSlope = (logSd: number) =>
    minimiseScalar((slope) => loss(slope, Math.exp(logSd)), RANGE.lower, RANGE.upper, 1e-6);
  const lower = Math.log(Math.max(1e-4, 0.01 * Math.min(rough, gaugeSd > 0 ? gaugeSd : rough)));
  const logSd = minimiseScalar((value) => bestSlope(value).value, lower, Math.log(4 * rough), 1e-4).x;
  return { slope: bestSlope(logSd).x, layerSd: Math.exp(logSd) };
}

/** Distance from the mode at which the loss has risen by 1: a standard deviation, roughly. */
function slopeScale(loss: (slope: number, sd: number) => number, slope: number, sd: number): number {
  const least = loss(slope, sd);
  let scale = 1e-3;
  while (scale < 0.5 && Math.min(loss(slope + scale, sd), loss(slope - scale, sd)) < least + 1) scale *= 1.5;
  return scale;
}

interface Grid {
  readonly slopes: number[];
  readonly layerSds: number[];
  readonly weights: number[];
  readonly slopeMarginal: number[];
  readonly spreadMarginal: number[];
}

function evaluate(
  loss: (slope: number, sd: number) => number,
  slopeSpan: Span,
  spreadSpan: Span,
  [slopeCells, spreadCells]: readonly [number, number],
): Grid {
  const centres = (span: Span, count: number): number[] =>
    Array.from({ length: count }, (_, i) => span.lower + ((i + 0.5) * (span.upper - span.lower)) / count);
  const slopes = centres(slopeSpan, slopeCells);
  const layerSds = centres(spreadSpan, spreadCells);
  const losses = slopes.flatMap((slope) => layerSds.map((sd) => loss(slope, sd)));
  const least = losses.reduce((a, b) => Math.min(a, b));
  const raw = losses.map((value) => Math.exp((least - value) / 2));
  const total = raw.reduce((a, b) => a + b, 0);
  const weights = raw.map((value) => value / total);
  const slopeMarginal = new Array<number>(slopeCells).fill(0);
  const spreadMarginal = new Array<number>(spreadCells).fill(0);
  weights.forEach((weight, i) => {
    slopeMarginal[Math.floor(i / spreadCells)]! += weight;
    spreadMarginal[i % spreadCells]! += weight;
  });
  return { slopes, layerSds, weights, slopeMarginal, spreadMarginal };
}

/** The span of cells worth looking at, with a cell to spare, within the range. */
function visible(centres: readonly number[], marginal: readonly number[], span: Span, range: Span): Span {
  const cell = (span.upper - span.lower) / centres.length;
  const least = VISIBLE * Math.max(...marginal);
  const first = marginal.findIndex((value) => value > least);
  const last = marginal.reduce((found, value, i) => (value > least ? i : found), first);
  const spare = first === 0 || last === centres.length - 1 ? 0.3 * (span.upper - span.lower) : cell;
  return {
    lower: Math.max(range.lower, centres[first]! - cell / 2 - (first === 0 ? spare : cell)),
    upper: Math.min(range.upper, centres[last]! + cell / 2 + (last === centres.length - 1 ? spare : cell)),
  };
}
