import { describe, expect, test } from "vitest";
import { predictConstrained } from "../../../lib/models/bead/predict-constrained.js";
import {
  constrainedPairs,
  type FreeForm,
  fitConstrained,
  fitEnergyBalance,
  fitPowerLaw,
  fitResidualProcess,
  fitSurface,
  predictForm,
} from "../../../lib/models/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { fitGaussianProcess, predictGaussianProcess } from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import {
  coupon,
  simulatedBeads,
  tigDefinition,
  trueFullness,
  widthExponents,
} from "../../support/studies.js";
import { powerLawData } from "./power-law-data.js";
import { beadsOf, drawSettings, laws, widthStudy } from "./support.js";

interface Reference {
  readonly estimates: readonly number[];
  readonly standardErrors: readonly number[];
  readonly fitted: readonly number[];
  readonly confidence: readonly number[];
  readonly prediction: readonly number[];
  readonly sigma: number;
  readonly aicc: number;
  readonly leftOut: number;
}
/** Made by R with the script beside it. */
const reference = readFixture<
  Readonly<Record<"current" | "travel_speed" | "wire_feed_speed" | "bead_width", readonly number[]>> &
    Readonly<Record<"power" | "energy" | "quadratic" | "additive", Reference>>
>(import.meta.url, "fixtures/forms.json");
const beads = reference.bead_width.map((bead_width, i) =>
  coupon(`R${i + 1}`, {
    settings: {
      current: reference.current[i]!,
      travel_speed: reference.travel_speed[i]!,
      wire_feed_speed: reference.wire_feed_speed[i]!,
    },
    measured: { bead_width },
  }),
);
const data = powerLawData({ definition: widthStudy, coupons: beads }, "bead_width");
const at = [
  { current: 150, travel_speed: 180, wire_feed_speed: 1.2 },
  { current: 125, travel_speed: 240, wire_feed_speed: 0.9 },
];
/** R orders squares before products, the surface products before squares. */
const asInR = [0, 1, 2, 6, 7, 8, 3, 4, 5];

describe("forms against R's lm, nls, predict and AIC", () => {
  const inLogs = [
    ["power", fitPowerLaw(data, "proportional"), [0, 1, 2]],
    ["energy", fitEnergyBalance({ definition: widthStudy }, data), [0, 1]],
    ["quadratic", fitSurface({ definition: widthStudy }, { data, order: "quadratic" }), asInR],
  ] as const satisfies readonly (readonly [string, FreeForm, readonly number[]])[];

  test.each(inLogs)(
    "%s in logarithms: coefficients, scatter, AICc of the width, left-out errors",
    (name, form, order) => {
      const r = reference[name];
      expect(form.fitScale).toBe("log");
      expect(form.parameters).toBe(order.length + 1);
      order.forEach((j, k) => {
        expectDigits(form.coefficients[j]!.estimate, r.estimates[k]!, 8, `${name} ${k}`);
        expectDigits(form.coefficients[j]!.standardError, r.standardErrors[k]!, 8, `${name} error ${k}`);
      });
      expectDigits(form.scatter, r.sigma, 9);
      expectDigits(form.aicc!, r.aicc, 9);
      expectDigits(form.leftOutError!, r.leftOut, 9);
    },
  );

  test.each(inLogs)("%s in logarithms: predictions and both kinds of interval", (name, form) => {
    const r = reference[name];
    predictForm({ definition: widthStudy }, form, at).forEach((p, i) => {
      expectDigits(Math.log(p.estimate), r.fitted[i]!, 9);
      expectDigits(Math.log(p.confidence.lower), r.confidence[2 * i]!, 8);
      expectDigits(Math.log(p.confidence.upper), r.confidence[2 * i + 1]!, 8);
      expectDigits(Math.log(p.prediction.lower), r.prediction[2 * i]!, 8);
      expectDigits(Math.log(p.prediction.upper), r.prediction[2 * i + 1]!, 8);
    });
  });

  test("power law with additive scatter", () => {
    const form = fitPowerLaw(data, "additive");
    const r = reference.additive;
    form.coefficients.forEach((c, j) => {
      // nls stops at a relative offset of 1e-5 of a standard error.
      expectDigits(c.estimate, r.estimates[j]!, 5);
      expectDigits(c.standardError, r.standardErrors[j]!, 5);
    });
    expectDigits(form.fit.residualSd, r.sigma, 8);
    expectDigits(form.aicc!, r.aicc, 8);
    expectDigits(form.leftOutError!, r.leftOut, 5);
  });
});

describe("each form foresees what it should: 95 % intervals hold in 93 to 97 % of simulated studies", () => {
  const RUNS = 1000;
  const POINTS = 4;
  /** Shares of means and of next coupons inside their intervals; standard error about 0.5 % (points of a study go together). */
  function shares(
    make: (seed: number) => FreeForm,
    law: (s: (typeof at)[number]) => number,
    runs = RUNS,
  ): readonly number[] {
    const hits = [0, 0];
    for (let seed = 1; seed <= runs; seed++) {
      const noise = randomStream(seed).split("next");
      const points = drawSettings(seed + 50000, POINTS, 0.1);
      predictForm({ definition: widthStudy }, make(seed), points).forEach((p, i) => {
        const truth = law(points[i]!);
        const next = Math.exp(truth + 0.05 * noise.normal());
        if (p.confidence.lower <= Math.exp(truth) && Math.exp(truth) <= p.confidence.upper) hits[0]!++;
        if (p.prediction.lower <= next && next <= p.prediction.upper) hits[1]!++;
      });
    }
    return hits.map((count) => count / runs / POINTS);
  }
  const dataOf = (law: keyof typeof laws, seed: number, count: number) =>
    powerLawData({ definition: widthStudy, coupons: beadsOf(laws[law], seed, count) }, "bead_width");

  test.each([
    ["power-law", (seed: number) => fitPowerLaw(dataOf("power-law", seed, 16), "proportional")],
    [
      "energy-balance",
      (seed: number) => fitEnergyBalance({ definition: widthStudy }, dataOf("energy-balance", seed, 16)),
    ],
    [
      "quadratic",
      (seed: number) =>
        fitSurface({ definition: widthStudy }, { data: dataOf("quadratic", seed, 24), order: "quadratic" }),
    ],
  ] as const)("%s", (law, make) => {
    for (const share of shares(make, laws[law])) {
      expect(share).toBeGreaterThan(0.93);
      expect(share).toBeLessThan(0.97);
    }
  });

  test("constrained: the mean of width and of height", () => {
    const study = tigDefinition();
    const [pair] = constrainedPairs({ definition: study, coupons: [] });
    // The law of simulatedBeads, whose height follows from the fed area with one fullness.
    const width = (s: (typeof at)[number]): number =>
      6 *
      (s.current / 140) ** widthExponents.current *
      (s.travel_speed / 180) ** widthExponents.travel_speed *
      (s.wire_feed_speed / 1.1) ** widthExponents.wire_feed_speed;
    const height = (s: (typeof at)[number]): number =>
      (0.99 * Math.PI * 0.36 * s.wire_feed_speed * 1000) / s.travel_speed / (trueFullness * width(s));
    const hits = { width: 0, height: 0 };
    for (let seed = 1; seed <= RUNS; seed++) {
      const joint = fitConstrained({ definition: study, coupons: simulatedBeads(seed, 18, 0.05) }, pair!);
      const points = drawSettings(seed + 50000, POINTS, 0.1);
      for (const [size, truth] of [
        ["width", width],
        ["height", height],
      ] as const) {
        predictConstrained({ definition: study }, { joint, size, settings: points }).forEach(
          ({ confidence }, i) => {
            const value = truth(points[i]!);
            if (confidence.lower <= value && value <= confidence.upper) hits[size]++;
          },
        );
      }
    }
    for (const count of [hits.width, hits.height]) {
      expect(count / RUNS / POINTS).toBeGreaterThan(0.93);
      expect(count / RUNS / POINTS).toBeLessThan(0.97);
    }
  });

  test("gaussian-process on a power law: cautious by up to 1 % more, being an approximation", () => {
    const make = (seed: number) => {
      const bent = dataOf("gaussian-process", seed, 32);
      return fitResidualProcess(
        { definition: widthStudy },
        { data: bent, base: fitPowerLaw(bent, "proportional") },
      );
    };
    for (const share of shares(make, laws["gaussian-process"], 100)) {
      expect(share).toBeGreaterThan(0.93);
      expect(share).toBeLessThan(0.98);
    }
  });
});

describe("fitResidualProcess", () => {
  const bent = powerLawData(
    { definition: widthStudy, coupons: beadsOf(laws["gaussian-process"], 3, 20) },
    "bead_width",
  );
  const base = fitPowerLaw(bent, "proportional");
  const form = fitResidualProcess({ definition: widthStudy }, { data: bent, base });

  test("left-out predictions are those of a base and a process that never saw the setting", () => {
    const { process, axes } = form;
    for (const i of [0, 7, 19]) {
      const { setting } = form.coupons[i]!;
      const stays = (k: number): boolean => form.coupons[k]!.setting !== setting;
      const others = beadsOf(laws["gaussian-process"], 3, 20).filter((_, k) => stays(k));
      const rest = powerLawData({ definition: widthStudy, coupons: others }, "bead_width");
      const without = fitPowerLaw(rest, "proportional");
      const fewer = fitGaussianProcess(
        {
          x: process.observations.x.filter((_, k) => stays(k)),
          y: rest.y.map(Math.log),
          trend: without.fit.fitted,
        },
        { box: process.box, parameters: process },
      );
      const settings = bent.settings[i]!;
      const [trend] = predictForm({ definition: widthStudy }, without, [settings]).map((p) =>
        Math.log(p.estimate),
      );
      const { mean } = predictGaussianProcess(fewer, [process.observations.x[i]!], [trend!]);
      expectDigits(form.coupons[i]!.leftOut!, Math.exp(mean[0]!), 8, axes[0]!.name);
    }
  });

  test("falls back to its base far from every coupon, with wider intervals, and says so", () => {
    const far = { current: 1000, travel_speed: 2000, wire_feed_speed: 20 };
    const [[own], [plain]] = [form, base].map((f) => predictForm({ definition: widthStudy }, f, [far])) as [
      ReturnType<typeof predictForm>,
      ReturnType<typeof predictForm>,
    ];
    expectDigits(own!.estimate, plain!.estimate, 3);
    expect(own!.confidence.upper).toBeGreaterThan(plain!.confidence.upper);
    expect(own!.extrapolation).toBe(true);
  });

  test("needs a dozen coupons", () => {
    const few = powerLawData(
      { definition: widthStudy, coupons: beadsOf(laws["power-law"], 1, 11) },
      "bead_width",
    );
    expect(() =>
      fitResidualProcess({ definition: widthStudy }, { data: few, base: fitPowerLaw(few, "proportional") }),
    ).toThrow(/12 to 300 coupons, there are 11/);
  });
});
