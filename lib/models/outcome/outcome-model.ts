import { type Finding, onlyDefined, requireCount } from "../../errors/index.js";
import { randomStream } from "../../numeric/index.js";
import type { KnownSetting, StudyData, StudyDefinition } from "../../study/index.js";
import { areGrades } from "../physical/index.js";
import { type Priors, type PriorValues, resolvePriors } from "../priors/index.js";
import { type ControlSetting, controlSetting } from "./control-setting.js";
import { type Coordinate, studyCoordinates, toCoordinates } from "./coordinates.js";
import { couponOutcomes } from "./coupon-outcomes.js";
import { type BasisShape, chooseBasis, makeBasis } from "./departure-basis.js";
import { type CheckModel, fitChecks } from "./fit-checks.js";
import { fitLatents } from "./fit-latents.js";
import { type LatentModel, latentModel } from "./latent.js";
import type { LatentPosterior } from "./latent-fit.js";
import { drawWeights, type LatentTie, tieLatents } from "./latent-tie.js";
import { latentValues } from "./latent-value.js";
import { failureMargins } from "./margins.js";
import { misremembered, wrongBySizes } from "./misremembered.js";
import { type OlderStudy, olderCoupons } from "./older-study.js";
import { physicalLogs } from "./physical-logs.js";
import type { RecordDoubt, SlipShares } from "./record-doubt.js";
import { toLinkScale } from "./response-link.js";
import type { SeenCoupon } from "./seen-coupon.js";
import { type SuspectCoupon, suspectCoupons, suspectFindings } from "./suspects.js";
import type { Transfer } from "./transfer.js";

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
  /** Blocks (days) with logged coupons, and the setting that tells them apart. */
  readonly blocks: number;
  readonly control?: ControlSetting;
  /** Every logged coupon with the chance that it is not what its record says. */
  readonly suspects: readonly SuspectCoupon[];
  /** Of every setting known from before, the chance that it was not what it is remembered for. */
  readonly misremembered: readonly number[];
  readonly findings: readonly Finding[];
}

/** Choices of `buildOutcomeModel`. */
export interface OutcomeModelOptions {
  /** Default: the study's seed. */
  readonly seed?: number;
  /** Posterior draws. Default 64. */
  readonly draws?: number;
  /** An older study to start from; it is forgotten as far as the new coupons disagree with it. */
  readonly older?: OlderStudy;
  /** Settings that ran before, outside the record, beside those of study.json; each counts for less than a coupon. */
  readonly known?: readonly KnownSetting[];
  /** Numbers in the place of usual priors, each in its own unit; they go before those of study.json. */
  readonly priors?: PriorValues;
}

/**
 * The outcome model of logged coupons, and of runs that are remembered.
 *
 * @throws {BeadbenchError} as `buildOutcomeModel` does
 */
export function fitOutcomeModel(
  { definition, coupons }: StudyData,
  options: Omit<OutcomeModelOptions, "known">,
  remembered: readonly SeenCoupon[] = [],
): OutcomeModel {
  const seed = options.seed ?? definition.seed;
  const draws = requireCount("draws", options.draws ?? 64, { min: 1 });
  const stream = randomStream(seed).split("outcome-model");
  const { values: priors, findings } = resolvePriors({ definition }, options.priors);
  const coordinates = studyCoordinates(definition);
  const logs = physicalLogs({ definition, coordinates, coupons, priors });
  const outcomes = couponOutcomes({ definition, coupons });
  const latent = latentModel({ definition, coordinates, logs, values: outcomes.values, priors });
  const own = outcomes.coupons.map((coupon): SeenCoupon => {
    const point = toCoordinates(coordinates, coupon.settings);
    const { block, place, measured, passed, checkedAgain } = coupon;
    const responses = new Map(
      latent.links.flatMap((link, r) => {
        const value = measured.get(link.response);
        return value === undefined ? [] : [[r, toLinkScale(link, value)] as const];
      }),
    );
    const latents = latentValues(latent, { measured, point });
    return { point, block, place, responses, latents, passed, checkedAgain };
  });
  const seen = [...own, ...remembered];
  const older =
    options.older === undefined
      ? []
      : olderCoupons(options.older, { definition, coordinates, latent, priors });
  const shown = [
    ...own.filter((_, i) => outcomes.coupons[i]!.measured.size > 0),
    ...remembered.filter(({ latents }) => latents.size > 0),
    ...older.filter(({ latents }) => latents.size > 0),
  ];
  const basis = chooseBasis(
    coordinates,
    shown.map(({ point }) => point),
    priors,
  );
  const functions = makeBasis(basis);
  const { posteriors, shownBy, inflation, scatter, doubts, shares } = fitLatents({
    latent,
    graded: new Set(
      definition.responses.flatMap(({ name, unit }) =>
        areGrades(unit, outcomes.values.get(name) ?? []) ? [name] : [],
      ),
    ),
    coordinates,
    basis: functions,
    own: seen,
    older,
    priors,
  });
  const width = latent.priors.find((prior) => prior.role === "width")?.mean;
  const margins = failureMargins({
    coordinates,
    logs,
    width,
    checks: outcomes.checks.length,
    priors,
  });
  const { checks, weights } = fitChecks({
    names: outcomes.checks,
    margins,
    coordinates,
    own: seen.map((coupon, i) => ({ ...coupon, astray: astray(coupon, doubts[i]!, { shares, priors }) })),
    older: older.map((coupon) => ({ ...coupon, astray: 0 })),
    draws,
    stream,
    priors,
  });
  const ties = tieLatents({ latent, posteriors, shownBy, scatter });
  const points = own.map(({ point }) => point);
  const suspects = suspectCoupons({
    definition,
    coordinates,
    latent,
    coupons: outcomes.coupons,
    seen: own,
    doubts,
    checks,
  });
  const control = controlSetting({
    coupons: outcomes.coupons,
    points,
    doubts,
    responses: latent.links.length,
  });
  const transfer: Transfer = {
    coupons: older.length,
    inflation,
    shift: Object.fromEntries(
      posteriors.flatMap(({ name, shift }) => (shift === undefined ? [] : [[name, shift]])),
    ),
    weight: weights,
  };
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
    draws: drawWeights({
      posteriors,
      ties,
      size: functions.size,
      draws,
      stream: stream.split("weights"),
    }),
    coupons: outcomes.coupons.length,
    seed,
    ...(options.older === undefined ? {} : { transfer }),
    blocks: new Set(outcomes.coupons.map(({ block }) => block)).size,
    ...onlyDefined({ control }),
    suspects,
    misremembered: misremembered({
      remembered,
      before: remembered.map((coupon, k) => astray(coupon, doubts[own.length + k]!, { shares, priors })),
      checks,
      coordinates,
    }),
    findings: [
      ...findings,
      ...(logs?.findings ?? [unknownPhysics]),
      ...outcomes.findings,
      ...suspectFindings(definition, suspects),
    ],
  };
}

/** Chance that a coupon was run at another setting: what its dimensions say, or what the log says of coupons at large. */
function astray(
  { latents, memory }: SeenCoupon,
  { elsewhere }: RecordDoubt,
  { shares, priors }: { readonly shares: SlipShares; readonly priors: Priors },
): number {
  if (memory !== undefined) return wrongBySizes(elsewhere, memory, priors.known_wrong);
  return latents.size > 0 ? elsewhere : shares.elsewhere;
}

const unknownPhysics: Finding = {
  code: "no-physics",
  severity: "info",
  message:
    "travel_speed and wire_feed_speed are not both settings of this study; the models work on the raw settings",
  advice:
    "name factors by the words of the trade, or add constants under rig.settings, to profit from the physics",
};
