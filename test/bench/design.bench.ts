import { evaluatePlan, planCoupons } from "../../lib/design/index.js";
import { codedFactors, crossProducts, determinant, secondOrder } from "../design/coded.js";
import { codedSettings, rigFactors, rigLimits } from "../design/optimal/constrained-problem.js";

/**
 * Coordinate exchange on 4 factors, full quadratic, 24 coupons, two nonlinear limits: time of 50 starts on
 * one core, and D-efficiency of 100 seeds against the best of 5000 starts. Also the power of a plan against
 * simulated studies.
 *
 * Run alone: `npx tsx test/bench/design.bench.ts [seeds]`
 */
function search(seed: number, starts: number): { readonly logD: number; readonly milliseconds: number } {
  const before = process.cpuUsage();
  const plan = planCoupons({
    factors: rigFactors,
    limits: rigLimits,
    coupons: 24,
    design: "optimal",
    model: "quadratic",
    seed,
    repeats: 0,
    starts,
  });
  const { user, system } = process.cpuUsage(before);
  const rows = plan.runs.map((run) => secondOrder(codedSettings(rigFactors, run.settings)));
  return { logD: Math.log(determinant(crossProducts(rows))) / 15, milliseconds: (user + system) / 1000 };
}

const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1]!;

/** Runs the optimal-search bench and prints its figures. */
export function benchDesign(seeds = 100): void {
  const long = search(0, 5000);
  const short = Array.from({ length: seeds }, (_, i) => search(i + 1, 50));
  const best = Math.max(long.logD, ...short.map(({ logD }) => logD));
  const againstLong = short.map(({ logD }) => Math.exp(logD - long.logD));
  const good = againstLong.filter((efficiency) => efficiency >= 0.99).length;
  console.log(
    `optimal search, 50 starts: median ${median(short.map((s) => s.milliseconds)).toFixed(0)} ms of one core`,
  );
  console.log(
    `best of 5000 starts: log |X'X| / p = ${long.logD.toFixed(6)}; best seen anywhere ${best.toFixed(6)}`,
  );
  console.log(
    `relative D-efficiency >= 0.99 in ${good} of ${seeds} seeds; least ${Math.min(...againstLong).toFixed(4)}, median ${median(againstLong).toFixed(4)}`,
  );
  const evaluation = timed(() =>
    evaluatePlan(planCoupons({ factors: codedFactors(5), coupons: 46, design: "box-behnken", seed: 1 }), {
      model: "quadratic",
    }),
  );
  console.log(`evaluation of a 46-coupon Box-Behnken plan: ${evaluation.toFixed(0)} ms`);
}

function timed(work: () => unknown): number {
  const start = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(start);
  return (user + system) / 1000;
}

if (process.argv[1]?.endsWith("design.bench.ts")) benchDesign(Number(process.argv[2] ?? 100));
