import { expect, test } from "vitest";
import { fitStudy, type StudyCheck } from "../../lib/models/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import { fitSections } from "../../lib/report/fit-sections.js";
import type { Study } from "../../lib/study/index.js";
import { byForm } from "../models/bead/support.js";
import { coupon, tigDefinition } from "../support/studies.js";

const perHalfRange = /^Change from the middle of a setting's range to its end/;
const perDoubling = /^A setting doubled multiplies the result/;

/** A study of width in two settings; an offset of 0 or below has no power. */
function studyWith(low: number): Pick<Study, "definition" | "coupons"> {
  const definition = tigDefinition({
    factors: [
      { name: "offset", unit: "mm", low, high: low + 4 },
      { name: "travel_speed", unit: "mm/min", low: 100, high: 300 },
    ],
    responses: [{ name: "bead_width", unit: "mm", kind: "measured" }],
  });
  const noise = randomStream(3);
  const coupons = Array.from({ length: 16 }, (_, i) => {
    const settings = { offset: low + 4 * noise.uniform(), travel_speed: 100 + 200 * noise.uniform() };
    const width = 9 + 0.3 * (settings.offset - low) - 0.01 * settings.travel_speed + 0.1 * noise.normal();
    return coupon(`S${i + 1}`, { order: i + 1, settings, measured: { bead_width: width } });
  });
  return { definition, coupons };
}

test.each([
  ["a linear surface", -2, perHalfRange],
  ["a power law", 2, perDoubling],
] as const)("the effects under a Gaussian process on %s are told as those of its base", (_, low, caption) => {
  const study = studyWith(low);
  const fit = byForm(fitStudy(study), "gaussian-process");
  const [, section] = fitSections({ study: study as Study, check: {} as StudyCheck, remarks: [] }, fit);
  expect(section!.charts![0]!.caption).toMatch(caption);
});
