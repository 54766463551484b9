import { expect, test } from "vitest";
import { buildOutcomeModel } from "../../../lib/models/index.js";
import { mean, randomStream, sobolPoints } from "../../../lib/numeric/index.js";
import type { Response, StudyDefinition } from "../../../lib/study/index.js";
import { conformance } from "../../../lib/window/index.js";
import { drawRig } from "../../rigs/drawn-rig.js";
import { developmentRigs } from "../../rigs/index.js";

/** Share of settings spread over the region that are expected to pass all checks before any coupon. */
function survival(definition: StudyDefinition): number {
  const settings = sobolPoints(200, definition.factors.length, 1).map((unit) =>
    Object.fromEntries(
      definition.factors.map(({ name, low, high }, j) => [name, low + (high - low) * unit[j]!]),
    ),
  );
  const found = conformance(buildOutcomeModel({ definition, coupons: [] }), settings);
  return mean(found.map(({ perCheck }) => Object.values(perCheck).reduce((product, p) => product * p, 1)));
}

/** Rigs nobody has looked into; the held-out ones are kept for the finished engine. */
const drawnRigs = [1, 2, 3, 4, 5].map((seed) => drawRig(randomStream(seed), `drawn rig ${seed}`));

const check = (name: string): Response => ({ name, unit: "", kind: "passFail", scale: "linear" });

test.each([...developmentRigs, ...drawnRigs])(
  "before any coupon few settings of $name survive, but some do",
  ({ definition }) => {
    // Common practice, no source: 60 to 85 % of first coupons fail outright.
    const share = survival(definition);
    expect(share).toBeGreaterThan(0.08);
    expect(share).toBeLessThan(0.4);
    // The same ways to fail, told apart by more checks, are no more ways to fail.
    const measured = definition.responses.filter(({ kind }) => kind === "measured");
    const shares = [1, 2, 3].map((count) =>
      survival({
        ...definition,
        responses: [...measured, ...Array.from({ length: count }, (_, i) => check(`check ${i}`))],
      }),
    );
    expect(Math.max(...shares) / Math.min(...shares)).toBeLessThan(2.5);
  },
);
