import { requireCount, requireThat } from "../../errors/index.js";
import { randomStream } from "./random.js";

/**
 * Primitive polynomials and initial direction numbers for dimensions 2 and up: degree, coefficients of
 * the inner terms read as a binary number, m_1 ... m_degree.
 *
 * Source: S. Joe and F. Y. Kuo, "Constructing Sobol sequences with better two-dimensional projections",
 * SIAM J. Sci. Comput. 30 (2008) 2635-2654, their set D(6). Held to SciPy's points in the tests.
 */
const JOE_KUO: readonly (readonly [degree: number, inner: number, m: readonly number[]])[] = [
  [1, 0, [1]],
  [2, 1, [1, 3]],
  [3, 1, [1, 3, 1]],
  [3, 2, [1, 1, 1]],
  [4, 1, [1, 1, 3, 3]],
  [4, 4, [1, 3, 5, 13]],
  [5, 2, [1, 1, 5, 5, 17]],
  [5, 4, [1, 1, 5, 5, 5]],
  [5, 7, [1, 1, 7, 11, 19]],
  [5, 11, [1, 1, 5, 1, 1]],
  [5, 13, [1, 1, 1, 3, 11]],
  [5, 14, [1, 3, 5, 5, 31]],
  [6, 1, [1, 3, 3, 9, 7, 49]],
  [6, 13, [1, 1, 1, 15, 21, 21]],
  [6, 16, [1, 3, 1, 13, 27, 49]],
  [6, 19, [1, 1, 1, 15, 7, 5]],
  [6, 22, [1, 3, 1, 15, 13, 25]],
  [6, 25, [1, 1, 5, 5, 19, 61]],
  [7, 1, [1, 3, 7, 11, 23, 15, 103]],
  [7, 4, [1, 3, 7, 13, 13, 15, 69]],
];

/** Most dimensions {@link sobolPoints} offers. */
export const SOBOL_MAX_DIMENSIONS = JOE_KUO.length + 1;

const BITS = 32;

/** The 32 direction numbers of one dimension (0-based), most significant bit first. */
function directionNumbers(dimension: number): Uint32Array {
  const v = new Uint32Array(BITS);
  if (dimension === 0) {
    for (let k = 0; k < BITS; k++) v[k] = 2 ** (31 - k);
    return v;
  }
  const [degree, inner, m] = JOE_KUO[dimension - 1]!;
  for (let k = 0; k < degree; k++) v[k] = m[k]! * 2 ** (31 - k);
  for (let k = degree; k < BITS; k++) {
    let value = v[k - degree]! ^ (v[k - degree]! >>> degree);
    for (let i = 1; i < degree; i++) if ((inner >>> (degree - 1 - i)) & 1) value ^= v[k - i]!;
    v[k] = value;
  }
  return v;
}

const parity = (x: number): number => {
  let bits = x ^ (x >>> 16);
  bits ^= bits >>> 8;
  bits ^= bits >>> 4;
  return (0x6996 >>> (bits & 15)) & 1;
};

/** Multiplies each direction number by one random lower triangular bit matrix with a unit diagonal. */
function scramble(v: Uint32Array, randomBits: () => number): void {
  const rows = new Uint32Array(BITS);
  for (let i = 0; i < BITS; i++) {
    const diagonal = 2 ** (31 - i);
    const above = i === 0 ? 0 : (0xffffffff << (BITS - i)) >>> 0;
    rows[i] = ((randomBits() & above) | diagonal) >>> 0;
  }
  for (let k = 0; k < BITS; k++) {
    let scrambled = 0;
    for (let i = 0; i < BITS; i++) scrambled |= parity(rows[i]! & v[k]!) << (31 - i);
    v[k] = scrambled;
  }
}

/**
 * Points of a Sobol sequence in the unit cube: evenly spread, in every projection, at every power of 2.
 * Take a power of 2 of them where the evenness matters.
 *
 * With a seed the points are scrambled (random linear scrambling of the digits and a digital shift,
 * Matousek 1998): each point alone is uniform, estimates are unbiased, and no coordinate is 0 or 1.
 * Without one they are the plain sequence, whose first point is the origin.
 *
 * @param count - points, at most 2^31
 * @param dimensions - 1 to 21
 * @returns one row of `dimensions` numbers in [0, 1) per point
 * @throws {BeadbenchError} `bad-argument` outside these ranges
 * @example sobolPoints(4, 2) // => [[0, 0], [0.5, 0.5], [0.75, 0.25], [0.25, 0.75]]
 */
export function sobolPoints(count: number, dimensions: number, seed?: number): number[][] {
  requireCount("count of points", count, { min: 0, max: 2 ** 31 });
  requireThat(
    Number.isInteger(dimensions) && dimensions >= 1 && dimensions <= SOBOL_MAX_DIMENSIONS,
    `dimensions must be an integer from 1 to ${SOBOL_MAX_DIMENSIONS}, got ${dimensions}`,
  );
  const directions: Uint32Array[] = [];
  const state = new Uint32Array(dimensions);
  for (let d = 0; d < dimensions; d++) {
    const v = directionNumbers(d);
    if (seed !== undefined) {
      const stream = randomStream(seed).split(`sobol/${d}`);
      const randomBits = (): number => stream.integer(0, 0xffffffff);
      scramble(v, randomBits);
      state[d] = randomBits();
    }
    directions.push(v);
  }
  const offset = seed === undefined ? 0 : 0.5;
  const points: number[][] = [];
  for (let index = 0; index < count; index++) {
    const point = new Array<number>(dimensions);
    for (let d = 0; d < dimensions; d++) point[d] = (state[d]! + offset) / 2 ** BITS;
    points.push(point);
    const changed = 31 - Math.clz32(~index & (index + 1));
    for (let d = 0; d < dimensions; d++) state[d]! ^= directions[d]![changed]!;
  }
  return points;
}
