import { describe, expect, test } from "vitest";
import { powerLawModel, powerLawRow } from "../../../lib/models/bead/power-law-data.js";
import {
  type BeadPrediction,
  backTransform,
  type ConstrainedFit,
  chosenQuality,
  constrainedPairs,
  fitConstrained,
  fitPowerLaw,
  fitStudy,
  predictBead,
  type StudyFit,
} from "../../../lib/models/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";
import {
  shows,
  simulatedBeads,
  sizeOf,
  tigDefinition,
  trueFullness,
  widthExponents,
} from "../../support/studies.js";
import { powerLawData } from "./power-law-data.js";
import { byForm } from "./support.js";

const definition = tigDefinition();
const [pair] = constrainedPairs({ definition, coupons: [] });
const STUDIES = 1000;

/** Share of simulated studies whose interval holds the truth; binomial standard error 0.7 % at 95 %. */
function coverage(holds: (seed: number) => readonly boolean[]): number {
  let inside = 0;
  let all = 0;
  for (let seed = 1; seed <= STUDIES; seed++) {
    for (const hit of holds(seed)) {
      all++;
      if (hit) inside++;
    }
  }
  return inside / all;
}

/** A study fit that holds nothing but the constrained form. */
function onlyConstrained(joint: ConstrainedFit): StudyFit {
  const responses = [joint.width, joint.height].map(({ response, unit, scale }) => ({
    response,
    unit,
    scale,
    chosen: "constrained" as const,
    explanation: "",
    candidates: [],
    forms: [],
    foreseenBy: "chosen" as const,
    forecastExplanation: "",
  }));
  return { layers: "first", aside: [], responses, constrained: [joint], without: [], findings: [] };
}

/** The prediction of one response at one setting. */
function predicted(
  fit: StudyFit,
  settings: Readonly<Record<string, number | string>>,
  response: string,
): BeadPrediction {
  return predictBead({ definition }, fit, [settings])[0]!.find((p) => p.response === response)!;
}

const within = (x: { readonly lower: number; readonly upper: number }, truth: number): boolean =>
  x.lower <= truth && truth <= x.upper;

describe("fitPowerLaw on data simulated from a known power law", () => {
  test("exponents lie in their 95 % intervals in 93 to 97 % of 1000 studies, proportional scatter", () => {
    const share = coverage((seed) => {
      const data = powerLawData({ definition, coupons: simulatedBeads(seed, 18, 0.05) }, "bead_width");
      const fit = fitPowerLaw(data, "proportional");
      return fit.coefficients.map((e) => within(e, widthExponents[e.term as keyof typeof widthExponents]));
    });
    expect(share).toBeGreaterThan(0.93);
    expect(share).toBeLessThan(0.97);
  });

  test("exponents lie in their 95 % intervals in 93 to 97 % of 1000 studies, additive scatter", () => {
    const share = coverage((seed) => {
      const rng = randomStream(seed).split("gauge");
      const beads = simulatedBeads(seed, 18, 0).map((bead) =>
        shows(bead, { measured: { bead_width: sizeOf(bead, "bead_width") + 0.3 * rng.normal() } }),
      );
      const fit = fitPowerLaw(powerLawData({ definition, coupons: beads }, "bead_width"), "additive");
      return fit.coefficients.map((e) => within(e, widthExponents[e.term as keyof typeof widthExponents]));
    });
    expect(share).toBeGreaterThan(0.93);
    expect(share).toBeLessThan(0.97);
  });

  test("the next coupon lies in its 95 % prediction interval in 93 to 97 % of 1000 studies", () => {
    const share = coverage((seed) => {
      const beads = simulatedBeads(seed, 19, 0.05);
      const fit = onlyConstrained(fitConstrained({ definition, coupons: beads.slice(0, 18) }, pair!));
      const next = beads[18]!;
      const [predictions] = predictBead({ definition }, fit, [next.settings]);
      return predictions!.map((p) => within(p.prediction, sizeOf(next, p.response)));
    });
    expect(share).toBeGreaterThan(0.93);
    expect(share).toBeLessThan(0.97);
  });
});

describe("fitConstrained", () => {
  test("width exponents and fullness lie in their 95 % intervals in 93 to 97 % of 1000 studies", () => {
    const share = coverage((seed) => {
      const fit = fitConstrained({ definition, coupons: simulatedBeads(seed, 18, 0.05) }, pair!);
      return [
        ...fit.exponents.map((e) => within(e, widthExponents[e.term as keyof typeof widthExponents])),
        within(fit.fullness, trueFullness),
      ];
    });
    expect(share).toBeGreaterThan(0.93);
    expect(share).toBeLessThan(0.97);
  });

  test("left-out predictions in closed form agree with leaving settings out one by one", () => {
    const beads = simulatedBeads(7, 15, 0.05);
    const whole = fitConstrained({ definition, coupons: beads }, pair!);
    for (const [response, { coupons }] of [
      ["bead_width", whole.width],
      ["bead_height", whole.height],
    ] as const) {
      for (const { coupon, setting, leftOut } of coupons) {
        const repeats = coupons.filter((other) => other.setting === setting).map((other) => other.coupon);
        const rest = onlyConstrained(
          fitConstrained({ definition, coupons: beads }, pair!, { without: repeats }),
        );
        const { settings } = beads.find(({ id }) => id === coupon)!;
        expectDigits(predicted(rest, settings, response).estimate, leftOut!, 8, `${coupon} ${response}`);
      }
    }
  });

  test("conserves the wire: predicted width x height x fullness is the fed area", () => {
    const fit = byForm(fitStudy({ definition, coupons: simulatedBeads(3, 18, 0.05) }));
    expect(fit.responses.map(({ chosen }) => chosen)).toEqual(["constrained", "constrained"]);
    const setting = { current: 150, travel_speed: 180, wire_feed_speed: 1.2 };
    const fed = (0.99 * Math.PI * 0.36 * 1200) / 180;
    const section =
      predicted(fit, setting, "bead_width").estimate * predicted(fit, setting, "bead_height").estimate;
    expectDigits(section * fit.constrained[0]!.fullness.estimate, fed, 10);
  });
});

describe("fitStudy", () => {
  test("names coupons it leaves out, and refuses names it does not know", () => {
    const beads = simulatedBeads(1, 18, 0.05);
    const fit = fitStudy({ definition, coupons: beads }, { without: ["S3"] });
    expect(chosenQuality(fit, "bead_width").coupons.map(({ coupon }) => coupon)).not.toContain("S3");
    expect(fit.findings.some(({ code, about }) => code === "left-out" && about?.includes("S3"))).toBe(true);
    expect(() => fitStudy({ definition, coupons: beads }, { without: ["nobody"] })).toThrow(
      /no coupon called nobody/,
    );
  });

  test("says what is missing when there are too few coupons", () => {
    expect(() => fitStudy({ definition, coupons: simulatedBeads(1, 3, 0.05) })).toThrow(/needs at least/);
  });

  test("does not depend on the order of the coupons", () => {
    const beads = simulatedBeads(5, 18, 0.05);
    const forth = fitStudy({ definition, coupons: beads }).constrained[0]!.exponents;
    const back = fitStudy({ definition, coupons: [...beads].reverse() }).constrained[0]!.exponents;
    forth.forEach((e, j) => {
      expectDigits(e.estimate, back[j]!.estimate, 8);
    });
  });

  test("survives JSON", () => {
    const fit = fitStudy({ definition, coupons: simulatedBeads(2, 18, 0.05) });
    const again = JSON.parse(JSON.stringify(fit));
    const setting = { current: 150, travel_speed: 180, wire_feed_speed: 1.2 };
    expect(predictBead({ definition }, again, [setting])).toEqual(
      predictBead({ definition }, fit, [setting]),
    );
  });
});

describe("power laws in figures", () => {
  test("0.5 x 150^0.6 x 3^-0.4 x 20^0.1 = 8.78778", () => {
    // Worked figure of the physics sheet, section 4; plain arithmetic.
    const terms = ["current", "travel_speed", "wire_feed_speed"].map((factor) => ({
      factor,
      unit: "1",
      reference: 1,
    }));
    const law = powerLawModel(terms, false);
    const x = powerLawRow(terms, { current: 150, travel_speed: 3, wire_feed_speed: 20 });
    expectDigits(law.predict([Math.log(0.5), 0.6, -0.4, 0.1], x), 8.78778, 6);
  });

  test("scatter of 0.08 in logarithms: mean 1.003205 x median, relative sd 0.080128, 95 % factor 1.16976", () => {
    // Moments of the log-normal distribution, worked in the physics sheet, section 4.
    const { median, mean, relativeSd, factor95 } = backTransform(Math.log(6), 0.08);
    expectDigits(median, 6, 12);
    expectDigits(mean / median, 1.003205, 6);
    expectDigits(relativeSd, 0.080128, 5);
    expectDigits(factor95, 1.16976, 5);
  });

  test("when fullness is constant, the exponents of width and height add up to those of the fed area", () => {
    // Physics sheet, section 4: current 0, travel speed -1, wire feed +1.
    const fit = fitConstrained({ definition, coupons: simulatedBeads(11, 18, 0.04) }, pair!);
    const at = { current: 140, travel_speed: 170, wire_feed_speed: 1.1 };
    const section = (settings: typeof at): number =>
      predicted(onlyConstrained(fit), settings, "bead_width").estimate *
      predicted(onlyConstrained(fit), settings, "bead_height").estimate;
    const exponent = (name: keyof typeof at): number =>
      Math.log(section({ ...at, [name]: 1.1 * at[name] }) / section(at)) / Math.log(1.1);
    expect(Math.abs(exponent("current"))).toBeLessThan(1e-12);
    expectDigits(exponent("travel_speed"), -1, 10);
    expectDigits(exponent("wire_feed_speed"), 1, 10);
  });
});
