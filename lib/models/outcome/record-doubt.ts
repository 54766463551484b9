import { choleskyInPlace, choleskyLogDeterminant, solveLower } from "../../numeric/index.js";
import type { Priors } from "../priors/index.js";
import type { Coordinate } from "./coordinates.js";
import type { LatentModel } from "./latent.js";
import type { LatentPosterior } from "./latent-fit.js";
import type { SeenCoupon } from "./seen-coupon.js";

/** What the other coupons foresee for a reading, on its link's scale, and the chance that it is a slip. */
export interface ReadingDoubt {
  readonly slip: number;
  readonly mean: number;
  readonly sd: number;
}

/** How likely the dimensions of one coupon are not what its record says. */
export interface RecordDoubt {
  /** By the response's place in the model. */
  readonly readings: ReadonlyMap<number, ReadingDoubt>;
  /** Chance that anything is wrong. */
  readonly any: number;
  /** Chance that it was run at another setting than recorded. */
  readonly elsewhere: number;
}

/** Shares of records that are wrong, learnt from the log. */
export interface SlipShares {
  readonly reading: number;
  readonly elsewhere: number;
}

/** A record that nothing speaks against. */
export const SOUND: RecordDoubt = { readings: new Map(), any: 0, elsewhere: 0 };

/** What doubts follow from. */
export interface DoubtEvidence {
  readonly coordinates: readonly Coordinate[];
  readonly latent: LatentModel;
  /** Responses that are grades by eye: their steps are no slips. */
  readonly graded: ReadonlySet<string>;
  readonly posteriors: readonly LatentPosterior[];
  /** Per hidden quantity, the coupons behind its values left out. */
  readonly shownBy: readonly (readonly number[])[];
  /** Covariance of the scatter of the responses. */
  readonly scatter: readonly (readonly number[])[];
  readonly shares: SlipShares;
  readonly priors: Priors;
}

/** One way in which a record came about: which readings it spoils, and what it adds to their covariance. */
interface Cause {
  readonly prior: number;
  readonly spoils: readonly number[];
  readonly elsewhere: boolean;
  readonly extra: (a: number, b: number) => number;
}

/**
 * Sizes of slips, as standard deviations of the logarithm of a reading (in half specification widths where a response has
 * no logarithm), equally likely: a wrong digit, and a decimal mark or a unit.
 */
const SLIP_SIZES = { log: [0.3, 2], linear: [3, 20] } as const;
/** Share of spoilt records in which every reading is spoilt: two exchanged, another coupon's line. */
const WHOLE_LINE = 0.15;
/** Share of slips that a second look leaves standing. Common practice, no source. */
const LEFT_AFTER_A_LOOK = 0.03;
/** Degrees of freedom of what is foreseen, before any coupon: the scatter itself is not known well. */
const FREEDOM = 5;

/**
 * Chances that coupons are not what their records say: what the others foresee for each is weighed as it stands, with one
 * reading or all of them slips, and as if it had been run at another setting.
 */
export function doubtRecords(
  own: readonly SeenCoupon[],
  { coordinates, latent, graded, posteriors, shownBy, scatter, shares, priors }: DoubtEvidence,
): readonly RecordDoubt[] {
  const leftOut = posteriors.map(
    (posterior, l) => new Map(shownBy[l]!.map((i, k) => [i, posterior.leftOut[k]!])),
  );
  const axes = coordinates.length;
  const moves = coordinates.map(({ kind, half }) => priors.other_setting_sd * (kind === "log" ? 1 : half));
  return own.map((coupon, i): RecordDoubt => {
    const shown = latent.links.flatMap((link, r) =>
      coupon.responses.has(r) &&
      !graded.has(link.response) &&
      link.coefficients.every((coefficient, l) => coefficient === 0 || leftOut[l]!.has(i))
        ? [r]
        : [],
    );
    if (shown.length === 0)
      return coupon.memory === undefined
        ? SOUND
        : { ...SOUND, any: coupon.memory.wrong, elsewhere: coupon.memory.wrong };
    const residuals = shown.map((r) => {
      const { coefficients, offset } = latent.links[r]!;
      let value = coupon.responses.get(r)! - offset.constant;
      for (let j = 0; j < axes; j++) value -= offset.slopes[j]! * coupon.point[j]!;
      coefficients.forEach((coefficient, l) => {
        if (coefficient !== 0) value -= coefficient * leftOut[l]!.get(i)!.mean;
      });
      return value;
    });
    const slopes = shown.map((r) => {
      const { coefficients, offset } = latent.links[r]!;
      return coordinates.map((_, j) =>
        coefficients.reduce(
          (sum, coefficient, l) => sum + coefficient * posteriors[l]!.weights[1 + j]!,
          offset.slopes[j]!,
        ),
      );
    });
    const foreseen = (a: number, b: number): number => {
      const [one, other] = [latent.links[shown[a]!]!.coefficients, latent.links[shown[b]!]!.coefficients];
      return one.reduce(
        (sum, coefficient, l) =>
          coefficient === 0 || other[l] === 0
            ? sum
            : sum + coefficient * other[l]! * leftOut[l]!.get(i)!.variance,
        scatter[shown[a]!]![shown[b]!]! +
          (coupon.memory?.blur[shown[a]! * latent.links.length + shown[b]!] ?? 0),
      );
    };
    const causes = causesOf({
      sizes: shown.map((r) => SLIP_SIZES[latent.links[r]!.log ? "log" : "linear"]),
      moved: (a, b) => slopes[a]!.reduce((sum, slope, j) => sum + slope * slopes[b]![j]! * moves[j]! ** 2, 0),
      shares: {
        readings: shown.map((r) => shares.reading * stillDoubted(coupon, latent.links[r]!.response)),
        elsewhere:
          coupon.memory === undefined
            ? shares.elsewhere * stillDoubted(coupon, ...coordinates.map(({ factor }) => factor))
            : coupon.memory.wrong,
      },
    });
    const freedom = FREEDOM + Math.min(...posteriors.map(({ coupons }) => coupons));
    const levels = causes.map(
      ({ prior, extra }) =>
        Math.log(prior) + logDensity(residuals, freedom, (a, b) => foreseen(a, b) + extra(a, b)),
    );
    const top = Math.max(...levels);
    const weights = levels.map((level) => Math.exp(level - top));
    const total = weights.reduce((sum, weight) => sum + weight, 0);
    const chanceOf = (rule: (cause: Cause) => boolean): number =>
      causes.reduce((sum, cause, k) => (rule(cause) ? sum + weights[k]! / total : sum), 0);
    return {
      readings: new Map(
        shown.map((r, a): [number, ReadingDoubt] => [
          r,
          {
            slip: chanceOf((cause) => !cause.elsewhere && cause.spoils.includes(a)),
            mean: coupon.responses.get(r)! - residuals[a]!,
            sd: Math.sqrt(foreseen(a, a)),
          },
        ]),
      ),
      any: chanceOf(({ spoils }) => spoils.length > 0),
      elsewhere: chanceOf((cause) => cause.elsewhere),
    };
  });
}

/** How much of a doubt is left of a record of these names, by its having been looked at again. */
export const stillDoubted = (
  { checkedAgain }: Pick<SeenCoupon, "checkedAgain">,
  ...names: string[]
): number => (names.some((name) => checkedAgain.has(name)) ? LEFT_AFTER_A_LOOK : 1);

function causesOf({
  sizes,
  moved,
  shares,
}: {
  readonly sizes: readonly (readonly number[])[];
  readonly moved: (a: number, b: number) => number;
  readonly shares: { readonly readings: readonly number[]; readonly elsewhere: number };
}): readonly Cause[] {
  const all = sizes.map((_, a) => a);
  const single = all.length > 1 ? 1 - WHOLE_LINE : 1;
  const slips = (spoils: readonly number[], prior: number): readonly Cause[] =>
    [0, 1].map((kind) => ({
      prior: prior / 2,
      spoils,
      elsewhere: false,
      extra: (a, b) => (a === b && spoils.includes(a) ? sizes[a]![kind]! ** 2 : 0),
    }));
  const spoilt = 1 - shares.readings.reduce((product, share) => product * (1 - share), 1);
  const sum = shares.readings.reduce((total, share) => total + share, 0);
  const least = Math.min(...shares.readings) / Math.max(...shares.readings);
  return [
    { prior: (1 - spoilt) * (1 - shares.elsewhere), spoils: [], elsewhere: false, extra: () => 0 },
    { prior: shares.elsewhere, spoils: all, elsewhere: true, extra: moved },
    ...all.flatMap((a) => slips([a], (spoilt * single * shares.readings[a]!) / sum)),
    ...(all.length > 1 ? slips(all, spoilt * WHOLE_LINE * least) : []),
  ];
}

/** Log density of Student's t with a covariance, but for what does not depend on it. */
function logDensity(
  residuals: readonly number[],
  freedom: number,
  covariance: (a: number, b: number) => number,
): number {
  const n = residuals.length;
  const factor = new Float64Array(n * n);
  for (let a = 0; a < n; a++) for (let b = 0; b <= a; b++) factor[a * n + b] = covariance(a, b);
  if (!choleskyInPlace(factor, n)) return Number.NEGATIVE_INFINITY;
  const z = Float64Array.from(residuals);
  solveLower(factor, n, z);
  const square = z.reduce((sum, one) => sum + one * one, 0);
  return -0.5 * choleskyLogDeterminant(factor, n) - 0.5 * (freedom + n) * Math.log1p(square / freedom);
}
