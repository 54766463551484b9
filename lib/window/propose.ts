import { BeadbenchError, type Finding, requireCount } from "../errors/index.js";
import type { OutcomeModel } from "../models/index.js";
import { randomStream } from "../numeric/index.js";
import type { Coupon } from "../study/index.js";
import { pickByDraws, pickBySpread } from "./batch.js";
import { type BestSearch, type SettingWithUnit, searchBest, withUnits } from "./best-setting.js";
import { conformanceAt } from "./conformance.js";
import { couponPrice } from "./coupon-price.js";
import { controlProposal, dayFindings } from "./day-shifts.js";
import { batchGain, expectedGain } from "./expected-gain.js";
import { type Budget, type CouponExpense, couponExpense, paidFor } from "./expense.js";
import type { CandidateChances } from "./foreseen.js";
import { hardGroups } from "./hard-factors.js";
import { type Lesson, lessonsOf } from "./lessons.js";
import { partingCoupons, TANGLED } from "./parting.js";
import type { Scored } from "./pool.js";
import type { Aim, Proposal } from "./proposal.js";
import { reasonFor, reasonText } from "./reason.js";
import { orderAgainstTrend } from "./run-order.js";
import { sizeBeliefs } from "./size-beliefs.js";
import { type StoppingAdvice, stoppingAdvice } from "./stopping.js";
import { unspecified } from "./unspecified.js";
import { pickByGain } from "./verdict-picks.js";

/** Choices of {@link proposeNext}. */
export interface ProposeOptions {
  readonly coupons: number;
  /** Default "hit". */
  readonly aim?: Aim;
  /** Default: the model's. */
  readonly seed?: number;
  /** Chance at the edge to pin. Default 0.8, or half of the best chance when that is lower. */
  readonly level?: number;
  /** How many of the coupons repeat the recommended setting, to confirm it. Default 0 */
  readonly confirm?: number;
  /** Whether the first of the coupons is a control, see {@link OutcomeModel.control}. Default false */
  readonly control?: boolean;
  /** The coupons the model was built from: where settings moved together in them, some proposals part these. */
  readonly logged?: readonly Coupon[];
  /** Most that the coupons may take together: as many of them are proposed as it pays for. */
  readonly budget?: Budget;
}

/** The next coupons, in the order to run them. Plain data. */
export interface Proposals {
  readonly aim: Aim;
  readonly proposals: readonly Proposal[];
  readonly best: { readonly settings: readonly SettingWithUnit[]; readonly chance: number };
  /** Expected rise of the best known chance once all of them are run. */
  readonly batchGain: number;
  readonly stopping: StoppingAdvice;
  /** What the checks have taught so far, as far as they have. */
  readonly learnt: readonly Lesson[];
  readonly seed: number;
  readonly findings: readonly Finding[];
}

/** Candidates compared under every posterior draw. */
const CANDIDATES = 1200;

/**
 * Proposes the coupons most worth running next, from the first batch on: before any coupon the physics alone
 * places them, on the ridge of wire feed over travel speed that lays the specified section.
 *
 * @throws {BeadbenchError} `bad-argument` unless coupons is a whole number from 1 to 200; `infeasible`
 *   when the study's limits leave no setting, or the budget pays for no coupon
 */
export function proposeNext(model: OutcomeModel, options: ProposeOptions): Proposals {
  const asked = requireCount("coupons", options.coupons, { min: 1, max: 200 });
  const coupons = options.control === true ? asked - 1 : asked;
  const aim = options.aim ?? "hit";
  const seed = options.seed ?? model.seed;
  const stream = randomStream(seed).split(`propose/${model.coupons}`);
  const search = searchBest(model, seed);
  const best = search.pool[0]!;
  const level = options.level ?? Math.min(0.8, 0.5 * best.score);
  const confirm = Math.min(requireCount("coupons to confirm", options.confirm ?? 0), coupons);
  const free = coupons - confirm;
  const parting =
    aim === "edge"
      ? undefined
      : partingCoupons(model, search, {
          logged: options.logged ?? [],
          tangled: TANGLED[aim],
          // To hit the specification is what was asked for: a third of the coupons may serve something else.
          count: aim === "explore" ? free : Math.max(0, Math.min(free - 1, Math.ceil(free / 3))),
        });
  const parted = parting?.picks ?? [];
  const usual = candidatesOf(search, aim, level);
  const candidates = [...usual, ...parted.filter((pick) => !usual.includes(pick))];
  const draws = drawsOf(model, search, candidates);
  const grouped = hardGroups({
    grid: search.grid,
    candidates,
    matrix: draws.conforming,
    coupons: free,
  });
  const usable = (index: number): boolean => grouped(index) && !parted.includes(candidates[index]!);
  const prices = couponPrice(model);
  const price = (index: number): number =>
    Math.max(prices?.(search.grid.settings(candidates[index]!.point)) ?? 1, Number.MIN_VALUE);
  const picked = pick({
    aim,
    chances: draws,
    count: free - parted.length,
    level,
    stream,
    price,
    usable,
    known: model.coupons,
  });
  const top = candidates.indexOf(best);
  const chosen: { readonly index: number; readonly role: Aim | "confirm" | "part" }[] = [
    ...parted.map((pick) => ({ index: candidates.indexOf(pick), role: "part" as const })),
    ...picked.map((index) => ({ index, role: aim })),
    ...Array.from({ length: confirm }, () => ({ index: top, role: "confirm" as const })),
  ];
  const expense = couponExpense(model);
  const expenses = chosen.map(({ index }) => expense(search.grid.settings(candidates[index]!.point)));
  const control = options.control === true ? [controlProposal(model, search.chances)] : [];
  const paid =
    affordable(options.budget, [...control.map((one) => one.expense), ...expenses]) - control.length;
  const hard = search.grid.axes.flatMap((axis, j) => (axis.hard ? [j] : []));
  const bought = chosen.slice(0, paid).map(({ index }) => candidates[index]!);
  const order = orderAgainstTrend(
    bought.map(({ coordinates }) => coordinates),
    bought.map(({ point }) => hard.map((j) => point[j]!).join("/")),
    stream.split("order"),
  );
  const proposals = order.map((i): Proposal => {
    const { index, role } = chosen[i]!;
    const candidate = candidates[index]!;
    const found = conformanceAt(model, search.chances, candidate.coordinates);
    const survival = Object.values(found.perCheck).reduce((product, value) => product * value, 1);
    const gain = expectedGain(draws, index);
    const settings = search.grid.settings(candidate.point);
    const known = { ...found, survival, gain, level };
    const reason = reasonFor({ model, settings, role, known, parting });
    return {
      settings: withUnits(model, settings),
      role,
      chance: found.chance,
      survival,
      interval: found.interval,
      expectedGain: gain,
      why: reasonText(reason),
      reason,
      expense: expenses[i]!,
    };
  });
  return {
    aim,
    proposals: [...control, ...proposals],
    best: { settings: withUnits(model, search.grid.settings(best.point)), chance: best.score },
    batchGain: batchGain(
      draws,
      chosen.slice(0, paid).map(({ index }) => index),
      stream.split("batch"),
    ),
    stopping: stoppingAdvice(model, draws, best.score),
    learnt: lessonsOf(model),
    seed,
    findings: [
      ...model.findings,
      ...unspecified(model.definition),
      ...(options.control === true ? [] : dayFindings(model, best)),
      ...fewSettings(coupons, chosen.length),
    ],
  };
}

/**
 * How many of the coupons chosen are proposed.
 *
 * @throws {BeadbenchError} `infeasible` where the budget does not pay for one
 */
function affordable(budget: Budget | undefined, expenses: readonly CouponExpense[]): number {
  if (budget === undefined) return expenses.length;
  const paid = paidFor(budget, expenses);
  if (paid > 0 || expenses.length === 0) return paid;
  throw new BeadbenchError("infeasible", "the budget pays for no coupon at all; raise it");
}

function fewSettings(asked: number, found: number): readonly Finding[] {
  if (found >= asked) return [];
  return [
    {
      code: "few-settings",
      severity: "warning",
      message: `${asked} coupons were asked for, but only ${found} different settings come into question`,
      advice: "repeat some of these settings, make a step finer or widen a factor",
    },
  ];
}

/** Settings worth comparing: the best ones to hit; some from everywhere else to explore and for the edge. */
export function candidatesOf({ pool }: BestSearch, aim: Aim, level: number): readonly Scored[] {
  if (aim === "hit") {
    const top = pool.slice(0, CANDIDATES / 2);
    const rest = pool.slice(CANDIDATES / 2).filter((item) => item.score > 1e-3 * pool[0]!.score);
    const every = Math.max(1, Math.ceil((2 * rest.length) / CANDIDATES));
    return [...top, ...rest.filter((_, i) => i % every === 0)];
  }
  const best = pool[0]!;
  const near = pool.slice(1).filter((item) => item.score > 0.02 * level);
  const stride = Math.max(1, Math.ceil(near.length / CANDIDATES));
  return [best, ...near.filter((_, i) => i % stride === 0)];
}

/** Chances of each candidate under each draw, and what is believed of its dimensions. */
export function drawsOf(
  model: OutcomeModel,
  search: BestSearch,
  candidates: readonly { readonly coordinates: Float64Array }[],
): CandidateChances {
  const { chances } = search;
  const empty = (): Float64Array => new Float64Array(chances.predictor.draws);
  const conforming = candidates.map(empty);
  const passing = candidates.map(empty);
  candidates.forEach(({ coordinates }, i) => {
    chances.perDraw(coordinates, conforming[i]!, passing[i]!);
  });
  const points = candidates.map(({ coordinates }) => coordinates);
  return { conforming, passing, sizes: sizeBeliefs(model, search, points) };
}

/** Draws averaged for the picks of "hit" that are not made by expected gain, in turn. */
const GROUPS: readonly number[] = [1, 1, 2, 2, 4, 8];
/** Most coupons of a batch picked by expected gain: a question per coupon, and time grows with their square. */
const BY_GAIN = 24;

interface Pick {
  readonly aim: Aim;
  readonly chances: CandidateChances;
  readonly count: number;
  readonly level: number;
  readonly stream: ReturnType<typeof randomStream>;
  readonly price: (candidate: number) => number;
  readonly usable: (candidate: number) => boolean;
  /** Coupons logged so far. */
  readonly known: number;
}

function pick({ aim, chances, count, level, stream, price, usable, known }: Pick): readonly number[] {
  const { conforming: matrix, passing: passes } = chances;
  if (aim === "hit") {
    // With nothing logged a coupon tells too little to be chosen by what it changes.
    const byGain = known === 0 ? 0 : Math.min(count, BY_GAIN);
    const first = byGain === 0 ? [] : pickByGain({ chances, count: byGain, stream, price, usable });
    const left = (candidate: number): boolean => usable(candidate) && !first.includes(candidate);
    return [
      ...first,
      ...pickByDraws({ matrix, count: count - first.length, groups: GROUPS, stream, usable: left }),
    ];
  }
  if (aim === "edge")
    return pickBySpread({ matrix, count, score: (mean, sd) => 1.96 * sd - Math.abs(mean - level), usable });
  // Nothing measured yet: where coupons survive matters more than whether they conform.
  const what = known === 0 ? passes : matrix;
  return pickBySpread({ matrix: what, count, score: (mean, sd) => sd * Math.sqrt(mean), usable });
}
