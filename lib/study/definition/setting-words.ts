import { settingDigits } from "../../numeric/figures/index.js";
import { withUnit } from "../../units/index.js";

/** A setting as a shop writes it; a category by its name. */
export function settingText(value: number | string | undefined): string {
  return typeof value === "number" ? settingDigits(value) : (value ?? "-");
}

/** Settings with their units, in a sentence. */
export function settingsText(
  settings: readonly { readonly factor: string; readonly value: number | string; readonly unit: string }[],
): string {
  return settings
    .map(({ factor, value, unit }) => `${factor} ${withUnit(settingText(value), unit)}`)
    .join(", ");
}

/** A range of settings; the level alone for a category, which has no range. */
export function rangeText(low: number | string, high: number | string): string {
  return typeof low === "string" ? low : `${settingText(low)} to ${settingText(high)}`;
}
