import type { Region } from "../region/index.js";
import { fillRow } from "./draft.js";
import { LEAST_GAIN, type LocalSearch } from "./exchange.js";

/** One or two axes with a direction each. */
type Move = readonly (readonly [axis: number, direction: number])[];

/**
 * Local search on the finest steps, with strides that halve down to one step: each run tries short moves
 * along one factor, and where a limit stops one, along a second factor at the same time.
 */
export function polishSteps({ region, basis, draft, information, movable }: LocalSearch): void {
  const numeric = movable.filter((j) => !region.axes[j]!.category && region.axes[j]!.values.length > 2);
  const singles = numeric.flatMap((j): Move[] => [[[j, -1]], [[j, 1]]]);
  const coded = new Float64Array(region.axes.length + 1);
  const trialRow = new Float64Array(basis.size * basis.copies);
  let strides: readonly number[] = [];
  /** Repeats a move while it gains; says whether it gained at all and whether a limit ended it. */
  const advance = (run: number, move: Move): { readonly gained: boolean; readonly limited: boolean } => {
    const point = draft.points[run]!;
    for (let gained = false; ; gained = true) {
      const outcome = shift({ region, point, move, strides, sign: 1 });
      if (outcome !== "moved") return { gained, limited: outcome === "limited" };
      fillRow(region, basis, point, draft.blocks[run]!, coded, trialRow);
      if (information.trial(trialRow) <= LEAST_GAIN) {
        shift({ region, point, move, strides, sign: -1 });
        return { gained, limited: false };
      }
      information.accept(trialRow);
    }
  };
  for (let share = 0.125; ; share /= 2) {
    strides = region.axes.map((axis) => Math.max(1, Math.round(share * (axis.values.length - 1))));
    for (let pass = 0, improved = true; improved && pass < 20; pass++) {
      improved = false;
      for (const run of draft.points.keys()) {
        information.select(run);
        for (const single of singles) {
          const { gained, limited } = advance(run, single);
          improved ||= gained;
          if (!limited) continue;
          for (const other of singles) {
            if (other[0]![0] !== single[0]![0] && advance(run, [...single, ...other]).gained) improved = true;
          }
        }
      }
      information.refresh(0);
    }
    if (numeric.every((j) => strides[j] === 1)) return;
  }
}

/** Applies a move, forwards or backwards; when it would leave the levels or the limits the point stays as it was. */
function shift({
  region,
  point,
  move,
  strides,
  sign,
}: {
  readonly region: Region;
  readonly point: number[];
  readonly move: Move;
  readonly strides: readonly number[];
  readonly sign: 1 | -1;
}): "moved" | "edge" | "limited" {
  for (const [j, direction] of move) {
    const level = point[j]! + sign * direction * strides[j]!;
    if (level < 0 || level >= region.axes[j]!.values.length) return "edge";
  }
  for (const [j, direction] of move) point[j]! += sign * direction * strides[j]!;
  if (region.allows(point)) return "moved";
  for (const [j, direction] of move) point[j]! -= sign * direction * strides[j]!;
  return "limited";
}
