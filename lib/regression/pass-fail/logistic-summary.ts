import { type LogisticProblem, logisticChance } from "./logistic-likelihood.js";

/** y ln(y / m p) + (m - y) ln((m - y) / (m - m p)), twice, summed; 0 ln 0 = 0. */
export function devianceOf({ passes, trials }: LogisticProblem, logits: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < passes.length; i++) {
    const failures = trials[i]! - passes[i]!;
    if (passes[i]! > 0) sum += passes[i]! * Math.log(passes[i]! / (trials[i]! * logisticChance(logits[i]!)));
    if (failures > 0) sum += failures * Math.log(failures / (trials[i]! * logisticChance(-logits[i]!)));
  }
  return 2 * sum;
}

/** The shift s with sum m p(logit + s) = sum y, by guarded Newton steps; undefined when all passed or all failed. */
export function meanMatchingShift(problem: LogisticProblem, logits: Float64Array): number | undefined {
  const { passes, trials } = problem;
  const total = passes.reduce((a, b) => a + b, 0);
  if (total === 0 || total === trials.reduce((a, b) => a + b, 0)) return undefined;
  let shift = 0;
  for (let iteration = 0; iteration < 100; iteration++) {
    let excess = -total;
    let slope = 0;
    for (let i = 0; i < passes.length; i++) {
      const chance = logisticChance(logits[i]! + shift);
      excess += trials[i]! * chance;
      slope += trials[i]! * chance * (1 - chance);
    }
    const step = Math.max(-2, Math.min(2, excess / slope));
    shift -= step;
    if (Math.abs(step) < 1e-14) break;
  }
  return shift;
}
