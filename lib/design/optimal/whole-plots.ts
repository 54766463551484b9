import type { Basis } from "../model/index.js";
import type { Region } from "../region/index.js";
import { type Draft, fillRow } from "./draft.js";
import { levelsToTry } from "./exchange.js";
import type { Information } from "./information.js";

/** One pass over the whole plots, moving each hard-to-change axis to the level that gains most. */
export function exchangeWholePlots({
  region,
  basis,
  draft,
  information,
  hard,
}: {
  readonly region: Region;
  readonly basis: Basis;
  readonly draft: Draft;
  readonly information: Information;
  readonly hard: readonly number[];
}): boolean {
  if (hard.length === 0) return false;
  const width = basis.size * basis.copies;
  const coded = new Float64Array(region.axes.length + 1);
  let improved = false;
  for (const plot of new Set(draft.plots)) {
    const runs = [...draft.plots.keys()].filter((run) => draft.plots[run] === plot);
    const rows = new Float64Array(runs.length * width);
    const bestRows = new Float64Array(rows.length);
    const place = (axis: number, level: number): void => {
      for (const run of runs) draft.points[run]![axis] = level;
    };
    for (const j of hard) {
      const home = draft.points[runs[0]!]![j]!;
      let best = home;
      let bestGain = 1e-9;
      const levels = new Set(runs.flatMap((run) => levelsToTry(region, draft.points[run]!, j)));
      for (const level of nearby(region, j, home)) levels.add(level);
      levels.delete(home);
      for (const level of levels) {
        place(j, level);
        if (!runs.every((run) => region.allows(draft.points[run]!))) continue;
        for (const [k, run] of runs.entries()) {
          const row = rows.subarray(k * width, (k + 1) * width);
          fillRow(region, basis, draft.points[run]!, draft.blocks[run]!, coded, row);
        }
        const gain = information.trialPlot(plot, rows);
        if (gain > bestGain) {
          bestGain = gain;
          best = level;
          bestRows.set(rows);
        }
      }
      place(j, best);
      if (best !== home) {
        information.acceptPlot(plot, bestRows);
        improved = true;
      }
    }
  }
  return improved;
}

/** Levels close to the present one, so that hard-to-change numbers also settle on their finest step. */
function nearby(region: Region, axis: number, home: number): readonly number[] {
  const { values, category } = region.axes[axis]!;
  if (category) return [];
  const stride = Math.max(1, Math.round(values.length / 20));
  return [home - stride, home - 1, home + 1, home + stride].filter(
    (level) => level >= 0 && level < values.length,
  );
}
