import { describe, test } from "vitest";
import { expectDigits } from "../support/digits.js";

/** What is computed, how, the outside value, and its correct digits when fewer than four are printed. */
export type Check = readonly [what: string, compute: () => number, expected: number, digits?: number];

/** One test per row: the library's value against a value from outside, with its source as title. */
export function checkTable(source: string, checks: readonly Check[]): void {
  describe(source, () => {
    for (const [what, compute, expected, digits = 4] of checks) {
      test(what, () => expectDigits(compute(), expected, digits, what));
    }
  });
}
