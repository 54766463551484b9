import { describe, expect, test } from "vitest";
import { BeadbenchError } from "../../../lib/errors/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import {
  fitLinear,
  informationCriteria,
  type LinearFit,
  type LinearOptions,
  linearModel,
} from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { fc } from "../../support/properties.js";

interface Stackloss {
  readonly x: number[][];
  readonly y: number[];
  readonly names: string[];
  readonly estimates: number[];
  readonly standardErrors: number[];
  readonly residualSd: number;
  readonly conditionNumber: number;
  readonly weights: number[];
  readonly weightedEstimates: number[];
  readonly weightedStandardErrors: number[];
  readonly weightedAic: number;
}
/** Brownlee's stack loss data, figures by R's lm (fixtures/least-squares.R). */
const { stackloss } = readFixture<{ stackloss: Stackloss }>(
  import.meta.url,
  "../fixtures/least-squares.json",
);
const { x, y, names } = stackloss;

function expectAll(got: readonly number[], want: readonly number[], digits: number): void {
  want.forEach((value, j) => {
    expectDigits(got[j]!, value, digits, `item ${j + 1}`);
  });
}

describe("fitLinear", () => {
  test("agrees with R's lm", () => {
    const fit = fitLinear({ x, y }, { names });
    expectAll(fit.estimates, stackloss.estimates, 12);
    expectAll(fit.standardErrors, stackloss.standardErrors, 12);
    expectDigits(fit.residualSd, stackloss.residualSd, 12);
    expectDigits(fit.conditionNumber, stackloss.conditionNumber, 10);
    expect(fit.df).toBe(17);
  });

  test("agrees with R's lm with weights", () => {
    const fit = fitLinear({ x, y, weights: stackloss.weights }, { names });
    expectAll(fit.estimates, stackloss.weightedEstimates, 12);
    expectAll(fit.standardErrors, stackloss.weightedStandardErrors, 12);
    expectDigits(informationCriteria(fit).aic, stackloss.weightedAic, 12);
  });

  test("survives JSON", () => {
    const fit = fitLinear({ x, y }, { names });
    expect(JSON.parse(JSON.stringify(fit))).toEqual(fit);
  });

  test("names aliased terms in words, and fits as well as without them", () => {
    const rows = x.map((row) => [...row, row[1]! + row[2]!, 5]);
    const fit = fitLinear({ x: rows, y }, { names: [...names, "both", "five"] });
    const plain = fitLinear({ x, y }, { names });
    expect(fit.rank).toBe(4);
    expect(fit.df).toBe(plain.df);
    expectAll(fit.fitted, plain.fitted, 11);
    expect(fit.aliased).toHaveLength(2);
    for (const { relation, term, coefficients } of fit.aliased) {
      const place = fit.parameters.indexOf(term);
      expect(relation.startsWith(`${term} = `)).toBe(true);
      for (const row of rows) {
        const sum = coefficients.reduce((total, c, k) => total + c * row[k]!, 0);
        expectDigits(sum, row[place]!, 10);
      }
      expect(fit.standardErrors[place]).toBe(0);
    }
    expect(fit.findings.map(({ code }) => code)).toEqual(["aliased-term", "aliased-term"]);
  });

  test("says that terms are nearly dependent, and keeps them", () => {
    const rows = [1, 2, 3, 4, 5, 6].map((v, i) => [1, v, v + 1e-4 * (i % 2)]);
    const fit = fitLinear({ x: rows, y: [1, 3, 2, 5, 4, 6] }, { names: ["one", "a", "b"] });
    expect(fit.rank).toBe(3);
    expect(fit.findings.map(({ code, severity }) => [code, severity])).toEqual([["near-collinear", "info"]]);
    expect(fitLinear({ x, y }, { names }).findings).toEqual([]);
  });

  test("writes simple relations simply", () => {
    const rows = [1, 2, 3, 4, 5, 6].map((v) => [1, v, v * v, v + v * v]);
    const fit = fitLinear({ x: rows, y: [1, 3, 2, 5, 4, 6] }, { names: ["one", "a", "b", "c"] });
    expect(["c = a + b", "a = -b + c", "b = -a + c"]).toContain(fit.aliased[0]!.relation);
  });

  test("refuses what it cannot fit, saying why", () => {
    const attempt = (f: () => unknown): string => {
      try {
        f();
      } catch (error) {
        return (error as BeadbenchError).message;
      }
      return "no error";
    };
    expect(attempt(() => fitLinear({ x: [[1, 2]], y: [1, 2] }, { names: ["a", "b"] }))).toMatch(
      /1 rows and y has 2/,
    );
    expect(attempt(() => fitLinear({ x: [[1], [2]], y: [1, Number.NaN] }, { names: ["a"] }))).toMatch(
      /y in row 2/,
    );
    expect(
      attempt(() =>
        fitLinear(
          {
            x: [
              [1, 0],
              [0, 1],
            ],
            y: [1, 2],
          },
          { names: ["a", "b"] },
        ),
      ),
    ).toMatch(/no spare row/);
    expect(() => fitLinear({ x: [[1], [2]], y: [1, 2], weights: [1, -1] }, { names: ["a"] })).toThrow(
      BeadbenchError,
    );
  });
});

describe("fitLinear refuses", () => {
  const two = {
    x: [
      [1, 0],
      [1, 1],
      [1, 2],
    ],
    y: [1, 2, 4],
  };
  const ab = ["a", "b"];
  test.each<[string, LinearOptions, RegExp]>([
    ["another number of names than columns", { names: ["a"] }, /1 names for rows of 2 values/],
    ["no names", { names: [] }, /at least one term/],
    ["a ridge below 0", { names: ab, ridge: -1 }, /ridge must be at least 0, got -1/],
    ["a known deviation of 0", { names: ab, residualSd: 0 }, /residualSd must be above 0/],
    ["a prior of too few means", { names: ab, prior: { mean: [0], sd: [1, 1] } }, /each of the 2 terms/],
    ["a prior of too few deviations", { names: ab, prior: { mean: [0, 0], sd: [1] } }, /each of the 2 terms/],
    ["a prior deviation of 0", { names: ab, prior: { mean: [0, 0], sd: [1, 0] } }, /prior sd of b/],
    [
      "a prior mean that is no number",
      { names: ab, prior: { mean: [0, Number.NaN], sd: [1, 1] } },
      /mean of b/,
    ],
  ])("%s", (_, options, message) => {
    expect(() => fitLinear(two, options)).toThrow(message);
  });

  test("one row where a prior is to be weighed against scatter, unless the scatter is known", () => {
    const one = { x: [[1]], y: [3] };
    const options = { names: ["a"], prior: { mean: [0], sd: [2] } };
    expect(() => fitLinear(one, options)).toThrow("fitLinear needs more rows than parameters (1), got 1");
    // Precisions 1 / 1 and 1 / 4: 3 * 1 / 1.25.
    expectDigits(fitLinear(one, { ...options, residualSd: 1 }).estimates[0]!, 2.4, 12);
  });

  test("but takes a ridge of 0 and a mean without meaning where there is no opinion", () => {
    const plain = fitLinear(two, { names: ab }).estimates;
    expectAll(fitLinear(two, { names: ab, ridge: 0 }).estimates, plain, 13);
    const prior = {
      mean: [Number.NaN, Number.NaN],
      sd: [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY],
    };
    expectAll(fitLinear(two, { names: ab, prior }).estimates, plain, 13);
  });
});

test("the certificate is the largest cosine between the residuals and a column, near 0 at the minimum", () => {
  const weights = x.map((_, i) => 1 + (i % 3));
  const fit = fitLinear({ x, y, weights }, { names });
  const r = y.map((value, i) => Math.sqrt(weights[i]!) * (value - fit.fitted[i]!));
  const cosines = names.map((_, j) => {
    const column = x.map((row, i) => row[j]! * Math.sqrt(weights[i]!));
    const product = column.reduce((sum, value, i) => sum + value * r[i]!, 0);
    return Math.abs(product) / (Math.hypot(...column) * Math.hypot(...r));
  });
  expect(Math.max(...cosines)).toBeLessThan(1e-12);
  expect(fit.certificate).toMatchObject({ criterion: "orthogonality", startsTried: 1, startsAgreeing: 1 });
  expect(fit.certificate.value).toBeLessThan(1e-12);
  expect(fit.certificate.value).toBeGreaterThan(0);
});

test("linearModel predicts and slopes by the coefficients of a row", () => {
  const model = linearModel(["one", "slope"]);
  expect(model.predict([2, 3], [1, 5])).toBe(17);
  expect(model.gradient?.([2, 3], [1, 5])).toEqual([1, 5]);
});

describe("fitLinear with a prior", () => {
  test("is the conjugate normal answer: one mean, known spread", () => {
    const values = [9, 11, 10, 12, 8, 13];
    const [sd, priorMean, priorSd] = [2, 20, 3];
    const fit = fitLinear(
      { x: values.map(() => [1]), y: values },
      { names: ["mean"], prior: { mean: [priorMean], sd: [priorSd] }, residualSd: sd },
    );
    const precision = values.length / sd ** 2 + 1 / priorSd ** 2;
    const sum = values.reduce((total, value) => total + value, 0);
    expectDigits(fit.estimates[0]!, (sum / sd ** 2 + priorMean / priorSd ** 2) / precision, 13);
    expectDigits(fit.standardErrors[0]!, Math.sqrt(1 / precision), 13);
  });

  test("with no opinion changes nothing", () => {
    const open = names.map(() => Number.POSITIVE_INFINITY);
    const fit = fitLinear({ x, y }, { names, prior: { mean: names.map(() => 0), sd: open } });
    expectAll(fit.estimates, stackloss.estimates, 11);
    expectAll(fit.standardErrors, stackloss.standardErrors, 11);
    expectDigits(fit.df, 17, 12);
  });

  test("settles at residualSd^2 = rss / df with df = n - trace of the hat matrix", () => {
    const prior = { mean: [0, 0.7, 1, 0], sd: [Number.POSITIVE_INFINITY, 0.1, 0.3, 0.2] };
    const fit = fitLinear({ x, y }, { names, prior });
    const trace = fit.leverage.reduce((sum, h) => sum + h, 0);
    expectDigits(fit.df, 21 - trace, 12);
    expectDigits(fit.residualSd ** 2, fit.rss / fit.df, 10);
  });

  test("tells apart what the data alone cannot", () => {
    const rows = [1, 2, 3, 4, 5, 6].map((v) => [1, v, 2 * v]);
    const fit = fitLinear(
      { x: rows, y: [2, 4.1, 5.9, 8, 10.1, 12] },
      { names: ["one", "a", "b"], prior: { mean: [0, 1, 0.5], sd: [10, 0.5, 0.5] } },
    );
    expect(fit.rank).toBe(3);
    expect(fit.aliased).toEqual([]);
    expectDigits(fit.estimates[1]! + 2 * fit.estimates[2]!, 2, 2);
  });

  test("ridge shrinks slopes, never the constant, and vanishes at 0", () => {
    const spread = (fit: LinearFit): number => Math.hypot(...fit.estimates.slice(1));
    const none = fitLinear({ x, y }, { names, ridge: 0 });
    const some = fitLinear({ x, y }, { names, ridge: 5 });
    const much = fitLinear({ x, y }, { names, ridge: 1e9 });
    expectAll(none.estimates, stackloss.estimates, 11);
    expect(spread(some)).toBeLessThan(spread(none));
    expect(spread(much)).toBeLessThan(1e-5);
    expectDigits(much.estimates[0]!, y.reduce((sum, value) => sum + value, 0) / y.length, 5);
  });
});

describe("laws of a linear fit", () => {
  const order = fc
    .integer({ min: 1, max: 1e6 })
    .map((seed) => randomStream(seed).shuffle(y.map((_, i) => i)));

  test("the order of rows does not matter", () => {
    const plain = fitLinear({ x, y }, { names });
    fc.assert(
      fc.property(order, (places) => {
        const fit = fitLinear({ x: places.map((i) => x[i]!), y: places.map((i) => y[i]!) }, { names });
        expectAll(fit.estimates, plain.estimates, 11);
        expectAll(fit.standardErrors, plain.standardErrors, 11);
      }),
      { numRuns: 20 },
    );
  });

  test("a common factor on the weights does not matter", () => {
    const plain = fitLinear({ x, y, weights: stackloss.weights }, { names });
    fc.assert(
      fc.property(fc.double({ min: 1e-6, max: 1e6, noNaN: true }), (factor) => {
        const fit = fitLinear({ x, y, weights: stackloss.weights.map((w) => w * factor) }, { names });
        expectAll(fit.estimates, plain.estimates, 11);
        expectAll(fit.standardErrors, plain.standardErrors, 11);
        expectAll(fit.leverage, plain.leverage, 11);
      }),
      { numRuns: 20 },
    );
  });

  test("a change of units leaves predictions alone", () => {
    const plain = fitLinear({ x, y }, { names });
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 1e-5, max: 1e5, noNaN: true }), { minLength: 5, maxLength: 5 }),
        (units) => {
          const [unitY, ...unitX] = units;
          const fit = fitLinear(
            {
              x: x.map((row) => row.map((value, j) => value * unitX[j]!)),
              y: y.map((value) => value * unitY!),
            },
            { names },
          );
          expectAll(
            fit.fitted.map((value) => value / unitY!),
            plain.fitted,
            10,
          );
          expectAll(fit.leverage, plain.leverage, 10);
        },
      ),
      { numRuns: 20 },
    );
  });

  test("doubling a row is giving it weight two", () => {
    const doubled = fitLinear({ x: [...x, x[3]!], y: [...y, y[3]!] }, { names });
    const weighted = fitLinear({ x, y, weights: y.map((_, i) => (i === 3 ? 2 : 1)) }, { names });
    expectAll(weighted.estimates, doubled.estimates, 11);
    expectDigits(weighted.rss, doubled.rss, 11);
  });
});
