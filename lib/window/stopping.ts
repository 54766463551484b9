import type { OutcomeModel } from "../models/index.js";
import { fixed } from "../numeric/index.js";
import { expectedGain } from "./expected-gain.js";
import type { CandidateChances } from "./foreseen.js";

/** Whether more coupons will probably pay. */
export interface StoppingAdvice {
  readonly advice: "go-on" | "confirm" | "stop";
  /** Largest expected rise of the best chance by one more coupon. */
  readonly gainPerCoupon: number;
  /** What a perfect knowledge of the rig would add to the best chance: the most that is left to gain. */
  readonly leftToGain: number;
  readonly message: string;
}

/** Expected rise per coupon below which a coupon will probably not pay, and what may be left to gain then. */
const SMALL = { gain: 0.004, left: 0.05 } as const;
/** Candidates tried for the next coupon. */
const TRIED = 60;

/**
 * Advises whether to stop: when neither the next coupon nor perfect knowledge would raise the best chance by
 * much. The expected rise is taken over outcomes of one coupon, and so misses what only a batch can show.
 */
export function stoppingAdvice(model: OutcomeModel, chances: CandidateChances, best: number): StoppingAdvice {
  const matrix = chances.conforming;
  const stride = Math.max(1, Math.floor(matrix.length / TRIED));
  let gain = 0;
  for (let i = 0; i < matrix.length; i += stride) gain = Math.max(gain, expectedGain(chances, i));
  const draws = matrix[0]!.length;
  const means = matrix.map((row) => row.reduce((sum, value) => sum + value, 0) / draws);
  let perfect = 0;
  for (let m = 0; m < draws; m++) {
    let top = 0;
    for (const row of matrix) top = Math.max(top, row[m]!);
    perfect += top / draws;
  }
  const left = Math.max(0, perfect - Math.max(...means));
  const points = (value: number): string => `${fixed(100 * value, 1)} points`;
  if (model.coupons > 0 && gain < SMALL.gain && left < SMALL.left) {
    const advice = best >= 0.5 ? "confirm" : "stop";
    const what =
      advice === "confirm"
        ? "repeat the recommended setting a few times to confirm the claim, then stop"
        : "more coupons of this study will not help: change the wire, the base, a range or the specification";
    return {
      advice,
      gainPerCoupon: gain,
      leftToGain: left,
      message: `the next coupon would raise the best chance by ${points(gain)} at most; ${what}`,
    };
  }
  return {
    advice: "go-on",
    gainPerCoupon: gain,
    leftToGain: left,
    message:
      model.coupons === 0
        ? `nothing is logged yet: run the first coupons; up to ${points(left)} are left to gain`
        : `more coupons pay: one raises the best chance by up to ${points(gain)}, and up to ${points(left)} are left to gain`,
  };
}
