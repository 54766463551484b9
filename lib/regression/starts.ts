/**
 * Points spread evenly over the unit cube: an additive recurrence with the generalised golden ratio, which needs no
 * tables and no random numbers.
 *
 * @source M. Roberts, The unreasonable effectiveness of quasirandom sequences (2018)
 */
function spreadPoint(index: number, dimensions: number): number[] {
  let ratio = 2;
  for (let i = 0; i < 40; i++) ratio = (1 + ratio) ** (1 / (dimensions + 1));
  return Array.from({ length: dimensions }, (_, j) => (0.5 + index / ratio ** (j + 1)) % 1);
}

/**
 * The `index`-th further start: each value times a power of ten, ever wider (from a factor of 10 to one of 1000 both
 * ways), sign kept; zeros become small values of either sign.
 */
export function widerStart(start: readonly number[], index: number, count: number): number[] {
  const decades = 1 + (2 * index) / Math.max(1, count - 1);
  return spreadPoint(index + 1, start.length).map((u, j) => {
    const value = start[j]!;
    return value === 0 ? (u - 0.5) * 10 ** (decades - 1) : value * 10 ** (decades * (2 * u - 1));
  });
}
