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

/** Scatters at which each suspicion is tried, in standard deviations of what is believed of them. */
const SCATTERS = [-2, -1, 0, 1, 2] as const;

/**
 * Readings that do not belong to their walls: slips of the pen, and jumps where the torch was moved unlogged. Each is tried
 * at small and at large scatters, since one slip makes the whole log look rough.
 */
export function oddPlaces(
  series: readonly WallSeries[],
  { settings, kind }: { readonly settings: WallSettings; readonly kind: GrowthKind },
): readonly OddPlace[] {
  const count = series.reduce((sum, { readings }) => sum + readings.length, 0);
  if (count === 0) return [];
  const layer = kind.unknowns.indexOf("layerSd");
  const ripple = kind.unknowns.indexOf("rippleSd");
  const likelihood = (z: Float64Array, odd: readonly OddPlace[]): number =>
    filterWalls(series, kind.traits(z), { ...settings, odd }).logLikelihood;
  let at: Float64Array = findPeak(
    (z) => likelihood(z, []),
    kind.unknowns.map(() => 0),
  ).at;
  /** The likeliest scatters beside what else the peak holds. */
  const weigh = (odd: readonly OddPlace[]) => {
    let best = { odd, at, log: Number.NEGATIVE_INFINITY };
    for (const a of SCATTERS) {
      for (const b of SCATTERS) {
        const z = at.slice();
        [z[layer], z[ripple]] = [a, b];
        const log = likelihood(z, odd) - 0.5 * (a * a + b * b);
        if (log > best.log) best = { odd, at: z, log };
      }
    }
    return best;
  };
  let found = weigh([]);
  for (let round = 0; round < Math.ceil(count / MOST); round++) {
    at = found.at;
    const { surprises } = filterWalls(series, kind.traits(at), { ...settings, odd: found.odd });
    const suspects = surprises
      .flatMap((wall, w) => wall.map((surprise, r) => ({ wall: w, reading: r, size: Math.abs(surprise) })))
      .sort((a, b) => b.size - a.size)
      .slice(0, LOOKED_AT);
    if (suspects[0]!.size < USUAL) break;
    const tried = suspects.flatMap(({ wall, reading }) =>
      (["slip", "jump"] as const)
        // Before a wall's first reading there is nothing to jump from.
        .filter((which) => which === "slip" || reading > 0)
        .map((which) => {
          const next = weigh([...found.odd, { wall, reading, kind: which }]);
          const price = which === "slip" ? Math.log(SLIP.chance / SLIP.range) : Math.log(JUMP.chance);
          return { ...next, gain: next.log + price - found.log };
        }),
    );
    const best = tried.reduce((a, b) => (b.gain > a.gain ? b : a));
    if (best.gain < CERTAIN) break;
    found = best;
  }
  return found.odd;
}
