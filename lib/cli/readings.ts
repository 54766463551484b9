import { significant } from "../numeric/index.js";
import { type BoundedSetting, requireSetting } from "../process/index.js";
import type { TableRow } from "../study/index.js";
import { textTable } from "./text.js";

/** A cell of a table read from a file, as a number. */
export const number = (row: TableRow, name: string): number => Number(row[name]);

/** A check of table cells: what no rig does is listed with line and column. */
export const possible =
  (setting: BoundedSetting) =>
  (value: number): number =>
    requireSetting(setting, value);

/** A fitted coefficient as the commands on readings print it. */
export interface RangedCoefficient {
  readonly name: string;
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
}

/** Fitted coefficients with their 95 % limits. */
export function coefficientsText(coefficients: readonly RangedCoefficient[]): string {
  return textTable(
    [
      { title: "coefficient" },
      { title: "value", align: "right" },
      { title: "95 % interval", align: "right" },
    ],
    coefficients.map(({ name, estimate, lower, upper }) => [
      name,
      significant(estimate, 4),
      `${significant(lower)} to ${significant(upper)}`,
    ]),
  );
}
