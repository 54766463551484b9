import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, test } from "vitest";
import { checkStudy, refusals } from "../../../lib/models/index.js";
import { type Coupon, createDemoStudy, openStudy } from "../../../lib/study/index.js";
import { fc } from "../../support/properties.js";

const folder = join(mkdtempSync(join(tmpdir(), "beadbench-refusals-")), "demo");
createDemoStudy(folder);
const study = openStudy(folder);
const logged = study.coupons.flatMap(({ state }, place) => (state === "logged" ? [place] : []));

/** Coupons of the demo with one setting multiplied: of one coupon, or of all. */
function spoilt(factor: string, by: number, place: number | undefined): readonly Coupon[] {
  return study.coupons.map((coupon, i) =>
    place === undefined || place === i
      ? { ...coupon, settings: { ...coupon.settings, [factor]: Number(coupon.settings[factor]) * by } }
      : coupon,
  );
}

test("what refuses a study is told alike by the check and by the commands that only ask for it", () => {
  const factors = study.definition.factors.filter(({ kind }) => kind !== "category").map(({ name }) => name);
  let refused = 0;
  fc.assert(
    fc.property(
      fc.constantFrom(...factors),
      fc.constantFrom(1, 10, 0.1, 25.4, 60),
      fc.option(fc.constantFrom(...logged), { nil: undefined }),
      (factor, by, place) => {
        const seen = { ...study, coupons: spoilt(factor, by, place) };
        const check = checkStudy(seen);
        expect(refusals(seen)).toEqual(check.findings.filter(({ severity }) => severity === "error"));
        if (check.refused) refused++;
      },
    ),
    { numRuns: 25, seed: 3 },
  );
  expect(refused).toBeGreaterThan(5);
});
