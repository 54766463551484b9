import { describe, expect, test } from "vitest";
import {
  CUSUM,
  controlChart,
  cusum,
  EWMA,
  ewma,
  movingRanges,
  normalDistance,
  RANGE_LIMIT,
  RANGE_OF_TWO,
  steadyFrom,
} from "../../../lib/endurance/control/index.js";
import { mean, randomStream } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";

const readings = (values: readonly number[]) => values.map((value, i) => ({ label: String(i + 1), value }));

describe("constants of a range of two", () => {
  test("are those of the tables", () => {
    // Published tables of control-chart constants, n = 2 (from memory): d2 1.128, d3 0.853, D4 3.267, E2 2.660.
    expect(RANGE_OF_TWO.mean).toBeCloseTo(1.128, 3);
    expect(RANGE_OF_TWO.sd).toBeCloseTo(0.853, 3);
    expect(RANGE_LIMIT).toBeCloseTo(3.267, 3);
    // E2 is often printed as 2.660, from d2 cut to 1.128.
    expect(3 / RANGE_OF_TWO.mean).toBeCloseTo(2.659, 3);
  });
});

describe("worked examples of the NIST/SEMATECH e-Handbook", () => {
  test("6.3.2.2: ten flow rates give a centre of 50.81 and limits 45.8159 to 55.8041 (figures from memory)", () => {
    const values = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
    const { centre, sd } = steadyFrom(values);
    expectDigits(centre, 50.81, 10);
    expectDigits(mean(movingRanges(values)), 1.8778, 4);
    // The handbook divides by 1.128, which is d2 to four digits.
    const half = (3 * sd * RANGE_OF_TWO.mean) / 1.128;
    expectDigits(centre + half, 55.8041, 6);
    expectDigits(centre - half, 45.8159, 6);
  });

  test("6.3.2.4: target 50, sd 2.0539, share 0.3 (data and averages from memory, averages computed by NumPy too)", () => {
    const values = [
      52, 47, 53, 49.3, 50.1, 47, 51, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6,
      52.1,
    ];
    const published = [
      50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38,
      49.92, 50.73, 51.23, 51.94, 51.99,
    ];
    const points = ewma(values, { centre: 50, sd: 2.0539 }, 0.3);
    for (const [i, { average }] of points.entries())
      expect(Math.abs(average - published[i]!)).toBeLessThan(0.0051);
    // The handbook draws the limits of a long record, 3 sd wide: 47.4115 and 52.5884.
    expectDigits(50 + 3 * points.at(-1)!.sd, 52.5884, 5);
  });

  test("6.3.2.3: target 325, slack 0.3175, limit 4.1959 is passed at the fourteenth mean", () => {
    const values = [
      324.93, 324.68, 324.73, 324.35, 325.35, 325.23, 324.13, 324.53, 325.23, 324.6, 324.63, 325.15, 328.33,
      327.25, 327.83, 328.5, 326.68, 327.78, 326.88, 328.35,
    ];
    // The slack is half of 0.635, the sd of the means; the sums come from a NumPy loop.
    const sums = cusum(values, { centre: 325, sd: 0.635 }, 0.5);
    expect(sums.findIndex(({ up }) => up > 4.1959)).toBe(13);
    expectDigits(sums[12]!.up, 3.0125, 9);
    expectDigits(sums[13]!.up, 4.945, 9);
    expectDigits(sums[3]!.down, 0.3325, 9);
    expectDigits(sums[19]!.up, 19.06, 9);
  });
});

/** Readings of a steady rig until a chart signals, on average, over so many records. */
function runLength(signals: (values: readonly number[]) => number, records: number): number {
  const stream = randomStream(7);
  let sum = 0;
  for (let record = 0; record < records; record++) {
    const values = Array.from({ length: 4000 }, () => stream.normal());
    const at = signals(values);
    sum += at < 0 ? values.length : at + 1;
  }
  return sum / records;
}

describe("a rig known to be steady", () => {
  const steady = { centre: 0, sd: 1 };
  test("signals on the cumulative sums once in about 465 readings", () => {
    const found = runLength(
      (values) => cusum(values, steady).findIndex(({ up, down }) => Math.max(up, down) > CUSUM.limit),
      1500,
    );
    // 465 by the usual tables; 1500 records leave an error of 12 (one sd).
    expect(Math.abs(found - 465)).toBeLessThan(40);
  });

  test("signals on the weighted average once in about 500 readings", () => {
    const found = runLength(
      (values) => ewma(values, steady).findIndex(({ average, sd }) => Math.abs(average) > EWMA.width * sd),
      1500,
    );
    expect(Math.abs(found - 500)).toBeLessThan(45);
  });

  test("a shift by one sd is seen after about 10 readings", () => {
    const found = runLength(
      (values) =>
        cusum(
          values.slice(0, 400).map((value) => value + 1),
          steady,
        ).findIndex(({ up, down }) => Math.max(up, down) > CUSUM.limit),
      2000,
    );
    // 10.4 by the usual tables.
    expect(Math.abs(found - 10.4)).toBeLessThan(0.5);
  });
});

describe("controlChart", () => {
  test.each([
    [5, {}],
    [8, {}],
    [20, {}],
    [30, { baseline: 10 }],
    [20, { centre: 0 }],
    [20, { sd: 1 }],
    [40, { centre: 0, sd: 1 }],
  ])("a steady rig signals in %i readings, %o, as often as the chart says", (count, options) => {
    const stream = randomStream(1000 + count);
    const records = 400;
    let [signalled, said] = [0, 0];
    for (let record = 0; record < records; record++) {
      const chart = controlChart(readings(Array.from({ length: count }, () => stream.normal())), options);
      said = chart.chance;
      if (chart.points.some(({ signals }) => signals.length > 0)) signalled++;
    }
    expect(Math.abs(signalled / records - said)).toBeLessThan(3 * Math.sqrt(said / records) + 0.005);
    expect(said).toBeLessThan(0.3);
  });

  test.each([
    [12, {}],
    [20, {}],
    [20, { baseline: 10 }],
  ])("sees a shift of two sd in the last half of %i readings, %o, as often as it says", (count, options) => {
    const stream = randomStream(3000 + count);
    const records = 400;
    let [seen, said] = [0, 0];
    for (let record = 0; record < records; record++) {
      const chart = controlChart(
        readings(Array.from({ length: count }, (_, i) => stream.normal() + (i < count / 2 ? 0 : 2))),
        options,
      );
      said = chart.seen;
      if (chart.points.some(({ signals }) => signals.length > 0)) seen++;
    }
    expect(Math.abs(seen / records - said)).toBeLessThan(0.08);
  });

  test("places a shift of two sd within two readings and sizes it, in nearly every record", () => {
    const stream = randomStream(5);
    const records = 200;
    let placed = 0;
    const sizes: number[] = [];
    for (let record = 0; record < records; record++) {
      const values = Array.from({ length: 30 }, (_, i) => 6 + 0.1 * stream.normal() + (i >= 18 ? 0.2 : 0));
      const { shift } = controlChart(readings(values));
      if (shift === null) continue;
      sizes.push(shift.size);
      if (Math.abs(Number(shift.since) - 19) <= 2) placed++;
    }
    expect(sizes.length / records).toBeGreaterThan(0.9);
    expect(placed / sizes.length).toBeGreaterThan(0.9);
    expect(Math.abs(mean(sizes) - 0.2)).toBeLessThan(0.02);
  });

  test("names the change logged beside a shift, and which way it went", () => {
    const stream = randomStream(9);
    const values = Array.from({ length: 24 }, (_, i) => ({
      label: `K${i + 1}`,
      value: 6 + 0.05 * stream.normal() - (i >= 14 ? 0.3 : 0),
      ...(i === 14 ? { change: "gas_cylinder" } : {}),
    }));
    const { shift, findings } = controlChart(values, { baseline: 12 });
    expect(Math.abs(shift!.size + 0.3)).toBeLessThan(0.05);
    expect(shift).toMatchObject({ direction: "down", since: "K15", near: ["gas_cylinder"] });
    expect(findings.map(({ code }) => code)).toContain("rig-shifted");
    expect(findings[0]!.message).toContain("logged near it: gas_cylinder");
  });

  test("says the same in another unit and from another zero", () => {
    fc.assert(
      fc.property(
        fc
          .array(fc.integer({ min: -50, max: 50 }), { minLength: 6, maxLength: 30 })
          .filter((values) => new Set(values).size > 3),
        fc.constantFrom(0.001, 25.4),
        (values, scale) => {
          const plain = controlChart(readings(values));
          const other = controlChart(readings(values.map((value) => 100 * scale + scale * value)));
          expect(other.points.map(({ signals }) => signals)).toEqual(
            plain.points.map(({ signals }) => signals),
          );
          expectDigits(other.sd, scale * plain.sd, 9);
          expect(other.shift?.since).toBe(plain.shift?.since);
        },
      ),
      { numRuns: 40 },
    );
  });

  test("says of few readings that limits are wide", () => {
    const { findings } = controlChart(readings([1, 2, 1.5, 1.8, 1.2]));
    expect(findings.find(({ code }) => code === "few-control-readings")!.message).toMatch(
      /rest on 5 readings, whose scatter may be off by \d+ %: limits are wide/,
    );
    expect(findings.some(({ code }) => code === "no-drift-shown")).toBe(true);
  });

  test("refuses too few readings, readings that are all alike, and a baseline beyond them", () => {
    expect(() => controlChart(readings([1, 2, 3]))).toThrow(/at least 4 readings, got 3/);
    expect(() => controlChart(readings([2.1, 2.1, 2.1, 2.1, 2.1]))).toThrow(/all alike.*another digit/);
    expect(() => controlChart(readings([1, 2, 3, 4, 5]), { baseline: 9 })).toThrow(
      /baseline must be .*at most 5/,
    );
    expect(() => controlChart(readings([1, 2, 3, 4, 5]), { sd: -1 })).toThrow(
      /sd of a steady rig must be above 0/,
    );
  });
});

describe("the normal scatter that limits assume", () => {
  test("is measured as Stephens' modified Anderson-Darling statistic does", () => {
    // Five readings with mean 3 and variance 2.5, by the formula in Python with math.erfc.
    expect(normalDistance([1, 2, 3, 4, 5])).toBeCloseTo(0.1435942036725244 * (1 + 0.75 / 5 + 2.25 / 25), 10);
  });

  test("is doubted of one normal record in a hundred, and of most that grow with their size", () => {
    const random = randomStream(515);
    const share = (draw: () => number): number =>
      mean(
        Array.from({ length: 1000 }, () => Number(normalDistance(Array.from({ length: 25 }, draw)) > 1.035)),
      );
    const doubted = share(() => 5 + random.normal());
    expect(doubted).toBeGreaterThan(0.003);
    expect(doubted).toBeLessThan(0.02);
    expect(share(() => Math.exp(random.normal()))).toBeGreaterThan(0.8);
  });

  test("where it fails is said with what to do about it, and not where a step spreads the readings", () => {
    const random = randomStream(77);
    const found = (values: readonly number[]) =>
      controlChart(readings(values)).findings.find(({ code }) => code === "scatter-not-normal");
    const grown = Array.from({ length: 40 }, () => Math.exp(0.9 * random.normal()));
    const said = found(grown);
    expect(said === undefined ? "shift" : said.advice).toMatch(/logarithm|shift/);
    expect(found(Array.from({ length: 40 }, () => 5 + 0.1 * random.normal()))).toBeUndefined();
    expect(
      found(Array.from({ length: 40 }, (_, i) => (i < 20 ? 5 : 9) + 0.1 * random.normal())),
    ).toBeUndefined();
  });
});
