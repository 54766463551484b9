import { mean } from "../../numeric/index.js";
import type { Settings } from "./factor.js";

/**
 * Chance that a coupon at some settings gives dimensions, under each of several equally likely pictures of the rig
 * (one where only one is held). What designs know of survival; who foresees it is not their business.
 */
export type Survival = (settings: Settings) => ArrayLike<number>;

/** Chance of survival over all pictures; 1 where nothing is known, never outside 0 to 1. */
export function survivalAt(survival: Survival | undefined, settings: Settings): number {
  if (survival === undefined) return 1;
  const chances = Array.from(survival(settings));
  return chances.length === 0 ? 1 : Math.min(1, Math.max(0, mean(chances)));
}
