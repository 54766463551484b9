import type { Finding } from "../errors/index.js";
import { onlyDefined } from "../errors/index.js";
import type { OutcomeModel } from "../models/index.js";
import { fixed, percent, sobolPoints } from "../numeric/index.js";
import { type SettingWithUnit, searchBest, withUnits } from "./best-setting.js";
import { growBox } from "./box.js";
import { type Conformance, conformanceAt } from "./conformance.js";
import { dayFindings } from "./day-shifts.js";
import { edgeFindings } from "./edges.js";
import { growEllipsoid, type WindowEllipsoid } from "./ellipsoid.js";
import type { GridPoint } from "./grid.js";
import { intervalAbout } from "./interval-about.js";
import { type ChanceMap, chanceMap } from "./map.js";
import { unspecified } from "./unspecified.js";

/** Choices of {@link findWindow}. */
export interface WindowOptions {
  /** Chance to keep. Default 0.8 */
  readonly level?: number;
  /** Default: the model's. */
  readonly seed?: number;
  /** Two factors to draw the map over. Default: the two that allow least. */
  readonly mapFactors?: readonly [string, string];
  /** Settings along each side of the map. Default 33 */
  readonly mapSize?: number;
}

/** How far one factor may move. */
export interface WindowRange {
  readonly factor: string;
  readonly unit: string;
  /** The best setting. */
  readonly best: number | string;
  /** Lowest and highest setting while all the others use their ranges too. */
  readonly low: number | string;
  readonly high: number | string;
  /** The same while all the others stay at their best. */
  readonly aloneLow: number | string;
  readonly aloneHigh: number | string;
}

/** Where a study's specification is met with a stated chance. Plain data. */
export interface ProcessWindow {
  readonly best: { readonly settings: readonly SettingWithUnit[]; readonly conformance: Conformance };
  /** The level asked for, and the one the ranges were grown at: lower when nothing reaches the first. */
  readonly asked: number;
  readonly level: number;
  readonly ranges: readonly WindowRange[];
  /** Lowest chance found inside the ranges: what they guarantee, as far as the model knows. */
  readonly reached: number;
  readonly ellipsoid?: WindowEllipsoid;
  /**
   * Share of the allowed settings at or above the level as far as is known, doubt counting against a setting; and
   * at least 90 % of what the coupons leave open about it, the share itself inside.
   */
  readonly volume: { readonly share: number; readonly interval: readonly [number, number] };
  readonly map?: ChanceMap;
  readonly seed: number;
  readonly findings: readonly Finding[];
}

/** When nothing reaches the level asked for, the window is grown at this share of the best chance. */
const FALL_BACK = 0.85;

/**
 * Finds the setting of highest chance, the ranges about it that keep the chance at a level, and a map.
 *
 * @throws {BeadbenchError} `infeasible` when the study's limits leave no setting
 */
export function findWindow(model: OutcomeModel, options: WindowOptions = {}): ProcessWindow {
  const seed = options.seed ?? model.seed;
  const asked = options.level ?? 0.8;
  const search = searchBest(model, seed);
  const { grid, chances, pool } = search;
  const best = pool[0]!;
  const known = new Map<string, number>(pool.map(({ point, score }) => [point.join(","), score]));
  const chance = (point: GridPoint): number => {
    const key = point.join(",");
    let value = known.get(key);
    if (value === undefined) {
      value = grid.allowed(point) ? chances.chance(grid.coordinates(point), 1e-4) : 0;
      known.set(key, value);
    }
    return value;
  };
  const level = best.score >= asked ? asked : FALL_BACK * best.score;
  const box = growBox({ grid, chance, start: best.point, level });
  const ranges = grid.axes.map((axis, j): WindowRange => {
    const alone = (side: 1 | -1): number => {
      let index = best.point[j]!;
      if (axis.category) return index;
      while (axis.values[index + side] !== undefined) {
        const next = best.point.map((value, k) => (k === j ? index + side : value));
        if (chance(next) < level) break;
        index += side;
      }
      return index;
    };
    return {
      factor: axis.name,
      unit: axis.unit,
      best: axis.values[best.point[j]!]!,
      low: axis.values[box.low[j]!]!,
      high: axis.values[box.high[j]!]!,
      aloneLow: axis.values[alone(-1)]!,
      aloneHigh: axis.values[alone(1)]!,
    };
  });
  const above = pool.filter((item) => item.score >= level);
  const ellipsoid = growEllipsoid({ grid, chance, centre: best.point, above, level });
  const map = chanceMap({
    search,
    best: best.point,
    box,
    level,
    factors: options.mapFactors,
    size: options.mapSize ?? 33,
  });
  return {
    best: {
      settings: withUnits(model, grid.settings(best.point)),
      conformance: conformanceAt(model, chances, best.coordinates),
    },
    asked,
    level,
    ranges,
    reached: box.worst,
    ...onlyDefined({ ellipsoid }),
    volume: volumeShare(search, level),
    ...onlyDefined({ map }),
    seed,
    findings: [
      ...model.findings,
      ...windowFindings(model, best.score, asked),
      ...dayFindings(model, best),
      ...edgeFindings({ grid, best: best.point, box, level }),
    ],
  };
}

/** Settings spread over the region to tell the volume of the window. */
const VOLUME_POINTS = 16384;

/** Share of the allowed settings that keep the level, from settings spread evenly over the whole region. */
function volumeShare(
  { grid, chances }: ReturnType<typeof searchBest>,
  level: number,
): ProcessWindow["volume"] {
  const draws = new Float64Array(chances.predictor.draws);
  const inside = new Float64Array(draws.length);
  let allowed = 0;
  let above = 0;
  for (const unit of sobolPoints(VOLUME_POINTS, grid.axes.length, 21)) {
    const point = grid.fromUnit(unit);
    if (!grid.allowed(point)) continue;
    allowed++;
    const coordinates = grid.coordinates(point);
    const chance = chances.chance(coordinates, 1e-3);
    if (chance >= level) above++;
    if (chance < 0.02) continue;
    chances.perDraw(coordinates, draws);
    for (let m = 0; m < draws.length; m++) if (draws[m]! >= level) inside[m]!++;
  }
  const shareOf = (count: number): number => count / Math.max(allowed, 1);
  const share = shareOf(above);
  return { share, interval: intervalAbout(share, inside.map(shareOf)) };
}

/**
 * How much of the allowed settings keeps the level, in a sentence; doubt counts against a setting, so that the share itself
 * often stands at the low end of what the coupons leave open.
 *
 * @param chance - which chance: "that chance"
 */
export function volumeText(
  { share, interval: [low, high] }: ProcessWindow["volume"],
  chance: string,
): string {
  const [own, from, to] = [share, low, high].map((value) => percent(value, 1));
  if (from === to) return `${own} of all allowed settings keep ${chance}.`;
  if (own === from)
    return `At least ${own} of all allowed settings keep ${chance}, doubt counted against them; up to ${to} may (90 % interval).`;
  if (own === to)
    return `At most ${own} of all allowed settings keep ${chance}; it may be ${from} (90 % interval).`;
  return `${own} of all allowed settings keep ${chance} (90 % interval ${from} to ${to}).`;
}

function windowFindings(model: OutcomeModel, best: number, asked: number): readonly Finding[] {
  const findings: Finding[] = [];
  if (best < asked) {
    findings.push({
      code: "level-not-reached",
      severity: "warning",
      message: `no setting reaches a chance of ${asked}; the best known one has ${fixed(best, 3)}`,
      advice: "run the coupons proposed next, widen a factor range, or loosen the tightest specification",
    });
  }
  findings.push(...unspecified(model.definition));
  if (model.coupons === 0) {
    findings.push({
      code: "no-coupons",
      severity: "warning",
      message: "no coupon has been logged: this window rests on trade rules alone",
      advice: "run the first coupons before trusting any of it",
    });
  }
  return findings;
}
