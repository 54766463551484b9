import { describe, expect, test } from "vitest";
import { confirmClaim } from "../../lib/window/index.js";
import { expectDigits } from "../support/digits.js";
import { fc } from "../support/properties.js";

/** Chance of at most k successes in n, summed term by term. */
function binomialTail(k: number, n: number, p: number): number {
  let term = (1 - p) ** n;
  let sum = term;
  for (let i = 1; i <= k; i++) {
    term *= ((n - i + 1) / i) * (p / (1 - p));
    sum += term;
  }
  return sum;
}

describe("confirmClaim", () => {
  test("surprise is the binomial tail", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 30 }),
        fc.double({ min: 0.05, max: 0.95, noNaN: true }),
        (n, p) => {
          const k = Math.floor(n / 2);
          if (k < n) expectDigits(confirmClaim(p, n, k).surprise, binomialTail(k, n, p), 8, "surprise");
        },
      ),
      { numRuns: 50 },
    );
  });

  test("six of six agree with 0.9, three cast doubt, two refute it; one of one is too few", () => {
    expect(confirmClaim(0.9, 6, 6).verdict).toBe("agrees");
    // Binomial tails at 0.9 of 6: up to 4 conform 0.114, up to 3 0.0159, up to 2 0.00127.
    expect(confirmClaim(0.9, 6, 4).verdict).toBe("agrees");
    expect(confirmClaim(0.9, 6, 3).verdict).toBe("doubtful");
    expect(confirmClaim(0.9, 6, 2).verdict).toBe("refuted");
    expect(confirmClaim(0.9, 1, 1).verdict).toBe("too-few");
  });

  test("the estimate is Jeffreys' posterior mean, its interval inside 0 to 1", () => {
    const { estimate, interval } = confirmClaim(1, 60, 60);
    expectDigits(estimate, 60.5 / 61, 12);
    expect(interval[0]).toBeGreaterThan(0.96);
    expect(interval[1]).toBeLessThanOrEqual(1);
  });
});
