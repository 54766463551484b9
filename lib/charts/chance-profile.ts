import { requireNumber, requireThat } from "../errors/index.js";
import { inWords, settingDigits } from "../numeric/index.js";
import {
  axisTitle,
  type ChartPart,
  type ChartQuantity,
  type ChartSpec,
  chart,
  inline,
  levelText,
  measure,
  printedUnit,
} from "./spec.js";
import { colours } from "./theme.js";

/** Chance of conformance along one setting, the others at the recommended values. */
export interface ChanceProfile {
  readonly setting: ChartQuantity;
  /** With what the coupons leave open of it at each point, where that is known. */
  readonly curve: readonly {
    readonly x: number;
    readonly chance: number;
    readonly low?: number;
    readonly high?: number;
  }[];
  readonly recommended: number;
  /** Range that keeps the chance above the level; absent when there is none. */
  readonly allowed?: { readonly low: number; readonly high: number };
}

/** What {@link chartChanceProfiles} draws. */
export interface ChanceProfileChartData {
  /** The chance that the allowed ranges keep, between 0 and 1. */
  readonly level: number;
  readonly profiles: readonly ChanceProfile[];
}

/**
 * How the chance of conformance falls off along each setting around the recommended one, with the range
 * that keeps it above the level shaded.
 *
 * One setting moves at a time: two settings at the ends of their ranges together can do worse.
 *
 * @throws {BeadbenchError} `bad-argument` when there is no profile, or a chance is outside [0, 1]
 */
export function chartChanceProfiles(data: ChanceProfileChartData): ChartSpec {
  const level = requireNumber("chartChanceProfiles: level", data.level, { above: 0, below: 1 });
  requireThat(data.profiles.length > 0, "chartChanceProfiles: needs at least one profile, got none");
  const ranges = data.profiles.map(({ setting, allowed }) =>
    allowed === undefined
      ? `${inWords(setting.name)} none`
      : `${inWords(setting.name)} ${settingDigits(allowed.low)} to ${settingDigits(allowed.high)} ${printedUnit(setting.unit)}`.trim(),
  );
  return chart({
    description: `Chance to conform along each setting; ranges that keep it above ${levelText(level)}: ${ranges.join("; ")}.`,
    title: "Chance to conform along each setting",
    subtitle: [
      `Green: range that keeps at least ${levelText(level)} (dashed), others as recommended. Upright line: recommended.`,
      ...(data.profiles.some(({ curve }) => isBand(curve))
        ? ["Pale band: at least 90 % of what the coupons leave open."]
        : []),
    ],
    body: { columns: 2, concat: data.profiles.map((profile) => profilePanel(profile, level)) },
  });
}

const isBand = (curve: ChanceProfile["curve"]): boolean =>
  curve.every(({ low, high }) => low !== undefined && high !== undefined);

function profilePanel(profile: ChanceProfile, level: number): ChartPart {
  const { curve, recommended, allowed, setting } = profile;
  for (const [i, point] of curve.entries()) {
    for (const name of ["chance", "low", "high"] as const) {
      const value = point[name];
      if (value !== undefined)
        requireNumber(`chartChanceProfiles: ${setting.name} curve[${i}].${name}`, value, { min: 0, max: 1 });
    }
  }
  const x = (field: string): ChartPart =>
    measure(field, axisTitle(setting), { scale: { zero: false, nice: false }, axis: { tickCount: 6 } });
  const y = (field: string): ChartPart =>
    measure(field, "Chance to conform", {
      scale: { domain: [0, 1] },
      axis: { format: ".0%", values: [0, 0.25, 0.5, 0.75, 1] },
    });
  const points = inline("chartChanceProfiles", "curve", curve);
  const band: ChartPart[] = isBand(curve)
    ? [
        {
          data: points,
          mark: { type: "area", color: colours.model.light, opacity: 0.2 },
          encoding: { x: x("x"), y: y("low"), y2: { field: "high" } },
        },
      ]
    : [];
  const shaded: ChartPart[] =
    allowed === undefined
      ? []
      : [
          {
            data: inline("chartChanceProfiles", "allowed", [allowed]),
            mark: { type: "rect", color: colours.good.light, opacity: 0.22 },
            encoding: { x: x("low"), x2: { field: "high" } },
          },
        ];
  return {
    width: 240,
    height: 170,
    layer: [
      ...shaded,
      ...band,
      {
        data: { values: [{ chance: level }] },
        mark: { type: "rule", strokeDash: [5, 4] },
        encoding: { y: y("chance") },
      },
      {
        data: inline("chartChanceProfiles", "recommended", [{ recommended }]),
        mark: { type: "rule", color: colours.good.light, strokeWidth: 2 },
        encoding: { x: x("recommended") },
      },
      {
        data: points,
        mark: { type: "line", color: colours.model.light },
        encoding: { x: x("x"), y: y("chance") },
      },
    ],
  };
}
