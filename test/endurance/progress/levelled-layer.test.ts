import { expect, test } from "vitest";
import {
  assume,
  BUILD_PLAN_SCHEMA,
  type BuildPlan,
  buildProgress,
  equalLayers,
} from "../../../lib/endurance/index.js";
import { createRingStudy } from "../../../lib/study/index.js";
import { newFolder } from "../../study/support.js";

/** The demo's ring, levelled before layer 121: the band widens by 0.03 mm a layer and closes there. */
function planWith(relevel: boolean): BuildPlan {
  return {
    schema: BUILD_PLAN_SCHEMA,
    study: "ring",
    made: "2026-05-18T07:00:00Z",
    build: { setting: { travel_speed: 2.5, gas_flow: 11 }, wireDensity: 7.9 },
    outline: equalLayers({ layers: 200, path: 250 }),
    assumptions: assume([]),
    perLayer: relevel ? { 121: { relevel } } : {},
    standoff: Array.from({ length: 200 }, (_, i) => {
      const half = 0.1 + 0.03 * (i % 10);
      return { layer: i + 1, expected: 3, low: 3 - half, high: 3 + half };
    }),
  };
}

test("a stand-off read before a levelling is not held against the band after it", () => {
  const study = createRingStudy(
    newFolder(),
    (_, event) =>
      !(
        "log" in event &&
        event.log.kind === "build" &&
        event.log.build === "ring-5" &&
        event.log.layer === 120
      ),
  );
  const codes = (relevel: boolean): readonly string[] =>
    buildProgress(study, planWith(relevel), { build: "ring-5", gasContent: () => 1e6 }).findings.map(
      ({ code }) => code,
    );
  // 3.2 mm read: within 3.37 mm before the levelling, above the 3.1 mm after it.
  expect(codes(true)).not.toContain("standoff-outside");
  expect(codes(false)).toContain("standoff-outside");
});
