import { describe, expect, test } from "vitest";
import { averageOnScale, responseScale } from "../../../lib/models/bead/response-scale.js";
import {
  chosenQuality,
  fitPowerLaw,
  fitStudy,
  fitSurface,
  predictBead,
  predictForm,
  responseData,
} from "../../../lib/models/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { coupon, shows, simulatedBeads, sizeOf, tigDefinition } from "../../support/studies.js";
import { powerLawData } from "./power-law-data.js";
import { beadsOf, drawSettings, laws, widthStudy } from "./support.js";

const measuring = (name: string, unit: string) =>
  tigDefinition({ responses: [{ name, unit, kind: "measured" }] });

/** Coupons with one response, a function of the settings. */
const couponsOf = (
  name: string,
  value: (s: ReturnType<typeof drawSettings>[number], i: number) => number,
  count = 18,
): readonly Coupon[] =>
  drawSettings(11, count).map((settings, i) =>
    coupon(`C${i + 1}`, { settings, measured: { [name]: value(settings, i) } }),
  );

describe("toe angles", () => {
  /** Of a circular-arc bead: 2 atan(2 h / w), physics sheet, section 3 (w 6, h 2: 67.380 degrees). */
  const arcAngle = (width: number, height: number): number =>
    (2 * Math.atan((2 * height) / width) * 180) / Math.PI;
  const ratio = (s: { readonly current: number; readonly travel_speed: number }): number =>
    0.7 * (s.current / 140) ** -1.1 * (s.travel_speed / 180) ** 0.2;

  test("w 6, h 2 gives 67.380 degrees and the scale its ratio", () => {
    expectDigits(arcAngle(6, 2), 67.38, 5);
    expectDigits(responseScale("half-angle", "deg").forward(arcAngle(6, 2)), Math.log((2 * 2) / 6), 12);
  });

  test("follow an exact power law when width and height do, up to steep ones", () => {
    const study = measuring("toe_angle", "deg");
    const beads = couponsOf("toe_angle", (s, i) => arcAngle(1, ratio(s) / 2) * (1 + 1e-9 * (i % 2)));
    const form = fitPowerLaw(
      powerLawData({ definition: study, coupons: beads }, "toe_angle"),
      "proportional",
    );
    const exponent = (name: string) => form.coefficients.find(({ term }) => term === name)!.estimate;
    expectDigits(exponent("current"), -1.1, 7);
    expectDigits(exponent("travel_speed"), 0.2, 6);
    const setting = { current: 110, travel_speed: 290, wire_feed_speed: 1 };
    expectDigits(
      predictForm({ definition: study }, form, [setting])[0]!.estimate,
      arcAngle(1, ratio(setting) / 2),
      7,
    );
  });

  test("degrees and radians give the same fit, and every interval stays between 0 and 180 degrees", () => {
    const noise = randomStream(5);
    const degrees = couponsOf("toe_angle", (s) =>
      arcAngle(1, (ratio(s) / 2) * Math.exp(0.4 * noise.normal())),
    );
    const radians = degrees.map((c) =>
      shows(c, { measured: { toe_angle: (sizeOf(c, "toe_angle") * Math.PI) / 180 } }),
    );
    const predictions = (unit: string, beads: readonly Coupon[]) => {
      const study = measuring("toe_angle", unit);
      return predictBead(
        { definition: study },
        fitStudy({ definition: study, coupons: beads }),
        drawSettings(2, 5),
      ).map(([p]) => p!);
    };
    const inDeg = predictions("deg", degrees);
    const inRad = predictions("rad", radians);
    inDeg.forEach((p, i) => {
      expectDigits(inRad[i]!.prediction.upper, (p.prediction.upper * Math.PI) / 180, 7);
      expect(p.prediction.lower).toBeGreaterThan(0);
      expect(p.prediction.upper).toBeLessThan(180);
    });
  });

  test("an angle of 0 or 200 degrees is left out and named", () => {
    const beads = couponsOf("toe_angle", (s, i) => (i === 3 ? 200 : i === 5 ? 0 : arcAngle(1, ratio(s) / 2)));
    const data = responseData({ definition: measuring("toe_angle", "deg"), coupons: beads }, "toe_angle");
    expect(data.y).toHaveLength(16);
    expect(data.findings[0]).toMatchObject({ code: "not-positive", about: ["C4", "C6"] });
  });

  test.each([
    ["deg", 0.05],
    ["rad", 1.3],
  ] as const)("scales go there and back, and their slope is right (%s)", (unit, size) => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 1.2, noNaN: true }), (share) => {
        const value = size * share * (unit === "deg" ? 1000 : 1);
        for (const name of ["log", "half-angle", "linear"] as const) {
          const scale = responseScale(name, unit);
          expectDigits(scale.back(scale.forward(value)), value, 9);
          const step = 1e-5 * value;
          const slope = (scale.forward(value + step) - scale.forward(value - step)) / (2 * step);
          expectDigits(Math.exp(scale.logSlope(value)), slope, 6);
        }
      }),
      { numRuns: 50 },
    );
  });

  test("the average of scattered angles", () => {
    // Mean of 2 atan(exp(z)) in degrees, z normal(0.4, 0.3) and normal(-1, 0.2), by SciPy 1.10.1 integrate.quad.
    const scale = responseScale("half-angle", "deg");
    expectDigits(averageOnScale(scale, 0.4, 0.3), 111.49878112547547, 5);
    expectDigits(averageOnScale(scale, -1, 0.2), 40.95194889201402, 5);
  });
});

describe("responses that may be zero or negative", () => {
  const lean = (s: ReturnType<typeof drawSettings>[number], i: number): number =>
    (0.2 * (s.current - 150)) / 50 - (0.1 * (s.travel_speed - 200)) / 100 + 0.02 * randomStream(i).normal();

  test("keep all their coupons and are fitted by a surface, not by powers", () => {
    const study = measuring("lean", "mm");
    const fit = fitStudy({ definition: study, coupons: couponsOf("lean", lean) });
    const [response] = fit.responses;
    expect(response!.chosen).toBe("linear");
    expect(response!.candidates.find(({ form }) => form === "power-law")!.reason).toMatch(/no power law/);
    const quality = chosenQuality(fit, "lean");
    expect(quality.n).toBe(18);
    expect(quality.errorUnit).toBe("mm");
    expect(quality.scatter).toBeGreaterThan(0.012);
    expect(quality.scatter).toBeLessThan(0.03);
    const at = { current: 110, travel_speed: 250, wire_feed_speed: 1 };
    expect(Math.abs(predictBead({ definition: study }, fit, [at])[0]![0]!.estimate - -0.21)).toBeLessThan(
      0.03,
    );
  });

  test("penetration that is zero on one coupon keeps it; a width of zero is a slip and is named", () => {
    const zeroAtFirst = (s: ReturnType<typeof drawSettings>[number], i: number) =>
      i === 0 ? 0 : Math.exp(laws["power-law"](s)) + 0.01 * randomStream(i).normal();
    const penetration = responseData(
      { definition: measuring("penetration", "mm"), coupons: couponsOf("penetration", zeroAtFirst) },
      "penetration",
    );
    expect([penetration.scale, penetration.y.length]).toEqual(["linear", 18]);
    expect(penetration.findings[0]!.code).toBe("zero-or-below");
    const width = responseData(
      { definition: widthStudy, coupons: couponsOf("bead_width", zeroAtFirst) },
      "bead_width",
    );
    expect([width.scale, width.y.length]).toEqual(["log", 17]);
    expect(width.findings[0]!.code).toBe("not-positive");
  });

  test("a response that never changes says so instead of failing the study", () => {
    const study = tigDefinition({
      responses: [
        { name: "bead_width", unit: "mm", kind: "measured" },
        { name: "porosity", unit: "1", kind: "measured" },
      ],
    });
    const beads = beadsOf(laws["power-law"], 1, 12).map((c) => shows(c, { measured: { porosity: 0 } }));
    const fit = fitStudy({ definition: study, coupons: beads });
    expect(fit.responses.map(({ response }) => response)).toEqual(["bead_width"]);
    expect(fit.findings.find(({ code }) => code === "not-fitted")!.message).toMatch(
      /porosity: all 12 coupons have the same value/,
    );
  });
});

describe("units and scatter of settings", () => {
  test("other units of settings and width change no prediction of any form", () => {
    const inches = tigDefinition({
      factors: [
        { name: "current", unit: "A", low: 100, high: 200 },
        { name: "travel_speed", unit: "in/min", low: 100 / 25.4, high: 300 / 25.4 },
        { name: "wire_feed_speed", unit: "in/min", low: 600 / 25.4, high: 2000 / 25.4 },
      ],
      responses: [
        { name: "bead_width", unit: "in", kind: "measured" },
        { name: "bead_height", unit: "in", kind: "measured" },
      ],
    });
    const metric = tigDefinition();
    const toInches = (s: Readonly<Record<string, number | string>>) => ({
      current: s.current!,
      travel_speed: Number(s.travel_speed) / 25.4,
      wire_feed_speed: (Number(s.wire_feed_speed) * 1000) / 25.4,
    });
    const beads = simulatedBeads(6, 20, 0.05);
    const converted = beads.map((bead) => ({
      ...shows(bead, {
        measured: {
          bead_width: sizeOf(bead, "bead_width") / 25.4,
          bead_height: sizeOf(bead, "bead_height") / 25.4,
        },
      }),
      settings: toInches(bead.settings),
    }));
    const [one, other] = [
      fitStudy({ definition: metric, coupons: beads }),
      fitStudy({ definition: inches, coupons: converted }),
    ];
    const setting = { current: 150, travel_speed: 180, wire_feed_speed: 1.2 };
    expect(other.responses.map(({ chosen }) => chosen)).toEqual(one.responses.map(({ chosen }) => chosen));
    one.responses.forEach((response, r) => {
      response.forms.forEach((form, k) => {
        const [a] = predictForm({ definition: metric }, form, [setting]);
        const [b] = predictForm({ definition: inches }, other.responses[r]!.forms[k]!, [toInches(setting)]);
        expectDigits(b!.estimate * 25.4, a!.estimate, 5, form.form);
        expectDigits(b!.prediction.upper * 25.4, a!.prediction.upper, 4, form.form);
      });
    });
    const [a, b] = [
      predictBead({ definition: metric }, one, [setting])[0]!,
      predictBead({ definition: inches }, other, [toInches(setting)])[0]!,
    ];
    a.forEach((p, i) => {
      expectDigits(b[i]!.estimate * 25.4, p.estimate, 6);
    });
  });

  test("a factor at two settings has no square, and says so; one that was 0 has no power", () => {
    const study = tigDefinition({
      factors: [
        { name: "current", unit: "A", low: 100, high: 200 },
        { name: "dwell", unit: "s", low: 0, high: 10 },
      ],
      responses: [{ name: "bead_width", unit: "mm", kind: "measured" }],
    });
    const beads = drawSettings(3, 16).map(({ current }, i) =>
      coupon(`C${i}`, {
        settings: { current, dwell: i % 2 === 0 ? 0 : 10 },
        measured: { bead_width: 6 * (current / 140) ** 0.7 * Math.exp(0.03 * randomStream(i).normal()) },
      }),
    );
    const square = fitSurface(
      { definition: study },
      {
        data: responseData({ definition: study, coupons: beads }, "bead_width"),
        order: "quadratic",
      },
    );
    expect(square.coefficients.map(({ term }) => term)).toEqual([
      "current",
      "dwell",
      "current x dwell",
      "current squared",
    ]);
    expect(square.findings.find(({ code }) => code === "no-square")!.about).toEqual(["dwell"]);
    const [response] = fitStudy({ definition: study, coupons: beads }).responses;
    expect(response!.chosen).toBe("linear");
    expect(response!.candidates.find(({ form }) => form === "power-law")!.reason).toMatch(
      /dwell has settings of 0/,
    );
  });

  test("terms the coupons cannot part are dropped and named, and predictions off their relation are marked", () => {
    // Four of five settings on a line: six coefficients of a quadratic surface, four of them estimable.
    const study = tigDefinition({
      factors: [
        { name: "current", unit: "A", low: 100, high: 200 },
        { name: "travel_speed", unit: "mm/min", low: 100, high: 300 },
      ],
      responses: [{ name: "bead_width", unit: "mm", kind: "measured" }],
    });
    const corners = [
      { current: 100, travel_speed: 100 },
      { current: 150, travel_speed: 200 },
      { current: 200, travel_speed: 300 },
      { current: 150, travel_speed: 120 },
      { current: 125, travel_speed: 150 },
    ];
    const beads = Array.from({ length: 20 }, (_, i) =>
      coupon(`C${i}`, {
        settings: corners[i % 5]!,
        measured: {
          bead_width: 6 * (corners[i % 5]!.current / 140) ** 0.7 * (1 + 0.02 * randomStream(i).normal()),
        },
      }),
    );
    const form = fitSurface(
      { definition: study },
      {
        data: responseData({ definition: study, coupons: beads }, "bead_width"),
        order: "quadratic",
      },
    );
    expect(form.parameters).toBe(4);
    expect(form.findings.filter(({ code }) => code === "aliased-term")).toHaveLength(2);
    const marks = predictForm({ definition: study }, form, [
      corners[0]!,
      { current: 200, travel_speed: 100 },
    ]);
    expect(marks.map(({ extrapolation }) => extrapolation)).toEqual([false, true]);
  });

  test("fullness is a response of its own where a section's area was measured", () => {
    const study = tigDefinition({
      responses: [
        { name: "bead_width", unit: "mm", kind: "measured" },
        { name: "bead_height", unit: "mm", kind: "measured" },
        { name: "bead_area", unit: "mm2", kind: "measured" },
      ],
    });
    // An arc bead's fullness runs from 0.667 to 0.785; here it grows with travel speed.
    const beads = simulatedBeads(8, 18, 0.02).map((bead, i) => {
      const c = 0.7 * (Number(bead.settings.travel_speed) / 180) ** 0.1;
      const [w, h] = [sizeOf(bead, "bead_width"), sizeOf(bead, "bead_height")];
      return shows(bead, { measured: { bead_area: c * w * h * (1 + 0.005 * randomStream(i).normal()) } });
    });
    const fit = fitStudy({ definition: study, coupons: beads });
    const setting = { current: 150, travel_speed: 260, wire_feed_speed: 1.2 };
    const p = predictBead({ definition: study }, fit, [setting])[0]!.find(
      ({ response }) => response === "fullness",
    )!;
    expect(p.unit).toBe("1");
    expectDigits(p.estimate, 0.7 * (260 / 180) ** 0.1, 2);
    expect(chosenQuality(fit, "fullness").scatter).toBeLessThan(0.01);
  });
});
