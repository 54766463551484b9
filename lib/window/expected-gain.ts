import type { RandomStream } from "../numeric/index.js";
import type { DrawMatrix } from "./batch.js";

/** Candidates compared after each possible outcome of one coupon, and of a batch. */
const COMPARED = { one: 300, batch: 200 } as const;
/** Rigs simulated when a batch is chosen, each by one posterior draw. */
const WORLDS = 48;
/** Settings of highest chance that a batch may always choose from. */
const LEADERS = 6;

/** Chances of every candidate (row) under every posterior draw (column). */
export interface CandidateChances {
  /** Of conforming. */
  readonly conforming: DrawMatrix;
  /** Of passing all checks. */
  readonly passing: DrawMatrix;
}

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

/**
 * Expected rise of the best attainable chance when one candidate is run: over its possible outcomes of the
 * best candidate's chance, the draws weighed by how well they foretold the outcome, less the best chance now.
 *
 * @source knowledge gradient: P. Frazier, W. Powell and S. Dayanik, INFORMS J. Comput. 21 (2009) 599; here on draws
 */
export function expectedGain(
  { conforming: matrix, passing: passes }: CandidateChances,
  candidate: number,
): number {
  const draws = matrix[0]!.length;
  const compared = everySo(matrix, COMPARED.one);
  const even = new Float64Array(draws).fill(1 / draws);
  const weights = new Float64Array(draws);
  let after = 0;
  for (const outcome of outcomes) {
    for (let m = 0; m < draws; m++) {
      weights[m] = likelihood(outcome, matrix[candidate]![m]!, passes[candidate]![m]!) / draws;
    }
    after += bestOf(compared, weights);
  }
  return Math.max(0, after - bestOf(compared, even));
}

/** Times each draw is taken for the truth when the gain of a batch is told. */
const REPEATS = 4;

/**
 * Expected rise of the best attainable chance once a whole batch is run: each draw taken for the truth in
 * turn, the outcomes of the batch simulated under it, and the draws weighed by them.
 */
export function batchGain(
  { conforming: matrix, passing: passes }: CandidateChances,
  batch: readonly number[],
  stream: RandomStream,
): number {
  const draws = matrix[0]!.length;
  const compared = everySo(matrix, COMPARED.one);
  const even = new Float64Array(draws).fill(1 / draws);
  const weights = new Float64Array(draws);
  let after = 0;
  for (let world = 0; world < REPEATS * draws; world++) {
    const truth = world % draws;
    weights.set(even);
    for (const c of batch) {
      const outcome = outcomeOf(matrix[c]![truth]!, passes[c]![truth]!, stream.uniform());
      reweigh({ weights, outcome, conforms: matrix[c]!, passes: passes[c]! });
    }
    after += bestOf(compared, weights) / (REPEATS * draws);
  }
  return Math.max(0, after - bestOf(compared, even));
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
 * a batch does not ask the same question twice. Only candidates that some draw holds for the best, and the
 * leaders, come into question.
 */
export function pickByGain({ chances, count, stream, price, usable }: GainPick): readonly number[] {
  const { conforming: matrix, passing: passes } = chances;
  const draws = matrix[0]!.length;
  const options = contenders(matrix, usable);
  const prices = new Map(options.map((candidate) => [candidate, price(candidate)]));
  const compared = [...new Set([...options.map((i) => matrix[i]!), ...everySo(matrix, COMPARED.batch)])];
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

/** Some rows spread over the matrix, the first one among them. */
function everySo(matrix: DrawMatrix, most: number): DrawMatrix {
  const stride = Math.max(1, Math.floor(matrix.length / most));
  return matrix.filter((_, i) => i % stride === 0);
}

/** Highest weighted mean among the rows. */
function bestOf(rows: DrawMatrix, weights: Float64Array): number {
  let best = 0;
  for (const row of rows) {
    let sum = 0;
    for (let m = 0; m < weights.length; m++) sum += weights[m]! * row[m]!;
    if (sum > best) best = sum;
  }
  return best;
}
