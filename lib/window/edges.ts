import type { Finding } from "../errors/index.js";
import { percent, settingDigits } from "../numeric/index.js";
import { withUnit } from "../units/index.js";
import type { GridBox } from "./box.js";
import type { GridPoint, SettingGrid } from "./grid.js";

type End = "study" | "limit" | "chance";

/**
 * Why a setting stands at the edge of its range: the study asks no further, a limit forbids the next step, or the chance
 * does not allow it.
 */
export function edgeFindings({
  grid,
  best,
  box,
  level,
}: {
  readonly grid: SettingGrid;
  readonly best: GridPoint;
  readonly box: GridBox;
  readonly level: number;
}): readonly Finding[] {
  const edges = grid.axes.flatMap(({ name, unit, category, values, low, high }, j) =>
    category
      ? []
      : ([-1, 1] as const).flatMap((side) => {
          const index = best[j]!;
          if ((side === 1 ? box.high : box.low)[j] !== index) return [];
          const next = best.map((value, k) => (k === j ? value + side : value));
          const end: End =
            values[index + side] === undefined ? "study" : grid.allowed(next) ? "chance" : "limit";
          const where = withUnit(settingDigits(Number(values[index])), unit);
          const range = withUnit(`${settingDigits(low)} to ${settingDigits(high)}`, unit);
          const word = side === 1 ? "above" : "below";
          return [{ name, end, text: `${name} ${where}${end === "study" ? ` (of ${range})` : ` ${word}`}` }];
        }),
  );
  const told: Readonly<
    Record<End, (list: string) => Pick<Finding, "code" | "severity" | "message" | "advice">>
  > = {
    study: (list) => ({
      code: "best-at-study-end",
      severity: "info",
      message: `the best known setting stands at the end of what the study asks: ${list}; better ones may lie beyond`,
      advice: "where the rig allows it, widen the range in study.json and run coupons there",
    }),
    limit: (list) => ({
      code: "best-at-limit",
      severity: "info",
      message: `a limit of the study leaves the best known setting no room: ${list}`,
      advice: "hold the setting from the other side, or see whether the limit may be loosened",
    }),
    chance: (list) => ({
      code: "no-room",
      severity: "warning",
      message: `the best known setting has no room: ${list}; a step further, while the others use their ranges, the chance falls under ${percent(level)}`,
      advice: "hold these settings exactly, ask a lower --level, or loosen the tightest specification",
    }),
  };
  return (["study", "limit", "chance"] as const).flatMap((end): readonly Finding[] => {
    const found = edges.filter((edge) => edge.end === end);
    if (found.length === 0) return [];
    const about = [...new Set(found.map(({ name }) => name))];
    return [{ ...told[end](found.map(({ text }) => text).join(", ")), about }];
  });
}
