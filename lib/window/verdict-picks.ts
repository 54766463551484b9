import { dot, type RandomStream } from "../numeric/index.js";
import type { DrawMatrix } from "./batch.js";
import { everySo } from "./expected-gain.js";
import type { CandidateChances } from "./foreseen.js";

/** Candidates compared after each outcome. */
const COMPARED = 200;
/** Rigs simulated when a batch is chosen, each by one posterior draw. */
const WORLDS = 48;
/** Settings of highest chance that a batch may always choose from. */
const LEADERS = 6;

/** What a coupon can come out as: conforming, passing all checks but out of specification, failing. */
const outcomes = ["conforms", "passes", "fails"] as const;
type Outcome = (typeof outcomes)[number];

/** What a coupon comes out as in a world with these chances, by a uniform number. */
function outcomeOf(conforms: number, passes: number, luck: number): Outcome {
  return luck < conforms ? "conforms" : luck < passes ? "passes" : "fails";
}

/** Weights of the draws once a candidate came out so, scaled to a sum of 1. */
function reweigh({
  weights,
  outcome,
  conforms,
  passes,
}: {
  readonly weights: Float64Array;
  readonly outcome: Outcome;
  readonly conforms: Float64Array;
  readonly passes: Float64Array;
}): void {
  let sum = 0;
  for (let m = 0; m < weights.length; m++) {
    weights[m]! *= likelihood(outcome, conforms[m]!, passes[m]!);
    sum += weights[m]!;
  }
  for (let m = 0; m < weights.length; m++) weights[m]! /= sum;
}

function likelihood(outcome: Outcome, conforms: number, passes: number): number {
  if (outcome === "conforms") return conforms;
  return outcome === "passes" ? Math.max(0, passes - conforms) : 1 - passes;
}

/** What a batch is picked from. */
export interface GainPick {
  readonly chances: CandidateChances;
  readonly count: number;
  readonly stream: RandomStream;
  /** Of running each candidate, in any unit. */
  readonly price: (candidate: number) => number;
  /** Whether a candidate may be picked. */
  readonly usable: (candidate: number) => boolean;
}

/**
 * Picks a batch one by one, each time the candidate after which the best attainable chance is expected to be
 * highest per price. The outcomes of the coupons already picked are simulated under posterior draws, so that
 * a batch does not ask the same question twice. An outcome is a verdict, readings are not looked at: see the contributor
 * guide for what was tried. Only candidates that some draw holds for the best, and the
 * leaders, come into question.
 */
export function pickByGain({ chances, count, stream, price, usable }: GainPick): readonly number[] {
  const { conforming: matrix, passing: passes } = chances;
  const draws = matrix[0]!.length;
  const options = contenders(matrix, usable);
  const prices = new Map(options.map((candidate) => [candidate, price(candidate)]));
  const compared = [
    ...new Set([...options.map((i) => matrix[i]!), ...everySo(matrix, COMPARED).map((i) => matrix[i]!)]),
  ];
  const truths = stream.shuffle(Array.from({ length: draws }, (_, m) => m)).slice(0, WORLDS);
  const worlds = truths.map((truth) => ({ truth, weights: new Float64Array(draws).fill(1 / draws) }));
  let now = worlds.length * bestOf(compared, worlds[0]!.weights);
  const picked: number[] = [];
  const trial = new Float64Array(draws);
  const learn = ({ truth, weights }: (typeof worlds)[number], luck: number, c: number): Float64Array => {
    trial.set(weights);
    reweigh({
      weights: trial,
      outcome: outcomeOf(matrix[c]![truth]!, passes[c]![truth]!, luck),
      conforms: matrix[c]!,
      passes: passes[c]!,
    });
    return trial;
  };
  while (picked.length < count) {
    const luck = worlds.map(() => stream.uniform());
    let choice: { readonly candidate: number; readonly after: number; readonly gain: number } | undefined;
    for (const candidate of options) {
      if (picked.includes(candidate)) continue;
      let after = 0;
      worlds.forEach((world, w) => {
        after += bestOf(compared, learn(world, luck[w]!, candidate));
      });
      const gain = (after - now) / prices.get(candidate)!;
      if (choice === undefined || gain > choice.gain) choice = { candidate, after, gain };
    }
    if (choice === undefined) break;
    const { candidate } = choice;
    picked.push(candidate);
    now = choice.after;
    worlds.forEach((world, w) => {
      world.weights.set(learn(world, luck[w]!, candidate));
    });
  }
  return picked;
}

/** Candidates that are best under some draw, and the leaders by mean. */
function contenders(matrix: DrawMatrix, usable: (candidate: number) => boolean): readonly number[] {
  const allowed = matrix.flatMap((_, i) => (usable(i) ? [i] : []));
  const draws = matrix[0]!.length;
  const sums = matrix.map((row) => row.reduce((sum, value) => sum + value, 0));
  const found = new Set<number>();
  for (let m = 0; m < draws; m++) {
    let top: number | undefined;
    for (const i of allowed) if (top === undefined || matrix[i]![m]! > matrix[top]![m]!) top = i;
    if (top !== undefined) found.add(top);
  }
  for (const i of allowed.sort((a, b) => sums[b]! - sums[a]!).slice(0, LEADERS)) found.add(i);
  return [...found];
}

/** Highest weighted mean among the rows. */
function bestOf(rows: DrawMatrix, weights: Float64Array): number {
  let best = 0;
  for (const row of rows) best = Math.max(best, dot(weights, 0, row, 0, weights.length));
  return best;
}
