import { ownValue } from "../errors/index.js";
import type { OutcomeModel, Settings } from "../models/index.js";
import { makeChance } from "./chance.js";

/** What the drift of one factor does to the chance. */
export interface DriftSensitivity {
  readonly factor: string;
  readonly unit: string;
  readonly at: number;
  /** Chance when the factor really is 2 % lower and 2 % higher than it reads. */
  readonly chanceBelow: number;
  readonly chanceAbove: number;
  /**
   * How far it may really be off before the chance falls under the level, in the factor's unit; absent when
   * half the setting is not far enough.
   */
  readonly allowedDown?: number;
  readonly allowedUp?: number;
}

/** Drift tried, as a share of the setting. */
const DRIFT = 0.02;
/** Largest drift looked for, as a share of the setting. */
const MOST = 0.5;

/**
 * Sensitivity of a setting to drift: a worn tip, a slipping feed roll, a meter that reads wrong. Unlike the
 * ranges of a window it is not bound to the rig's steps. Factors that drift together need
 * {@link findWindow}'s ranges instead.
 *
 * @param level - chance to keep. Default 0.9 of the chance at the setting
 * @returns one entry per factor with numbers, most sensitive first
 */
export function driftSensitivity(
  model: OutcomeModel,
  settings: Settings,
  level?: number,
): readonly DriftSensitivity[] {
  const chances = makeChance(model);
  const at = (changed: Settings): number => chances.chance(chances.predictor.point(changed));
  const keep = level ?? 0.9 * at(settings);
  return model.definition.factors
    .flatMap((factor): DriftSensitivity[] => {
      const value = ownValue(settings, factor.name);
      if (factor.kind === "category" || typeof value !== "number") return [];
      const size = value === 0 ? factor.high - factor.low : Math.abs(value);
      const shifted = (share: number): number => at({ ...settings, [factor.name]: value + share * size });
      const allowed = (side: 1 | -1): number | undefined => {
        if (shifted(0) < keep) return 0;
        let inside = 0;
        let outside = MOST;
        if (shifted(side * MOST) >= keep) return undefined;
        for (let i = 0; i < 24; i++) {
          const middle = 0.5 * (inside + outside);
          if (shifted(side * middle) >= keep) inside = middle;
          else outside = middle;
        }
        return inside * size;
      };
      const [down, up] = [allowed(-1), allowed(1)];
      return [
        {
          factor: factor.name,
          unit: factor.unit,
          at: value,
          chanceBelow: shifted(-DRIFT),
          chanceAbove: shifted(DRIFT),
          ...(down === undefined ? {} : { allowedDown: down }),
          ...(up === undefined ? {} : { allowedUp: up }),
        },
      ];
    })
    .sort((a, b) => Math.min(a.chanceBelow, a.chanceAbove) - Math.min(b.chanceBelow, b.chanceAbove));
}
