import { ownValue } from "../errors/index.js";
import { judgeCoupon, type OutcomeModel } from "../models/index.js";
import type { DefinedStudy, Factor, StudyData, StudyDefinition } from "../study/index.js";
import { conformance, type ProcessWindow } from "../window/index.js";
import { chartChanceProfiles } from "./chance-profile.js";
import { chartConformance } from "./conformance.js";
import type { ChartSpec } from "./spec.js";
import { chartWindowRanges } from "./window-ranges.js";

/**
 * The chance map of a window over two settings, the others at the recommended one, with the coupons that were run: those
 * run at other values of the held settings are shown too, and may seem to contradict the map. Undefined for a window
 * without a map, which takes two numeric settings.
 */
export function drawConformance(
  { definition, coupons }: StudyData,
  window: ProcessWindow,
): ChartSpec | undefined {
  const { map, best } = window;
  if (map === undefined) return undefined;
  const at = new Map(best.settings.map(({ factor, value }) => [factor, value]));
  const judged = coupons.flatMap((coupon) => {
    const verdict = judgeCoupon({ definition }, coupon);
    return verdict === "passed" || verdict === "failed"
      ? [
          {
            coupon: coupon.id,
            x: Number(ownValue(coupon.settings, map.x.factor)),
            y: Number(ownValue(coupon.settings, map.y.factor)),
            passed: verdict === "passed",
          },
        ]
      : [];
  });
  return chartConformance({
    xSetting: { name: map.x.factor, unit: map.x.unit },
    ySetting: { name: map.y.factor, unit: map.y.unit },
    x: map.x.values,
    y: map.y.values,
    chance: map.chance,
    level: map.level,
    coupons: judged.filter(({ x, y }) => Number.isFinite(x) && Number.isFinite(y)),
    recommended: { x: Number(at.get(map.x.factor)), y: Number(at.get(map.y.factor)) },
    held: best.settings.flatMap(({ factor, value, unit }) =>
      factor === map.x.factor || factor === map.y.factor ? [] : [{ name: factor, value, unit }],
    ),
  });
}

const numeric = (definition: StudyDefinition): readonly Factor[] =>
  definition.factors.filter(({ kind }) => kind !== "category");

/** Whether a study has a setting in numbers, without which there is neither a range nor a course of the chance to draw. */
export const hasNumbers = ({ definition }: DefinedStudy): boolean => numeric(definition).length > 0;

/**
 * How far each setting may move while all move and the chance keeps its level, against the range studied. Settings in
 * their own units; categories are left out.
 */
export function drawWindowRanges({ definition }: DefinedStudy, window: ProcessWindow): ChartSpec {
  const ranges = new Map(window.ranges.map((range) => [range.factor, range]));
  return chartWindowRanges({
    level: window.level,
    ranges: numeric(definition).map(({ name, unit, low, high }) => {
      const range = ranges.get(name)!;
      return {
        setting: { name, unit },
        studied: { low, high },
        window: { low: Number(range.low), high: Number(range.high) },
        recommended: Number(range.best),
      };
    }),
  });
}

/** Points along each profile. */
const POINTS = 61;

/**
 * The chance to conform along each numeric setting, the others at the recommended one, at 61 points. What settings do to
 * each other is not seen in it: see {@link drawConformance}.
 */
export function drawChanceProfiles(model: OutcomeModel, window: ProcessWindow): ChartSpec {
  const at = Object.fromEntries(window.best.settings.map(({ factor, value }) => [factor, value]));
  const ranges = new Map(window.ranges.map((range) => [range.factor, range]));
  return chartChanceProfiles({
    level: window.level,
    profiles: numeric(model.definition).map(({ name, unit, low, high }) => {
      const xs = Array.from({ length: POINTS }, (_, i) => low + ((high - low) * i) / (POINTS - 1));
      const found = conformance(
        model,
        xs.map((x) => ({ ...at, [name]: x })),
      );
      const range = ranges.get(name)!;
      return {
        setting: { name, unit },
        curve: xs.map((x, i) => {
          const { chance, interval } = found[i]!;
          return { x, chance, low: interval[0], high: interval[1] };
        }),
        recommended: Number(range.best),
        allowed: { low: Number(range.aloneLow), high: Number(range.aloneHigh) },
      };
    }),
  });
}
