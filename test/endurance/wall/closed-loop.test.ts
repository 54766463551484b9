import { expect, test } from "vitest";
import { mean, randomStream } from "../../../lib/numeric/index.js";
import { buildByPlan, LAYERS } from "./closed-loop.js";
import { heldOutLaws, wallLaws } from "./walls.js";

/** One rig of each law that heats up, by finite differences with radiation and by formulas; never tuned on. */
const laws = { ...wallLaws, arctangent: heldOutLaws.arctangent!, "late rise": heldOutLaws["late rise"]! };

test("a build by schedule, after at most four shorter coupons, strays less than a quarter of a constant rise", () => {
  const built = Object.entries(laws).map(([name, make]) => {
    const random = randomStream(7001).split(name);
    return buildByPlan(make(random.split("rig")), random);
  });
  for (const { coupons } of built) {
    expect(coupons.length).toBeLessThanOrEqual(4);
    for (const layers of coupons) expect(layers).toBeLessThan(LAYERS);
  }
  const off = mean(built.map((one) => one.off));
  expect(off).toBeLessThan(0.25 * mean(built.map(({ offFirst }) => offFirst)));
  expect(mean(built.map(({ offLevelled }) => offLevelled))).toBeLessThan(
    0.25 * mean(built.map(({ offMean }) => offMean)),
  );
  // Bands of 90 %: seven walls, whose layers go together, must not fall outside by and large.
  const held = built.flatMap((one) => one.held);
  expect(held.filter(Boolean).length / held.length).toBeGreaterThan(0.7);
}, 300_000);
