import { EXACT, makeCheckChance } from "./check-chance.js";
import type { Coordinate } from "./coordinates.js";
import type { CheckModel } from "./fit-checks.js";
import type { RecordDoubt } from "./record-doubt.js";
import type { SeenCoupon } from "./seen-coupon.js";

/** What doubts about remembered runs follow from. */
export interface MemoryEvidence {
  readonly remembered: readonly SeenCoupon[];
  /** What their sizes say. */
  readonly doubts: readonly RecordDoubt[];
  readonly checks: readonly CheckModel[];
  readonly coordinates: readonly Coordinate[];
}

/** Chance that each remembered run was not what it is remembered for, by its sizes and its verdicts. */
export function misremembered({
  remembered,
  doubts,
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
    }, doubts[i]!.elsewhere),
  );
}
