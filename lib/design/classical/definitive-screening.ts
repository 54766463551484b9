import { requireCount, requireThat } from "../../errors/index.js";
import type { CodedRun } from "../runs/index.js";

/** Arithmetic of a finite field: elements 0 .. q-1, difference and quadratic character (0, +1 or -1). */
interface Field {
  readonly q: number;
  readonly subtract: (a: number, b: number) => number;
  readonly character: (a: number) => number;
}

/** The integers modulo a prime. */
function primeField(q: number): Field {
  const squares = new Set(Array.from({ length: q - 1 }, (_, i) => ((i + 1) * (i + 1)) % q));
  return {
    q,
    subtract: (a, b) => (a - b + q) % q,
    character: (a) => (a === 0 ? 0 : squares.has(a) ? 1 : -1),
  };
}

/** Nine elements a + b i over the integers modulo 3, i^2 = -1, numbered a + 3b; squares have norm 1. */
const nineField: Field = {
  q: 9,
  subtract: (x, y) => ((x - y + 9) % 3) + 3 * ((Math.floor(x / 3) - Math.floor(y / 3) + 3) % 3),
  character: (x) => {
    const [a, b] = [x % 3, Math.floor(x / 3)];
    return x === 0 ? 0 : (a * a + b * b) % 3 === 1 ? 1 : -1;
  },
};

/**
 * Conference matrix: zeros on the diagonal, -1 and +1 elsewhere, C'C = (m - 1) I. Paley's construction
 * from the quadratic characters of a field of m - 1 elements.
 *
 * @param order - m: 4, 6, 8, 10 or 12
 * @throws {BeadbenchError} `bad-argument` for another order
 * @source Paley, Journal of Mathematics and Physics 12 (1933) 311-320
 */
export function conferenceMatrix(order: number): readonly (readonly number[])[] {
  requireThat(
    [4, 6, 8, 10, 12].includes(order),
    `conference matrices exist here of order 4, 6, 8, 10 or 12, got ${order}`,
  );
  const { q, subtract, character } = order === 10 ? nineField : primeField(order - 1);
  const corner = q % 4 === 1 ? 1 : -1;
  const elements = Array.from({ length: q }, (_, i) => i);
  return [
    [0, ...elements.map(() => 1)],
    ...elements.map((a) => [corner, ...elements.map((b) => character(subtract(a, b)))]),
  ];
}

/**
 * Definitive screening plan: a conference matrix, its mirror image and one centre run. Main effects are
 * orthogonal to each other and to every square and product; three levels show curvature. With an odd
 * number of factors one column of the next matrix is left out.
 *
 * @param factors - 3 to 12, all numeric
 * @returns 2m + 1 runs, m the even number not below `factors`
 * @throws {BeadbenchError} `bad-argument` outside 3 to 12
 * @source Jones and Nachtsheim, Journal of Quality Technology 43 (2011) 1-15; Xiao, Lin and Bai, same
 *   journal 44 (2012) 2-8 (conference matrices)
 */
export function definitiveScreening(factors: number): readonly CodedRun[] {
  requireCount("number of factors", factors, { min: 3, max: 12 });
  const half = conferenceMatrix(factors + (factors % 2)).map((row) => row.slice(0, factors));
  const run = (coded: readonly number[]): CodedRun => ({
    role: coded.every((x) => x === 0) ? "centre" : "edge",
    coded,
  });
  const mirrored = half.flatMap((row) => [row, row.map((x) => (x === 0 ? 0 : -x))]);
  return [...mirrored, half[0]!.map(() => 0)].map(run);
}
