import { type Finding, requireCount, requireThat } from "../errors/index.js";
import {
  buildOutcomeModel,
  type LayerSet,
  type OutcomeModelOptions,
  outcomeData,
  selectLayers,
} from "../models/index.js";
import type { Coupon, StudyData } from "../study/index.js";
import { type SettingWithUnit, searchBest, withUnits } from "./best-setting.js";
import { conformanceAt } from "./conformance.js";
import { gainTogether } from "./coupon-gains.js";

/** What was known after the first so many coupons. */
export interface LearningStep {
  readonly coupons: number;
  /** The last of them; absent before any. */
  readonly last?: string;
  readonly best: readonly SettingWithUnit[];
  /** Chance of the best known setting, and at least 90 % of what the coupons leave open about it. */
  readonly chance: number;
  readonly interval: readonly [lower: number, upper: number];
}

/** What the coupons between two steps added to the best known chance. */
export interface LearnedBatch {
  /** First and last of them. */
  readonly from: string;
  readonly to: string;
  readonly coupons: number;
  /** Rise expected of them before they were run, by the model of that time; of over 100, by 100 spread among them. */
  readonly expected: number;
  /** Rise that came; below 0 where they showed that the chance was thought too high. */
  readonly gained: number;
}

/** How a study learned. Plain data. */
export interface LearningCurve {
  readonly steps: readonly LearningStep[];
  readonly batches: readonly LearnedBatch[];
  readonly findings: readonly Finding[];
}

/** Choices of {@link learningCurve}, and of {@link buildOutcomeModel}. */
export interface LearningOptions extends OutcomeModelOptions {
  /** Numbers of coupons to look at. Default: 6 spread evenly from 0 to all. */
  readonly at?: readonly number[];
  /** Coupons left out. */
  readonly without?: readonly string[];
  /** Default: the set with more coupons. */
  readonly layers?: LayerSet;
}

/** Numbers of coupons looked at where none are named. */
const STEPS = 6;

/**
 * The best known chance against the number of coupons: the outcome model and the search of {@link recommendPreset} on the
 * first n coupons in run order, as the record holds them now. It is what would have been claimed then, not what is true of
 * these settings: a curve may fall when coupons show that an early claim was too high. Each number takes a model and a
 * search of its own, about half a second.
 *
 * It misleads where coupons were corrected late: corrections known today count from the start.
 *
 * @throws {BeadbenchError} `bad-argument` for a number of coupons the study has not logged, `infeasible` when the study's
 *   limits leave no setting
 */
export function learningCurve(
  { definition, coupons }: StudyData,
  { at, without = [], layers: wanted, ...options }: LearningOptions = {},
): LearningCurve {
  const { layers, coupons: selected, findings } = selectLayers({ coupons }, wanted);
  const run = selected
    .filter(({ id, state }) => state === "logged" && !without.includes(id))
    .sort((a, b) => a.order - b.order);
  const numbers = at === undefined ? spread(run.length) : ascending(at, run.length);
  const steps: LearningStep[] = [];
  const batches: LearnedBatch[] = [];
  let foreseen = 0;
  numbers.forEach((n, i) => {
    const model = buildOutcomeModel(
      outcomeData({ definition, coupons: run.slice(0, n) }, { layers }),
      options,
    );
    const search = searchBest(model, model.seed);
    const best = search.pool[0]!;
    const { chance, interval } = conformanceAt(model, search.chances, best.coordinates);
    const last = run[n - 1]?.id;
    const before = steps.at(-1);
    if (before !== undefined) {
      const batch = run.slice(before.coupons, n);
      batches.push({ ...ends(batch), expected: foreseen, gained: chance - before.chance });
    }
    steps.push({
      coupons: n,
      ...(last === undefined ? {} : { last }),
      best: withUnits(model, search.grid.settings(best.point)),
      chance,
      interval,
    });
    const next = numbers[i + 1];
    if (next !== undefined) {
      const settings = run.slice(n, next).map((coupon) => coupon.settings);
      foreseen = gainTogether(model, search, settings);
    }
  });
  return { steps, batches, findings };
}

function ends(batch: readonly Coupon[]): Pick<LearnedBatch, "from" | "to" | "coupons"> {
  return { from: batch[0]!.id, to: batch.at(-1)!.id, coupons: batch.length };
}

/** Whole numbers from 0 to `all`, evenly spread. */
function spread(all: number): readonly number[] {
  const last = Math.min(STEPS - 1, all);
  return Array.from({ length: last + 1 }, (_, i) => (last === 0 ? 0 : Math.round((i * all) / last)));
}

function ascending(at: readonly number[], all: number): readonly number[] {
  requireThat(at.length > 0, "at: name at least one number of coupons");
  for (const n of at) {
    requireCount("number of coupons", n, { min: 0 });
    requireThat(n <= all, `number of coupons ${n}: the study has ${all} that were run`);
  }
  return [...new Set(at)].sort((a, b) => a - b);
}
