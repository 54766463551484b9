/** Steps of the table within a factor of 2. */
const STEPS = 64;
const PER_STEP = STEPS / Math.LN2;
const STEP = Math.LN2 / STEPS;
const steps = Float64Array.from({ length: STEPS }, (_, k) => 2 ** (-k / STEPS));
/** Halvings down to the smallest normal number. */
const halvings = Float64Array.from({ length: 1023 }, (_, k) => 2 ** -k);
const THIRD = 1 / 3;
const LARGEST = 1022 * Math.LN2;

/**
 * exp(-a) for a >= 0, from a table of powers of 2 and five terms of the series: relative error below 1e-13, in half the
 * time of Math.exp. 0 where exp(-a) is below the smallest normal number.
 */
export function expMinus(a: number): number {
  if (a >= LARGEST) return 0;
  const n = (a * PER_STEP + 0.5) | 0;
  const f = n * STEP - a;
  const series = 1 + f * (1 + f * (1 / 2 + f * (1 / 6 + f * (1 / 24 + f / 120))));
  return halvings[n >> 6]! * steps[n & 63]! * series;
}

/**
 * Matern 5/2 correlations (1 + a + a^2/3) exp(-a), a the root of each square.
 *
 * @param squares - squared distances in length scales, times 5
 */
export function fillMatern(squares: Float64Array, out: Float64Array, offset: number): void {
  for (let i = 0; i < squares.length; i++) {
    const square = squares[i]!;
    const a = Math.sqrt(square);
    out[offset + i] = (1 + a + square * THIRD) * expMinus(a);
  }
}

/** weight (1 + a) exp(-a) / 3: minus twice the slope of the correlation by the square, times a weight per distance. */
export function fillMaternPulls({
  squares,
  weights,
  out,
  offset,
}: {
  readonly squares: Float64Array;
  readonly weights: Float64Array;
  readonly out: Float64Array;
  readonly offset: number;
}): void {
  for (let i = 0; i < squares.length; i++) {
    const a = Math.sqrt(squares[i]!);
    out[offset + i] = (weights[i]! * (1 + a) * expMinus(a)) / 3;
  }
}
