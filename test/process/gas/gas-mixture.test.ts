import { describe, expect, test } from "vitest";
import {
  cylinderContent,
  designatedGas,
  gasInCylinder,
  type MixedGas,
  mixtureContent,
  readMixture,
} from "../../../lib/process/index.js";
import { expectDigits } from "../../support/digits.js";

/**
 * Density at 15 degC over that at 15 degC and 1 bar, at 50, 150, 200 and 300 bar, by the reference equations of each gas
 * and the pair functions of GERG-2008 as CoolProp 6 holds them.
 */
const reference: readonly (readonly [string, readonly number[]])[] = [
  ["Ar", [51.66755, 160.58744, 213.34341, 305.64919]],
  ["He", [48.82089, 139.8475, 182.40978, 262.37269]],
  ["Ar 70 He 30", [50.47614, 149.73953, 195.81032, 278.23695]],
  ["Ar 82 CO2 18", [53.12468, 173.983, 234.04072, 333.71817]],
  ["Ar O2 2", [51.66576, 160.56949, 213.31163, 305.59024]],
  ["N2", [50.39587, 147.54137, 190.82382, 263.60462]],
  ["Ar 95 H2 5", [51.32335, 157.54386, 208.51626, 298.27358]],
];

describe("what a cylinder of a mixture holds", () => {
  test.each(reference)(
    "%s lies within 2.5 %% of the reference up to 200 bar, 4 %% up to 300",
    (gas, times) => {
      [50, 150, 200, 300].forEach((pressure, i) => {
        const content = mixtureContent(readMixture(gas), { volume: 50, pressure });
        expect(Math.abs(content / (0.05 * times[i]!) - 1)).toBeLessThan(pressure > 200 ? 0.04 : 0.025);
      });
    },
  );

  test("of argon alone is that of argon", () => {
    expectDigits(mixtureContent({ Ar: 1 }, { volume: 50, pressure: 200 }), cylinderContent(50, 200), 12);
  });

  test.each([
    ["Ar 80 CO2 18", /the shares make 98 %, not 100/],
    ["Ar CO2", /Ar and CO2 have no share/],
    ["Ar 82 Xe 18", /Xe is none of Ar, He/],
    ["Ar 50 Ar 50", /Ar stands twice/],
    ["", /is no mixture/],
  ])("%j is refused with how to write it", (text, message) => {
    expect(() => readMixture(text)).toThrow(message);
    expect(() => readMixture(text)).toThrow(/write it as "Ar 82 CO2 18"/);
  });

  test("is not told where it condenses", () => {
    expect(() => mixtureContent({ CO2: 1 }, { volume: 50, pressure: 50 })).toThrow(/told by its weight/);
  });
});

describe("a designation by ISO 14175", () => {
  test.each([
    ["I1", { Ar: 1 }],
    ["ISO 14175-M21-ArC-18", { Ar: 0.82, CO2: 0.18 }],
    ["I3-ArHe-30", { Ar: 0.7, He: 0.3 }],
    ["M12-ArHeC-25/2,5", { Ar: 0.725, He: 0.25, CO2: 0.025 }],
    ["R1 ArH 5", { Ar: 0.95, H2: 0.05 }],
  ])("%s names its gas", (code, shares) => {
    const gas = designatedGas(code)!;
    expect(Object.keys(gas).sort()).toEqual(Object.keys(shares).sort());
    for (const [name, share] of Object.entries(shares)) expectDigits(gas[name as MixedGas]!, share, 12);
  });

  test.each(["M21", "Z", "M21-ArC", "M21-ArC-18/2", "M21-ArC-100", "I3-ArAr-30", "constructor", "toString"])(
    "%s names none",
    (code) => {
      expect(designatedGas(code)).toBeUndefined();
    },
  );

  test("a cylinder of argon and helium holds less than one of argon at the same pressure, one with carbon dioxide more", () => {
    const of = (code: string) => gasInCylinder(designatedGas(code)!, { volume: 50, pressure: 200 });
    expect(Math.abs(of("I3-ArHe-30") / of("I1") / (195.81032 / 213.34341) - 1)).toBeLessThan(0.025);
    expect(of("I3-ArHe-30")).toBeLessThan(0.95 * of("I1"));
    expect(of("M21-ArC-18")).toBeGreaterThan(1.05 * of("I1"));
  });
});
