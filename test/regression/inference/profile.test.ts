import { describe, expect, test } from "vitest";
import { randomStream } from "../../../lib/numeric/index.js";
import {
  type ConvergedFit,
  fitNonlinear,
  formulaModel,
  profileIntervals,
  requireConverged,
} from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";

interface WeakCase {
  readonly name: string;
  readonly formula: string;
  readonly variables: readonly string[];
  readonly start: readonly number[];
  readonly x: readonly (readonly number[])[];
  readonly y: readonly number[];
  readonly lower: readonly number[];
  readonly upper: readonly number[];
}
/** Ends by R (fixtures/weak-profiles.R): nls with one parameter held, followed in short steps, solved by uniroot. */
const { cases } = readFixture<{ readonly cases: readonly WeakCase[] }>(
  import.meta.url,
  "../fixtures/weak-profiles.json",
);

function converge({ formula, variables, start, x, y }: WeakCase): {
  fit: ConvergedFit;
  model: ReturnType<typeof formulaModel>;
} {
  const model = formulaModel(formula, { variables });
  return { fit: requireConverged(fitNonlinear({ x, y }, model, { start })), model };
}

describe("profile ends of weakly determined fits", () => {
  test.each(cases.map((one) => [one.name, one] as const))("%s: as R finds them", (_name, one) => {
    const { fit, model } = converge(one);
    const intervals = profileIntervals(fit, model);
    expect(intervals).toHaveLength(one.start.length);
    intervals.forEach(({ estimate, lower, upper, openBelow, openAbove, findings }, j) => {
      expect([openBelow, openAbove, findings]).toEqual([false, false, []]);
      expect(Math.abs(lower - one.lower[j]!)).toBeLessThan(1e-4 * (estimate - one.lower[j]!));
      expect(Math.abs(upper - one.upper[j]!)).toBeLessThan(1e-4 * (one.upper[j]! - estimate));
    });
  });

  test("follow a positive coefficient and its logarithm to the same ends", () => {
    const { fit, model } = converge(cases[0]!);
    const logarithmic = formulaModel("exp(q) * I^b * v^c", { variables: ["I", "v"] });
    const { x, y } = cases[0]!;
    const other = requireConverged(
      fitNonlinear({ x, y }, logarithmic, { start: [Math.log(0.5), 0.6, -0.4] }),
    );
    const [a] = profileIntervals(fit, model, { parameters: ["a"] });
    const [q] = profileIntervals(other, logarithmic, { parameters: ["q"] });
    expectDigits(Math.log(a!.lower), q!.lower, 6);
    expectDigits(Math.log(a!.upper), q!.upper, 6);
  });
});

describe("an open end", () => {
  const t = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6];
  const growth = formulaModel("a * (1 - exp(-k * t))", { variables: ["t"] });
  const y = t.map((at, i) => 20 * (1 - Math.exp(-0.5 * at)) + [0.2, -0.3, 0.25, -0.1, -0.25, 0.2][i]!);
  const x = t.map((at) => [at]);

  test("is said where the growth is nearly a straight line and nothing limits its height", () => {
    const fit = requireConverged(fitNonlinear({ x, y }, growth, { start: [20, 0.5] }));
    const [a, k] = profileIntervals(fit, growth);
    expect(a!.openAbove).toBe(true);
    expect(a!.openBelow).toBe(false);
    expect(a!.findings.map(({ code, about }) => [code, about])).toEqual([["open-end", ["a"]]]);
    // A rate of 0 is a line through 0 of boundless height: rates below go with a height below 0.
    expect(k!.lower).toBeLessThan(0.01);
  });

  test("at a bound gives the bound and names it", () => {
    const bounds = { lower: [0, 0.2], upper: [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY] };
    const fit = requireConverged(fitNonlinear({ x, y }, growth, { start: [20, 0.5], bounds }));
    const [k] = profileIntervals(fit, growth, { bounds, parameters: ["k"] });
    expect([k!.lower, k!.openBelow]).toEqual([0.2, true]);
    expect(k!.findings[0]!.message).toContain("bound 0.200");
  });
});

test("a better minimum met on the way is followed, and the interval is the one about it", () => {
  const wave = formulaModel("a * sin(k * t)", { variables: ["t"] });
  const x = Array.from({ length: 14 }, (_, i) => [0.3 * (i + 1)]);
  const y = x.map(([t], i) => 3 * Math.sin(2 * t!) + [0.1, -0.2, 0.15, 0, -0.1, 0.2, -0.15][i % 7]!);
  const best = requireConverged(fitNonlinear({ x, y }, wave, { start: [3, 2] }));
  const other = requireConverged(fitNonlinear({ x, y }, wave, { start: [0.5, 3.1], starts: 0 }));
  expect(other.rss).toBeGreaterThan(2 * best.rss);
  const [, k] = profileIntervals(other, wave);
  const [, reference] = profileIntervals(best, wave);
  expect(k!.foundLower).toBe(true);
  expectDigits(k!.better!.rss, best.rss, 9);
  expect(k!.findings.map(({ code }) => code)).toContain("better-minimum");
  expectDigits(k!.lower, reference!.lower, 7);
  expectDigits(k!.upper, reference!.upper, 7);
  expect(JSON.parse(JSON.stringify(k))).toEqual(k);
});

test("an end is not closed by held fits that cannot be evaluated", () => {
  // Beyond k = 0.9 the model has no value: the data allow more, and nothing is known there.
  const growth = formulaModel("a * (1 - exp(-k * t))", { variables: ["t"] });
  const torn = {
    parameters: growth.parameters,
    predict: (theta: readonly number[], row: readonly number[]): number =>
      theta[1]! > 0.9 ? Number.NaN : growth.predict(theta, row),
  };
  const x = [0.3, 0.6, 1, 1.4, 1.8, 2.2, 2.6, 3].map((t) => [t]);
  const y = x.map((row, i) => growth.predict([20, 0.6], row) + [1, -1.2, 0.8, -0.5, 0.9, -1, 0.3, -0.2][i]!);
  const fit = requireConverged(fitNonlinear({ x, y }, torn, { start: [20, 0.6] }));
  const [whole] = profileIntervals(fit, growth, { parameters: ["k"] });
  const [k] = profileIntervals(fit, torn, { parameters: ["k"] });
  expect(whole!.upper).toBeGreaterThan(0.95);
  expect(k!.openAbove).toBe(true);
  expect(k!.upper).toBeGreaterThan(0.85);
  expect(k!.upper).toBeLessThanOrEqual(0.9);
});

test("a curve that jumps is given up with an open end after a bounded number of held fits", () => {
  const random = randomStream(4);
  const x = Array.from({ length: 10 }, (_, i) => [i / 3]);
  const y = x.map(([z]) => 2 * Math.exp(-0.7 * z!) + 0.05 * random.normal());
  const parameters = ["a", "b"];
  const decay = ([a, b]: readonly number[], z: number): number => a! * Math.exp(-b! * z);
  const smooth = {
    parameters,
    predict: (theta: readonly number[], [z]: readonly number[]) => decay(theta, z!),
  };
  let asked = 0;
  const rippled = {
    parameters,
    predict: (theta: readonly number[], [z]: readonly number[]) => {
      asked++;
      return decay(theta, z!) * (1 + 0.02 * Math.sin(300 * theta[0]! * theta[1]! * (1 + z!)));
    },
  };
  const fit = fitNonlinear({ x, y }, smooth, { start: [1, 1] });
  if (fit.status !== "converged") throw new Error(fit.status);
  const [a] = profileIntervals(fit, rippled);
  expect([a!.openBelow, a!.openAbove]).toEqual([true, true]);
  // 15 million without the bound.
  expect(asked).toBeLessThan(2e6);
});
