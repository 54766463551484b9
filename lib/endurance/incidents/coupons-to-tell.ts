const MOST = 60;
const LEVEL = 0.05;
const POWER = 0.8;

/**
 * Coupons at each of two settings so that Fisher's exact test (two-sided, 5 %) tells two shares apart in 80 of 100
 * tries; null where more than 60 would be needed.
 *
 * @param shares - of coupons with the incident at either setting
 * @source R. A. Fisher, Statistical Methods for Research Workers (1934), 21.02
 * @example couponsToTell([0.1, 0.7]) // => 12
 */
export function couponsToTell([a, b]: readonly [number, number]): number | null {
  for (let n = 2; n <= MOST; n++) if (power(n, a, b) >= POWER) return n;
  return null;
}

function power(n: number, a: number, b: number): number {
  let sum = 0;
  for (let x = 0; x <= n; x++)
    for (let y = 0; y <= n; y++)
      if (fisher(x, y, n) <= LEVEL) sum += Math.exp(logBinomial(x, n, a) + logBinomial(y, n, b));
  return sum;
}

/** ln k! for as many as two groups can hold. */
const logFactorials = Array.from({ length: 2 * MOST + 1 }, () => 0);
for (let k = 1; k < logFactorials.length; k++) logFactorials[k] = logFactorials[k - 1]! + Math.log(k);

const logChoose = (n: number, k: number): number =>
  logFactorials[n]! - logFactorials[k]! - logFactorials[n - k]!;

const logBinomial = (k: number, n: number, p: number): number =>
  logChoose(n, k) + k * Math.log(p) + (n - k) * Math.log1p(-p);

/** Two-sided p of x against y of n each. */
function fisher(x: number, y: number, n: number): number {
  const total = x + y;
  const density = (k: number): number =>
    Math.exp(logChoose(n, k) + logChoose(n, total - k) - logChoose(2 * n, total));
  const seen = density(x) * (1 + 1e-7);
  let p = 0;
  for (let k = Math.max(0, total - n); k <= Math.min(n, total); k++) if (density(k) <= seen) p += density(k);
  return p;
}
