import { describe, expect, test } from "vitest";
import { randomStream } from "../../../lib/numeric/index.js";
import { fitNonlinear, formulaModel, type Model, requireConverged } from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { fc } from "../../support/properties.js";

interface Worked {
  readonly x: number[];
  readonly y: number[];
  readonly estimates: number[];
  readonly standardErrors: number[];
  readonly rss: number;
}
/** Figures by R's nls (fixtures/least-squares.R) on data that come with R. */
const reference = readFixture<Record<"puromycin" | "bod" | "dnase", Worked>>(
  import.meta.url,
  "../fixtures/least-squares.json",
);
const models = {
  puromycin: formulaModel("Vm * c / (K + c)", { variables: ["c"] }),
  bod: formulaModel("A * (1 - exp(-k * t))", { variables: ["t"] }),
  dnase: formulaModel("Asym / (1 + exp((xmid - log(c)) / scal))", { variables: ["c"] }),
};
const starts = { puromycin: [200, 0.05], bod: [20, 0.5], dnase: [3, 0, 1] };
const names = ["puromycin", "bod", "dnase"] as const;
const observe = ({ x, y }: Worked) => ({ x: x.map((value) => [value]), y });
const converge = (name: (typeof names)[number], observations = observe(reference[name])) =>
  requireConverged(fitNonlinear(observations, models[name], { start: starts[name] }));

function expectAll(got: readonly number[], want: readonly number[], digits: number): void {
  want.forEach((value, j) => {
    expectDigits(got[j]!, value, digits, `item ${j + 1}`);
  });
}

describe("worked examples", () => {
  test.each(names)("%s agrees with R's nls", (name) => {
    const fit = converge(name);
    expectAll(fit.estimates, reference[name].estimates, 9);
    expectAll(fit.standardErrors, reference[name].standardErrors, 8);
    expectDigits(fit.rss, reference[name].rss, 11);
  });

  /** D. M. Bates and D. G. Watts, Nonlinear Regression Analysis (1988), appendices A1.3 and A4.1; printed figures from memory. */
  test("Puromycin and BOD give the figures printed by Bates and Watts", () => {
    const puromycin = converge("puromycin");
    expectAll(puromycin.estimates, [212.7, 0.06412], 4);
    expectAll(puromycin.standardErrors, [6.947, 0.008281], 4);
    expectDigits(puromycin.residualSd, 10.93, 3);
    const bod = converge("bod");
    expectAll(bod.estimates, [19.143, 0.5311], 4);
    expectAll(bod.standardErrors, [2.496, 0.2031], 3.9);
  });

  /** M. Davidian and D. M. Giltinan (1995) section 5.2.4 and R's help page of nls; printed figures from memory. */
  test("DNase run 1 gives the figures printed for it", () => {
    const fit = converge("dnase");
    expectAll(fit.estimates, [2.34518, 1.48309, 1.04146], 5);
    expectAll(fit.standardErrors, [0.07815, 0.08135, 0.03227], 3.9);
  });
});

describe("derivatives and linear parameters", () => {
  test.each(names)("%s: a bare function gives what the formula gives", (name) => {
    const { parameters, predict } = models[name];
    const bare: Model = { parameters, predict };
    const fit = requireConverged(fitNonlinear(observe(reference[name]), bare, { start: starts[name] }));
    const exact = converge(name);
    expectAll(fit.estimates, exact.estimates, 10);
    expectAll(fit.standardErrors, exact.standardErrors, 9);
  });

  test("declaring no linear parameters leads to the same place", () => {
    const plain: Model = { ...models.puromycin, linearIn: [] };
    const fit = requireConverged(fitNonlinear(observe(reference.puromycin), plain, { start: [200, 0.05] }));
    expectAll(fit.estimates, reference.puromycin.estimates, 9);
  });

  test("a false claim of linearity is not believed", () => {
    const wrong: Model = { ...models.puromycin, linearIn: ["Vm", "K"] };
    const fit = requireConverged(fitNonlinear(observe(reference.puromycin), wrong, { start: [200, 0.05] }));
    expectAll(fit.estimates, reference.puromycin.estimates, 9);
  });
});

describe("a fit that cannot be had", () => {
  const decay = observe(reference.bod);

  test("says which parameters the data leave open", () => {
    const product = formulaModel("a * b * t", { variables: ["t"] });
    const fit = fitNonlinear(decay, product, { start: [1, 1] });
    expect(fit.status).toBe("singular");
    expect(fit.findings[0]!.code).toBe("undetermined-parameters");
    expect(fit.findings[0]!.about!.length).toBeGreaterThan(0);
    expect(() => requireConverged(fit)).toThrow(/did not converge \(singular\)/);
  });

  test("calls a flat tail undetermined, though its gradient vanishes", () => {
    const fit = fitNonlinear(decay, models.bod, { start: [16, 60], starts: 0 });
    expect(fit.status).toBe("singular");
    expect(fit.findings[0]!.about).toEqual(["k"]);
  });

  test("says that a constant response leaves a decay open", () => {
    const model = formulaModel("a * exp(-b * t) + c", { variables: ["t"] });
    const flat = { x: decay.x, y: decay.y.map(() => 5) };
    const fit = fitNonlinear(flat, model, { start: [1, 1, 0] });
    expect(fit.status).toBe("singular");
    expect(fit.findings[0]!.about).toContain("b");
  });

  test("leaves the flat tail by itself when free to try other starts", () => {
    const fit = requireConverged(fitNonlinear(decay, models.bod, { start: [16, 60] }));
    expectAll(fit.estimates, reference.bod.estimates, 9);
  });

  test("says so when the model is never finite", () => {
    const model: Model = { parameters: ["a"], predict: (theta) => Math.log(-1 - theta[0]! ** 2) };
    const fit = fitNonlinear(decay, model, { start: [1] });
    expect(fit.status).toBe("non-finite");
    expect(JSON.parse(JSON.stringify(fit))).toEqual(fit);
  });

  test("says so when stopped too early", () => {
    const model = formulaModel("a * t ^ b / (c + t ^ d)", { variables: ["t"] });
    const fit = fitNonlinear(decay, model, { start: [1e3, 4, 1e5, 5], starts: 0, maxIterations: 1 });
    expect(fit.status).not.toBe("converged");
    expect(JSON.parse(JSON.stringify(fit))).toEqual(fit);
  });

  test("refuses malformed input", () => {
    expect(() => fitNonlinear(decay, models.bod, { start: [1] })).toThrow(/1 values for 2 parameters/);
    expect(() => fitNonlinear(decay, models.bod, { start: [1, Number.NaN] })).toThrow(/start value 2/);
    expect(() =>
      fitNonlinear(decay, models.bod, { start: [20, 0.5], bounds: { lower: [0, 1], upper: [30, 1] } }),
    ).toThrow(/lower bound of parameter 2/);
    expect(() => fitNonlinear({ x: [[1], [2]], y: [1, 2] }, models.bod, { start: [1, 1] })).toThrow(
      /more rows than parameters/,
    );
  });
});

describe("bounds", () => {
  const data = observe(reference.bod);
  /** With k held, A is a regression through the origin on 1 - exp(-k t). */
  const bestA = (k: number): number => {
    const basis = reference.bod.x.map((t) => 1 - Math.exp(-k * t));
    const cross = basis.reduce((sum, b, i) => sum + b * reference.bod.y[i]!, 0);
    return cross / basis.reduce((sum, b) => sum + b * b, 0);
  };

  test.each([
    ["upper", 0.4, { upper: [Number.POSITIVE_INFINITY, 0.4] }],
    ["lower", 0.7, { lower: [Number.NEGATIVE_INFINITY, 0.7] }],
  ] as const)("an active %s bound is met, named and given no interval", (_, k, bounds) => {
    const fit = requireConverged(fitNonlinear(data, models.bod, { start: [20, k], bounds }));
    expect(fit.estimates[1]).toBe(k);
    expectDigits(fit.estimates[0]!, bestA(k), 10);
    expect(fit.atBound).toEqual(["k"]);
    expect(fit.standardErrors[1]).toBe(0);
    expect(fit.findings[0]!.code).toBe("at-bound");
    expect(fit.df).toBe(5);
  });

  test("idle bounds change nothing", () => {
    const bounds = { lower: [0, 0], upper: [100, 10] };
    const fit = requireConverged(fitNonlinear(data, models.bod, { start: [20, 0.5], bounds }));
    expectAll(fit.estimates, reference.bod.estimates, 9);
    expect(fit.atBound).toEqual([]);
  });

  test("a start on a bound can leave it", () => {
    const bounds = { lower: [0, 0.1], upper: [100, 10] };
    const fit = requireConverged(fitNonlinear(data, models.bod, { start: [20, 0.1], bounds }));
    expectAll(fit.estimates, reference.bod.estimates, 9);
  });
});

describe("several starts", () => {
  /** Two humps: the model may settle on either. */
  const model = formulaModel("h * exp(-((x - m) / 0.5) ^ 2)", { variables: ["x"] });
  const x = Array.from({ length: 41 }, (_, i) => [i / 4]);
  const random = randomStream(3);
  const y = x.map(
    ([v]) =>
      5 * Math.exp(-(((v! - 2) / 0.5) ** 2)) +
      9 * Math.exp(-(((v! - 7) / 0.5) ** 2)) +
      0.05 * random.normal(),
  );

  test("find the better of two minima and count who agrees", () => {
    const near = requireConverged(fitNonlinear({ x, y }, model, { start: [5, 1.9], starts: 0 }));
    const wide = requireConverged(fitNonlinear({ x, y }, model, { start: [5, 1.9], starts: 8 }));
    expectDigits(near.estimates[1]!, 2, 1.5);
    expectDigits(wide.estimates[1]!, 7, 2);
    expect(wide.rss).toBeLessThan(near.rss);
    expect(wide.certificate.startsTried).toBe(9);
    expect(wide.certificate.startsAgreeing).toBeGreaterThanOrEqual(1);
    expect(wide.certificate.startsAgreeing).toBeLessThan(9);
  });

  test("given as a list are all tried", () => {
    const fit = requireConverged(
      fitNonlinear({ x, y }, model, {
        start: [
          [5, 1.9],
          [5, 6.8],
        ],
      }),
    );
    expectDigits(fit.estimates[1]!, 7, 2);
    expect(fit.certificate.startsTried).toBe(2);
  });
});

describe("laws of a nonlinear fit", () => {
  const data = observe(reference.dnase);
  const plain = converge("dnase");

  test("the same call gives the same answer, and it survives JSON", () => {
    const again = converge("dnase");
    expect(again).toEqual(plain);
    expect(JSON.parse(JSON.stringify(plain))).toEqual(plain);
  });

  test("the order of rows does not matter", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e6 }), (seed) => {
        const places = randomStream(seed).shuffle(data.y.map((_, i) => i));
        const fit = converge("dnase", { x: places.map((i) => data.x[i]!), y: places.map((i) => data.y[i]!) });
        expectAll(fit.estimates, plain.estimates, 9);
        expectAll(fit.standardErrors, plain.standardErrors, 9);
      }),
      { numRuns: 10 },
    );
  });

  test("a common factor on the weights does not matter", () => {
    const weights = data.y.map((_, i) => 1 + (i % 3));
    const base = converge("dnase", { ...data, ...{ weights } });
    fc.assert(
      fc.property(fc.double({ min: 1e-5, max: 1e5, noNaN: true }), (factor) => {
        const fit = converge("dnase", { ...data, ...{ weights: weights.map((w) => w * factor) } });
        expectAll(fit.estimates, base.estimates, 9);
        expectAll(fit.standardErrors, base.standardErrors, 9);
      }),
      { numRuns: 10 },
    );
  });

  test("a change of units leaves predictions alone", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e-4, max: 1e4, noNaN: true }),
        fc.double({ min: 1e-4, max: 1e4, noNaN: true }),
        (unitX, unitY) => {
          const fit = requireConverged(
            fitNonlinear(
              {
                x: reference.puromycin.x.map((v) => [v * unitX]),
                y: reference.puromycin.y.map((v) => v * unitY),
              },
              models.puromycin,
              { start: [200 * unitY, 0.05 * unitX] },
            ),
          );
          expectAll(
            fit.estimates,
            [reference.puromycin.estimates[0]! * unitY, reference.puromycin.estimates[1]! * unitX],
            8,
          );
        },
      ),
      { numRuns: 20 },
    );
  });

  test("inputs are left as they were", () => {
    const frozen = Object.freeze({
      x: Object.freeze(data.x.map((row) => Object.freeze([...row]))),
      y: Object.freeze([...data.y]),
    });
    const start = Object.freeze([3, 0, 1]);
    expect(fitNonlinear(frozen, models.dnase, { start }).status).toBe("converged");
  });
});
