import { describe, expect, test } from "vitest";
import { checkStudy, fitStudy } from "../../../lib/models/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { type Coupon, draftDefinitionFromCsv } from "../../../lib/study/index.js";
import { coupon, tigDefinition } from "../../support/studies.js";

const definition = tigDefinition({ blocks: ["day"] });

/** Beads of three days with what a caliper reads, to `digits` decimals; `seen` says what was written down instead. */
function beads(
  seed: number,
  seen: (i: number, width: number) => Partial<{ width: number; settings: Coupon["settings"] }> = () => ({}),
  digits = 2,
): readonly Coupon[] {
  const stream = randomStream(seed);
  const read = (value: number): number => Number(value.toFixed(digits));
  return Array.from({ length: 18 }, (_, i) => {
    const [a, b, c] = [stream.uniform(), stream.uniform(), stream.uniform()];
    const width = read((4.5 + 2.5 * a - 1.5 * b) * Math.exp(0.03 * stream.normal()));
    const settings = { current: 100 + 100 * a, travel_speed: 100 + 200 * b, wire_feed_speed: 0.6 + 1.4 * c };
    const told = seen(i, width);
    const height = ((0.6 + 1.4 * c) * 1131) / (100 + 200 * b) / width / 0.69;
    return coupon(`K${i + 1}`, {
      order: i + 1,
      blocks: { day: String(1 + Math.floor(i / 6)) },
      settings: told.settings ?? settings,
      measured: {
        bead_width: told.width ?? width,
        bead_height: read(height * Math.exp(0.03 * stream.normal())),
      },
    });
  });
}

const findingsOf = (coupons: readonly Coupon[], code: string) =>
  checkStudy({ definition, coupons }).findings.filter((finding) => finding.code === code);

describe("what was written down too often", () => {
  test("a width of 6 mm on every coupon is told, and the height is fitted all the same", () => {
    const coupons = beads(11, () => ({ width: 6 }));
    expect(findingsOf(coupons, "never-changes").map(({ message }) => message)).toEqual([
      "bead_width is 6 mm on all 18 coupons, whatever their settings: measured beads scatter",
    ]);
    const fit = fitStudy({ definition, coupons });
    expect(fit.responses.map(({ response }) => response)).toEqual(["bead_height"]);
    expect(fit.findings.map(({ message }) => message).join()).toContain("there is nothing to fit");
  });

  test("coupons of one setting are told as such", () => {
    const settings = { current: 150, travel_speed: 200, wire_feed_speed: 1.2 };
    const [finding] = findingsOf(
      beads(13, () => ({ settings })),
      "one-setting",
    );
    expect(finding?.message).toMatch(/^all 18 coupons were run at one setting:/);
  });

  test("a line copied down is named with its twin", () => {
    for (let seed = 100; seed < 110; seed++) {
      const coupons = beads(seed);
      const copied = coupons.map((bead, i) => (i === 7 ? { ...bead, results: coupons[6]!.results } : bead));
      expect(findingsOf(copied, "copied-line").map(({ about }) => about)).toEqual([["K7", "K8"]]);
    }
  });

  test("nothing is named in clean logs, nor where a gauge reads whole millimetres", () => {
    for (let seed = 200; seed < 220; seed++) {
      for (const digits of [2, 1, 0]) {
        const coupons = beads(seed, undefined, digits);
        const codes = checkStudy({ definition, coupons }).findings.map(({ code }) => code);
        for (const code of ["never-changes", "one-setting", "copied-line"]) expect(codes).not.toContain(code);
      }
    }
  });
});

test("no study is drafted from a file in which nothing changes", () => {
  const file = "coupon,current [A],travel_speed [mm/min],bead_width [mm]\nA1,130,150,6.1\nA2,130,150,5.9\n";
  expect(() => draftDefinitionFromCsv(file, { name: "still", process: "141" })).toThrow(
    /no setting changes from line to line \(current, travel_speed: one value on every line\)/,
  );
});
