import { findPeak } from "../../numeric/index.js";
import { filterWalls, type OddPlace, type WallSettings } from "./growth-filter.js";
import type { GrowthKind } from "./growth-kinds.js";
import type { WallSeries } from "./wall-log.js";

/** Chance of a wrong reading and of a movement nobody logged, reading by reading, and the range slips spread over, mm. */
const SLIP = { chance: 0.004, range: 20 } as const;
const JUMP = { chance: 0.002 } as const;
/** Readings looked at in each round, and the log odds at which one is set apart. */
const LOOKED_AT = 5;
const CERTAIN = Math.log(10);
/** One reading in so many may be odd. */
const MOST = 8;
/** A log whose readings all lie within so many standard deviations has none. */
const USUAL = 2.5;

/**
 * Readings that do not belong to their walls: slips of the pen, and jumps where the torch was moved unlogged. Each is tried
 * with scatters fitted anew, since one slip makes the whole log look rough.
 */
export function oddPlaces(
  series: readonly WallSeries[],
  { settings, kind }: { readonly settings: WallSettings; readonly kind: GrowthKind },
): readonly OddPlace[] {
  const count = series.reduce((sum, { readings }) => sum + readings.length, 0);
  let start: readonly number[] = kind.unknowns.map(() => 0);
  const evidence = (odd: readonly OddPlace[]) => {
    const peak = findPeak(
      (z) => filterWalls(series, kind.traits(z), { ...settings, odd }).logLikelihood,
      start,
    );
    return { odd, peak, logEvidence: peak.logEvidence };
  };
  let found = evidence([]);
  for (let round = 0; round < Math.ceil(count / MOST); round++) {
    start = [...found.peak.at];
    const { surprises } = filterWalls(series, kind.traits(found.peak.at), { ...settings, odd: found.odd });
    const suspects = surprises
      .flatMap((wall, w) => wall.map((surprise, r) => ({ wall: w, reading: r, size: Math.abs(surprise) })))
      .sort((a, b) => b.size - a.size)
      .slice(0, LOOKED_AT);
    if (suspects.length === 0 || suspects[0]!.size < USUAL) break;
    const tried = suspects.flatMap(({ wall, reading }) =>
      (["slip", "jump"] as const)
        // Before a wall's first reading there is nothing to jump from.
        .filter((which) => which === "slip" || reading > 0)
        .map((which) => {
          const next = evidence([...found.odd, { wall, reading, kind: which }]);
          const price = which === "slip" ? Math.log(SLIP.chance / SLIP.range) : Math.log(JUMP.chance);
          return { ...next, gain: next.logEvidence + price - found.logEvidence };
        }),
    );
    const best = tried.reduce((a, b) => (b.gain > a.gain ? b : a));
    if (best.gain < CERTAIN) break;
    found = best;
  }
  return found.odd;
}
