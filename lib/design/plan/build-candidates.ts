import type { Finding } from "../../errors/index.js";
import { requireThat } from "../../errors/index.js";
import { counted, fixed, type RandomStream, SOBOL_MAX_DIMENSIONS } from "../../numeric/index.js";
import { classicalPlan, maximinLatinHypercube, richestModel } from "../classical/index.js";
import type { PlanModel } from "../model/index.js";
import { basisOf, polynomialBasis } from "../model/index.js";
import { optimalCandidates } from "../optimal/index.js";
import type { Axis, Point, Region } from "../region/index.js";
import { spreadAllowedPoints } from "../region/index.js";
import type { DesignKind } from "../runs/index.js";
import { type Candidate, centreCandidates, pullInside } from "../runs/index.js";
import type { PlanOptions } from "./plan-options.js";

/** A plan request once its options have been read. */
export interface BuildRequest {
  readonly options: PlanOptions;
  readonly design: DesignKind;
  readonly region: Region;
  readonly allowed: Point;
  /** Coupons beside the control coupons. */
  readonly count: number;
  /** Coded rows of coupons already run. */
  readonly known: readonly (readonly number[])[];
  /** Chance that each of those gave or will give dimensions. */
  readonly knownLives: readonly number[];
  readonly blocks: number;
}

/** Chosen coupons, in standard order. */
export interface Built {
  readonly candidates: readonly Candidate[];
  readonly findings: readonly Finding[];
}

/** Chooses the coupons of a plan, whatever its design. */
export function buildCandidates(request: BuildRequest, stream: RandomStream): Built {
  const { options, design, region, count } = request;
  switch (design) {
    case "latin-hypercube":
    case "sobol":
      return spaceFilling(request, stream);
    case "optimal":
      return optimal(request, stream);
    default:
      return classicalPlan({
        kind: design,
        axes: region.axes,
        coupons: count,
        centres: options.centreRepeats,
        axial: options.axial ?? "face",
      });
  }
}

function spaceFilling(
  { options, design, region, allowed, count, known }: BuildRequest,
  stream: RandomStream,
): Built {
  const centres = options.centreRepeats ?? 0;
  requireThat(centres < count, `${count} coupons leave none beside ${centres} at the centre; allow more`);
  const filled = (points: readonly Point[]): readonly Candidate[] => [
    ...points.map((point): Candidate => ({ role: "space-filling", point })),
    ...centreCandidates(region.axes, centres),
  ];
  if (design === "sobol") {
    requireThat(
      region.axes.length <= SOBOL_MAX_DIMENSIONS,
      `a Sobol plan takes at most ${SOBOL_MAX_DIMENSIONS} factors, got ${region.axes.length}; choose "latin-hypercube"`,
    );
    const points = spreadAllowedPoints({
      region,
      count: count - centres,
      start: allowed,
      seed: stream.seed,
      stream: stream.split("sobol"),
    });
    return { candidates: filled(points), findings: [] };
  }
  requireThat(
    count <= MOST_SPREAD,
    `a latin-hypercube plan is spread for up to ${counted(MOST_SPREAD, "coupon")}, got ${count}; ask for fewer, or for a Sobol plan, which takes any number`,
  );
  const { points, displaced, leastDistance } = maximinLatinHypercube({
    region,
    count: count - centres,
    fixed: known,
    allowed,
    stream: stream.split("latin"),
  });
  const findings: Finding[] = [
    {
      code: "space-filling",
      severity: displaced > 0 ? "warning" : "info",
      message: `closest pair of coupons ${fixed(leastDistance, 2)} apart, in units of the factor ranges${
        displaced > 0
          ? `; limits moved ${displaced} of ${points.length} coupons out of their even spacing`
          : ""
      }`,
    },
  ];
  return { candidates: filled(points), findings };
}

function optimal(request: BuildRequest, stream: RandomStream): Built {
  const { options, region, allowed, count, known, blocks } = request;
  const { axes } = region;
  const model: PlanModel =
    options.model ?? richestModel(axes, count + known.length - (blocks - 1)) ?? "linear";
  const spare = count + known.length - basisOf(axes, model, blocks).size;
  const work = count * axes.length * basisOf(axes, model, blocks).size;
  requireThat(
    work <= MOST_WORK,
    `an optimal plan in ${counted(axes.length, "factor")} for a model of ${basisOf(axes, model, blocks).size} terms is searched for up to ${counted(Math.floor((MOST_WORK * count) / work), "coupon")}, got ${count}; ask for fewer, or for a Sobol plan, which takes any number`,
  );
  const centres = centreCandidates(axes, options.centreRepeats ?? 0).map(({ point }) =>
    pullInside(region, point, allowed),
  );
  // Beside many coupons already run a model leaves much over: few new ones are not to be one and its repeats all the same.
  const spared = Math.min(3, Math.floor(spare / 2), Math.floor(count / 4));
  const repeats = options.repeats ?? (centres.length > 1 ? 0 : Math.max(0, spared));
  const criterion = options.criterion ?? "D";
  const candidates = optimalCandidates(
    {
      region,
      allowed,
      model,
      criterion,
      count,
      existing: known,
      existingLives: request.knownLives,
      existingOffset: options.existingOffset ?? false,
      centres,
      repeats,
      blocks,
      wholePlots: options.wholePlots ?? usualWholePlots(axes, model, count),
      varianceRatio: options.varianceRatio ?? 1,
      starts: options.starts ?? usualStarts(work * Math.max(1, axes.length - 5) ** 2, axes.length),
    },
    stream,
  );
  const named = typeof model === "string" ? modelWords[model] : "the given nonlinear model";
  return {
    candidates,
    findings: [
      {
        code: "optimal-for",
        severity: "info",
        message: `chosen (${criterion}-criterion) for ${named}, ${known.length === 0 ? "" : `on top of ${counted(known.length, "coupon")} already run, `}${repeats} exact repeats`,
        advice: "a plan is optimal only for its model: check the fit for lack of fit before trusting it",
      },
    ],
  };
}

const modelWords = {
  linear: "straight effects only",
  interaction: "straight effects and products of two factors",
  quadratic: "the full second-order model",
} as const;

/** Coupons of which every pair is kept apart. */
const MOST_SPREAD = 1000;

/** Coupons x factors x terms that are searched for in less than half a minute. */
const MOST_WORK = 80_000;

/**
 * Factors from which few starts must do: each is long, and asks a hundred thousand times whether a coupon survives. Of ten
 * factors 3 starts in place of 10 cost 1 % of the D-efficiency at most (40 and 75 coupons).
 */
const MANY_FACTORS = 9;

/** 50 random starts, fewer for problems so large that those would take more than a few seconds. */
function usualStarts(work: number, factors: number): number {
  const fewest = factors < MANY_FACTORS ? 10 : 3;
  return Math.max(fewest, Math.min(50, Math.round((50 * 6000) / work)));
}

/** Enough settings of the hard-to-change factors for their own terms and two more, and for a quarter of the coupons. */
function usualWholePlots(axes: readonly Axis[], model: PlanModel, count: number): number {
  const hard = axes.filter((axis) => axis.hard);
  if (hard.length === 0) return count;
  const terms = typeof model === "string" ? polynomialBasis(hard, model).size : hard.length + 1;
  return Math.min(count, Math.max(terms + 2, Math.ceil(count / 4)));
}
