import { expect, test } from "vitest";
import {
  checkMeltingRange,
  checkRetract,
  coastLength,
  craterFill,
  currentForFeed,
  currentPerExtension,
  extensionChange,
  feedPulseRatio,
  meltingCoefficients,
  meltingSpeed,
  postFlowTime,
  rampCoastLength,
  realStep,
  scaleMelting,
  slopeEnergy,
  solidificationTime,
  steppedFeed,
  wireArea,
} from "../../../lib/process/index.js";
import { convert } from "../../../lib/units/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { checkTable } from "../check-table.js";

const steel = { alpha: meltingCoefficients.steel.alpha.value, beta: meltingCoefficients.steel.beta.value };
const thin = scaleMelting(steel, 1.2, 1);

checkTable("Lesnewich 1958 / Halmoy 1979, constants from memory, worked by hand", [
  ["200 A, 15 mm, 1.2 mm wire", () => meltingSpeed({ coefficients: steel, current: 200, extension: 15 }), 90],
  [
    "the same in m/min",
    () => convert(meltingSpeed({ coefficients: steel, current: 200, extension: 15 }), "mm/s", "m/min"),
    5.4,
  ],
  [
    "resistive share",
    () => 1 - (steel.alpha * 200) / meltingSpeed({ coefficients: steel, current: 200, extension: 15 }),
    1 / 3,
  ],
  ["current for 90 mm/s", () => currentForFeed(steel, 90, 15), 200],
  ["current per mm of extension", () => currentPerExtension(steel, 200, 15), -3.33333],
  ["alpha at 1.0 mm", () => thin.alpha, 0.432],
  ["beta at 1.0 mm", () => thin.beta, 1.0368e-4],
  ["1.0 mm, 150 A, 12 mm", () => meltingSpeed({ coefficients: thin, current: 150, extension: 12 }), 92.794],
  ["alpha as kg/(h A)", () => steel.alpha * wireArea(1.2) * 7.85e-3 * 3.6, 9.588e-3],
  ["equivalent melting voltage at 10.5 J/mm3", () => steel.alpha * wireArea(1.2) * 10.5, 3.5626],
]);

const feed = steppedFeed({ step: 3, period: 0.2, moveTime: 0.05 }, 1.2, 3);

checkTable("stepped feed, 3 mm every 0.2 s, by hand", [
  ["mean, mm/s", () => feed.mean, 15],
  ["mean, in/min", () => convert(feed.mean, "mm/s", "in/min"), 35.433],
  ["drop, mm3", () => feed.dropVolume, 3.39292],
  ["drop diameter, mm", () => feed.dropDiameter, 1.8643],
  ["pitch, mm", () => feed.dropPitch, 0.6],
  ["peak, mm/s", () => feed.peak, 60],
]);

checkTable("arc stop, by hand", [
  ["coast of an exponential feeder, mm", () => coastLength(20, 0.05, 0.2), 0.98168],
  ["extension change, mm", () => extensionChange(coastLength(20, 0.05, 0.2), 30, 0.08), -1.4183],
  ["coast of a linear ramp, mm", () => rampCoastLength(20, 0.1), 1],
  [
    "slope 150 to 20 A in 4 s at 12 V, J",
    () => slopeEnergy({ voltage: 12, from: 150, to: 20, time: 4 }),
    4080,
  ],
  ["crater of a 4.38 mm pool, mm3", () => craterFill(7.53982, 4.38, 1.2).volume, 16.512],
  ["wire to fill it, mm", () => craterFill(7.53982, 4.38, 1.2).wireLength, 14.6],
]);

const textbook = { heatInput: 800, conductivity: 0.028, volumetricHeat: 0.0044, startTemperature: 25 };

checkTable("AWS Welding Handbook vol. 1, centreline solidification time", [
  ["textbook example, 0.94 s in print", () => solidificationTime(textbook, 2, 1510), 0.9373],
  [
    "402 J/mm, 1460 K above the start",
    () => solidificationTime({ ...textbook, heatInput: 402, startTemperature: 50 }, 2, 1510),
    0.4873,
  ],
]);

test("currentForFeed undoes meltingSpeed, and more extension needs less current", () => {
  fc.assert(
    fc.property(
      fc.double({ min: 40, max: 400, noNaN: true }),
      fc.double({ min: 0, max: 30, noNaN: true }),
      (current, extension) => {
        const speed = meltingSpeed({ coefficients: steel, current, extension });
        expectDigits(currentForFeed(steel, speed, extension), current, 12);
        const step = 1e-4;
        const slope = (currentForFeed(steel, speed, extension + step) - current) / step;
        expectDigits(slope, currentPerExtension(steel, current, extension), 3);
      },
    ),
  );
});

test("a pulsed arc melts more wire than its mean current tells", () => {
  expect(
    meltingSpeed({ coefficients: steel, current: 116, extension: 15, rmsCurrent: 134.759 }),
  ).toBeGreaterThan(meltingSpeed({ coefficients: steel, current: 116, extension: 15 }));
  expect(() => meltingSpeed({ coefficients: steel, current: 150, extension: 15, rmsCurrent: 120 })).toThrow(
    /rms current must be at least 150 A/,
  );
});

test("cautions and faults", () => {
  expect(checkMeltingRange(200, 15)).toEqual([]);
  expect(checkMeltingRange(80, 30)[0]!.message).toMatch(/80 A \(100 to 350 A\), 30.0 mm extension/);
  const stop = { immersion: 2, clearance: 2, retractSpeed: 20 };
  expect(checkRetract(stop, 0.49)).toEqual([]);
  expect(checkRetract({ ...stop, delay: 0.3 }, 0.49).map(({ code }) => code)).toEqual(["wire-sticks"]);
  expect(() => steppedFeed({ step: 3, period: 0.2, moveTime: 0.3 }, 1.2, 3)).toThrow(/time of a step's move/);
  expect(() => steppedFeed({ step: 3, period: 0.2, moveTime: 0.1, retract: 3 }, 1.2, 3)).toThrow(
    /no wire gets/,
  );
  expectDigits(steppedFeed({ step: 3, period: 0.2, moveTime: 0.1, retract: 1 }, 1.2, 3).mean, 10, 12);
  expect(postFlowTime(50)).toBe(10);
});

test("a stepper makes whole pulses, and a step in time with the arc pulses has a whole ratio", () => {
  expectDigits(realStep(3, 13.4), 40 / 13.4, 12);
  expectDigits(realStep(0.01, 13.4), 1 / 13.4, 12);
  expectDigits(feedPulseRatio(0.2, 5), 1, 12);
});
