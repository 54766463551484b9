import { makePredictor, type OutcomeModel, type Predictor, toLinkScale } from "../models/index.js";
import { makeBoxProbability } from "./box-probability.js";
import { quickNormalCdf } from "./tabulated-normal.js";

/** What the chance at one point is made of. */
export interface ChanceParts {
  /** Expected values and covariance of the measured responses, on the links' scales, doubt included. */
  readonly mean: Float64Array;
  readonly covariance: Float64Array;
  /** Chance that every measured response is within specification. */
  readonly dimensions: number;
  /** Chance that each check is passed. */
  readonly checks: readonly number[];
}

/** Chances at points of the model's axes. */
export interface ChanceFunction {
  readonly predictor: Predictor;
  /** The chance taken apart, in room of its own. */
  readonly parts: (point: Float64Array) => ChanceParts;
  /** Chance of a conforming coupon; `floor` lets it give up early on hopeless points. */
  readonly chance: (point: Float64Array, floor?: number) => number;
  /**
   * Chance of a conforming coupon if each posterior draw were the truth, and,
   * when asked for, of passing all checks.
   */
  readonly perDraw: (point: Float64Array, into: Float64Array, passes?: Float64Array) => void;
}

/** Specification of each measured response on the scale of its link; infinite where open. */
export function specificationFaces(model: OutcomeModel): {
  readonly lower: number[];
  readonly upper: number[];
} {
  const lower: number[] = [];
  const upper: number[] = [];
  for (const link of model.latent.links) {
    const spec = model.definition.responses.find((response) => response.name === link.response)?.spec ?? {};
    lower.push(spec.lower === undefined ? Number.NEGATIVE_INFINITY : toLinkScale(link, spec.lower));
    upper.push(spec.upper === undefined ? Number.POSITIVE_INFINITY : toLinkScale(link, spec.upper));
  }
  return { lower, upper };
}

/** Makes the chance of conformance of a model ready for many points. */
export function makeChance(model: OutcomeModel): ChanceFunction {
  const predictor = makePredictor(model);
  const { lower, upper } = specificationFaces(model);
  const box = makeBoxProbability(lower, upper);
  const n = predictor.responses;
  const checks = model.checks.length;
  const mean = new Float64Array(n);
  const covariance = new Float64Array(n * n);
  return {
    predictor,
    parts(point) {
      const here = predictor.at(point);
      const own = { mean: new Float64Array(n), covariance: new Float64Array(n * n) };
      here.means(own.mean);
      here.covariance(own.covariance);
      return {
        ...own,
        dimensions: box(own.mean, own.covariance),
        checks: model.checks.map((_, c) => here.pass(c)),
      };
    },
    chance(point, floor = 0) {
      const here = predictor.at(point);
      here.means(mean);
      if (floor > 0) {
        // Most settings of a map are out of specification in one response or another: ask in turn.
        let product = 1;
        for (let r = 0; r < n && product >= floor; r++) {
          const sd = Math.sqrt(here.variance(r));
          const low = (lower[r]! - mean[r]!) / sd;
          product *= quickNormalCdf((upper[r]! - mean[r]!) / sd) - quickNormalCdf(low);
        }
        if (product < floor) return product;
      }
      here.covariance(covariance);
      let chance = box(mean, covariance);
      for (let c = 0; c < checks && chance > floor; c++) chance *= here.pass(c);
      return chance;
    },
    perDraw(point, into, passes) {
      const here = predictor.at(point);
      here.drawCovariance(covariance);
      for (let m = 0; m < predictor.draws; m++) {
        here.drawMeans(m, mean);
        let chance = box(mean, covariance);
        if (chance > 1e-6 || passes !== undefined) {
          let pass = 1;
          for (let c = 0; c < checks && pass > 0; c++) pass *= here.drawPass(c, m);
          chance *= pass;
          if (passes !== undefined) passes[m] = pass;
        }
        into[m] = chance;
      }
    },
  };
}
