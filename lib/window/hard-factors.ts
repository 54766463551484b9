import type { DrawMatrix } from "./batch.js";
import type { SettingGrid } from "./grid.js";
import type { Scored } from "./pool.js";

/** Coupons that should share one setting of the hard-to-change factors. */
const SHARE = 3;

/**
 * Which candidates a batch may use so that hard-to-change factors take few settings: the one or two (for six
 * coupons) under which the candidates promise most.
 *
 * @returns a rule for the batch; it allows everything when no factor is hard to change
 */
export function hardGroups({
  grid,
  candidates,
  matrix,
  coupons,
}: {
  readonly grid: SettingGrid;
  readonly candidates: readonly Scored[];
  readonly matrix: DrawMatrix;
  readonly coupons: number;
}): (candidate: number) => boolean {
  const hard = grid.axes.flatMap((axis, j) => (axis.hard ? [j] : []));
  if (hard.length === 0) return () => true;
  const keys = candidates.map(({ point }) => hard.map((j) => point[j]!).join("/"));
  const promise = new Map<string, Float64Array>();
  matrix.forEach((row, i) => {
    const best = promise.get(keys[i]!) ?? new Float64Array(row.length);
    row.forEach((value, m) => {
      best[m] = Math.max(best[m]!, value);
    });
    promise.set(keys[i]!, best);
  });
  const allowed = new Set<string>();
  const reached = new Float64Array(matrix[0]?.length ?? 0);
  const groups = Math.max(1, Math.round(coupons / SHARE));
  while (allowed.size < Math.min(groups, promise.size)) {
    let pick: string | undefined;
    let most = -1;
    for (const [key, best] of promise) {
      if (allowed.has(key)) continue;
      const total = best.reduce((sum, value, m) => sum + Math.max(value, reached[m]!), 0);
      if (total > most) [pick, most] = [key, total];
    }
    allowed.add(pick!);
    promise.get(pick!)!.forEach((value, m) => {
      reached[m] = Math.max(reached[m]!, value);
    });
  }
  return (candidate) => allowed.has(keys[candidate]!);
}
