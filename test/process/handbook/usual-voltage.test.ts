import { expect, test } from "vitest";
import { arcOf, conventionalVoltage, processFamilies } from "../../../lib/process/index.js";

/** Rated load voltages, IEC 60974-1, from memory: they lie where power sources are made to burn. */
const rated = [
  ["tig", [20, 100, 250]],
  ["mig-mag", [50, 150, 350]],
  ["flux-cored", [50, 150, 350]],
  ["manual-metal-arc", [40, 150, 300]],
] as const;

test.each(rated)("the usual voltages of %s hold the rated voltages of its currents", (process, currents) => {
  const [lower, upper] = arcOf(process)!.usualVoltage!;
  for (const current of currents) {
    expect(conventionalVoltage(process, current)).toBeGreaterThanOrEqual(lower);
    expect(conventionalVoltage(process, current)).toBeLessThanOrEqual(upper);
  }
});

test("lie within the bounds that no arc leaves, and below the open-circuit voltages of power sources", () => {
  // Common practice, no source: sources of these processes idle at 50 to 80 V.
  for (const [lower, upper] of processFamilies.flatMap((family) => {
    const range = arcOf(family)?.usualVoltage;
    return range === undefined ? [] : [range];
  })) {
    expect(lower).toBeGreaterThanOrEqual(7);
    expect(upper).toBeLessThan(50);
    expect(upper / lower).toBeGreaterThan(2);
  }
});
