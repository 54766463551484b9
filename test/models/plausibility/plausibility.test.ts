import { describe, expect, test } from "vitest";
import {
  checkStudy,
  confounding,
  dropOuts,
  judgeCoupon,
  massBalances,
  pureErrors,
} from "../../../lib/models/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { convert } from "../../../lib/units/index.js";
import { expectDigits } from "../../support/digits.js";
import { coupon, results, simulatedBeads, sizeOf, tigDefinition } from "../../support/studies.js";

const definition = tigDefinition();
const codes = (check: { findings: readonly { code: string }[] }): readonly string[] =>
  check.findings.map(({ code }) => code);

describe("massBalances", () => {
  test("fed area and fullness of the running example: 1.2 mm wire at 20 mm/s, travel 3 mm/s", () => {
    // Derived: pi 0.6^2 x 20 / 3 = 7.53982 mm2; a parabolic bead 6 mm wide is then 1.88496 mm high (fullness 2/3),
    // times the deposition efficiency of TIG, 0.99 (AWS Welding Handbook ranges, from memory).
    const [balance] = massBalances({
      definition,
      coupons: [
        coupon("C1", {
          settings: { current: 150, travel_speed: 180, wire_feed_speed: 1.2 },
          measured: { bead_width: 6, bead_height: 1.88496 },
        }),
      ],
    });
    expectDigits(balance!.fedArea, 0.99 * 7.53982, 5);
    expectDigits(balance!.ratio, (0.99 * 2) / 3, 5);
    expect(balance!.plausible).toBe(true);
  });
});

describe("checkStudy", () => {
  test("finds nothing to refuse in sound data", () => {
    const check = checkStudy({ definition, coupons: simulatedBeads(1, 24, 0.04) });
    expect(check.refused).toBe(false);
    expect(codes(check)).not.toContain("unit-slip");
  });

  const slips = [
    { factor: "wire_feed_speed", unit: "m/min", meant: "in/min" },
    { factor: "wire_feed_speed", unit: "mm/min", meant: "in/min" },
    { factor: "wire_feed_speed", unit: "mm/min", meant: "m/min" },
    { factor: "travel_speed", unit: "mm/min", meant: "in/min" },
    { factor: "travel_speed", unit: "mm/s", meant: "mm/min" },
  ] as const;

  test.each(slips)(
    "names the unit when $factor was typed in $meant but labelled $unit",
    ({ factor, unit, meant }) => {
      const wrong = tigDefinition({
        factors: definition.factors.map((f) =>
          f.name === factor ? { name: f.name, unit, low: 1e-3, high: 1e6 } : { ...f },
        ),
      });
      const right = definition.factors.find((f) => f.name === factor)!.unit;
      const beads = simulatedBeads(2, 12, 0.04).map((bead) => ({
        ...bead,
        settings: { ...bead.settings, [factor]: convert(Number(bead.settings[factor]), right, meant) },
      }));
      const check = checkStudy({ definition: wrong, coupons: beads });
      const slip = check.findings.find(({ code }) => code === "unit-slip");
      expect(check.refused).toBe(true);
      expect(slip?.message).toContain(`${factor} is stated in ${unit} but looks like ${meant}`);
    },
  );

  test("finds a slip on some coupons only and names just those", () => {
    const beads = simulatedBeads(3, 20, 0.04).map((bead, i) => ({
      ...bead,
      blocks: { day: i < 5 ? "1" : "2" },
      settings:
        i < 5
          ? {
              ...bead.settings,
              wire_feed_speed: convert(Number(bead.settings.wire_feed_speed), "m/min", "in/min") / 1000,
            }
          : bead.settings,
    }));
    const slip = checkStudy({ definition, coupons: beads }).findings.find(
      ({ code }) => code === "mass-balance-open" || code === "unit-slip",
    );
    expect(slip?.about).toEqual(["S1", "S2", "S3", "S4", "S5"]);
  });

  test("refuses inch wire labelled mm", () => {
    const inch = tigDefinition({
      wire: { classification: "ER308L", diameter: { value: 0.045, unit: "mm" } },
    });
    const check = checkStudy({ definition: inch, coupons: simulatedBeads(1, 6, 0.04) });
    expect(check.refused).toBe(true);
    expect(check.findings.find(({ severity }) => severity === "error")?.message).toMatch(
      /wire diameter is stated in mm but looks like in on all coupons/,
    );
  });

  test("missing stays missing: it is counted, never taken for zero", () => {
    const beads = simulatedBeads(1, 6, 0.04).map((bead, i) =>
      i < 2 ? { ...bead, results: results({ passed: { sound_bead: true } }) } : bead,
    );
    const check = checkStudy({ definition, coupons: beads });
    expect(check.missing).toEqual({ bead_width: 2, bead_height: 2 });
    expect(check.massBalances).toHaveLength(4);
  });

  test("flags a TIG arc of 35 V and an efficiency of 1", () => {
    const odd = tigDefinition({ rig: { settings: { arc_voltage: "35 V" }, efficiency: 1 } });
    expect(codes(checkStudy({ definition: odd, coupons: simulatedBeads(1, 6, 0.04) }))).toEqual(
      expect.arrayContaining(["arc-voltage-range", "efficiency-range"]),
    );
  });
});

describe("dropOuts", () => {
  test("names station and reading, and leaves the coupon as it is", () => {
    const readings = [2.9, 3.1, 3, 0.4, 3.05, 2.95];
    const bead = coupon("B1", {
      scatter: { bead_height: { readings, sd: 1 } },
      measured: { bead_height: 2.57 },
    });
    expect(dropOuts({ coupons: [bead] })).toEqual([
      { coupon: "B1", response: "bead_height", station: 4, reading: 0.4, usual: expect.closeTo(2.975, 10) },
    ]);
    expect(sizeOf(bead, "bead_height")).toBe(2.57);
  });

  test("takes normal scatter for no drop-out", () => {
    const rng = randomStream(5);
    const beads = Array.from({ length: 200 }, (_, i) =>
      coupon(`N${i}`, {
        scatter: {
          bead_height: { readings: Array.from({ length: 13 }, () => 3 + 0.15 * rng.normal()), sd: 0.15 },
        },
      }),
    );
    expect(dropOuts({ coupons: beads })).toEqual([]);
  });
});

describe("confounding", () => {
  test("inflation of independent factors is near 1", () => {
    for (const { inflation } of confounding({ definition, coupons: simulatedBeads(4, 60, 0.04) }).inflation) {
      expect(inflation).toBeGreaterThanOrEqual(1);
      expect(inflation).toBeLessThan(1.5);
    }
  });

  test("two factors with correlation r have inflation 1 / (1 - r^2)", () => {
    // Derived: the variance inflation factor of two regressors.
    const logs = [0, 1, 2, 3, 4].map((a, i) => [a, [0, 1.5, 1.7, 3.1, 4][i]!] as const);
    const mean = (k: 0 | 1): number => logs.reduce((sum, pair) => sum + pair[k], 0) / 5;
    const moment = (j: 0 | 1, k: 0 | 1): number =>
      logs.reduce((sum, pair) => sum + (pair[j] - mean(j)) * (pair[k] - mean(k)), 0);
    const r = moment(0, 1) / Math.sqrt(moment(0, 0) * moment(1, 1));
    const beads = logs.map(([a, b], i) =>
      coupon(`L${i}`, { settings: { current: Math.exp(a), travel_speed: Math.exp(b), wire_feed_speed: 1 } }),
    );
    const result = confounding({ definition, coupons: beads });
    for (const { inflation } of result.inflation) expectDigits(inflation, 1 / (1 - r * r), 10);
    expectDigits(result.correlations[0]![1]!, r, 12);
  });

  test("names settings that moved together and proposes coupons that part them", () => {
    const beads = Array.from({ length: 12 }, (_, i) => {
      const t = i / 11;
      return coupon(`T${i}`, {
        settings: {
          current: 100 + 100 * t,
          travel_speed: 100 + 200 * t + (i % 2),
          wire_feed_speed: i % 3 === 0 ? 0.7 : 1.6,
        },
      });
    });
    const before = confounding({ definition, coupons: beads });
    const finding = before.findings.find(({ code }) => code === "moved-together");
    expect(finding?.about).toEqual(["current", "travel_speed"]);
    const added = before.partingSettings.map((settings, i) => coupon(`P${i}`, { settings }));
    const after = confounding({ definition, coupons: [...beads, ...added] });
    const worst = (c: typeof before): number => Math.max(...c.inflation.map(({ inflation }) => inflation));
    expect(worst(after)).toBeLessThan(worst(before) / 10);
    for (const { settings } of added) {
      for (const { name, low, high } of definition.factors) {
        expect(settings[name]).toBeGreaterThanOrEqual(low);
        expect(settings[name]).toBeLessThanOrEqual(high);
      }
    }
  });
});

describe("confounding of odd factors", () => {
  const tilted = tigDefinition({
    factors: [
      { name: "current", unit: "A", low: 100, high: 200 },
      { name: "torch_angle", unit: "deg", low: -10, high: 10 },
    ],
  });

  test("a setting of 0 and below is judged like any other", () => {
    const beads = Array.from({ length: 9 }, (_, i) =>
      coupon(`A${i}`, { settings: { current: 100 + 12 * i + (i % 3), torch_angle: -10 + 2.5 * i } }),
    );
    const { inflation, partingSettings } = confounding({ definition: tilted, coupons: beads });
    expect(inflation.map(({ factor }) => factor)).toEqual(["current", "torch_angle"]);
    for (const one of inflation) expect(one.inflation).toBeGreaterThan(5);
    const apart = confounding({
      definition: tilted,
      coupons: [...beads, ...partingSettings.map((settings, i) => coupon(`P${i}`, { settings }))],
    });
    expect(apart.inflation[0]!.inflation).toBeLessThan(inflation[0]!.inflation / 5);
  });

  test("parting coupons stay within limits and near the energies and sections that were run", () => {
    const limited = tigDefinition({ limits: [{ quantity: "arc_energy", unit: "kJ/mm", max: 0.9 }] });
    const beads = Array.from({ length: 12 }, (_, i) =>
      coupon(`L${i}`, {
        settings: {
          current: 110 + 7 * i,
          travel_speed: 120 + 15 * i + (i % 2),
          wire_feed_speed: 0.7 + 0.1 * i + 0.02 * (i % 3),
        },
      }),
    );
    const { partingSettings } = confounding({ definition: limited, coupons: beads });
    const energyOf = (s: Readonly<Record<string, unknown>>): number =>
      (12 * Number(s.current)) / (Number(s.travel_speed) / 60) / 1000;
    const sectionOf = (s: Readonly<Record<string, unknown>>): number =>
      Number(s.wire_feed_speed) / Number(s.travel_speed);
    const sections = beads.map(({ settings }) => sectionOf(settings));
    for (const settings of partingSettings) {
      // An argon arc of which no voltage is known is taken at 12 V.
      expect(energyOf(settings)).toBeLessThanOrEqual(0.9);
      expect(sectionOf(settings)).toBeLessThanOrEqual(1.5 * Math.max(...sections) * 1.0001);
      expect(sectionOf(settings)).toBeGreaterThanOrEqual((Math.min(...sections) / 1.5) * 0.9999);
    }
    expect(partingSettings).toHaveLength(2);
  });
});

describe("a wire balance open on every coupon", () => {
  test("names the wire that would fit, when no unit does", () => {
    const thin = tigDefinition({ wire: { classification: "ER308L", diameter: "0.8 mm" } });
    const { findings } = checkStudy({ definition: thin, coupons: simulatedBeads(1, 18, 0.04) });
    const open = findings.find(({ code }) => code === "mass-balance-open");
    expect(open?.advice).toMatch(/^a wire of .*1\.2.* mm instead of 0\.8 mm would fit: measure it/);
  });

  test("tells of a bead that there is", () => {
    const beads = simulatedBeads(1, 18, 0.04);
    const thin = tigDefinition({ wire: { classification: "ER308L", diameter: "0.8 mm" } });
    const { findings } = checkStudy({ definition: thin, coupons: beads });
    const told = /against a bead of ([\d.]+) x ([\d.]+) mm/.exec(
      findings.find(({ code }) => code === "mass-balance-open")!.message,
    )!;
    const sizes = beads.map((bead) =>
      [sizeOf(bead, "bead_width"), sizeOf(bead, "bead_height")].map((size) => size.toPrecision(3)).join(),
    );
    expect(sizes).toContain([told[1], told[2]].map((size) => Number(size).toPrecision(3)).join());
  });
});

describe("pureErrors", () => {
  test("pools repeats: s = sqrt(sum d^2 / 2n) for duplicates", () => {
    // Worked figure: differences 0.05, -0.03, 0.02, 0.06, -0.04 give 0.0300.
    const differences = [0.05, -0.03, 0.02, 0.06, -0.04];
    const beads = differences.flatMap((d, i) => [
      coupon(`A${i}`, { settings: { current: 100 + i }, measured: { bead_height: 2 } }),
      coupon(`B${i}`, { settings: { current: 100 + i }, measured: { bead_height: 2 + d } }),
    ]);
    const [error] = pureErrors({ coupons: beads });
    expect(error!.df).toBe(5);
    expectDigits(error!.sd, 0.03, 10);
  });

  const onDays = (
    width: (setting: number, day: number, i: number) => number,
    days: number,
    settings: number,
  ) =>
    Array.from({ length: days * settings }, (_, i) => {
      const [setting, day] = [i % settings, Math.floor(i / settings)];
      const bead = coupon(`A${i}`, {
        settings: { current: 100 + setting },
        measured: { bead_width: width(setting, day, i) },
      });
      return { ...bead, blocks: { day: String(day + 1) } };
    });

  test("takes shifts of days out: repeats that differ by the day alone have no scatter", () => {
    const beads = onDays((setting, day) => 6 + 0.1 * setting + [0, 0.5, -0.3][day]!, 3, 4);
    const [error] = pureErrors({ coupons: beads });
    expect(error).toMatchObject({ df: 12 - 4 - 2, shifts: 2 });
    expect(error!.sd).toBeLessThan(1e-9);
  });

  test("is the residual of a two-way layout: s^2 = sum r^2 / ((a - 1)(b - 1))", () => {
    // Any textbook's two-way table without repeats; residuals by hand: y - row mean - column mean + mean.
    const table = [
      [6.1, 6.4, 5.9],
      [7.0, 7.1, 6.6],
      [5.2, 5.9, 5.3],
      [6.6, 6.5, 6.4],
    ];
    const beads = onDays((setting, day) => table[setting]![day]!, 3, 4);
    const mean = (list: readonly number[]) => list.reduce((a, b) => a + b, 0) / list.length;
    const all = mean(table.flat());
    const squares = table.flatMap((row) =>
      row.map((y, day) => (y - mean(row) - mean(table.map((other) => other[day]!)) + all) ** 2),
    );
    const [error] = pureErrors({ coupons: beads });
    expectDigits(error!.sd, Math.sqrt(squares.reduce((a, b) => a + b, 0) / 6), 10);
  });

  test("leaves shifts in where nothing else is left of the repeats", () => {
    const beads = onDays((_, day) => 6 + day, 2, 1);
    const [error] = pureErrors({ coupons: beads });
    expect(error!.shifts).toBeUndefined();
    expectDigits(error!.sd, Math.SQRT1_2, 10);
  });
});

test("repeats that agree exactly have no scatter, whatever their mean leaves behind", () => {
  for (let tenths = 1; tenths <= 60; tenths++)
    for (const count of [3, 6, 7]) {
      const beads = Array.from({ length: count }, (_, i) =>
        coupon(`A${i}`, { settings: { current: 100 }, measured: { bead_height: tenths / 10 } }),
      );
      expect(pureErrors({ coupons: beads })[0]).toMatchObject({ sd: 0, cv: 0 });
    }
});

describe("strayReadings", () => {
  test("names a slipped decimal mark", () => {
    const readings = [1.79, 180, 1.81];
    const bead = coupon("C1", {
      scatter: { bead_height: { readings, sd: 1 } },
      measured: { bead_height: 61.2 },
    });
    const check = checkStudy({ definition, coupons: [bead] });
    expect(check.refused).toBe(true);
    expect(check.findings[0]!.message).toBe(
      "C1: bead_height station 2 reads 180 among 1.81; the decimal mark seems to have slipped by 2, 1.8 would fit",
    );
  });
});

describe("judgeCoupon", () => {
  const measured = { bead_width: 6, bead_height: 2 };
  test.each([
    ["passed", { measured, passed: { sound_bead: true } }],
    ["failed", { measured, passed: { sound_bead: false } }],
    ["failed", { measured: { ...measured, bead_width: 8 }, passed: { sound_bead: true } }],
    ["failed", { measured: { bead_width: 8 } }],
    ["not judged", { measured }],
    ["not judged", { measured: { bead_width: 6 }, passed: { sound_bead: true } }],
    ["voided", { measured, passed: { sound_bead: true }, state: "voided" }],
  ] as const)("%s: %j", (verdict, parts) => {
    expect(judgeCoupon({ definition }, coupon("C1", parts))).toBe(verdict);
  });
});
