import { expect, test } from "vitest";
import { type ArcProcess, eyeShade } from "../../../lib/process/index.js";
import { fc } from "../../support/properties.js";
import { checkTable } from "../check-table.js";

const least = (process: ArcProcess, current: number) => (): number => eyeShade(process, current)!.least.value;

checkTable("29 CFR 1910.133(a)(5), least shade of filter lenses, read in the published rule", [
  ["TIG 40 A", least("tig", 40), 8],
  ["TIG 100 A", least("tig", 100), 8],
  ["TIG 300 A", least("tig", 300), 10],
  ["plasma 15 A", least("plasma", 15), 6],
  ["plasma 60 A", least("plasma", 60), 8],
  ["plasma 200 A", least("plasma", 200), 10],
  ["plasma 600 A", least("plasma", 600), 11],
  ["MIG/MAG 50 A", least("mig-mag", 50), 7],
  ["MIG/MAG 120 A", least("mig-mag", 120), 10],
  ["MIG/MAG 400 A", least("mig-mag", 400), 10],
  ["flux-cored 200 A", least("flux-cored", 200), 10],
  ["covered electrode 50 A", least("manual-metal-arc", 50), 7],
  ["covered electrode 100 A", least("manual-metal-arc", 100), 8],
  ["covered electrode 200 A", least("manual-metal-arc", 200), 10],
  ["covered electrode 400 A", least("manual-metal-arc", 400), 11],
]);

test("at a bound of the table the darker shade is given; beyond the table and under flux none", () => {
  expect(eyeShade("tig", 150)!.least.value).toBe(10);
  expect(eyeShade("tig", 500)!.least.value).toBe(10);
  expect(eyeShade("tig", 501)).toBeNull();
  expect(eyeShade("submerged-arc", 400)).toBeNull();
  expect(() => eyeShade("tig", -20)).toThrow(/current must be above 0/);
});

test("more current never asks for a lighter shade, and the suggested one is darker than the least", () => {
  const processes = ["tig", "plasma", "mig-mag", "flux-cored", "manual-metal-arc"] as const;
  fc.assert(
    fc.property(
      fc.constantFrom(...processes),
      fc.integer({ min: 1, max: 500 }),
      fc.integer({ min: 0, max: 300 }),
      (process, current, more) => {
        const one = eyeShade(process, current)!;
        const other = eyeShade(process, current + more);
        if (other !== null) expect(other.least.value).toBeGreaterThanOrEqual(one.least.value);
        if (one.suggested === null) return;
        expect(one.suggested.value).toBeGreaterThan(one.least.value);
        expect(one.suggested.source).toMatch(/from memory/);
      },
    ),
  );
});
