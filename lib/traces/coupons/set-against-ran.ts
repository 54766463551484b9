import type { Finding } from "../../errors/index.js";
import { ownValue, requireNumber } from "../../errors/index.js";
import { percent, significant } from "../../numeric/index.js";
import type { Coupon, DefinedStudy } from "../../study/record/index.js";
import { convert, type Quantity, sameDimension } from "../../units/index.js";

/** Settings that a trace tells, with the column that a study keeps what ran in, and its unit. */
export const tracedSettings = {
  current: { column: "traced_current", unit: "A" },
  arc_voltage: { column: "traced_voltage", unit: "V" },
  wire_feed_speed: { column: "traced_feed", unit: "mm/s" },
} as const;

/** A setting that a trace tells. */
export type TracedSetting = keyof typeof tracedSettings;

/** How far what ran may lie from what was set. */
export interface SettingAllowance {
  /** Share of the set value that a rig may hold it by. Default 0.05: common practice, no source. */
  readonly tolerance?: number;
  /** Share of the reading that the logger may err by. Default 0.02: common practice, no source. */
  readonly logger?: number;
}

/** What was set and what ran. */
export interface SetAgainstRan {
  readonly setting: TracedSetting;
  readonly unit: string;
  readonly set: number;
  readonly ran: number;
  /** How far apart they may lie. */
  readonly allowed: number;
  /** Whether the coupon was run at another setting than it says. */
  readonly otherwise: boolean;
}

/** Allowances taken where nothing is said. */
export const usualAllowance = { tolerance: 0.05, logger: 0.02 } as const;

/**
 * Holds what ran against a coupon's settings: another one where they lie further apart than the rig holds its settings
 * and the logger reads, both together.
 *
 * @param ran - by setting, with unit; what was not traced has no key
 */
export function setAgainstRan(
  { definition, coupon }: DefinedStudy & { readonly coupon: Coupon },
  ran: Readonly<Partial<Record<TracedSetting, Quantity>>>,
  { tolerance = usualAllowance.tolerance, logger = usualAllowance.logger }: SettingAllowance = {},
): readonly SetAgainstRan[] {
  requireNumber("tolerance", tolerance, { min: 0 });
  requireNumber("logger", logger, { min: 0 });
  return definition.factors.flatMap((factor): readonly SetAgainstRan[] => {
    const setting = factor.name as TracedSetting;
    const set = ownValue(coupon.settings, factor.name);
    const found = Object.hasOwn(tracedSettings, setting) ? ran[setting] : undefined;
    if (
      found === undefined ||
      typeof set !== "number" ||
      factor.kind === "category" ||
      !sameDimension(found.unit, factor.unit)
    )
      return [];
    const value = convert(found.value, found.unit, factor.unit);
    const allowed = tolerance * Math.abs(set) + logger * Math.abs(value);
    return [
      { setting, unit: factor.unit, set, ran: value, allowed, otherwise: Math.abs(value - set) > allowed },
    ];
  });
}

/** What is wrong with a coupon that ran otherwise than set, in words; undefined where nothing is. */
export function ranOtherwise(coupon: string, rows: readonly SetAgainstRan[]): Finding | undefined {
  const wrong = rows.filter(({ otherwise }) => otherwise);
  if (wrong.length === 0) return undefined;
  const parts = wrong.map(({ setting, unit, set, ran, allowed }) => {
    const off = set === 0 ? "" : ` (${percent((ran - set) / set, 1)})`;
    return `${setting} ${significant(ran)} ${unit} where ${significant(set)} ${unit} was set${off}, ${significant(allowed, 2)} allowed`;
  });
  return {
    code: "ran-at-another-setting",
    severity: "warning",
    message: `${coupon} ran otherwise than set: ${parts.join("; ")}`,
    advice: `look whether the rig, the logger's scale or the entry is wrong; where the rig was, correct the setting: beadbench log <study> ${coupon} --correct ${wrong[0]!.setting}="${significant(wrong[0]!.ran)} ${wrong[0]!.unit}" --why "traced"`,
    about: [coupon, ...wrong.map(({ setting }) => setting)],
  };
}

/** Coupons whose traces, as logged, do not agree with their settings. */
export function tracedOtherwise({
  definition,
  coupons,
}: DefinedStudy & { readonly coupons: readonly Coupon[] }): readonly Finding[] {
  return coupons.flatMap((coupon): readonly Finding[] => {
    if (coupon.state !== "logged") return [];
    const ran = Object.fromEntries(
      Object.entries(tracedSettings).flatMap(([setting, { column }]) => {
        const found = coupon.context[column];
        return found === undefined ? [] : [[setting, found]];
      }),
    );
    const finding = ranOtherwise(coupon.id, setAgainstRan({ definition, coupon }, ran));
    return finding === undefined ? [] : [finding];
  });
}
