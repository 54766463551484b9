import { normalQuantile, type RandomStream, sobolPoints } from "../numeric/index.js";
import type { DrawMatrix } from "./batch.js";
import { type Came, type CandidateChances, type Foreseen, foresee } from "./foreseen.js";

/** Candidates compared after each possible outcome. */
const COMPARED = 300;
/** Readings tried of a coupon that passes. */
const READINGS = 16;

/**
 * Expected rise of the best attainable chance when one candidate is run: over its possible outcomes (it fails, or passes and
 * its dimensions are read) of the best candidate's chance, less the best chance now.
 *
 * @source knowledge gradient: P. Frazier, W. Powell and S. Dayanik, INFORMS J. Comput. 21 (2009) 599; here on draws for
 *   verdicts and by normal regression for dimensions
 */
export function expectedGain(chances: CandidateChances, candidate: number): number {
  const foreseen = foresee(chances, [candidate, ...everySo(chances.passing, COMPARED)]);
  const known = foreseen.nothing();
  const passes = foreseen.passes(known, 0);
  const after = readingsOf(foreseen).reduce(
    (sum, surprises) => sum + foreseen.bestAfter(known, 0, { passed: true, surprises }) / READINGS,
    0,
  );
  const failed = foreseen.bestAfter(known, 0, { passed: false, surprises: [] });
  return Math.max(0, passes * after + (1 - passes) * failed - foreseen.best(known));
}

/** Readings spread over what they may show. */
const readingsOf = ({ quantities }: Foreseen): readonly (readonly number[])[] =>
  quantities === 0
    ? Array.from({ length: READINGS }, () => [])
    : sobolPoints(READINGS, quantities, 5).map((unit) => unit.map((u) => normalQuantile(u)));

/** Times each draw is taken for the truth when the gain of a batch is told. */
const REPEATS = 4;
/** Coupons of a batch up to which every draw is; what a world costs grows with their square, and fewer worlds tell as much. */
const USUAL = 24;
const FEWEST_WORLDS = 64;

/** Worlds simulated for a batch, spread over the draws. */
const worldsFor = (batch: number, draws: number): number =>
  batch <= USUAL
    ? REPEATS * draws
    : Math.max(Math.min(FEWEST_WORLDS, draws), Math.round(REPEATS * draws * (USUAL / batch) ** 2));

/**
 * Expected rise of the best attainable chance once a whole batch is run: each draw taken for the truth in
 * turn, the outcomes of the batch simulated under it, and all settings judged by what they taught.
 */
export function batchGain(chances: CandidateChances, batch: readonly number[], stream: RandomStream): number {
  const foreseen = foresee(chances, [...batch, ...everySo(chances.passing, COMPARED)]);
  const { draws } = foreseen;
  const worlds = worldsFor(batch.length, draws);
  const drawOf = (world: number): number =>
    worlds < draws ? Math.floor((world * draws) / worlds) : world % draws;
  let after = 0;
  for (let world = 0; world < worlds; world++) {
    let known = foreseen.nothing();
    batch.forEach((candidate, place) => {
      const chance = chances.passing[candidate]![drawOf(world)]!;
      known = foreseen.learn(known, place, outcome(foreseen, chance, stream));
    });
    after += foreseen.best(known) / worlds;
  }
  return Math.max(0, after - foreseen.best(foreseen.nothing()));
}

/** What a coupon that passes with this chance comes out as. */
function outcome({ quantities }: Foreseen, passes: number, stream: RandomStream): Came {
  const passed = stream.uniform() < passes;
  return { passed, surprises: Array.from({ length: quantities }, () => stream.normal()) };
}

/** Some rows spread over the matrix, the first one among them. */
export function everySo(matrix: DrawMatrix, most: number): readonly number[] {
  const stride = Math.max(1, Math.floor(matrix.length / most));
  return matrix.flatMap((_, i) => (i % stride === 0 ? [i] : []));
}
