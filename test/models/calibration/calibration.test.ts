import { describe, expect, test } from "vitest";
import {
  calibrationDrift,
  fitCalibration,
  settingFor,
  trueValue,
} from "../../../lib/models/calibration/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";

const record = (date: string, gain: number, noise = 0, seed = 1) => {
  const random = randomStream(seed);
  return {
    date,
    points: [5, 10, 20, 30, 40].map((set) => ({ set, measured: 0.4 + gain * set + noise * random.normal() })),
  };
};
const dates = ["2025-01-05", "2025-02-04", "2025-03-06", "2025-04-05", "2025-05-05"];

describe("fitCalibration", () => {
  test("gives back the line, and settingFor undoes trueValue", () => {
    const line = fitCalibration(record("2025-03-14", 0.97));
    expectDigits(line.offset, 0.4, 10);
    expectDigits(line.gain, 0.97, 12);
    expectDigits(settingFor(line, trueValue(line, 17).estimate), 17, 12);
  });

  test("intervals of the true value hold it in about 95 % of calibrations", () => {
    let held = 0;
    for (let i = 0; i < 400; i++) {
      const { lower, upper } = trueValue(fitCalibration(record("2025-03-14", 0.97, 0.2, i)), 25);
      if (lower <= 0.4 + 0.97 * 25 && 0.4 + 0.97 * 25 <= upper) held++;
    }
    // 380 of 400 expected; 3 binomial sd are 13.
    expect(held).toBeGreaterThan(366);
    expect(held).toBeLessThan(394);
  });
});

describe("fitCalibration refuses or points at what cannot be", () => {
  const points = [2, 4, 6, 8];
  const line = (measured: (set: number) => number, date = "2026-02-10") =>
    fitCalibration({ date, points: points.map((set) => ({ set, measured: measured(set) })) });

  test("days that are none, too few points, points at one setting", () => {
    expect(() => line((set) => set, "2026-02-30")).toThrow(/"2026-02-30" is no date/);
    expect(() => fitCalibration({ date: "2026-02-10", points: [{ set: 1, measured: 1 }] })).toThrow(
      /the calibration line of 2026-02-10 takes at least 3 readings, got 1/,
    );
    const same = [1, 2, 3].map((measured) => ({ set: 4, measured }));
    expect(() => fitCalibration({ date: "2026-02-10", points: same })).toThrow(
      /all points .* at one setting/,
    );
  });

  test("a slip of unit and swapped columns", () => {
    expect(line((set) => 0.97 * set).findings).toEqual([]);
    const slip = line((set) => 60 * set).findings[0]!;
    expect(slip.code).toBe("gain-unusual");
    expect(slip.message).toMatch(/60.0 times as much as the setting/);
    expect(() =>
      settingFor(
        line((set) => 10 - set),
        4,
      ),
    ).toThrow(/does not rise with the setting \(gain -1.00\)/);
  });
});

describe("calibrationDrift", () => {
  test("finds an even drift in any order of records, and the day it leaves the tolerance", () => {
    const records = dates.map((date, i) => record(date, 0.97 * (1 - 0.005 * i)));
    const drift = calibrationDrift([...records].reverse(), 20);
    const first = 0.4 + 0.97 * 20;
    expectDigits(drift.per30Days.estimate, (-0.005 * 0.97 * 20) / first, 8);
    // 2 % at 0.49 % per 30 days is 122 days after the last.
    expect(drift.due).toBe("2025-09-04");
    expect(drift.findings.map(({ code }) => code)).toEqual(["calibration-drifts"]);
  });

  test("shows no drift where there is only noise", () => {
    const drift = calibrationDrift(
      dates.map((date, i) => record(date, 0.97, 0.1, i)),
      20,
    );
    expect(drift.due).toBeNull();
    expect(drift.per30Days.lower).toBeLessThan(0);
    expect(drift.per30Days.upper).toBeGreaterThan(0);
  });

  test("refuses two records, one day, and dates that are none", () => {
    expect(() =>
      calibrationDrift(
        dates.slice(0, 2).map((date) => record(date, 1)),
        20,
      ),
    ).toThrow(/at least three/);
    expect(() =>
      calibrationDrift(
        [1, 2, 3].map(() => record("2025-01-05", 1)),
        20,
      ),
    ).toThrow(/all calibrations are of one day/);
    expect(() => fitCalibration(record("14.3.2025", 1))).toThrow(
      /"14.3.2025" is no date; write it as 2025-03-14/,
    );
  });
});
