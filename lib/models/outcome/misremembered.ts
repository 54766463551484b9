import { EXACT, makeCheckChance } from "./check-chance.js";
import type { Coordinate } from "./coordinates.js";
import type { CheckModel } from "./fit-checks.js";
import type { Memory, SeenCoupon } from "./seen-coupon.js";

/** What doubts about remembered runs follow from. */
export interface MemoryEvidence {
  readonly remembered: readonly SeenCoupon[];
  /** Chance that each was not what it is remembered for, before its verdicts are looked at. */
  readonly before: readonly number[];
  readonly checks: readonly CheckModel[];
  readonly coordinates: readonly Coordinate[];
}

/** Chance that each remembered run was not what it is remembered for, once its verdicts were looked at. */
export function misremembered({
  remembered,
  before,
  checks,
  coordinates,
}: MemoryEvidence): readonly number[] {
  const chances = checks.map((check) => ({ check, perDraw: makeCheckChance(check.draws, coordinates) }));
  return remembered.map(({ passed, memory }, i) =>
    chances.reduce((wrong, { check, perDraw }) => {
      const verdict = passed.get(check.name);
      if (verdict === undefined) return wrong;
      const passes = memory!.places
        .get(check.name)!
        .reduce((sum, { point, share }) => sum + share * perDraw.average(point, EXACT), 0);
      const right = (1 - wrong) * (verdict ? passes : 1 - passes);
      return (0.5 * wrong) / (0.5 * wrong + right);
    }, before[i]!),
  );
}

/** The chance that a memory is wrong by its sizes alone, when it held for `memory.wrong` before them and `usual` before all. */
export function wrongBySizes(after: number, { wrong }: Memory, usual: number): number {
  const odds = (chance: number): number => chance / (1 - chance);
  const left = (odds(Math.min(after, 1 - 1e-9)) * odds(usual)) / odds(wrong);
  return left / (1 + left);
}
