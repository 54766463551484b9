import { brief } from "../numeric/figures/index.js";
import { textCell } from "../study/index.js";
import type { Preset } from "./preset.js";

/**
 * A preset's settings as CSV: one row per setting, with the range within which all may move together while the chance
 * keeps its level, each in its unit. What the rig holds constant has a range of one value.
 */
export function presetCsv(preset: Preset): string {
  const range = new Map(preset.window.ranges.map((item) => [item.name, item]));
  const rows = [
    ["setting", "value", "unit", "low", "high"],
    ...preset.settings.map(({ name, value, unit }) => {
      const { low, high } = range.get(name) ?? { low: value, high: value };
      return [name, value, unit, low, high];
    }),
    ...preset.held.map(({ name, value, unit }) => [name, value, unit, value, value]),
  ];
  const cell = (value: number | string): string =>
    typeof value === "number" ? brief(value, 12) : textCell(value);
  return rows.map((row) => `${row.map(cell).join(",")}\n`).join("");
}
