import { dot } from "../numeric/index.js";
import type { DrawMatrix } from "./batch.js";
import type { SizeBeliefs } from "./size-beliefs.js";
import { quickNormalCdf } from "./tabulated-normal.js";

/** Candidates: chances of each (row) under every posterior draw (column), and what readings there would show. */
export interface CandidateChances {
  /** Of conforming. */
  readonly conforming: DrawMatrix;
  /** Of passing all checks. */
  readonly passing: DrawMatrix;
  /** Absent where nothing is measured. */
  readonly sizes?: SizeBeliefs;
}

/** What a simulated world has taught of some candidates, told by their places in the list that is compared. */
export interface Learnt {
  /** Of the draws. */
  readonly weights: Float64Array;
  /** Per hidden quantity: how far readings moved it at each place, and the variance they took. */
  readonly moved: readonly Float64Array[];
  readonly taken: readonly Float64Array[];
  /** Readings: what each says of every place, and of a further reading of the same day there. */
  readonly readings: readonly Reading[];
}

/** Per hidden quantity. */
interface Reading {
  readonly here: readonly Float64Array[];
  readonly again: readonly Float64Array[];
}

/** How one coupon came out: whether it passed all checks, and then its readings' surprises, standard normal. */
export interface Came {
  readonly passed: boolean;
  readonly surprises: readonly number[];
}

/** Knowledge of a few candidates in simulated worlds. */
export interface Foreseen {
  /** Hidden quantities that a coupon shows. */
  readonly quantities: number;
  readonly draws: number;
  readonly nothing: () => Learnt;
  /** Chance that the candidate at a place passes, by what is known. */
  readonly passes: (known: Learnt, place: number) => number;
  /** What is known once the coupon at a place came out so. */
  readonly learn: (known: Learnt, place: number, came: Came) => Learnt;
  /** Highest chance among the candidates, by what would be known if the coupon at a place came out so. */
  readonly bestAfter: (known: Learnt, place: number, came: Came) => number;
  readonly best: (known: Learnt) => number;
}

/** Least share of a variance that readings leave. */
const LEFT = 1e-6;

/**
 * Makes what coupons would teach of the candidates listed: verdicts weigh the draws, readings move the dimensions by
 * normal regression, a day's own shift taken for common to all coupons of the batch.
 */
export function foresee({ passing, sizes }: CandidateChances, listed: readonly number[]): Foreseen {
  const rows = listed.map((i) => passing[i]!);
  const draws = rows[0]!.length;
  const count = listed.length;
  const latents = sizes?.scatter.length ?? 0;
  const responses = sizes?.lower.length ?? 0;
  const covariances = new Map<number, readonly Float64Array[]>();
  /** Covariances of every hidden quantity at a place with all places. */
  const covariancesOf = (place: number): readonly Float64Array[] => {
    const known = covariances.get(place);
    if (known !== undefined) return known;
    const made = Array.from({ length: latents }, (_, l) =>
      Float64Array.from(listed, (i) => sizes!.covariance(l, listed[place]!, i)),
    );
    covariances.set(place, made);
    return made;
  };
  const means = new Float64Array(count * responses);
  const variances = new Float64Array(count * responses);
  listed.forEach((i, k) => {
    if (sizes === undefined) return;
    means.set(sizes.means[i]!, k * responses);
    variances.set(sizes.variances[i]!, k * responses);
  });
  const zeros = (): Float64Array[] => Array.from({ length: latents }, () => new Float64Array(count));

  /** What a further reading at a place says of all places, by hidden quantity; of a reading again where `day` is told. */
  const readingAt = (known: Learnt, place: number, again: boolean): readonly Float64Array[] =>
    covariancesOf(place).map((own, l) => {
      const day = sizes!.day[l]!;
      let variance = own[place]! + day + sizes!.scatter[l]!;
      for (const reading of known.readings) variance -= reading.again[l]![place]! ** 2;
      const scale = 1 / Math.sqrt(Math.max(variance, LEFT * sizes!.scatter[l]!));
      const result = new Float64Array(count);
      const common = again ? day : 0;
      for (let k = 0; k < count; k++) {
        let sum = own[k]! + common;
        for (const reading of known.readings) {
          sum -= (again ? reading.again : reading.here)[l]![k]! * reading.again[l]![place]!;
        }
        result[k] = sum * scale;
      }
      return result;
    });

  /** Chance of all dimensions within specification at place `k`. */
  const inside = (k: number, moved: readonly Float64Array[], taken: readonly Float64Array[]): number => {
    if (sizes === undefined) return 1;
    let product = sizes.dependence[listed[k]!]!;
    for (let r = 0; r < responses && product > 0; r++) {
      const row = sizes.coefficients[r]!;
      let mean = means[k * responses + r]!;
      const whole = variances[k * responses + r]!;
      let variance = whole;
      for (let l = 0; l < latents; l++) {
        const coefficient = row[l]!;
        if (coefficient === 0) continue;
        mean += coefficient * moved[l]![k]!;
        variance -= coefficient * coefficient * taken[l]![k]!;
      }
      const sd = Math.sqrt(Math.max(variance, LEFT * whole));
      product *=
        quickNormalCdf((sizes.upper[r]! - mean) / sd) - quickNormalCdf((sizes.lower[r]! - mean) / sd);
    }
    return Math.min(1, product);
  };
  const passesBy = (weights: Float64Array, k: number): number => dot(weights, 0, rows[k]!, 0, draws);
  const bestBy = (
    weights: Float64Array,
    moved: readonly Float64Array[],
    taken: readonly Float64Array[],
  ): number => {
    let best = 0;
    for (let k = 0; k < count; k++) {
      const dimensions = inside(k, moved, taken);
      if (dimensions <= best) continue;
      const chance = dimensions * passesBy(weights, k);
      if (chance > best) best = chance;
    }
    return best;
  };
  /** Weights of the draws after one more verdict. */
  const weigh =
    (weights: Float64Array, into: Float64Array) =>
    (place: number, passed: boolean): void => {
      const row = rows[place]!;
      let sum = 0;
      for (let m = 0; m < draws; m++) {
        into[m] = weights[m]! * (passed ? row[m]! : 1 - row[m]!);
        sum += into[m]!;
      }
      if (sum > 0) for (let m = 0; m < draws; m++) into[m]! /= sum;
      else into.set(weights);
    };
  const trial = { weights: new Float64Array(draws), moved: zeros(), taken: zeros() };
  /** Adds a reading's surprises to what is known. */
  const add =
    (known: Learnt, says: readonly Float64Array[], surprises: readonly number[]) =>
    (into: Pick<Learnt, "moved" | "taken">): void => {
      says.forEach((one, l) => {
        for (let k = 0; k < count; k++) {
          into.moved[l]![k] = known.moved[l]![k]! + one[k]! * surprises[l]!;
          into.taken[l]![k] = known.taken[l]![k]! + one[k]! * one[k]!;
        }
      });
    };
  return {
    quantities: latents,
    draws,
    nothing: () => ({
      weights: new Float64Array(draws).fill(1 / draws),
      moved: zeros(),
      taken: zeros(),
      readings: [],
    }),
    passes: (known, place) => passesBy(known.weights, place),
    learn(known, place, { passed, surprises }) {
      const weights = new Float64Array(draws);
      weigh(known.weights, weights)(place, passed);
      if (!passed || latents === 0) return { ...known, weights };
      const here = readingAt(known, place, false);
      const after = { moved: zeros(), taken: zeros() };
      add(known, here, surprises)(after);
      const reading = { here, again: readingAt(known, place, true) };
      return { weights, ...after, readings: [...known.readings, reading] };
    },
    bestAfter(known, place, { passed, surprises }) {
      weigh(known.weights, trial.weights)(place, passed);
      if (!passed || latents === 0) return bestBy(trial.weights, known.moved, known.taken);
      add(known, readingAt(known, place, false), surprises)(trial);
      return bestBy(trial.weights, trial.moved, trial.taken);
    },
    best: ({ weights, moved, taken }) => bestBy(weights, moved, taken),
  };
}
