import { makePredictor, type OutcomeModel, type Prediction, type Predictor } from "../models/index.js";
import { makeBoxProbability } from "./box-probability.js";
import { quickNormalCdf } from "./tabulated-normal.js";

/** Chances at points of the model's axes. */
export interface ChanceFunction {
  readonly predictor: Predictor;
  /** Chance that every dimension is within specification, doubt included. */
  readonly dimensions: (point: Float64Array) => number;
  /** Chance that each check is passed, doubt included. */
  readonly checks: (point: Float64Array) => readonly number[];
  /** Chance of a conforming coupon; `floor` lets it give up early on hopeless points. */
  readonly chance: (point: Float64Array, floor?: number) => number;
  /**
   * Chance of a conforming coupon if each posterior draw were the truth, and,
   * when asked for, of passing all checks.
   */
  readonly perDraw: (point: Float64Array, into: Float64Array, passes?: Float64Array) => void;
  /** The prediction behind the last call of `dimensions`, until another function is called. */
  readonly prediction: Prediction;
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
    const onScale = (value: number): number =>
      ((link.log ? (value > 0 ? Math.log(value) : Number.NEGATIVE_INFINITY) : value) - link.origin) /
      link.scale;
    lower.push(spec.lower === undefined ? Number.NEGATIVE_INFINITY : onScale(spec.lower));
    upper.push(spec.upper === undefined ? Number.POSITIVE_INFINITY : onScale(spec.upper));
  }
  return { lower, upper };
}

/** Makes the chance of conformance of a model ready for many points. */
export function makeChance(model: OutcomeModel): ChanceFunction {
  const predictor = makePredictor(model);
  const { lower, upper } = specificationFaces(model);
  const box = makeBoxProbability(lower, upper);
  const n = predictor.responses;
  const prediction = { mean: new Float64Array(n), covariance: new Float64Array(n * n) };
  const drawMean = new Float64Array(n);
  const dimensions = (point: Float64Array): number => {
    predictor.means(point, prediction.mean);
    predictor.spread(prediction);
    return box(prediction.mean, prediction.covariance);
  };
  const count = predictor.draws;
  return {
    predictor,
    prediction,
    dimensions,
    checks(point) {
      predictor.means(point, prediction.mean);
      return model.checks.map((_, c) => predictor.pass(c));
    },
    chance(point, floor = 0) {
      predictor.means(point, prediction.mean);
      if (floor > 0) {
        // Most settings of a map are out of specification in one response or another: ask in turn.
        let product = 1;
        for (let r = 0; r < n && product >= floor; r++) {
          const sd = Math.sqrt(predictor.variance(r));
          const low = (lower[r]! - prediction.mean[r]!) / sd;
          product *= quickNormalCdf((upper[r]! - prediction.mean[r]!) / sd) - quickNormalCdf(low);
        }
        if (product < floor) return product;
      }
      predictor.spread(prediction);
      let chance = box(prediction.mean, prediction.covariance);
      for (let c = 0; c < model.checks.length && chance > floor; c++) chance *= predictor.pass(c);
      return chance;
    },
    perDraw(point, into, passes) {
      predictor.means(point, prediction.mean);
      predictor.drawSpread(prediction);
      for (let m = 0; m < count; m++) {
        predictor.drawMeans(m, drawMean);
        let chance = box(drawMean, prediction.covariance);
        if (chance > 1e-6 || passes !== undefined) {
          let pass = 1;
          for (let c = 0; c < model.checks.length && pass > 0; c++) pass *= predictor.drawPass(c, m);
          chance *= pass;
          if (passes !== undefined) passes[m] = pass;
        }
        into[m] = chance;
      }
    },
  };
}
