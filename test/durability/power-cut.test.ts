import { expect, test } from "vitest";
import { randomStream } from "../../lib/numeric/random/index.js";
import { cutEverywhere, scenarios } from "./power-cut.js";

/** Nothing that was not flushed is there, all of it, and some of it by chance; `npm run endure` tries more. */
const lucks = [() => () => false, () => () => true, () => byChance(18)];

function byChance(seed: number): () => boolean {
  const stream = randomStream(seed);
  return () => stream.uniform() < 0.5;
}

test.each(scenarios)("$name: power lost at any call costs nothing that was acknowledged", (scenario) => {
  const { tried, faults } = cutEverywhere(scenario, lucks);
  expect(faults).toEqual([]);
  expect(tried).toBeGreaterThan(15);
});
