import { describe, expect, test } from "vitest";
import { type FreeForm, fitPowerLaw, fitStudy, predictForm } from "../../../lib/models/index.js";
import { median, randomStream } from "../../../lib/numeric/index.js";
import { fitLinear, leaveOneOut } from "../../../lib/regression/index.js";
import type { Coupon, StudyDefinition } from "../../../lib/study/index.js";
import { expectDigits } from "../../support/digits.js";
import { coupon, tigDefinition } from "../../support/studies.js";
import { powerLawData } from "./power-law-data.js";
import { simulateDays, widthByDay } from "./simulate-days.js";
import { beadsOf, drawSettings, laws, widthStudy } from "./support.js";

const width = [{ name: "bead_width", unit: "mm", kind: "measured" }] as const;

/** Five invented factors, their law a power of each. */
const names = ["current", "travel_speed", "wire_feed_speed", "contact_tip_distance", "gas_flow"] as const;
const five: StudyDefinition = tigDefinition({
  factors: [
    { name: "current", unit: "A", low: 100, high: 200 },
    { name: "travel_speed", unit: "mm/min", low: 100, high: 300 },
    { name: "wire_feed_speed", unit: "m/min", low: 0.6, high: 2 },
    { name: "contact_tip_distance", unit: "mm", low: 8, high: 16 },
    { name: "gas_flow", unit: "L/min", low: 8, high: 16 },
  ],
  responses: [...width],
});

/**
 * 26 coupons for 21 coefficients of a surface: half a factorial of five factors, one point on each axis, and the centre five times; a power law with 8 % scatter.
 */
function saturated(seed: number): readonly Coupon[] {
  const noise = randomStream(seed);
  const half = Array.from({ length: 16 }, (_, i) => {
    const x: number[] = [0, 1, 2, 3].map((k) => ((i >> k) & 1 ? 1 : -1));
    return [...x, x.reduce((a, b) => a * b, 1)];
  });
  const axial = names.map((_, j) => names.map((__, k) => (k === j ? 0.6 : 0)));
  const centre = names.map(() => names.map(() => 0));
  return [...half, ...axial, ...centre].map((x, i) => {
    const settings = Object.fromEntries(
      five.factors.map(({ name, low, high }, j) => [name, (low + high) / 2 + (x[j]! * (high - low)) / 2]),
    );
    const law =
      Math.log(6) +
      0.6 * Math.log(Number(settings.current) / 150) -
      0.4 * Math.log(Number(settings.travel_speed) / 200);
    return coupon(`Q${i + 1}`, {
      order: i + 1,
      settings,
      measured: { bead_width: Math.exp(law + 0.08 * noise.normal()) },
    });
  });
}

/** The scale a form was fitted on. */
const detail = (form: FreeForm): string =>
  form.form === "gaussian-process" ? form.base.fitScale : form.fitScale;

describe("saturated models", () => {
  test("a row that alone carries a coefficient is foreseen by nothing, not without error", () => {
    // y = a + b x with x = 1 on one row only.
    const x = [
      [1, 0],
      [1, 0],
      [1, 0],
      [1, 1],
    ];
    const result = leaveOneOut(fitLinear({ x, y: [1, 2, 4, 9] }, { names: ["a", "b"] }));
    expect(result.predicted[3]).toBeNaN();
    expect(result.rmse).toBe(Number.POSITIVE_INFINITY);
  });

  test("21 coefficients are not chosen on 26 coupons, and their error shows how many they are", () => {
    for (let seed = 1; seed <= 6; seed++) {
      const { chosen, candidates } = fitStudy({ definition: five, coupons: saturated(seed) }).responses[0]!;
      expect(["power-law", "energy-balance"], `seed ${seed}`).toContain(chosen);
      const error = (name: string): number => candidates.find(({ form }) => form === name)!.leftOutError!;
      expect(error("quadratic")).toBeGreaterThan(1.5 * error("power-law"));
    }
  });

  test("ten coefficients on ten repeated settings are refused, and the reason is told", () => {
    const beads = drawSettings(4, 10).flatMap((settings, i) =>
      [1, 2, 3].map((k) =>
        coupon(`S${i + 1}.${k}`, {
          settings,
          measured: {
            bead_width: Math.exp(laws.quadratic(settings) + 0.02 * randomStream(9 * i + k).normal()),
          },
        }),
      ),
    );
    const { chosen, candidates } = fitStudy({ definition: widthStudy, coupons: beads }).responses[0]!;
    expect(chosen).not.toBe("quadratic");
    expect(candidates.find(({ form }) => form === "quadratic")!.reason).toMatch(
      /10 of 10 settings cannot be foreseen from the others, because coefficients rest on them alone/,
    );
  });
});

describe("whole settings are left out", () => {
  /** Twelve settings, each run three times, with a scatter of 8 %. */
  const repeated = (seed: number): readonly Coupon[] => {
    const noise = randomStream(seed).split("scatter");
    return drawSettings(seed, 12).flatMap((settings, i) =>
      [1, 2, 3].map((k) =>
        coupon(`S${i + 1}.${k}`, {
          order: 3 * i + k,
          settings,
          measured: { bead_width: Math.exp(laws["power-law"](settings) + 0.08 * noise.normal()) },
        }),
      ),
    );
  };

  test("ten coefficients on twelve repeated settings show what they err elsewhere, and are not chosen", () => {
    // Repeats that stayed gave settings away: by coupon the ratio of their errors to a power law's is 1.1.
    const ratios = [1, 2, 3, 4, 5, 6, 7, 8].map((seed) => {
      const { chosen, forms } = fitStudy({ definition: widthStudy, coupons: repeated(seed) }).responses[0]!;
      expect(["power-law", "energy-balance"], `seed ${seed}`).toContain(chosen);
      const error = (name: string): number => forms.find(({ form }) => form === name)!.leftOutError!;
      return error("quadratic") / error("power-law");
    });
    expect(median(ratios)).toBeGreaterThan(1.5);
  });

  test("left-out predictions are those of a fit without any repeat of the setting", () => {
    const beads = beadsOf(laws.quadratic, 5, 24);
    for (const form of fitStudy({ definition: widthStudy, coupons: beads }).responses[0]!.forms.slice(0, 3)) {
      for (const { coupon: id, setting, leftOut } of form.coupons.filter((_, i) => i % 7 === 0)) {
        const repeats = form.coupons
          .filter((other) => other.setting === setting)
          .map((other) => other.coupon);
        const { forms } = fitStudy({ definition: widthStudy, coupons: beads }, { without: repeats })
          .responses[0]!;
        const rest = forms.find((other) => other.form === form.form && detail(other) === detail(form));
        if (rest === undefined) continue;
        const { settings } = beads.find((bead) => bead.id === id)!;
        // Surfaces code settings over the range of their coupons, which changes no prediction.
        expectDigits(
          predictForm({ definition: widthStudy }, rest, [settings])[0]!.estimate,
          leftOut!,
          6,
          `${form.form} ${id}`,
        );
      }
    }
  });

  test("a setting without which a factor never varies is foreseen by no form, and counts for none", () => {
    const beads = beadsOf(laws["power-law"], 2, 16).map((bead, i) => ({
      ...bead,
      settings: { ...bead.settings, wire_feed_speed: i === 4 ? 1.6 : 1.2 },
    }));
    const form = fitPowerLaw(
      powerLawData({ definition: widthStudy, coupons: beads }, "bead_width"),
      "proportional",
    );
    expect(form.coupons.flatMap(({ leftOut }, i) => (leftOut === undefined ? [i] : []))).toEqual([4]);
    expect(form.leftOutError).toBeGreaterThan(0.03);
  });
});

describe("whole blocks are left out where there are three or more", () => {
  const beads = simulateDays(3, { days: 6, perDay: 5, shift: 0.06, scatter: 0.03 }).beads.map(
    ({ logged }) => logged,
  );
  const byDay = widthByDay(["day"]);

  test("a coupon is foreseen from other days at other settings alone", () => {
    const form = fitPowerLaw(
      powerLawData({ definition: byDay, coupons: beads }, "bead_width"),
      "proportional",
    );
    const { coupon: id, setting, leftOut } = form.coupons[7]!;
    const { day } = beads[7]!.blocks;
    const same = new Set(
      form.coupons.filter((other) => other.setting === setting).map((other) => other.coupon),
    );
    // A wild value anywhere in its day or setting must not move what is foreseen, the ratio of variances aside.
    const wild = beads.map((bead) =>
      bead.blocks.day === day || same.has(bead.id) ? { ...bead, measured: { bead_width: 6 } } : bead,
    );
    const other = fitPowerLaw(
      powerLawData({ definition: byDay, coupons: wild }, "bead_width"),
      "proportional",
    );
    expect(id).toBe(other.coupons[7]!.coupon);
    expect(Math.abs(Math.log(other.coupons[7]!.leftOut! / leftOut!))).toBeLessThan(0.01);
  });
});
