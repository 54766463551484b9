import { expect } from "vitest";

/** Correct significant digits: -log10 of the relative error; of the absolute error when `expected` is 0. */
export function correctDigits(actual: number, expected: number): number {
  if (actual === expected) return 16;
  if (!Number.isFinite(actual)) return 0;
  const error = Math.abs(actual - expected) / (expected === 0 ? 1 : Math.abs(expected));
  return Math.min(16, Math.max(0, -Math.log10(error)));
}

/** Asserts at least `digits` correct significant digits. */
export function expectDigits(actual: number, expected: number, digits: number, what = "value"): void {
  const got = correctDigits(actual, expected);
  expect(
    got,
    `${what}: expected ${expected} to ${digits} digits, got ${actual} (${got.toFixed(2)} digits)`,
  ).toBeGreaterThanOrEqual(digits);
}
