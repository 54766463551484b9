import type { OutcomeModel, Settings } from "../models/index.js";
import { makeBoxProbability } from "./box-probability.js";
import { type ChanceFunction, makeChance, specificationFaces } from "./chance.js";
import { intervalAbout } from "./interval-about.js";

/** Chance that a coupon at one setting conforms, and what it is made of. */
export interface Conformance {
  /** All measured responses within specification and all checks passed. */
  readonly chance: number;
  /** Standard deviation of that chance over what the coupons leave open. */
  readonly sd: number;
  /** At least 90 % of what the coupons leave open; the chance lies inside. */
  readonly interval: readonly [lower: number, upper: number];
  /** All measured responses within specification. */
  readonly dimensions: number;
  readonly perResponse: Readonly<Record<string, number>>;
  readonly perCheck: Readonly<Record<string, number>>;
}

/** The conformance at one point of the model's axes. */
export function conformanceAt(
  model: OutcomeModel,
  chances: ChanceFunction,
  point: Float64Array,
): Conformance {
  const { mean, covariance, dimensions, checks } = chances.parts(point);
  const { lower, upper } = specificationFaces(model);
  const n = mean.length;
  const perResponse: Record<string, number> = {};
  model.latent.links.forEach(({ response }, r) => {
    const one = makeBoxProbability([lower[r]!], [upper[r]!]);
    perResponse[response] = one(mean.subarray(r, r + 1), covariance.subarray(r * n + r, r * n + r + 1));
  });
  const perCheck = Object.fromEntries(model.checks.map((check, c) => [check.name, checks[c]!]));
  const draws = new Float64Array(chances.predictor.draws);
  chances.perDraw(point, draws);
  const chance = checks.reduce((product, pass) => product * pass, dimensions);
  // By hand, and so in window/batch and window/stopping: a map asks this of every setting of a grid.
  const average = draws.reduce((sum, value) => sum + value, 0) / draws.length;
  const sd = Math.sqrt(draws.reduce((sum, value) => sum + (value - average) ** 2, 0) / draws.length);
  return { chance, sd, interval: intervalAbout(chance, draws), dimensions, perResponse, perCheck };
}

/**
 * Chance of a conforming coupon at each setting: every measured response within its specification and every
 * check passed. It counts in what the coupons leave open about the models, scatter from coupon to coupon
 * and its correlation between responses, shifts from day to day, and how closely the rig holds a setting.
 *
 * The same model and settings give the same answer. It misleads where no coupon lies anywhere near and the
 * trade rules the model starts from do not hold.
 *
 * @param settings - by factor name, in the factors' units
 * @throws {BeadbenchError} `bad-argument` for a missing setting
 */
export function conformance(model: OutcomeModel, settings: readonly Settings[]): readonly Conformance[] {
  const chances = makeChance(model);
  return settings.map((setting) => conformanceAt(model, chances, chances.predictor.point(setting)));
}

/** The chance alone at many settings, for maps: some 100 000 settings a second. */
export function conformanceChances(model: OutcomeModel, settings: readonly Settings[]): readonly number[] {
  const chances = makeChance(model);
  return settings.map((setting) => chances.chance(chances.predictor.point(setting), 1e-3));
}

/**
 * The conformance at several settings beside what each posterior draw of the model says there: its chance, and the expected
 * values of the measured responses on the links' scales. Draws of two settings belong together, so that what the coupons
 * leave open of both falls out of a difference.
 *
 * @throws {BeadbenchError} `bad-argument` for a missing setting
 */
export function conformanceDraws(
  model: OutcomeModel,
  settings: readonly Settings[],
): {
  readonly conformances: readonly Conformance[];
  /** Per setting and draw. */
  readonly chances: readonly (readonly number[])[];
  /** Per setting, draw and response. */
  readonly means: readonly (readonly (readonly number[])[])[];
} {
  const chances = makeChance(model);
  const { predictor } = chances;
  const perSetting = settings.map((setting) => {
    const point = predictor.point(setting);
    const conforming = new Float64Array(predictor.draws);
    chances.perDraw(point, conforming);
    const here = predictor.at(point);
    const mean = new Float64Array(predictor.responses);
    const means = Array.from(conforming, (_, m) => {
      here.drawMeans(m, mean);
      return Array.from(mean);
    });
    return { conformance: conformanceAt(model, chances, point), chances: Array.from(conforming), means };
  });
  return {
    conformances: perSetting.map((one) => one.conformance),
    chances: perSetting.map((one) => one.chances),
    means: perSetting.map((one) => one.means),
  };
}
