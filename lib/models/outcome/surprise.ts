import {
  chiSquareCdf,
  choleskyInPlace,
  innerProduct,
  median,
  randomStream,
  solveLower,
} from "../../numeric/index.js";
import type { StudyData } from "../../study/index.js";
import { type PriorValues, resolvePriors } from "../priors/index.js";
import { affineAt } from "./affine.js";
import { buildOutcomeModel } from "./build-outcome-model.js";
import { EXACT, makeCheckChance } from "./check-chance.js";
import { studyCoordinates, toCoordinates } from "./coordinates.js";
import { type CouponOutcome, couponOutcomes } from "./coupon-outcomes.js";
import { latentModel } from "./latent.js";
import type { LatentPrior } from "./latent-prior.js";
import { latentValues } from "./latent-value.js";
import { physicalLogs } from "./physical-logs.js";

/** How unlikely what a study's coupons showed was, before any of them, by the physics assumed. Plain data. */
export interface Surprise {
  /** A size or a check, by what results call it. */
  readonly about: string;
  readonly kind: "law" | "limit";
  /** Chance that a rig as expected shows something so unlikely, or more so. */
  readonly chance: number;
  readonly coupons: number;
}

/** Fewest coupons of which a surprise is told. */
const FEWEST = 4;
/** Rigs simulated for a check. */
const SIMULATED = 400;
/** Residuals count as no larger than this many times their median: one slip of the pen is no law. */
const CLIPPED = 4;

/**
 * Prior predictive checks of what the physics says before any coupon: of every size with a law, how far constant and slopes
 * lie from what was expected (chi-square, doubt, scatter, days and departures allowed for); of every check, how far
 * coupons passed and failed where the opposite was expected (by simulated rigs). Responses without physics behind them are not judged.
 *
 * @source G. E. P. Box, J. R. Stat. Soc. A 143 (1980) 383: prior predictive checks
 */
export function surprisesOf({ definition, coupons }: StudyData, own: PriorValues = {}): readonly Surprise[] {
  const { values: priors } = resolvePriors({ definition }, own);
  const coordinates = studyCoordinates(definition);
  const logs = physicalLogs({ definition, coordinates, coupons, priors });
  if (logs === undefined) return [];
  const outcomes = couponOutcomes({ definition, coupons });
  if (outcomes.coupons.length < FEWEST) return [];
  const latent = latentModel({ definition, coordinates, logs, values: outcomes.values, priors });
  const seen = outcomes.coupons.map((coupon) => {
    const point = toCoordinates(coordinates, coupon.settings);
    return { coupon, point, latents: latentValues(latent, { measured: coupon.measured, point }) };
  });
  const reach = coordinates.map(({ kind }) => priors[`reach_${kind}`]);
  const laws = latent.priors.flatMap((prior, l): Surprise[] => {
    const shown = seen.filter(({ latents }) => latents.has(l));
    if (prior.role === "response" || shown.length < FEWEST) return [];
    const chance = lawChance({
      prior,
      reach,
      points: shown.map(({ point }) => point),
      blocks: shown.map(({ coupon }) => coupon.block),
      values: shown.map(({ latents }) => latents.get(l)!),
    });
    return [
      {
        about: latent.links.find(({ own: place }) => place === l)!.response,
        kind: "law",
        chance,
        coupons: shown.length,
      },
    ];
  });
  const blank = buildOutcomeModel({ definition, coupons: [] }, { draws: SIMULATED, priors: own });
  const limits = blank.checks.flatMap(({ name, draws }): Surprise[] => {
    const judged = seen.filter(({ coupon }) => coupon.passed.has(name));
    if (judged.length < FEWEST) return [];
    const { draw } = makeCheckChance(draws, coordinates);
    const chances = judged.map(({ point }) => draws.map((_, m) => draw(m, point, EXACT)));
    const chance = verdictChance(
      chances,
      judged.map(({ coupon }) => coupon.passed.get(name)!),
      definition.seed,
    );
    return [{ about: name, kind: "limit", chance, coupons: judged.length }];
  });
  return [...laws, ...limits];
}

/** How unlikely constant and slopes of a hidden quantity are, beside what is expected of them. */
function lawChance({
  prior,
  reach,
  points,
  blocks,
  values,
}: {
  readonly prior: LatentPrior;
  readonly reach: readonly number[];
  readonly points: readonly Float64Array[];
  readonly blocks: readonly CouponOutcome["block"][];
  readonly values: readonly number[];
}): number {
  const n = points.length;
  const upper = ({ median: at, logSd }: { readonly median: number; readonly logSd: number }): number =>
    at * Math.exp(logSd);
  const [scatter, departure, block] = [upper(prior.scatter), upper(prior.departure), upper(prior.block)];
  const off = values.map((value, i) => value - affineAt(prior.mean, points[i]!));
  const middle = median(off);
  const spread = Math.max(scatter, median(off.map((value) => Math.abs(value - middle))));
  const noise = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < n; k++) {
      const apart = reach.reduce((sum, r, j) => sum + ((points[i]![j]! - points[k]![j]!) / r) ** 2, 0);
      noise[i * n + k] =
        departure ** 2 * Math.exp(-0.5 * apart) +
        (blocks[i] === blocks[k] ? block ** 2 : 0) +
        (i === k ? scatter ** 2 : 0);
    }
  }
  choleskyInPlace(noise, n);
  const whitened = (column: Float64Array): Float64Array => {
    solveLower(noise, n, column);
    return column;
  };
  const residual = whitened(
    Float64Array.from(off, (value) =>
      Math.min(middle + CLIPPED * spread, Math.max(middle - CLIPPED * spread, value)),
    ),
  );
  // Columns of constant and slopes, each in standard deviations of what is expected of it.
  const columns = [prior.constantSd, ...prior.slopeSds]
    .map((sd, c) => whitened(Float64Array.from(points, (point) => sd * (c === 0 ? 1 : point[c - 1]!))))
    .filter((column) => innerProduct(column, column) > 1e-6);
  const p = columns.length;
  if (p === 0) return 1;
  const gram = columns.map((a) => columns.map((b) => innerProduct(a, b)));
  const told = Float64Array.from(columns, (column) => innerProduct(column, residual));
  const covariance = new Float64Array(p * p);
  for (let a = 0; a < p; a++) {
    for (let b = 0; b < p; b++) {
      covariance[a * p + b] = gram[a]![b]! + innerProduct(gram[a]!, gram[b]!) + (a === b ? 1e-6 : 0);
    }
  }
  choleskyInPlace(covariance, p);
  solveLower(covariance, p, told);
  return 1 - chiSquareCdf(innerProduct(told, told), p);
}

/**
 * Share of simulated rigs whose verdicts go against what is expected as far as those found, or farther: sum over coupons of
 * (passed - share passed) times the expected chance in logits. How many pass is no matter, only where.
 */
function verdictChance(
  chances: readonly (readonly number[])[],
  passed: readonly boolean[],
  seed: number,
): number {
  const stream = randomStream(seed).split("surprise");
  const logits = chances.map((row) => {
    const chance = Math.min(
      1 - 1e-6,
      Math.max(1e-6, row.reduce((sum, value) => sum + value, 0) / row.length),
    );
    return Math.log(chance / (1 - chance));
  });
  const agreement = (verdicts: readonly boolean[]): number => {
    const share = verdicts.filter(Boolean).length / verdicts.length;
    return verdicts.reduce((sum, ok, i) => sum + ((ok ? 1 : 0) - share) * logits[i]!, 0);
  };
  const found = agreement(passed);
  if (found >= 0) return 1;
  const rigs = chances[0]!.length;
  let worse = 0;
  for (let m = 0; m < rigs; m++) {
    if (agreement(chances.map((row) => stream.uniform() < row[m]!)) <= found) worse++;
  }
  return (worse + 1) / (rigs + 1);
}
