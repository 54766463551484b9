import { held } from "../models/bead/simulate-days.js";
import { coverage } from "../support/coverage.js";

/**
 * Long coverage runs of nominal 95 % intervals of a power law on beads of several days: exponents of current and travel
 * speed, which move within days, of the wire feed, which moves from day to day, and of a bead of a day to come; with
 * the days as blocks and without.
 */
export function benchBlockShifts(runs = 2000): void {
  for (const [days, perDay] of [
    [3, 8],
    [4, 6],
    [6, 4],
    [8, 4],
    [10, 3],
  ] as const) {
    for (const shift of [0, 0.03, 0.06]) {
      for (const blocks of [["day"], []]) {
        const size = { days, perDay, shift, scatter: 0.04 };
        const shares = coverage(runs, (run) => held(run, size, blocks)).map(
          (s) => `${(100 * s).toFixed(1)} %`,
        );
        console.log(
          `  ${days} days of ${perDay}, shift ${100 * shift} %, ${blocks.length === 0 ? "no blocks" : "blocks"}: current ${shares[0]}, travel ${shares[1]}, feed ${shares[2]}, next ${shares[3]}`,
        );
      }
    }
  }
}
