import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { measureTrace, openTrace, type TraceMeasure } from "../../lib/traces/index.js";
import { expectDigits } from "../support/digits.js";
import { csvText, traceFile } from "./files.js";

type Row = readonly [time: number, current: number, voltage: number];

const HEADER = "time [s],current [A],voltage [V]";

async function measured(
  rows: readonly (readonly (number | string)[])[],
  options: Partial<Parameters<typeof measureTrace>[1]> & { header?: string } = {},
): Promise<TraceMeasure> {
  const { header = HEADER, ...rest } = options;
  return measureTrace(await openTrace(traceFile(csvText(header, rows))), { process: "141", ...rest });
}

const even = (n: number, step: number, row: (t: number) => readonly [number, number]): Row[] =>
  Array.from({ length: n }, (_, k) => [k * step, ...row(k * step)]);

describe("measureTrace", () => {
  // physics.md section 1: square pulse of 200 A, 14 V for 40 % and 60 A, 10 V for 60 % of each period.
  test("takes the mean of instantaneous power, beside the products that are wrong for pulses", async () => {
    const { stretches } = await measured(
      even(20_001, 1e-4, (t) => (Math.round(t * 1e4) % 100 < 40 ? [200, 14] : [60, 10])),
    );
    const [{ power, productOfMeans, productOfRms, current, voltage, energy, arcTime, peakPower }] =
      stretches as [(typeof stretches)[0]];
    expectDigits(power, 1480, 10);
    expectDigits(productOfMeans, 1345.6, 10);
    expectDigits(productOfRms, 1585.35, 5);
    expectDigits(current.mean, 116, 10);
    expectDigits(voltage.mean, 11.6, 10);
    expectDigits(current.rms, 134.759, 6);
    expectDigits(voltage.rms, 11.7644, 5);
    expectDigits(arcTime, 2, 10);
    expectDigits(energy, 2960, 10);
    expect(peakPower).toBe(2800);
  });

  test("integrates uneven steps by trapezoids, as the plain sum over the rows does", async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(
          fc.tuple(
            fc.double({ min: 0.001, max: 0.003, noNaN: true }),
            fc.double({ min: 20, max: 400, noNaN: true }),
            fc.double({ min: 8, max: 40, noNaN: true }),
          ),
          {
            minLength: 600,
            maxLength: 900,
          },
        ),
        async (steps) => {
          let time = 0;
          const rows = steps.map(([step, i, u]): Row => {
            time += step;
            return [time, i, u];
          });
          const { stretches } = await measured(rows, { thresholds: { couponLeast: 0 } });
          let energy = 0;
          let charge = 0;
          for (let k = 1; k < rows.length; k += 1) {
            const [[t0, i0, u0], [t1, i1, u1]] = [rows[k - 1]!, rows[k]!];
            energy += ((t1 - t0) * (i0 * u0 + i1 * u1)) / 2;
            charge += ((t1 - t0) * (i0 + i1)) / 2;
          }
          expectDigits(stretches[0]!.energy, energy, 11);
          expectDigits(stretches[0]!.current.mean, charge / stretches[0]!.arcTime, 11);
        },
      ),
      { numRuns: 10 },
    );
  });

  test("takes alternating current by its size, and power by its sign", async () => {
    const { stretches } = await measured(
      even(40_001, 1e-4, (t) => (Math.floor(t * 120) % 2 === 0 ? [120, 15] : [-120, -19])),
      { thresholds: {} },
    );
    expect(stretches[0]).toMatchObject({ alternating: true, opposed: false });
    expectDigits(stretches[0]!.current.mean, 120, 3);
    expectDigits(stretches[0]!.power, 120 * 17, 3);
    expect(stretches[0]!.events.lost.count).toBe(0);
  });

  test("tells a probe that is the wrong way round, and takes its power all the same", async () => {
    const { stretches, findings } = await measured(even(3000, 1e-3, () => [-150, 12]));
    expectDigits(stretches[0]!.power, 1800, 10);
    expect(findings.map(({ code }) => code)).toContain("trace-signs-opposed");
  });

  test("parts runs of arc where it stays out, and joins what was only lost", async () => {
    const on = (t: number): boolean =>
      (t >= 1 && t < 5) || (t >= 5.5 && t < 8) || (t >= 15 && t < 20) || (t > 26 && t < 26.4);
    const { stretches, events } = await measured(even(30_000, 1e-3, (t) => (on(t) ? [150, 12] : [0, 0.1])));
    expect(stretches.map(({ from, to }) => [from, to].map((time) => Number(time!.toFixed(2))))).toEqual([
      [1, 8],
      [15, 20],
    ]);
    expectDigits(stretches[0]!.arcTime, 6.498, 4);
    expect(stretches[0]!.events).toMatchObject({ ignition: { count: 2 }, lost: { count: 1 } });
    expect(events.find(({ kind }) => kind === "lost")!.duration).toBeCloseTo(0.5, 2);
  });

  test("sums by time marks where they are given, each by itself", async () => {
    const rows = even(20_000, 1e-3, (t) => [100 + 10 * Math.floor(t / 5), 12]);
    const marks = [
      { coupon: "B", from: 5, to: 10 },
      { coupon: "A", from: 0.5, to: 5 },
      { coupon: "far", from: 50, to: 60 },
    ];
    const { stretches, findings } = await measured(rows, { marks });
    expect(stretches.map(({ mark }) => mark!.coupon)).toEqual(["A", "B"]);
    expect(findings.map(({ message }) => message.replace(/^.*: /, ""))).toEqual([
      "no arc between the marks of far, 50.0000 to 60.0000 s; the trace runs from 0 to 19.9990 s",
    ]);
    expectDigits(stretches[0]!.current.mean, 100, 4);
    expectDigits(stretches[1]!.current.mean, 110, 4);
    expectDigits(stretches[1]!.arcTime, 5, 3);
    await expect(
      measured(rows, {
        marks: [
          { coupon: "A", from: 0, to: 3 },
          { coupon: "B", from: 2, to: 4 },
        ],
      }),
    ).rejects.toThrow(/marks of A and B overlap from 2.00000 to 3.00000 s/);
    await expect(measured(rows, { marks: [{ coupon: "A", from: 4, to: 3 }] })).rejects.toThrow(
      /mark of A ends at 3.00000 s, before it begins/,
    );
  });

  test.each<[string, (rows: Row[]) => (readonly (number | string)[])[], string, RegExp]>([
    [
      "a time that runs back",
      (rows) => [...rows.slice(0, 2000), ...rows.slice(1000, 1010), ...rows.slice(2000)],
      "trace-time-back",
      /\(row 2001\): the time runs back from 1\.999.* to 1\.000.*; 10 rows/,
    ],
    [
      "a time that stands twice",
      (rows) => rows.flatMap((row, k) => (k === 1500 ? [row, row] : [row])),
      "trace-time-repeated",
      /\(row 1502\): the time 1\.50000 s stands twice; 1 row/,
    ],
    [
      "a hole",
      (rows) => [...rows.slice(0, 1000), ...rows.slice(2000)],
      "trace-gap",
      /\(row 1001\): the clock jumps from 0\.999.* to 2\.00000 s where steps are 0\.00100 s; 1 hole in the record, 1\.00 s/,
    ],
    [
      "cells not measured",
      (rows) => rows.map((row, k) => (k > 99 && k < 103 ? [row[0], "", row[2]] : row)),
      "trace-not-measured",
      /\(row 101\): .*not measured; 3 rows/,
    ],
  ])("finds %s, keeps the rest, and its means", async (_, hurt, code, message) => {
    const rows = even(5000, 1e-3, () => [150, 12]);
    const { findings, stretches } = await measured(hurt(rows));
    expect(findings.find((finding) => finding.code === code)?.message).toMatch(message);
    expectDigits(stretches[0]!.power, 1800, 10);
    expectDigits(stretches[0]!.arcTime, code === "trace-gap" ? 3.998 : 4.999, 4);
  });

  test("finds a signal cut off at the end of its range, and no other", async () => {
    const noisy = (k: number): number => 150 + 30 * Math.sin(k * 0.31) + 20 * Math.sin(k * 0.13);
    const steps = (value: number): number => Math.round(value * 10) / 10;
    const of = async (top: number): Promise<readonly string[]> =>
      (
        await measured(
          even(8000, 1e-3, (t) => [
            Math.min(top, steps(noisy(t * 1000))),
            12 + 0.01 * (Math.round(t * 1000) % 7),
          ]),
        )
      ).findings.map(({ code }) => code);
    expect(await of(170)).toContain("trace-clipped");
    expect(await of(1000)).not.toContain("trace-clipped");
  });

  test("tells an offset with the arc out, a logger too slow, and a trace without an arc", async () => {
    const codes = async (rows: readonly Row[]): Promise<readonly string[]> =>
      (await measured(rows)).findings.map(({ code }) => code);
    expect(await codes(even(9000, 1e-3, (t) => (t > 4 ? [154, 12] : [4, 0])))).toEqual([
      "trace-current-offset",
    ]);
    expect(await codes(even(100, 0.1, () => [150, 12]))).toEqual(["trace-sampled-slowly"]);
    expect(await codes(even(9000, 1e-3, () => [0.2, 0]))).toEqual(["trace-no-arc"]);
  });

  test("tells a voltage that no arc of the process shows", async () => {
    // 7 to 20 V: physics.md section 1, voltages at which a logged TIG arc is to be flagged.
    const codes = async (volts: number): Promise<readonly string[]> =>
      (await measured(even(3000, 1e-3, () => [150, volts]))).findings.map(({ code }) => code);
    expect(await codes(12)).toEqual([]);
    expect(await codes(28)).toEqual(["trace-voltage-unusual"]);
  });

  test("has no scatter where there is none, whatever the sums leave behind", async () => {
    const { stretches } = await measured(even(5000, 1e-3, () => [151.3, 11.7]));
    expect(stretches[0]!.current.spread).toBe(0);
    expect(stretches[0]!.voltage.spread).toBe(0);
  });

  test("averages what else was recorded while the arc burned", async () => {
    const rows = Array.from({ length: 9000 }, (_, k) => [
      k / 1000,
      k < 3000 ? 0 : 150,
      12,
      k < 3000 ? 0 : 1.2,
      k % 2 ? "" : 40,
    ]);
    const { stretches } = await measured(rows, {
      header: "time [s],current [A],voltage [V],wire_feed_speed [m/min],oxygen [ppm]",
    });
    expectDigits(stretches[0]!.side.feed!, 20, 6);
    expectDigits(stretches[0]!.side.oxygen!, 40, 10);
  });

  test("is refused for a process without an arc, thresholds that cross, and a file of nothing", async () => {
    const rows = even(10, 1e-3, () => [150, 12]);
    await expect(measured(rows, { process: "52" })).rejects.toThrow(/no arc/);
    await expect(measured(rows, { thresholds: { arcOff: 20 } })).rejects.toThrow(
      /arcOn \(8 A\) must be at least arcOff \(20 A\)/,
    );
    await expect(
      measured([
        [0, 150, 12],
        [1, "x", 12],
      ]),
    ).rejects.toThrow(/no two rows.*\n.*"x" is no number/s);
  });

  test("survives JSON", async () => {
    const result = await measured(even(3000, 1e-3, () => [150, 12]));
    expect(JSON.parse(JSON.stringify(result))).toEqual(result);
  });
});
