import { describe, expect, test } from "vitest";
import {
  arcSurvival,
  fitGroupedGrowth,
  fitGrowth,
  fitWeibull,
  growthGoodness,
  trendTest,
} from "../../../lib/endurance/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";

/** NIST/SEMATECH e-Handbook 8.1.9.1, 8.4.5.2: ten times to 1500 h. */
const nist = { times: [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478], end: 1500 };

describe("published growth examples", () => {
  test("NIST e-Handbook: modified maximum likelihood", () => {
    const fit = fitGrowth(nist);
    expectDigits(fit.shapeUnbiased, 0.483506, 6);
    expectDigits(fit.scaleUnbiased, 0.2913003, 6);
    expectDigits(fit.meanBetweenUnbiased, 310.234, 6);
    expectDigits(fit.shape.estimate, 0.537229, 6);
  });

  test("MIL-HDBK-189, appendix C: 27 times to 300 h, with its Cramer-von Mises statistic", () => {
    const times = [
      2.6, 16.5, 16.5, 17, 21.4, 29.1, 33.3, 56.5, 63.1, 70.6, 73, 77.7, 93.9, 95.5, 98.1, 101.1, 132, 142.2,
      147.7, 149, 167.2, 190.7, 193, 198.7, 251.9, 282.5, 286.1,
    ];
    const fit = fitGrowth({ times, end: 300 });
    expectDigits(fit.shape.estimate, 0.7163392624, 9);
    expectDigits(fit.scale, 0.4538418614, 9);
    expectDigits(fit.meanBetween.estimate, 15.510962, 7);
    expectDigits(growthGoodness({ times, end: 300 }).cramerVonMises, 0.0910611, 6);
    // The handbook's 10 % critical value for 27 events is 0.171 (from memory): the fit is accepted.
    expect(growthGoodness({ times, end: 300 }).p).toBeGreaterThan(0.1);
  });

  test("IEC 61164: 52 times to 1000 h", () => {
    const times = [
      2, 4, 10, 15, 18, 19, 20, 25, 39, 41, 43, 45, 47, 66, 88, 97, 104, 105, 120, 196, 217, 219, 257, 260,
      281, 283, 289, 307, 329, 357, 372, 374, 393, 403, 466, 521, 556, 571, 621, 628, 642, 684, 732, 735, 754,
      792, 803, 805, 832, 836, 873, 975,
    ];
    const fit = fitGrowth({ times, end: 1000 });
    expectDigits(fit.shapeUnbiased, 0.562285, 5.5);
    expectDigits(fit.scaleUnbiased, 1.06942, 5);
    expectDigits(fit.meanBetweenUnbiased, 34.201, 4.5);
    expectDigits(growthGoodness({ times, end: 1000 }).cramerVonMises, 0.03834, 4);
  });

  test("MIL-HDBK-189, appendix C: counts of five intervals", () => {
    const fit = fitGroupedGrowth({ ends: [20, 40, 60, 80, 100], counts: [13, 16, 5, 8, 7] });
    expectDigits(fit.shape, 0.752851, 6);
    expectDigits(fit.scale, 1.529306, 6);
    expectDigits(fit.meanBetween, 2.71078425, 8);
  });

  test("NIST e-Handbook 8.4.1.2: Weibull law, ten of twenty still running at 500 h", () => {
    const runs = [
      ...[54, 187, 216, 240, 244, 335, 361, 373, 375, 386].map((time) => ({ time, failed: true })),
      ...Array.from({ length: 10 }, () => ({ time: 500, failed: false })),
    ];
    const fit = fitWeibull(runs);
    expectDigits(fit.shape, 1.7208, 4.5);
    // SciPy 1.10.1, Nelder-Mead on the same likelihood.
    expectDigits(fit.scale, 606.52754771, 7);
    expectDigits(fit.logLikelihood, -75.13461816447486, 9);
  });

  test("Kaplan-Meier: the 6-MP arm of Freireich et al. (1963), as in every text on survival", () => {
    const failed = [6, 6, 6, 7, 10, 13, 16, 22, 23].map((time) => ({ time, failed: true }));
    const lasting = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35].map((time) => ({ time, failed: false }));
    const shares = arcSurvival([...failed, ...lasting]).map(({ share }) => share);
    [0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482].forEach((share, i) => {
      expectDigits(shares[i]!, share, 3.5, `step ${i}`);
    });
  });
});

describe("bounds hold as claimed in 1000 simulated records", () => {
  /** Events of a power-law process: cumulative exponentials, taken back through (t/end)^shape. */
  function record(random: ReturnType<typeof randomStream>, shape: number, expected: number): number[] {
    const times: number[] = [];
    let sum = -Math.log(1 - random.uniform());
    while (sum < expected) {
      times.push(100 * (sum / expected) ** (1 / shape));
      sum += -Math.log(1 - random.uniform());
    }
    return times;
  }

  test.each([
    [0.5, 12],
    [1.3, 25],
  ])("time-truncated, shape %f, %i events expected", (shape, expected) => {
    const random = randomStream(3);
    let [runs, shapes, between] = [0, 0, 0];
    while (runs < 1000) {
      const times = record(random, shape, expected);
      if (times.length < 5) continue;
      runs++;
      const fit = fitGrowth({ times, end: 100 }, 0.9);
      const truth = 100 / (expected * shape);
      if (fit.shape.lower <= shape && shape <= fit.shape.upper) shapes++;
      if (fit.meanBetween.lower <= truth && truth <= fit.meanBetween.upper) between++;
    }
    expect(shapes / runs).toBeGreaterThanOrEqual(0.88);
    expect(shapes / runs).toBeLessThanOrEqual(0.92);
    expect(between / runs).toBeGreaterThanOrEqual(0.88);
  });

  test("truncated at the eighth event", () => {
    const random = randomStream(4);
    let [shapes, between] = [0, 0];
    for (let run = 0; run < 1000; run++) {
      let sum = 0;
      const times = Array.from({ length: 8 }, () => {
        sum -= Math.log(1 - random.uniform());
        return sum ** (1 / 0.7);
      });
      const end = times.at(-1)!;
      const fit = fitGrowth({ times, end, truncated: "event" }, 0.9);
      const truth = 1 / (0.7 * end ** -0.3);
      if (fit.shape.lower <= 0.7 && 0.7 <= fit.shape.upper) shapes++;
      if (fit.meanBetween.lower <= truth && truth <= fit.meanBetween.upper) between++;
    }
    for (const held of [shapes, between]) {
      expect(held / 1000).toBeGreaterThanOrEqual(0.88);
      expect(held / 1000).toBeLessThanOrEqual(0.92);
    }
  });
});

test("the goodness of fit speaks against a rate that jumps, and rarely against a power law", () => {
  const burst = [50, 50.3, 50.6, 51, 51.3, 51.6, 52, 52.2, 52.5, 53];
  expect(growthGoodness({ times: burst, end: 100 }).p).toBeLessThan(0.01);
  const random = randomStream(8);
  let refused = 0;
  for (let run = 0; run < 100; run++) {
    const times = Array.from({ length: 12 }, () => 100 * random.uniform() ** (1 / 0.6));
    if (growthGoodness({ times, end: 100 }).p < 0.05) refused++;
  }
  expect(refused).toBeLessThanOrEqual(12);
});

test("a trend is told by its sign: crowding towards the end is above 0, thinning out below", () => {
  expect(trendTest({ times: [70, 80, 90, 95], end: 100 }).laplace).toBeGreaterThan(2);
  expect(trendTest({ times: [5, 10, 20, 30], end: 100 }).laplace).toBeLessThan(-2);
  expectDigits(trendTest(nist).laplace, (568.3 - 750) / (1500 / Math.sqrt(120)), 10);
});

test.each([
  [() => fitGrowth({ times: [1, 2, 3], end: 10 }), "growth needs at least 5 events, got 3"],
  [() => fitGrowth({ times: [1, 2, 3, 4, 12], end: 10 }), "running at event 5 must be"],
  [() => fitGrowth({ times: [1, 2, 3, 4, 5], end: 10, truncated: "event" }), "ends there: at 5, not at 10"],
  [() => fitGrowth({ times: [10, 10, 10, 10, 10], end: 10 }), "all events lie at the end"],
  [() => fitGroupedGrowth({ ends: [1, 2], counts: [0, 4] }), "counts alone cannot tell"],
  [() => fitGroupedGrowth({ ends: [2, 1], counts: [3, 4] }), "end of attempt 2"],
  [() => fitWeibull([{ time: 3, failed: true }]), "failures at two times or more"],
])("what cannot be judged is refused: %s", (call, message) => {
  expect(call).toThrow(message);
});
