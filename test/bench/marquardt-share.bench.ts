/**
 * What ml-levenberg-marquardt does in the nonlinear fits: its share of the steps and of the time, and how near the
 * answer its walk comes before the polish takes over. Figures for the guide for contributors.
 */
import { fitStudy } from "../../lib/models/index.js";
import { fitCurve, fitNonlinear, formulaModel } from "../../lib/regression/index.js";
import { MarquardtStep } from "../../lib/regression/nonlinear/levenberg-marquardt.js";
import { couponTable, createDemoStudy } from "../../lib/study/index.js";
import { nistProblems, nistResponse } from "../regression/nist-problems.js";

interface Watched {
  steps: number;
  /** ms inside the package and what it is handed. */
  time: number;
  walks: Set<unknown>;
  /** Sum of squares from which its last step set out. */
  rss: number;
}

/** Runs work with every step of the package watched. */
function watch<T>(work: () => T): { readonly result: T; readonly seen: Watched; readonly ms: number } {
  const seen: Watched = { steps: 0, time: 0, walks: new Set(), rss: Number.NaN };
  const { propose } = MarquardtStep.prototype;
  MarquardtStep.prototype.propose = function (this: MarquardtStep, step) {
    const begun = performance.now();
    const found = propose.call(this, step);
    seen.time += performance.now() - begun;
    seen.steps++;
    seen.walks.add(this);
    seen.rss = step.local.rss;
    return found;
  };
  const begun = performance.now();
  try {
    const result = work();
    return { result, seen, ms: performance.now() - begun };
  } finally {
    MarquardtStep.prototype.propose = propose;
  }
}

const percent = (part: number, whole: number): string => `${((100 * part) / whole).toFixed(1)} %`;

export function benchMarquardtShare(): void {
  const fits = nistProblems.flatMap((problem) => {
    const { variables, parameters } = problem;
    const model = formulaModel(problem.model, { variables, parameters });
    const rows = { x: problem.x, y: nistResponse(problem) };
    const solve = (start: readonly number[]) => fitNonlinear(rows, model, { start, starts: 0 });
    for (const start of problem.starts) solve(start);
    return problem.starts.map((start) => watch(() => solve(start)));
  });
  const sum = (of: (fit: (typeof fits)[number]) => number): number =>
    fits.reduce((total, fit) => total + of(fit), 0);
  const within = (share: number): number =>
    fits.filter(({ result, seen }) => seen.rss <= (1 + share) * result.rss).length;
  const all = sum(({ result }) => result.certificate.iterations);
  const its = sum(({ seen }) => seen.steps);
  console.log(
    `  NIST, ${fits.length} fits from the given starts, ${fits.filter(({ result }) => result.status === "converged").length} converged`,
  );
  console.log(`    steps of the package ${its} of ${all} (${percent(its, all)})`);
  console.log(
    `    time in the package ${percent(
      sum(({ seen }) => seen.time),
      sum(({ ms }) => ms),
    )}`,
  );
  console.log(`    fits with a step of it ${fits.filter(({ seen }) => seen.steps > 0).length}`);
  for (const share of [0.1, 1e-3, 1e-6])
    console.log(`    its last step set out within ${share} of the least sum of squares: ${within(share)}`);
  const study = createDemoStudy();
  const rows = couponTable(study)
    .filter((row: { bead_width: number | null }) => row.bead_width !== null)
    .objects() as Record<string, number>[];
  const formula = "a * current^b * travel_speed^c";
  const curve = watch(() => fitCurve({ rows, response: "bead_width" }, { formula }));
  console.log(`  demo study, fitCurve of ${formula}`);
  console.log(
    `    steps of the package ${curve.seen.steps} of ${curve.result.fit.certificate.iterations}, time ${percent(curve.seen.time, curve.ms)}`,
  );
  fitStudy(study);
  const demo = watch(() => fitStudy(study));
  console.log("  demo study, fitStudy");
  console.log(
    `    walks ${demo.seen.walks.size}, steps ${demo.seen.steps}, time in the package ${percent(demo.seen.time, demo.ms)}`,
  );
}
