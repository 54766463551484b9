import { printedUnit } from "../../charts/index.js";
import type { Axis } from "../../design/index.js";
import { ownValue } from "../../errors/index.js";
import { inWords, settingDigits, significant } from "../../numeric/index.js";
import type { BrokenLimit, TriedCoupon, Whereabouts } from "../../window/index.js";

/** A value with its unit as it is printed; a bare ratio (`1`) has none. */
export const inUnit = (value: string, unit: string): string => `${value} ${printedUnit(unit)}`.trim();

/** A setting of a factor, with its unit. */
export const settingOn = ({ unit }: Axis, value: number | string): string =>
  inUnit(typeof value === "number" ? settingDigits(value) : value, unit);

/** What an axis can be set to: `90 to 180 A, step 5 A`, or the values of one that has few. */
export function axisChoices(axis: Axis): string {
  const { category, values, low, high, unit } = axis;
  if (category) return values.join(", ");
  const steps = values.slice(1).map((value, i) => Number(value) - Number(values[i]!));
  const even = steps.every((step) => Math.abs(step - steps[0]!) < 1e-6 * (high - low));
  if (even)
    return `${settingDigits(low)} to ${settingOn(axis, high)}, step ${settingOn(axis, Number(settingDigits(steps[0]!)))}`;
  return values.length <= 8
    ? inUnit(values.map((value) => settingDigits(Number(value))).join(", "), unit)
    : `${settingDigits(low)} to ${settingOn(axis, high)}`;
}

/** Something to heed about where a setting lies. */
export interface Warning {
  readonly severity: "error" | "warning" | "info";
  readonly text: string;
}

/** What is to be said of where a setting lies: limits it breaks, how far it is from what was tried, the nearest coupon. */
export function whereText(
  { beyond, surrounded, nearest }: Whereabouts,
  broken: readonly BrokenLimit[],
  axes: readonly Axis[],
): readonly Warning[] {
  const bound = ({ min, max, unit }: BrokenLimit): string =>
    [
      ...(min === undefined ? [] : [`at least ${inUnit(settingDigits(min), unit)}`]),
      ...(max === undefined ? [] : [`at most ${inUnit(settingDigits(max), unit)}`]),
    ].join(" and ");
  const limits = broken.map(
    (limit): Warning => ({
      severity: "error",
      text: `Ruled out: ${inWords(limit.name)} would be ${inUnit(significant(limit.value), limit.unit)}; the study allows ${bound(limit)}.`,
    }),
  );
  if (nearest === undefined)
    return [
      ...limits,
      { severity: "warning", text: "No coupon has been run: all of this rests on rules of the trade alone." },
    ];
  const outside = beyond.map(({ factor, tried }): string => {
    const axis = axes.find(({ name }) => name === factor)!;
    const range = axis.category
      ? tried.join(", ")
      : tried[0] === tried[1]
        ? `only ${settingOn(axis, tried[0]!)}`
        : `${settingDigits(Number(tried[0]))} to ${settingOn(axis, tried[1]!)}`;
    return `${inWords(factor)} (tried: ${range})`;
  });
  return [
    ...limits,
    ...(outside.length > 0
      ? [{ severity: "warning", text: `Outside what was tried: ${outside.join("; ")}.` } as const]
      : surrounded
        ? []
        : [
            {
              severity: "warning",
              text: "Outside what was tried: each setting was, but not together like this; no coupons lie all around it.",
            } as const,
          ]),
    { severity: "info", text: nearestText(nearest, axes) },
  ];
}

function nearestText({ coupon, settings, verdict }: TriedCoupon, axes: readonly Axis[]): string {
  const at = axes
    .map((axis) => `${inWords(axis.name)} ${settingOn(axis, ownValue(settings, axis.name)!)}`)
    .join(", ");
  return `Nearest coupon run: ${coupon} (${at}), ${verdict}.`;
}
