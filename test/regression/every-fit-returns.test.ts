import { expect, test } from "vitest";
import { runDrawnProblem } from "./drawn-problems.js";

/** A fit that ran on would meet the runner's own limit; one that fails must fail by the library's error. */
test("drawn problems, most of them ill posed, all come back", () => {
  const kinds = new Set(Array.from({ length: 120 }, (_, k) => runDrawnProblem(k + 1)));
  expect(kinds.size).toBe(5);
});
