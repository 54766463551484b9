import { settingDigits } from "../numeric/index.js";
import type { StudyDefinition } from "../study/index.js";
import { headed, withUnit } from "../units/index.js";
import type { SettingWithUnit } from "../window/index.js";
import { textTable } from "./text.js";

/** A setting as a shop writes it; a category by its name. */
export function settingText(value: number | string | undefined): string {
  return typeof value === "number" ? settingDigits(value) : (value ?? "-");
}

/** Settings with their units, in a sentence. */
export function settingsText(settings: readonly SettingWithUnit[]): string {
  return settings
    .map(({ factor, value, unit }) => `${factor} ${withUnit(settingText(value), unit)}`)
    .join(", ");
}

/** A range of settings; the level alone for a category, which has no range. */
export function rangeText(low: number | string, high: number | string): string {
  return typeof low === "string" ? low : `${settingText(low)} to ${settingText(high)}`;
}

/** Planned runs as a table in run order. */
export function runsTable(
  definition: StudyDefinition,
  runs: readonly { readonly settings: Readonly<Record<string, number | string>>; readonly role: string }[],
): string {
  return textTable(
    [
      { title: "run", align: "right" },
      ...definition.factors.map(({ name, unit }) => ({
        title: headed(name, unit),
        align: "right" as const,
      })),
      { title: "role" },
    ],
    runs.map(({ settings, role }, i) => [
      String(i + 1),
      ...definition.factors.map(({ name }) => settingText(settings[name])),
      role,
    ]),
  );
}
