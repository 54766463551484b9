import { type RandomStream, sliceStep } from "../../numeric/index.js";
import type { Priors } from "../priors/index.js";
import { type BoundaryDraw, lapseOf, luckOf, marginLine, marginParameters } from "./boundary.js";
import type { Margin } from "./margins.js";
import type { LikelyPlace } from "./seen-coupon.js";

/** One coupon as a check saw it. */
export interface CheckedPoint {
  /** Where it was run; several places where that is not known for certain. */
  readonly places: readonly LikelyPlace[];
  readonly passed: boolean;
  /** How much it counts; 1 unless it comes from an older study. */
  readonly weight: number;
  /** How many times likelier than usual its verdict is wrong; less than 1 where something speaks for it. */
  readonly doubt: number;
  /** Chance that it was run elsewhere, where its verdict says nothing. */
  readonly astray: number;
}

/** Sweeps over all margins before the first draw, and from one draw to the next. */
const SWEEPS = { first: 100, between: 6 } as const;

/** What the chances of a check's verdicts follow from. */
interface Verdicts {
  /** Chance of a coupon that fails for no reason not to. */
  readonly sound: number;
  /** Chance that a verdict is the opposite; keeps one odd coupon from ruling a boundary out. */
  readonly luck: number;
}

/** Log-likelihood of the verdicts when a coupon run at place `k`, counted over all coupons, passes with chance `sound / divisors[k]`. */
function logLikelihood(
  data: readonly CheckedPoint[],
  { sound, luck }: Verdicts,
  divisors: Float64Array,
): number {
  let sum = 0;
  let product = 1;
  let at = 0;
  for (let i = 0; i < data.length; i++) {
    const { passed, weight, astray, doubt, places } = data[i]!;
    const wrong = Math.min(0.5, luck * doubt);
    const right = (1 - 2 * wrong) * sound;
    let passes = 0;
    for (let k = 0; k < places.length; k++) passes += (places[k]!.share * right) / divisors[at++]!;
    const chance = 0.5 * astray + (1 - astray) * (wrong + passes);
    const likelihood = passed ? chance : 1 - chance;
    if (weight !== 1) sum += weight * Math.log(likelihood);
    else product *= likelihood;
    if (product < 1e-200) {
      sum += Math.log(product);
      product = 1;
    }
  }
  return sum + Math.log(product);
}

/** What boundaries are drawn from. */
export interface BoundaryEvidence {
  readonly margins: readonly Margin[];
  readonly axes: number;
  readonly data: readonly CheckedPoint[];
  /** Boundaries to return. */
  readonly draws: number;
  readonly stream: RandomStream;
  readonly priors: Priors;
}

/**
 * Draws failure boundaries from their posterior by elliptical slice sampling, margin after margin: a margin
 * has few parameters, so it moves far in one step, and what the others do to each coupon is kept.
 */
export function drawBoundaries({
  margins,
  axes,
  data,
  draws,
  stream,
  priors,
}: BoundaryEvidence): readonly BoundaryDraw[] {
  const verdictsOf = (odds: Float64Array): Verdicts => ({
    sound: 1 - lapseOf(odds[0]!, priors),
    luck: luckOf(odds[1]!, priors),
  });
  const points = data.flatMap(({ places }) => places.map(({ point }) => point));
  const count = points.length;
  const stride = marginParameters(axes);
  const z = Float64Array.from({ length: margins.length * stride + 2 }, () => stream.normal());
  const blocks = margins.map((_, k) => z.subarray(k * stride, (k + 1) * stride));
  /** Of lapses and of wrong verdicts. */
  const odds = z.subarray(margins.length * stride);
  const slopes = new Float64Array(axes);
  /** Writes 1 + exp(-margin) at each place: the chance that it passes is divided by that. */
  const divide = (margin: Margin, block: Float64Array, into: Float64Array): void => {
    const constant = marginLine(margin, block, slopes);
    for (let i = 0; i < count; i++) {
      const point = points[i]!;
      let value = constant;
      for (let j = 0; j < axes; j++) value += slopes[j]! * point[j]!;
      into[i] = value > 7 ? 1 : 1 + Math.exp(Math.min(-value, 30));
    }
  };
  const divisors = margins.map((margin, k) => {
    const own = new Float64Array(count);
    divide(margin, blocks[k]!, own);
    return own;
  });
  const all = new Float64Array(count);
  const others = new Float64Array(count);
  const trialOwn = new Float64Array(count);
  const trialAll = new Float64Array(count);
  const sweep = (): void => {
    all.fill(1);
    for (const own of divisors) for (let i = 0; i < count; i++) all[i]! *= own[i]!;
    const verdicts = verdictsOf(odds);
    let level = logLikelihood(data, verdicts, all);
    margins.forEach((margin, k) => {
      const own = divisors[k]!;
      for (let i = 0; i < count; i++) others[i] = all[i]! / own[i]!;
      level = sliceStep({
        z: blocks[k]!,
        level,
        stream,
        logLikelihood: (trial) => {
          divide(margin, trial, trialOwn);
          for (let i = 0; i < count; i++) trialAll[i] = others[i]! * trialOwn[i]!;
          return logLikelihood(data, verdicts, trialAll);
        },
      });
      own.set(trialOwn);
      all.set(trialAll);
    });
    sliceStep({
      z: odds,
      level,
      stream,
      logLikelihood: (trial) => logLikelihood(data, verdictsOf(trial), all),
    });
  };
  const advance = (sweeps: number): void => {
    if (count === 0) for (let i = 0; i < z.length; i++) z[i] = stream.normal();
    else for (let i = 0; i < sweeps; i++) sweep();
  };
  advance(SWEEPS.first);
  return Array.from({ length: draws }, (): BoundaryDraw => {
    advance(SWEEPS.between);
    const constants: number[] = [];
    const rows: number[] = [];
    margins.forEach((margin, k) => {
      constants.push(marginLine(margin, blocks[k]!, slopes));
      rows.push(...slopes);
    });
    const { sound, luck } = verdictsOf(odds);
    return { constants, slopes: rows, lapse: 1 - sound, luck };
  });
}
