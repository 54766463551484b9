import { randomStream } from "../../lib/numeric/index.js";
import type { Coupon, StudyDefinition } from "../../lib/study/index.js";
import { libraryOperator, loggedCoupon } from "../rigs/closed-loop.js";
import type { RigFormulas } from "../rigs/rig.js";
import { runCoupon } from "../rigs/rig.js";

/** Coupons of a study that the loop has run on a simulated rig, six a day. */
export function loopCoupons(rig: RigFormulas, count: number, seed: number): readonly Coupon[] {
  const operator = libraryOperator(rig.definition, seed);
  const stream = randomStream(seed).split("loop");
  const coupons: Coupon[] = [];
  for (let day = 1; coupons.length < count; day++) {
    const weather = stream.normal();
    const settings = operator.propose(6);
    const outcomes = settings.map((setting) => runCoupon(rig, setting, weather, stream));
    operator.record(outcomes, day);
    outcomes.forEach((outcome, i) => {
      coupons.push(loggedCoupon(coupons.length, settings[i]!, outcome, day));
    });
  }
  return coupons;
}

/** The definition with other specifications. */
export function withSpecs(
  definition: StudyDefinition,
  specs: Readonly<Record<string, { readonly lower: number; readonly upper: number }>>,
): StudyDefinition {
  return {
    ...definition,
    responses: definition.responses.map((response) =>
      specs[response.name] === undefined ? response : { ...response, spec: specs[response.name]! },
    ),
  };
}
