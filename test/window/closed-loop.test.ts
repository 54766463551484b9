import { expect, test } from "vitest";
import { libraryOperator, loopFigures, runStudy } from "../rigs/closed-loop.js";
import { magWall } from "../rigs/mag-wall.js";
import { tigWearRing } from "../rigs/tig-wear-ring.js";

/** Best true chances, found by search over the settings (test/rigs/drawn-rig.ts, `difficulty`). */
const rigs = [
  [tigWearRing, 0.955],
  [magWall, 0.888],
] as const;

test("18 coupons reach most of what two rigs can do, and claims keep to the truth", () => {
  const results = rigs.flatMap(([rig, best]) =>
    runStudy({ rig, best, seed: 1, operator: libraryOperator(rig.definition, 1), checkpoints: [18] }),
  );
  const [figures] = loopFigures(results);
  // Two studies only; test/bench/closed-loop.bench.ts runs the hundreds that the figures rest on.
  expect(figures!.median).toBeGreaterThan(0.85);
  expect(figures!.tenth).toBeGreaterThan(0.75);
  expect(Math.abs(figures!.bias)).toBeLessThan(0.15);
  expect(figures!.overclaimed).toBe(0);
}, 120_000);
