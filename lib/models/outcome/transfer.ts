import { type CheckChance, EXACT } from "./check-chance.js";
import type { LatentData, OlderData } from "./latent-evidence.js";
import { type LatentEvidence, transferEvidence } from "./latent-fit.js";
import type { CheckedPoint } from "./survival-fit.js";

/** What was taken over from an older study. */
export interface Transfer {
  readonly coupons: number;
  /** Per hidden quantity: how many times larger the older scatter is taken; large means forgotten. */
  readonly inflation: Readonly<Record<string, number>>;
  /** Per hidden quantity: how far the older study lies off, with its standard deviation. */
  readonly shift: Readonly<Record<string, { readonly estimate: number; readonly sd: number }>>;
  /** Per check: how much an older verdict counts, 0 to 1. */
  readonly weight: Readonly<Record<string, number>>;
}

/** Inflations tried; the last forgets the older study. */
const INFLATIONS = [1.2, 2, 4, 8, 30];

/** Inflation of the older coupons' scatter, averaged (log) by how well each foretells the new coupons. */
export function chooseInflation(evidence: LatentEvidence, older: LatentData): OlderData {
  const levels = INFLATIONS.map((inflation) => transferEvidence(evidence, { ...older, inflation }));
  const top = Math.max(...levels);
  let total = 0;
  let sum = 0;
  levels.forEach((level, i) => {
    const weight = Math.exp(level - top);
    total += weight;
    sum += weight * Math.log(INFLATIONS[i]!);
  });
  const inflation = evidence.data.rows.length === 0 ? INFLATIONS[0]! : Math.exp(sum / total);
  return { ...older, inflation };
}

/**
 * How far new verdicts agree with older ones, 0 to 1: less, the more they surprise somebody who knows the old ones
 * alone.
 *
 * @param old - chances by the older verdicts alone
 */
export function agreement(old: CheckChance, fresh: readonly CheckedPoint[]): number {
  let surprise = 0;
  for (const { places, passed } of fresh) {
    const passes = places.reduce((sum, { point, share }) => sum + share * old.average(point, EXACT), 0);
    const p = Math.min(0.99, Math.max(0.01, passes));
    surprise += -Math.log(passed ? p : 1 - p) + p * Math.log(p) + (1 - p) * Math.log(1 - p);
  }
  return Math.exp(-Math.max(0, surprise));
}
