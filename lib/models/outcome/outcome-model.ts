import type { Finding } from "../../errors/index.js";
import { randomStream } from "../../numeric/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import { type Basis, type BasisShape, chooseBasis, makeBasis } from "./basis.js";
import type { BoundaryDraw } from "./boundary.js";
import { makeCheckChance } from "./check-chance.js";
import { type Coordinate, studyCoordinates, toCoordinates } from "./coordinates.js";
import { couponOutcomes } from "./coupon-outcomes.js";
import { type LatentModel, latentModel } from "./latent.js";
import { fitLatent, type LatentPosterior } from "./latent-fit.js";
import { drawWeights, type LatentTie, tieLatents } from "./latent-tie.js";
import { latentValue } from "./latent-value.js";
import { failureMargins, type Margin } from "./margins.js";
import { type OlderStudy, olderCoupons } from "./older-study.js";
import { physicalLogs } from "./physical-logs.js";
import { responseScatter } from "./response-scatter.js";
import { type CheckedPoint, drawBoundaries } from "./survival-fit.js";
import { chooseInflation, OLDER_VERDICT_WEIGHT, type Transfer, verdictWeight } from "./transfer.js";

/** A pass/fail check and the posterior draws of the boundary beyond which it fails. */
export interface CheckModel {
  readonly name: string;
  readonly margins: readonly Margin[];
  /** The first ones go with the draws of the weights; the others sharpen averages. */
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
  /** Posterior draws of the weights of each latent. */
  readonly draws: readonly (readonly (readonly number[])[])[];
  /** Posterior draws of everything together: of the weights, and the first ones of each check. */
  readonly drawCount: number;
  readonly coupons: number;
  readonly seed: number;
  /** What an older study brought, when the model was started from one. */
  readonly transfer?: Transfer;
  readonly findings: readonly Finding[];
}

/** Choices of {@link buildOutcomeModel}. */
export interface OutcomeModelOptions {
  /** Default: the study's seed. */
  readonly seed?: number;
  /** Posterior draws. Default 64. */
  readonly draws?: number;
  /** An older study to start from; it is forgotten as far as the new coupons disagree with it. */
  readonly older?: OlderStudy;
}

/** Draws of each check per draw of everything: averages over boundaries are the roughest. */
const BOUNDARIES = 2;

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
  const logs = physicalLogs(definition, coordinates, coupons);
  const outcomes = couponOutcomes(definition, coupons);
  const latent = latentModel(definition, coordinates, logs, outcomes.values);
  const points = outcomes.coupons.map((coupon) => toCoordinates(coordinates, coupon.settings));
  const measuredIndex = outcomes.coupons.flatMap((coupon, i) =>
    Object.keys(coupon.measured).length > 0 ? [i] : [],
  );
  const older =
    options.older === undefined ? [] : olderCoupons(options.older, definition, coordinates, latent);
  const shown = [
    ...measuredIndex.map((i) => points[i]!),
    ...older.filter(({ latents }) => latents.size > 0).map(({ point }) => point),
  ];
  const basis = chooseBasis(coordinates, shown);
  const evaluate = makeBasis(basis);
  const rows = points.map((point) => basisRow(evaluate, point));
  const latentValues = latent.links.map((link) =>
    measuredIndex.flatMap((i) => {
      const value = latentValue(latent, link, outcomes.coupons[i]!.measured, points[i]!);
      return value === undefined ? [] : [{ i, value }];
    }),
  );
  const olderRows = older.map(({ point }) => basisRow(evaluate, point));
  const inflation: Record<string, number> = {};
  const posteriors = latent.priors.map((prior, l) => {
    const found = latentValues[l]!;
    const data = {
      rows: found.map(({ i }) => rows[i]!),
      values: found.map(({ value }) => value),
      blocks: found.map(({ i }) => outcomes.coupons[i]!.block),
    };
    const known = older.flatMap(({ latents, block }, i) => {
      const value = latents.get(l);
      return value === undefined ? [] : [{ row: olderRows[i]!, value, block }];
    });
    if (known.length === 0) return fitLatent(prior, data, evaluate.size);
    const chosen = chooseInflation(prior, data, evaluate.size, {
      rows: known.map(({ row }) => row),
      values: known.map(({ value }) => value),
      blocks: known.map(({ block }) => block),
    });
    inflation[prior.name] = chosen.inflation;
    return fitLatent(prior, data, evaluate.size, chosen);
  });
  const width = latent.priors.find((prior) => prior.name === "ln width")?.mean;
  const margins = failureMargins(coordinates, logs, width, outcomes.checks.length);
  const verdicts: Record<string, number> = {};
  const checks = outcomes.checks.map((name): CheckModel => {
    const fresh = verdictsOf(outcomes.coupons, points, name, 1);
    const old = verdictsOf(
      older,
      older.map(({ point }) => point),
      name,
      OLDER_VERDICT_WEIGHT,
    );
    const own = stream.split(`check/${name}`);
    const draw = (data: readonly CheckedPoint[]) =>
      everyNthFirst(drawBoundaries(margins, coordinates.length, data, BOUNDARIES * draws, own), BOUNDARIES);
    if (old.length > 0) {
      verdicts[name] =
        fresh.length === 0
          ? OLDER_VERDICT_WEIGHT
          : verdictWeight(makeCheckChance(draw(old), coordinates), fresh);
    }
    const weight = verdicts[name] ?? 0;
    return {
      name,
      margins,
      draws: draw([...fresh, ...old.map((item) => ({ ...item, weight }))]),
      coupons: fresh.length,
      failures: fresh.filter((item) => !item.passed).length,
    };
  });
  const transfer: Transfer | undefined =
    options.older === undefined
      ? undefined
      : {
          coupons: older.length,
          inflation,
          shift: Object.fromEntries(
            posteriors.flatMap(({ name, shift }) => (shift === undefined ? [] : [[name, shift]])),
          ),
          weight: verdicts,
        };
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
    drawCount: draws,
    draws: drawWeights(posteriors, ties, evaluate.size, draws, stream.split("weights")),
    coupons: outcomes.coupons.length,
    seed,
    ...(transfer === undefined ? {} : { transfer }),
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

/** Reorders a chain so that its first part is spread over all of it. */
function everyNthFirst<T>(chain: readonly T[], n: number): readonly T[] {
  return Array.from({ length: n }, (_, start) => chain.filter((_, i) => i % n === start)).flat();
}

function basisRow(basis: Basis, point: Float64Array): Float64Array {
  const row = new Float64Array(basis.size);
  basis.evaluate(point, row);
  return row;
}

function verdictsOf(
  coupons: readonly { readonly passed: Readonly<Record<string, boolean>> }[],
  points: readonly Float64Array[],
  name: string,
  weight: number,
): readonly CheckedPoint[] {
  return coupons.flatMap((coupon, i) => {
    const passed = coupon.passed[name];
    return passed === undefined ? [] : [{ point: points[i]!, passed, weight }];
  });
}
