import type { Finding } from "../../errors/index.js";
import { randomStream } from "../../numeric/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import { affineAt } from "./affine.js";
import { type BasisShape, chooseBasis, makeBasis } from "./basis.js";
import { type Coordinate, studyCoordinates, toCoordinates } from "./coordinates.js";
import { couponOutcomes } from "./coupon-outcomes.js";
import { type LatentModel, latentModel } from "./latent.js";
import { fitLatent, type LatentPosterior } from "./latent-fit.js";
import { drawWeights, type LatentTie, tieLatents } from "./latent-tie.js";
import { failureMargins, type Margin } from "./margins.js";
import { physicalLogs } from "./physical-logs.js";
import { responseScatter } from "./response-scatter.js";
import { type BoundaryDraw, drawBoundaries } from "./survival-fit.js";

/** A pass/fail check and the posterior draws of the boundary beyond which it fails. */
export interface CheckModel {
  readonly name: string;
  readonly margins: readonly Margin[];
  readonly draws: readonly BoundaryDraw[];
  readonly coupons: number;
  readonly failures: number;
}

/** Posterior of everything a coupon can show, at any setting of the study. Plain data. */
export interface OutcomeModel {
  readonly definition: StudyDefinition;
  readonly coordinates: readonly Coordinate[];
  readonly basis: BasisShape;
  readonly latent: LatentModel;
  readonly posteriors: readonly LatentPosterior[];
  /** Covariance of the coupon-to-coupon scatter of the measured responses, on the links' scales. */
  readonly scatter: readonly (readonly number[])[];
  /** Errors that latents share. */
  readonly ties: readonly LatentTie[];
  readonly checks: readonly CheckModel[];
  /** Posterior draws of the weights of each latent, aligned with the draws of the checks. */
  readonly draws: readonly (readonly (readonly number[])[])[];
  readonly coupons: number;
  readonly seed: number;
  readonly findings: readonly Finding[];
}

/** Choices of {@link buildOutcomeModel}. */
export interface OutcomeModelOptions {
  /** Default: the study's seed. */
  readonly seed?: number;
  /** Posterior draws. Default 64. */
  readonly draws?: number;
}

/** Value of a response on its link's scale. */
function linked(link: LatentModel["links"][number], value: number): number {
  return ((link.log ? Math.log(value) : value) - link.origin) / link.scale;
}

/**
 * Fits what measured responses and pass/fail checks do over the settings of a study. It answers from the
 * first coupon on, and from none: width from an energy balance, height from conservation of mass, failures
 * from thresholds of physical quantities, all known only roughly until coupons say more.
 *
 * A coupon that was logged without any dimension although the study measures some counts as failed.
 * It misleads when coupons were chosen for their outcome, or when a factor left out of the study moved.
 *
 * @param coupons - as the study holds them; those not logged are left out
 */
export function buildOutcomeModel(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  options: OutcomeModelOptions = {},
): OutcomeModel {
  const seed = options.seed ?? definition.seed;
  const draws = options.draws ?? 64;
  const stream = randomStream(seed).split("outcome-model");
  const coordinates = studyCoordinates(definition);
  const logs = physicalLogs(definition, coordinates);
  const outcomes = couponOutcomes(definition, coupons);
  const latent = latentModel(definition, coordinates, logs, outcomes.values);
  const points = outcomes.coupons.map((coupon) => toCoordinates(coordinates, coupon.settings));
  const measuredIndex = outcomes.coupons.flatMap((coupon, i) =>
    Object.keys(coupon.measured).length > 0 ? [i] : [],
  );
  const basis = chooseBasis(
    coordinates,
    measuredIndex.map((i) => points[i]!),
  );
  const evaluate = makeBasis(basis);
  const rows = points.map((point) => {
    const row = new Float64Array(evaluate.size);
    evaluate.evaluate(point, row);
    return row;
  });
  const latentValues = latent.links.map((link) =>
    measuredIndex.flatMap((i) => {
      const value = latentValue(latent, link, outcomes.coupons[i]!.measured, points[i]!);
      return value === undefined ? [] : [{ i, value }];
    }),
  );
  const posteriors = latent.priors.map((prior, l) => {
    const found = latentValues[l]!;
    return fitLatent(
      prior,
      {
        rows: found.map(({ i }) => rows[i]!),
        values: found.map(({ value }) => value),
        blocks: found.map(({ i }) => outcomes.coupons[i]!.block),
      },
      evaluate.size,
    );
  });
  const width = latent.priors.find((prior) => prior.name === "ln width")?.mean;
  const margins = failureMargins(coordinates, logs, width);
  const checks = outcomes.checks.map((name): CheckModel => {
    const data = outcomes.coupons.flatMap((coupon, i) => {
      const passed = coupon.passed[name];
      return passed === undefined ? [] : [{ point: points[i]!, passed }];
    });
    return {
      name,
      margins,
      draws: drawBoundaries(margins, coordinates.length, data, draws, stream.split(`check/${name}`)),
      coupons: data.length,
      failures: data.filter((item) => !item.passed).length,
    };
  });
  const shownBy = latentValues.map((items) => items.map(({ i }) => i));
  const scatter = responseScatter(latent, posteriors, shownBy);
  const ties = tieLatents(latent, posteriors, shownBy, scatter);
  return {
    definition,
    coordinates,
    basis,
    latent,
    posteriors,
    scatter,
    ties,
    checks,
    draws: drawWeights(posteriors, ties, evaluate.size, draws, stream.split("weights")),
    coupons: outcomes.coupons.length,
    seed,
    findings: [...(logs?.findings ?? [unknownPhysics]), ...outcomes.findings],
  };
}

const unknownPhysics: Finding = {
  code: "no-physics",
  severity: "info",
  message:
    "travel_speed and wire_feed_speed are not both settings of this study; the models work on the raw settings",
  advice:
    "name factors by the words of the trade, or add constants under rig.settings, to profit from the physics",
};

/** A latent as one coupon shows it: its response, less what the other latents (as measured) explain. */
function latentValue(
  latent: LatentModel,
  link: LatentModel["links"][number],
  measured: Readonly<Record<string, number>>,
  point: Float64Array,
): number | undefined {
  const value = measured[link.response];
  if (value === undefined) return undefined;
  let rest = linked(link, value) - affineAt(link.offset, point);
  for (let l = 0; l < link.coefficients.length; l++) {
    const coefficient = link.coefficients[l]!;
    if (l === link.own || coefficient === 0) continue;
    const other = latent.links.find((candidate) => candidate.own === l)!;
    const otherValue = latentValue(latent, other, measured, point);
    if (otherValue === undefined) return undefined;
    rest -= coefficient * otherValue;
  }
  return rest / link.coefficients[link.own]!;
}
