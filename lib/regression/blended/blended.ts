import { requireThat } from "../../errors/index.js";
import { randomStream, sliceStep } from "../../numeric/index.js";
import type { BlendedRows } from "./blended-data.js";
import { BlendedLikelihood } from "./blended-likelihood.js";
import { findRowSlips, type Slip, withSlips } from "./slips.js";

/** Choices of {@link fitBlended}. */
export interface BlendedOptions {
  /** Default 1. */
  readonly seed?: number;
  /** Draws kept of the variances. Default 128, fewer for many settings. */
  readonly draws?: number;
}

/** A blended surface: its rows and draws of its variances. Plain data. */
export interface BlendedFit {
  /** With the weights that slips were left with. */
  readonly rows: BlendedRows;
  /** Variances of each draw, standard normal before the rows. */
  readonly draws: readonly (readonly number[])[];
  /** Rows that look like slips, which count for little. */
  readonly slips: readonly Slip[];
  readonly seed: number;
}

/** Steps that are thrown away at the start. */
const BURN_IN = 60;
/** Draws for up to this many settings; work grows with the cube of their number. */
const MOST_SETTINGS = 100;

/**
 * A surface that is a straight law, squares and products, and a smooth departure at once, each as much as the rows
 * support:
 *
 *     y = b0 + b'x + c'q(x) + d(x) + block + setting + scatter,   b ~ N(0, s^2 t), c ~ N(0, s^2 q), cov d = s^2 r Matern
 *
 * with Matern 5/2 correlation of one length per column, a shift per block, and scatter that repeats of a setting share or
 * not. Columns may come in two codings, of which the rows decide. The variances are not estimated but averaged over by elliptical slice sampling under weak beliefs, the constant and
 * the scatter s integrated out: with few rows it is a straight law with shrunk slopes, with many it follows what they show,
 * and its intervals hold what is not known of either. Rows that lie further off all others than scatter explains count
 * for less and are named.
 *
 * @param data - at least three rows
 * @throws {BeadbenchError} `bad-argument` for fewer rows or columns that do not fit together
 * @source the terms: C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning (2006), 2.7;
 *   averaging over variances: A. O'Hagan, J. R. Statist. Soc. B 40 (1978) 1-42
 */
export function fitBlended(data: BlendedRows, options: BlendedOptions = {}): BlendedFit {
  const { y, straight, bent, setting } = data;
  requireThat(
    y.length >= 3 && [straight, bent, setting].every((list) => list.length === y.length),
    "fitBlended needs at least three rows, with columns and a setting each",
  );
  const seed = options.seed ?? 1;
  const first = drawVariances(data, seed, options.draws);
  const slips = findRowSlips(data, first);
  if (slips.length === 0) return { rows: data, draws: first, slips, seed };
  const rows = withSlips(data, slips);
  return { rows, draws: drawVariances(rows, seed, options.draws), slips, seed };
}

function drawVariances(
  data: BlendedRows,
  seed: number,
  wanted: number | undefined,
): readonly (readonly number[])[] {
  const likelihood = new BlendedLikelihood(data);
  const few = Math.min(1, (MOST_SETTINGS / likelihood.cells.count) ** 2);
  const draws = wanted ?? Math.max(24, Math.round(128 * few));
  const stream = randomStream(seed).split("blended");
  const level = (z: Float64Array): number =>
    likelihood.evaluate(z)?.logLikelihood ?? Number.NEGATIVE_INFINITY;
  const z = new Float64Array(likelihood.size);
  let at = level(z);
  const kept: (readonly number[])[] = [];
  for (let k = 0; k < BURN_IN * Math.max(0.4, few) + draws; k++) {
    at = sliceStep({ z, level: at, stream, logLikelihood: level });
    if (likelihood.codings.length > 1) {
      // The other coding under the same variances: the slice alone would seldom cross over.
      const last = z.length - 1;
      z[last] = -z[last]!;
      const other = level(z);
      if (stream.uniform() < 1 / (1 + Math.exp(at - other))) at = other;
      else z[last] = -z[last]!;
    }
    kept.push(Array.from(z));
  }
  return kept.slice(-draws);
}
