import { describe, expect, test } from "vitest";
import {
  akaikeWeights,
  averageModels,
  compareNested,
  fitLinear,
  fitNonlinear,
  formulaModel,
  informationCriteria,
  leaveOneOut,
  leaveOneOutRefit,
  linearModel,
  requireConverged,
} from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";

interface Criteria {
  readonly logLikelihood: number;
  readonly aic: number;
  readonly aicc: number;
  readonly bic: number;
}
interface Reference
  extends Record<"puromycin" | "bod" | "dnase", Criteria & { readonly x: number[]; readonly y: number[] }> {
  readonly stackloss: Criteria & {
    readonly x: number[][];
    readonly y: number[];
    readonly names: string[];
    readonly press: number;
    readonly nested: { readonly f: number; readonly p: number };
  };
}
/** Figures by R (fixtures/least-squares.R). */
const reference = readFixture<Reference>(import.meta.url, "../fixtures/least-squares.json");
const { stackloss } = reference;
const fit = fitLinear({ x: stackloss.x, y: stackloss.y }, { names: stackloss.names });
const small = fitLinear(
  { x: stackloss.x.map((row) => row.slice(0, 2)), y: stackloss.y },
  { names: ["one", "flow"] },
);

describe("informationCriteria", () => {
  test.each([
    ["puromycin", "Vm * c / (K + c)", [200, 0.05]],
    ["bod", "A * (1 - exp(-k * c))", [20, 0.5]],
    ["dnase", "Asym / (1 + exp((xmid - log(c)) / scal))", [3, 0, 1]],
  ] as const)("%s agrees with R", (name, formula, start) => {
    const { x, y, ...want } = reference[name];
    const model = formulaModel(formula, { variables: ["c"] });
    const got = informationCriteria(
      requireConverged(fitNonlinear({ x: x.map((v) => [v]), y }, model, { start })),
    );
    for (const key of ["logLikelihood", "aic", "aicc", "bic"] as const)
      expectDigits(got[key], want[key], 10, key);
  });

  test("of a linear fit agree with R", () => {
    const got = informationCriteria(fit);
    for (const key of ["aic", "aicc", "bic"] as const) expectDigits(got[key], stackloss[key], 12, key);
  });

  test("refuse more parameters than the correction allows", () => {
    const tight = fitLinear(
      {
        x: [
          [1, 0],
          [1, 1],
          [1, 2],
          [1, 4],
        ],
        y: [1, 2, 2, 5],
      },
      { names: ["a", "b"] },
    );
    expect(() => informationCriteria(tight)).toThrow(/needs more than 4 rows/);
  });
});

describe("leave-one-out", () => {
  test("PRESS agrees with R and with leaving each row out", () => {
    const result = leaveOneOut(fit);
    expect(result.method).toBe("closed-form");
    expectDigits(result.press, stackloss.press, 12);
    const refitted = leaveOneOutRefit(fit, linearModel(stackloss.names));
    expectDigits(refitted.press, stackloss.press, 10);
  });

  test("of a nonlinear fit says that it is one step, and comes near the refits", () => {
    const { x, y } = reference.dnase;
    const model = formulaModel("Asym / (1 + exp((xmid - log(c)) / scal))", { variables: ["c"] });
    const curved = requireConverged(fitNonlinear({ x: x.map((v) => [v]), y }, model, { start: [3, 0, 1] }));
    const step = leaveOneOut(curved);
    const exact = leaveOneOutRefit(curved, model);
    expect(step.method).toBe("one-step");
    expect(exact.fallbacks).toBe(0);
    expect(Math.abs(step.press / exact.press - 1)).toBeLessThan(0.1);
  });
});

describe("compareNested", () => {
  test("agrees with R's anova", () => {
    const { f, p, df1, df2 } = compareNested(small, fit);
    expectDigits(f, stackloss.nested.f, 11);
    expectDigits(p, stackloss.nested.p, 9);
    expect([df1, df2]).toEqual([2, 17]);
  });

  test("refuses fits that do not nest", () => {
    expect(() => compareNested(fit, small)).toThrow(/more parameters/);
    const other = fitLinear({ x: stackloss.x, y: stackloss.y.map((v) => v + 1) }, { names: stackloss.names });
    expect(() => compareNested(small, other)).toThrow(/same responses/);
    const noise = stackloss.y.map((_, i) => [1, (i * 7) % 5, (i * 3) % 4]);
    const worse = fitLinear({ x: noise, y: stackloss.y }, { names: ["a", "b", "c"] });
    expect(() => compareNested(small, worse)).toThrow(/cannot contain/);
  });
});

describe("model averaging", () => {
  test("weights sum to 1, keep ratios exp(-d / 2), and do not mind a common shift", () => {
    const weights = akaikeWeights([100, 102, 110]);
    expectDigits(
      weights.reduce((sum, w) => sum + w, 0),
      1,
      14,
    );
    expectDigits(weights[1]! / weights[0]!, Math.exp(-1), 13);
    akaikeWeights([-1e5, -1e5 + 2, -1e5 + 10]).forEach((w, i) => {
      expectDigits(w, weights[i]!, 10);
    });
  });

  test("an average of equals is each of them; disagreement widens the error", () => {
    const one = { mean: 4, standardError: 0.5 };
    expect(averageModels([one, one], [0.3, 0.7])).toEqual(one);
    const apart = averageModels([one, { mean: 6, standardError: 0.5 }], [0.5, 0.5]);
    expect(apart.mean).toBe(5);
    expectDigits(apart.standardError, Math.sqrt(0.25 + 1), 14);
  });
});
