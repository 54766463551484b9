import { ownValue, refusalOf } from "../errors/index.js";
import { significant } from "../numeric/index.js";
import { type BoundedSetting, isBoundedSetting, requireSetting, settingUnit } from "../process/index.js";
import type { TableRow } from "../study/index.js";
import { convert, type Quantity, sameDimension } from "../units/index.js";
import { textTable } from "./text.js";

/** A cell of a table read from a file, as a number. */
export const number = (row: TableRow, name: string): number => Number(ownValue(row, name));

/** A check of table cells: what no rig does is listed with line and column. */
export const possible =
  (setting: BoundedSetting) =>
  (value: number): number =>
    requireSetting(setting, value);

/** Why no rig runs a setting of a coupon, in the sentence a table of readings has for it; undefined where one may. */
export function whyImpossible(name: string, { value, unit }: Quantity): string | undefined {
  if (!isBoundedSetting(name) || !sameDimension(unit, settingUnit(name))) return undefined;
  return refusalOf(() => requireSetting(name, convert(value, unit, settingUnit(name))))?.message;
}

/** A fitted coefficient as the commands on readings print it. */
export interface RangedCoefficient {
  readonly name: string;
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
  /** Its unit as printed. */
  readonly unit?: string;
}

/** Fitted coefficients with their 95 % limits. */
export function coefficientsText(coefficients: readonly RangedCoefficient[]): string {
  return textTable(
    [
      { title: "coefficient" },
      { title: "value", align: "right" },
      { title: "95 % interval", align: "right" },
      { title: "unit" },
    ],
    coefficients.map(({ name, estimate, lower, upper, unit = "" }) => [
      name,
      significant(estimate, 4),
      `${significant(lower)} to ${significant(upper)}`,
      unit,
    ]),
  );
}
