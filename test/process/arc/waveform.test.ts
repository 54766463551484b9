import { describe, expect, test } from "vitest";
import { checkSampling, waveformArcEnergy, waveformPower } from "../../../lib/process/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { checkTable } from "../check-table.js";

const pulse = waveformPower(
  [...Array(4).fill(14), ...Array(6).fill(10)],
  [...Array(4).fill(200), ...Array(6).fill(60)],
);

checkTable("square pulse, 200 A and 14 V for 40 %, 60 A and 10 V for 60 %, computed by hand", [
  ["mean power, W", () => pulse.meanPower, 1480],
  ["mean current, A", () => pulse.meanCurrent, 116],
  ["mean voltage, V", () => pulse.meanVoltage, 11.6],
  ["error of the product of means", () => pulse.meanProductError, -0.090811],
  ["rms current, A", () => pulse.rmsCurrent, 134.759],
  ["rms voltage, V", () => pulse.rmsVoltage, 11.7644],
  ["error of the product of rms values", () => pulse.rmsProductError, 0.071182],
  ["arc energy at 3 mm/s, J/mm", () => waveformArcEnergy(pulse.meanPower, 3), 493.333],
  ["arc energy, J/in", () => 25.4 * waveformArcEnergy(pulse.meanPower, 3), 12531],
]);

test("a steady arc has no error whichever way it is averaged, and rms is never below the mean", () => {
  const sample = fc.double({ min: 1, max: 400, noNaN: true });
  fc.assert(
    fc.property(sample, sample, (u, i) => {
      const steady = waveformPower(Array(7).fill(u), Array(7).fill(i));
      expectDigits(steady.meanPower, u * i, 12);
      expect(Math.abs(steady.rmsProductError)).toBeLessThan(1e-12);
    }),
  );
  fc.assert(
    fc.property(fc.array(fc.tuple(sample, sample), { minLength: 1 }), (samples) => {
      const power = waveformPower(
        samples.map(([u]) => u),
        samples.map(([, i]) => i),
      );
      expect(power.rmsCurrent).toBeGreaterThanOrEqual(power.meanCurrent * (1 - 1e-12));
      // Cauchy-Schwarz: the product of rms values is never below the mean power.
      expect(power.rmsProductError).toBeGreaterThanOrEqual(-1e-12);
    }),
  );
});

describe("records that mislead", () => {
  test("are refused when voltage and current were not sampled together", () => {
    expect(() => waveformPower([12, 12], [150])).toThrow(/got 2 voltages and 1 currents/);
    expect(() => waveformPower([12], [Number.NaN])).toThrow(/current sample 1/);
  });

  test("are reported when sampled too slowly or cut within a pulse", () => {
    expect(checkSampling(1e-4, 1000, 0.01)).toEqual([]);
    expect(checkSampling(2e-3, 50, 0.01).map(({ code }) => code)).toEqual(["sampling-too-slow"]);
    expect(checkSampling(1e-4, 250, 0.01).map(({ code }) => code)).toEqual(["sampling-broken-period"]);
  });
});
