import { describe, expect, test } from "vitest";
import { randomStream } from "../../../lib/numeric/index.js";
import { designBasis } from "../../../lib/regression/common/design-basis.js";
import { fitLogistic, type LogisticFit, predictLogistic } from "../../../lib/regression/index.js";
import { LogisticLikelihood } from "../../../lib/regression/pass-fail/logistic-likelihood.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { fc } from "../../support/properties.js";
import { endometrial, oRings } from "../fixtures/classification-worked.js";

interface Part {
  readonly estimates: number[];
  readonly standardErrors: number[];
  readonly limits: number[][];
  readonly deviance: number;
  readonly objective: number;
}
interface Case {
  readonly x: number[][];
  readonly passes: number[];
  readonly trials: number[];
  readonly plain?: Part;
  readonly firth: Part;
  readonly flic: number[];
  readonly prior: Part;
}
const reference = readFixture<Record<"simulated" | "grouped" | "separated", Case>>(
  import.meta.url,
  "../fixtures/logistic.json",
);
const cases = (["simulated", "grouped", "separated"] as const).map((name) => ({ name, ...reference[name] }));
const namesOf = (x: readonly (readonly number[])[]): string[] => x[0]!.map((_, j) => `b${j}`);

function expectAll(
  actual: readonly number[],
  expected: readonly number[],
  digits: number,
  what: string,
): void {
  expect(actual.length).toBe(expected.length);
  actual.forEach((value, j) => {
    expectDigits(value, expected[j]!, digits, `${what} ${j}`);
  });
}

describe("against R (fixtures/logistic.R)", () => {
  test.each(cases)("$name: Firth estimates, errors, objective and profile limits", (entry) => {
    const fit = fitLogistic(entry, { names: namesOf(entry.x) });
    expect(fit.status).toBe("converged");
    expectAll(fit.estimates, entry.firth.estimates, 9, "estimate");
    expectAll(fit.standardErrors, entry.firth.standardErrors, 9, "standard error");
    expectDigits(fit.objective, entry.firth.objective, 11);
    expectAll(
      fit.intervals.flatMap(({ lower, upper }) => [lower, upper]),
      entry.firth.limits.flat(),
      7,
      "limit",
    );
  });

  test.each(cases.filter((entry) => entry.plain))(
    "$name: ordinary estimates, deviance and limits",
    (entry) => {
      const fit = fitLogistic(entry, { names: namesOf(entry.x), penalty: "none" });
      expectAll(fit.estimates, entry.plain!.estimates, 9, "estimate");
      expectAll(fit.standardErrors, entry.plain!.standardErrors, 7, "standard error");
      expectDigits(fit.deviance, entry.plain!.deviance, 11);
      expectAll(
        fit.intervals.flatMap(({ lower, upper }) => [lower, upper]),
        entry.plain!.limits.flat(),
        7,
        "limit",
      );
    },
  );

  test.each(cases)("$name: FLIC and normal priors", (entry) => {
    const names = namesOf(entry.x);
    expectAll(fitLogistic(entry, { names, flic: true }).estimates, entry.flic, 9, "FLIC estimate");
    const prior = { mean: names.map((_, j) => 0.1 * (j + 1)), sd: names.map((_, j) => 1 + 0.5 * j) };
    const fit = fitLogistic(entry, { names, penalty: "none", prior, intervals: "wald" });
    expectAll(fit.estimates, entry.prior.estimates, 9, "estimate with priors");
    expectAll(fit.standardErrors, entry.prior.standardErrors, 9, "standard error with priors");
  });
});

describe("published examples", () => {
  const x = oRings.temperature.map((t) => [1, t]);
  const names = ["(Intercept)", "temperature"];

  test("O-rings, any damage", () => {
    const passes = oRings.distressed.map((count) => (count > 0 ? 1 : 0));
    const fit = fitLogistic({ x, passes }, { names, penalty: "none" });
    expectAll(fit.estimates, oRings.binary.estimates, 11, "estimate");
    expectAll(fit.standardErrors, oRings.binary.standardErrors, 8, "standard error");
    expectDigits(fit.deviance, oRings.binary.deviance, 11);
    expectDigits(predictLogistic(fit, [[1, 31]])[0]!.chance, oRings.binary.chanceAt31, 11);
  });

  test("O-rings, damaged joints of six", () => {
    const trials = x.map(() => oRings.joints);
    const fit = fitLogistic({ x, passes: oRings.distressed, trials }, { names, penalty: "none" });
    expectAll(fit.estimates, oRings.binomial.estimates, 11, "estimate");
    expectAll(fit.standardErrors, oRings.binomial.standardErrors, 8, "standard error");
    expectDigits(fit.deviance, oRings.binomial.deviance, 11);
    expectDigits(predictLogistic(fit, [[1, 31]])[0]!.chance, oRings.binomial.chanceAt31, 11);
  });

  test("endometrial cancer: finite under quasi-separation, with limits as published", () => {
    const rows = endometrial.rows.map(([nv, pi, eh]) => [1, nv, pi, eh]);
    const passes = endometrial.rows.map((row) => row[3]);
    const fit = fitLogistic({ x: rows, passes }, { names: endometrial.names });
    expectAll(fit.estimates, endometrial.estimates, 10, "estimate");
    expectAll(fit.standardErrors, endometrial.standardErrors, 10, "standard error");
    expectDigits(fit.objective, endometrial.objective, 12);
    const nv = fit.intervals[1]!;
    expectDigits(nv.lower, endometrial.recalledLimitsOfNv[0], 2);
    expectDigits(nv.upper, endometrial.recalledLimitsOfNv[1], 3);

    const ordinary = fitLogistic({ x: rows, passes }, { names: endometrial.names, penalty: "none" });
    expect(ordinary.status).toBe("max-iterations");
    expect(ordinary.findings.map((finding) => finding.code)).toContain("separation");
    expect(ordinary.intervals).toEqual([]);
    expect(JSON.parse(JSON.stringify(ordinary))).toEqual(ordinary);
    expect(() => predictLogistic(ordinary, rows)).toThrow("did not converge");
  });
});

describe("separated and one-sided data", () => {
  const setting = [1, 2, 3, 4, 5, 6, 7, 8];
  const x = setting.map((v) => [1, v]);

  test("complete separation gives finite estimates with very wide intervals", () => {
    const fit = fitLogistic({ x, passes: [0, 0, 0, 0, 1, 1, 1, 1] }, { names: ["one", "setting"] });
    const slope = fit.intervals[1]!;
    expect(fit.status).toBe("converged");
    expect(slope.lower).toBeGreaterThan(0);
    // The odds ratio per step is between about 1.1 and 300: wide, as eight coupons deserve.
    expect(slope.upper).toBeGreaterThan(5);
    expect(slope.upper).toBeLessThan(20);
    const edge = predictLogistic(fit, [[1, 4.5]])[0]!;
    expect(edge.lower).toBeLessThan(0.2);
    expect(edge.upper).toBeGreaterThan(0.8);
  });

  test("coupons that all passed give a chance below 1; FLIC is left out with a finding", () => {
    const fit = fitLogistic({ x, passes: setting.map(() => 1) }, { names: ["one", "setting"], flic: true });
    expect(fit.status).toBe("converged");
    expect(fit.interceptShift).toBe(0);
    expect(fit.findings.map((finding) => finding.code)).toEqual(["one-outcome"]);
    expect(Math.max(...fit.fitted)).toBeLessThan(0.999);
  });

  // With an intercept alone Firth's penalty is Jeffreys' prior of a binomial: half a pass and half a failure more.
  test("an intercept alone is ln((passes + 1/2) / (failures + 1/2))", () => {
    const fit = fitLogistic({ x: [[1], [1]], passes: [3, 4], trials: [8, 9] }, { names: ["one"] });
    expectDigits(fit.estimates[0]!, Math.log(7.5 / 10.5), 10);
  });

  test("an aliased term is named and dropped", () => {
    const doubled = setting.map((v) => [1, v, 2 * v]);
    const data = { passes: [0, 0, 1, 0, 1, 1, 0, 1] };
    const fit = fitLogistic({ ...data, x: doubled }, { names: ["one", "a", "b"] });
    const alone = fitLogistic({ ...data, x }, { names: ["one", "a"] });
    expect(fit.aliased).toHaveLength(1);
    expect(fit.intervals).toHaveLength(2);
    fit.fitted.forEach((chance, i) => {
      expectDigits(chance, alone.fitted[i]!, 9);
    });
  });
});

const passFail = fc.integer({ min: 8, max: 25 }).chain((n) =>
  fc.record({
    settings: fc.array(fc.double({ min: -2, max: 2, noNaN: true }), { minLength: 2 * n, maxLength: 2 * n }),
    passes: fc.array(fc.integer({ min: 0, max: 1 }), { minLength: n, maxLength: n }),
  }),
);
const rowsOf = (settings: readonly number[], n: number): number[][] =>
  Array.from({ length: n }, (_, i) => [1, settings[2 * i]! + 0.1 * i, settings[2 * i + 1]! - 0.01 * i * i]);
const names = ["one", "a", "b"];
const wald = { names, intervals: "wald" } as const;
const close = (a: readonly number[], b: readonly number[], tolerance = 1e-7): void => {
  a.forEach((value, i) => {
    expect(Math.abs(value - b[i]!)).toBeLessThan(tolerance * (1 + Math.abs(b[i]!)));
  });
};

describe("laws", () => {
  test("calling passes failures turns every sign and no width", () => {
    fc.assert(
      fc.property(passFail, ({ settings, passes }) => {
        const x = rowsOf(settings, passes.length);
        const fit = fitLogistic({ x, passes }, wald);
        const turned = fitLogistic({ x, passes: passes.map((value) => 1 - value) }, wald);
        close(
          turned.estimates,
          fit.estimates.map((value) => -value),
        );
        close(turned.standardErrors, fit.standardErrors);
      }),
      { numRuns: 30 },
    );
  });

  test("row order, grouping of equal rows and units of a column leave chances alone", () => {
    fc.assert(
      fc.property(passFail, ({ settings, passes }) => {
        const x = rowsOf(settings, passes.length);
        const fit = fitLogistic({ x, passes }, wald);
        const backwards = fitLogistic({ x: [...x].reverse(), passes: [...passes].reverse() }, wald);
        close([...backwards.fitted].reverse(), fit.fitted);
        const rescaled = fitLogistic(
          { x: x.map(([one, a, b]) => [one!, 1000 * a! + 50, b! / 60]), passes },
          wald,
        );
        close(rescaled.fitted, fit.fitted);
        expect(Math.abs(rescaled.estimates[1]! * 1000 - fit.estimates[1]!)).toBeLessThan(
          1e-7 * (1 + Math.abs(fit.estimates[1]!)),
        );
        const twice = fitLogistic(
          { x, passes: passes.map((value) => 2 * value), trials: passes.map(() => 2) },
          wald,
        );
        const spelled = fitLogistic({ x: [...x, ...x], passes: [...passes, ...passes] }, wald);
        close(twice.estimates, spelled.estimates);
      }),
      { numRuns: 30 },
    );
  });

  test("the score, penalty and prior included, is the slope of the objective by central differences", () => {
    const { x, passes, trials } = reference.simulated;
    const basis = designBasis(x, namesOf(x));
    const value = fc.double({ min: -4, max: 4, noNaN: true });
    fc.assert(
      fc.property(fc.array(value, { minLength: 4, maxLength: 4 }), fc.boolean(), (point, firth) => {
        const likelihood = new LogisticLikelihood({
          basis,
          passes: Float64Array.from(passes),
          trials: Float64Array.from(trials),
          firth,
          prior: { mean: [0.2, 0, -0.1, 0], precision: [0, 1, 4, 0.25] },
        });
        const gamma = Float64Array.from(point);
        likelihood.evaluate(gamma);
        likelihood.differentiate(gamma);
        const score = likelihood.score.slice();
        score.forEach((slope, k) => {
          const at = (d: number): number => {
            likelihood.evaluate(gamma.map((old, j) => (j === k ? old + d : old)));
            return likelihood.objective;
          };
          const difference = (8 * (at(1e-3) - at(-1e-3)) - (at(2e-3) - at(-2e-3))) / 12e-3;
          expect(Math.abs(difference - slope)).toBeLessThan(1e-8 * (1 + Math.abs(slope)));
        });
      }),
      { numRuns: 30 },
    );
  });

  test("raw settings with squares give the chances of coded ones: conditioning costs no digits", () => {
    const stream = randomStream(31);
    const kelvin = Array.from({ length: 40 }, () => 1500 + 20 * stream.normal());
    const passes = kelvin.map((t) => (stream.uniform() < 1 / (1 + ((t - 1500) / 20) ** 2) ? 1 : 0));
    const raw = fitLogistic({ x: kelvin.map((t) => [1, t, t * t]), passes }, wald);
    const coded = fitLogistic(
      { x: kelvin.map((t) => [1, (t - 1500) / 20, ((t - 1500) / 20) ** 2]), passes },
      wald,
    );
    raw.fitted.forEach((chance, i) => {
      expectDigits(chance, coded.fitted[i]!, 7);
    });
    expectDigits(raw.estimates[2]! * 400, coded.estimates[2]!, 7);
  });

  test("FLIC makes the mean fitted chance the observed share", () => {
    const { x, passes } = reference.simulated;
    const fit = fitLogistic({ x, passes }, { names: namesOf(x), flic: true });
    const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);
    expectDigits(sum(fit.fitted), sum(passes), 12);
  });

  test("a fit survives JSON and predicts the same, profile intervals included", () => {
    const { x, passes } = reference.simulated;
    const options = { names: namesOf(x), prior: { mean: [0, 0, 0, 0], sd: [Infinity, 2, 2, 2] } };
    const fit = fitLogistic({ x, passes }, options);
    const copy = JSON.parse(JSON.stringify(fit)) as LogisticFit;
    expect(copy).toEqual(fit);
    expect(predictLogistic(copy, [x[0]!])[0]!).toEqual(predictLogistic(fit, [x[0]!])[0]!);
  });

  test("profile limits of a coefficient are those of the chance at its unit row", () => {
    const { x, passes } = reference.simulated;
    const fit = fitLogistic({ x, passes }, { names: namesOf(x) });
    const { lower, upper } = predictLogistic(fit, [[0, 1, 0, 0]])[0]!;
    expectDigits(Math.log(lower / (1 - lower)), fit.intervals[1]!.lower, 8);
    expectDigits(Math.log(upper / (1 - upper)), fit.intervals[1]!.upper, 8);
  });
});

test("bad input is refused with its place", () => {
  const x = [
    [1, 2],
    [1, 3],
  ];
  expect(() => fitLogistic({ x, passes: [1, 2] }, { names: ["a", "b"] })).toThrow(
    "passes of row 2 must be at least 0 and at most 1, got 2",
  );
  expect(() => fitLogistic({ x, passes: [1] }, { names: ["a", "b"] })).toThrow(
    "2 rows of x need as many passes (1)",
  );
  expect(() => fitLogistic({ x, passes: [1, 0] }, { names: ["a"] })).toThrow(
    "row 1 holds 2 values for 1 names",
  );
  expect(() => fitLogistic({ x: [], passes: [] }, { names: ["a"] })).toThrow("at least one row");
});

test("the log odds of a share and their standard error are the textbook's", () => {
  // 8 of 20 pass: ln(8 / 12), and sqrt(1 / 8 + 1 / 12).
  const fit = fitLogistic({ x: [[1]], passes: [8], trials: [20] }, { names: ["constant"], penalty: "none" });
  const [at] = predictLogistic(fit, [[1]], { intervals: "wald" });
  expectDigits(at!.logit, Math.log(8 / 12), 9);
  expectDigits(at!.standardError, Math.sqrt(1 / 8 + 1 / 12), 9);
});

test.each([
  ["a mean too few", { mean: [0], sd: [1, 1] }],
  ["a deviation too few", { mean: [0, 0], sd: [1] }],
  ["a deviation of 0", { mean: [0, 0], sd: [1, 0] }],
])("fitLogistic refuses a prior with %s", (_, prior) => {
  const data = {
    x: [
      [1, 0],
      [1, 1],
      [1, 2],
    ],
    passes: [0, 1, 1],
  };
  expect(() => fitLogistic(data, { names: ["a", "b"], prior })).toThrow(/each of the 2 terms/);
});
