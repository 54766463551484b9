import { expect, test } from "vitest";
import { drawnKinds, runDrawnProblem } from "./drawn-problems.js";

/**
 * Drawn problems, most of them ill posed. A call that ran on would meet the runner's own limit; one that fails must fail
 * by the library's error, and what it answers must hold numbers. More of them: test/bench/calls-return.bench.ts.
 */
test.each(drawnKinds)("%s: every call comes back, with numbers or an error that says why", (kind) => {
  const outcomes = Array.from({ length: 20 }, (_, k) => runDrawnProblem(kind, k + 1));
  expect(outcomes).toContain("answered");
});

/** Found by the longer run: answers that left the range of numbers came back as NaN. */
test.each([
  ["robust", 433],
  ["blocks", 192],
  ["blocks", 302],
] as const)("%s, problem %d: answered with numbers or refused", (kind, seed) => {
  expect(["answered", "refused"]).toContain(runDrawnProblem(kind, seed));
});
