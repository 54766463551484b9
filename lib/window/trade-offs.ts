import { onlyDefined } from "../errors/index.js";
import {
  knownQuantity,
  type OutcomeModel,
  type PhysicalSetting,
  physicalSettingOf,
  type RigPhysics,
  rigPhysics,
  type Settings,
} from "../models/index.js";
import { type SettingWithUnit, searchBest, withUnits } from "./best-setting.js";
import { type Expense, priceOf } from "./coupon-price.js";

/** What a metre of bead takes at one setting: arc time, wire, and gas during arc time. */
export interface Consumption extends Expense {
  /** Wire, gas and labour by the study's costs, in its currency. */
  readonly cost?: number;
}

/** A setting nothing beats in chance and in what it takes at once. */
export interface TradeOff {
  readonly settings: readonly SettingWithUnit[];
  readonly chance: number;
  readonly perMetre: Consumption;
}

/** Safest, fastest and cheapest settings and what lies between. Plain data. */
export interface TradeOffs {
  readonly safest: TradeOff;
  /** Least arc time, and least cost (wire where no costs are given), among settings that keep the level. */
  readonly fastest?: TradeOff;
  readonly cheapest?: TradeOff;
  /** Settings that no other beats in chance and arc time at once, and in chance and cost: safest first. */
  readonly byTime: readonly TradeOff[];
  readonly byCost: readonly TradeOff[];
  readonly level: number;
}

/** Choices of {@link tradeOffs}. */
export interface TradeOffOptions {
  /** Chance that fastest and cheapest must keep. Default 0.9 of the best chance. */
  readonly level?: number;
  readonly seed?: number;
}

/** Chances below this share of the best are no trade-off worth listing. */
const LEAST_SHARE = 0.5;

/**
 * Weighs the chance of conformance against arc time, wire, gas and cost per metre of bead.
 *
 * @throws {BeadbenchError} `infeasible` when the study's limits leave no setting
 */
export function tradeOffs(model: OutcomeModel, options: TradeOffOptions = {}): TradeOffs {
  const { grid, pool } = searchBest(model, options.seed ?? model.seed);
  const physics = rigPhysics(model);
  const best = pool[0]!.score;
  const all = pool
    .filter(({ score }) => score >= LEAST_SHARE * best)
    .map(({ point, score }): TradeOff => {
      const settings = grid.settings(point);
      return {
        settings: withUnits(model, settings),
        chance: score,
        perMetre: consumption(model, physics, settings),
      };
    });
  const level = options.level ?? 0.9 * best;
  const kept = all.filter(({ chance }) => chance >= level);
  const cost = ({ perMetre }: TradeOff): number | undefined => perMetre.cost ?? perMetre.wire;
  const time = ({ perMetre }: TradeOff): number | undefined => perMetre.minutes;
  const fastest = least(kept, time);
  const cheapest = least(kept, cost);
  return {
    safest: all[0]!,
    ...onlyDefined({ fastest, cheapest }),
    byTime: front(all, time),
    byCost: front(all, cost),
    level,
  };
}

function consumption(model: OutcomeModel, physics: RigPhysics, settings: Settings): Consumption {
  const setting: PhysicalSetting = physicalSettingOf(model, settings);
  const { travel_speed: travel, gas_flow: flow } = setting;
  if (travel === undefined) return {};
  const minutes = 1000 / travel / 60;
  const rate = knownQuantity("deposition_rate", setting, physics);
  const wire = rate === undefined ? undefined : (rate / physics.depositionEfficiency.value) * minutes * 60;
  const gas = flow === undefined ? undefined : flow * minutes;
  const effort = {
    minutes,
    ...onlyDefined({ wire, gas }),
  };
  const cost = priceOf(model.definition, effort);
  return { ...effort, ...onlyDefined({ cost }) };
}

type Measure = (tradeOff: TradeOff) => number | undefined;

function least(from: readonly TradeOff[], measure: Measure): TradeOff | undefined {
  let best: TradeOff | undefined;
  for (const item of from) {
    const value = measure(item);
    if (value !== undefined && (best === undefined || value < measure(best)!)) best = item;
  }
  return best;
}

/** Walks from the safest down, keeping what takes less than everything safer. */
function front(sortedByChance: readonly TradeOff[], measure: Measure): readonly TradeOff[] {
  const kept: TradeOff[] = [];
  let smallest = Number.POSITIVE_INFINITY;
  for (const item of sortedByChance) {
    const value = measure(item);
    if (value === undefined || value >= smallest) continue;
    smallest = value;
    kept.push(item);
  }
  return kept;
}
