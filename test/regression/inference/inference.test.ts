import { describe, expect, test } from "vitest";
import { mean, randomStream } from "../../../lib/numeric/index.js";
import {
  bootstrap,
  type ConvergedFit,
  fitLinear,
  fitNonlinear,
  fitWithErrorModel,
  formulaModel,
  leaveOneOutRefit,
  linearModel,
  predict,
  profileIntervals,
  requireConverged,
  tIntervals,
  toleranceFactor,
  toleranceInterval,
  withBlockOffsets,
} from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";

interface Worked {
  readonly x: number[];
  readonly y: number[];
  readonly confintLower: number[];
  readonly confintUpper: number[];
  readonly profileLower: number[];
  readonly profileUpper: number[];
}
interface Reference extends Record<"puromycin" | "bod" | "dnase", Worked> {
  readonly cars: {
    readonly x: number[];
    readonly y: number[];
    readonly proportional: { readonly estimates: number[]; readonly relativeSd: number };
    readonly combined: { readonly estimates: number[]; readonly a: number; readonly b: number };
  };
  readonly stackloss: {
    readonly x: number[][];
    readonly y: number[];
    readonly names: string[];
    readonly at: number[][];
    readonly mean: number[];
    readonly se: number[];
    readonly confidence: number[][];
    readonly prediction: number[][];
  };
}
/** Figures by R (fixtures/least-squares.R). */
const reference = readFixture<Reference>(import.meta.url, "../fixtures/least-squares.json");
const models = {
  puromycin: formulaModel("Vm * c / (K + c)", { variables: ["c"] }),
  bod: formulaModel("A * (1 - exp(-k * t))", { variables: ["t"] }),
  dnase: formulaModel("Asym / (1 + exp((xmid - log(c)) / scal))", { variables: ["c"] }),
};
const starts = { puromycin: [200, 0.05], bod: [20, 0.5], dnase: [3, 0, 1] };
const levels = { puromycin: 0.95, bod: 0.8, dnase: 0.95 };
const names = ["puromycin", "bod", "dnase"] as const;
const observe = ({ x, y }: { x: number[]; y: number[] }) => ({ x: x.map((value) => [value]), y });
const converge = (name: (typeof names)[number]): ConvergedFit =>
  requireConverged(fitNonlinear(observe(reference[name]), models[name], { start: starts[name] }));
const { stackloss } = reference;
const linear = fitLinear({ x: stackloss.x, y: stackloss.y }, { names: stackloss.names });
const line = linearModel(stackloss.names);

describe("profileIntervals", () => {
  test.each(names)("%s: ends agree with R, solved exactly and by confint", (name) => {
    const worked = reference[name];
    const intervals = profileIntervals(converge(name), models[name], { level: levels[name] });
    intervals.forEach((interval, j) => {
      expectDigits(interval.lower, worked.profileLower[j]!, 8);
      expectDigits(interval.upper, worked.profileUpper[j]!, 8);
      expectDigits(interval.lower, worked.confintLower[j]!, 2.5);
      expectDigits(interval.upper, worked.confintUpper[j]!, 2.5);
      expect(interval.openBelow || interval.openAbove).toBe(false);
    });
  });

  test("of a linear model are its t intervals", () => {
    const profiles = profileIntervals(linear, line);
    tIntervals(linear).forEach((interval, j) => {
      expectDigits(profiles[j]!.lower, interval.lower, 9);
      expectDigits(profiles[j]!.upper, interval.upper, 9);
    });
  });

  test("follow a change of parameter, which symmetric intervals do not", () => {
    const rate = converge("bod");
    const halfLife = formulaModel("A * (1 - exp(-log(2) / h * t))", { variables: ["t"] });
    const fit = requireConverged(fitNonlinear(observe(reference.bod), halfLife, { start: [20, 1.4] }));
    const [, k] = profileIntervals(rate, models.bod, { level: 0.8 });
    const [, h] = profileIntervals(fit, halfLife, { level: 0.8 });
    expectDigits(h!.lower, Math.LN2 / k!.upper, 8);
    expectDigits(h!.upper, Math.LN2 / k!.lower, 8);
  });

  test("say where an end is open", () => {
    const fit = converge("bod");
    const intervals = profileIntervals(fit, models.bod, { level: 0.999, parameters: ["k"] });
    expect(intervals).toHaveLength(1);
    expect(intervals[0]!.openAbove).toBe(true);
    expect(JSON.parse(JSON.stringify(intervals))).toEqual(intervals);
  });

  test("say when a held fit beats the fit they belong to", () => {
    const fit = converge("bod");
    const short: ConvergedFit = { ...fit, estimates: [fit.estimates[0]!, 0.9], rss: 1.5 * fit.rss };
    const [of] = profileIntervals(short, models.bod, { parameters: ["k"], level: 0.5 });
    expect(of!.foundLower).toBe(true);
    expect(profileIntervals(fit, models.bod, { parameters: ["k"], level: 0.5 })[0]!.foundLower).toBe(false);
  });

  test("hold a profile that rises away from the estimate", () => {
    const [interval] = profileIntervals(converge("dnase"), models.dnase, { parameters: ["scal"] });
    const taus = interval!.profile.map(({ tau }) => tau);
    expect([...taus].sort((a, b) => a - b)).toEqual(taus);
    expect(taus).toContain(0);
  });
});

describe("tIntervals", () => {
  test("are estimate +- t(df) standard errors", () => {
    const fit = converge("puromycin");
    /** t(0.975, 10) = 2.228138851986274 by R's qt. */
    const half = 2.228138851986274 * fit.standardErrors[0]!;
    const [interval] = tIntervals(fit);
    expectDigits(interval!.upper - interval!.lower, 2 * half, 12);
  });
});

describe("predict", () => {
  test("agrees with R's predict.lm", () => {
    predict({ fit: linear, model: line, x: stackloss.at }).forEach((got, i) => {
      expectDigits(got.mean, stackloss.mean[i]!, 12);
      expectDigits(got.standardError, stackloss.se[i]!, 11);
      expectDigits(got.confidence.lower, stackloss.confidence[i]![0]!, 11);
      expectDigits(got.confidence.upper, stackloss.confidence[i]![1]!, 11);
      expectDigits(got.prediction.lower, stackloss.prediction[i]![0]!, 11);
      expectDigits(got.prediction.upper, stackloss.prediction[i]![1]!, 11);
    });
  });

  test("flags leverage beyond the data and rows the data say nothing about", () => {
    const [inside, outside] = predict({ fit: linear, model: line, x: [stackloss.x[0]!, [1, 200, 5, 90]] });
    expect(inside!.extrapolation).toBe(false);
    expect(outside!.extrapolation).toBe(true);
    const rows = [1, 2, 3, 4, 5].map((v) => [1, v, 2 * v]);
    const aliased = fitLinear({ x: rows, y: [1, 2, 3, 4, 6] }, { names: ["one", "a", "b"] });
    const [kept, broken] = predict({
      fit: aliased,
      model: linearModel(["one", "a", "b"]),
      x: [
        [1, 7, 14],
        [1, 7, 15],
      ],
    });
    expect(kept!.estimable).toBe(true);
    expect(broken!.estimable).toBe(false);
  });

  test("adds the scatter of settings to the prediction interval alone", () => {
    const sd = [0, 2, 0, 0];
    const [plain] = predict({ fit: linear, model: line, x: [stackloss.at[0]!] });
    const [noisy] = predict({ fit: linear, model: line, x: [stackloss.at[0]!], settingSd: sd });
    expect(noisy!.confidence).toEqual(plain!.confidence);
    const t = (plain!.confidence.upper - plain!.mean) / plain!.standardError;
    const grown =
      ((noisy!.prediction.upper - noisy!.mean) / t) ** 2 - ((plain!.prediction.upper - plain!.mean) / t) ** 2;
    expectDigits(grown, (linear.estimates[1]! * 2) ** 2, 8);
  });

  test("a bare function predicts like its formula", () => {
    const fit = converge("dnase");
    const { parameters, predict: values } = models.dnase;
    const [exact] = predict({ fit, model: models.dnase, x: [[2]] });
    const [bare] = predict({ fit, model: { parameters, predict: values }, x: [[2]] });
    expectDigits(bare!.standardError, exact!.standardError, 9);
  });
});

describe("toleranceFactor", () => {
  /**
   * NIST/SEMATECH e-Handbook 7.2.6.3: 43 wafers, 90 % held with confidence 0.99, k = 2.217 (from memory); the exact
   * factor for 10 values, 95 % with 95 %, is 3.393 (R. E. Odeh and D. B. Owen 1980 tables, from memory): Howe's is
   * within 1 % of it.
   */
  test("gives the handbook's figure and comes near the exact table", () => {
    expectDigits(toleranceFactor(42, 1 / 43, { share: 0.9, confidence: 0.99 }), 2.217, 3.8);
    expectDigits(toleranceFactor(9, 1 / 10), 3.393, 2);
  });

  test("interval lies about the mean and widens with share and confidence", () => {
    const at = { mean: 5, leverage: 0.1 };
    const base = toleranceInterval(at, { residualSd: 2, df: 12 });
    expectDigits((base.lower + base.upper) / 2, 5, 14);
    for (const more of [{ share: 0.99 }, { confidence: 0.99 }]) {
      expect(toleranceInterval(at, { residualSd: 2, df: 12 }, more).upper).toBeGreaterThan(base.upper);
    }
  });
});

describe("bootstrap", () => {
  test.each(["residual", "case", "wild"] as const)(
    "%s: the seed decides, and the result survives JSON",
    (kind) => {
      const fit = converge("puromycin");
      const run = (seed: number) => bootstrap(fit, models.puromycin, { kind, seed, resamples: 60 });
      const first = run(1);
      expect(run(1)).toEqual(first);
      expect(run(2).replicates).not.toEqual(first.replicates);
      expect(JSON.parse(JSON.stringify(first))).toEqual(first);
    },
  );

  test("residual: standard errors of a linear fit are those of the residuals it draws", () => {
    const resamples = 20_000;
    const result = bootstrap(linear, line, { kind: "residual", seed: 7, resamples });
    // Draws come from the leverage-adjusted residuals, centred (Davison and Hinkley 1997, algorithm 6.1): their
    // variance stands in the place of s^2.
    const adjusted = linear.residuals.map((r, i) => r / Math.sqrt(1 - linear.leverage[i]!));
    const centre = mean(adjusted);
    const spread = Math.sqrt(mean(adjusted.map((r) => (r - centre) ** 2)));
    result.standardErrors.forEach((se, j) => {
      const exact = (linear.standardErrors[j]! / linear.residualSd) * spread;
      // A standard deviation of 20 000 near-normal replicates has a relative error of 0.5 %.
      expect(Math.abs(se / exact - 1)).toBeLessThan(0.02);
    });
  });

  test("case: standard errors approach those of the jackknife", () => {
    const n = stackloss.y.length;
    const left = stackloss.y.map((_, i) => {
      const keep = stackloss.y.map((_unused, k) => k).filter((k) => k !== i);
      const part = { x: keep.map((k) => stackloss.x[k]!), y: keep.map((k) => stackloss.y[k]!) };
      return fitLinear(part, { names: stackloss.names }).estimates[1]!;
    });
    const centre = left.reduce((sum, v) => sum + v, 0) / n;
    const jackknife = Math.sqrt(((n - 1) / n) * left.reduce((sum, v) => sum + (v - centre) ** 2, 0));
    const result = bootstrap(linear, line, { kind: "case", seed: 7, resamples: 2000 });
    expect(result.standardErrors[1]! / jackknife).toBeGreaterThan(0.8);
    expect(result.standardErrors[1]! / jackknife).toBeLessThan(1.25);
  });

  test("wild: standard errors of a linear fit are those of the jackknifed sandwich (HC3)", () => {
    const result = bootstrap(linear, line, { kind: "wild", seed: 7, resamples: 4000 });
    const inverse = linear.covariance.map((row) => row.map((c) => c / linear.residualSd ** 2));
    const influence = (j: number, i: number): number =>
      inverse[j]!.reduce((sum, c, k) => sum + c * stackloss.x[i]![k]!, 0);
    linear.estimates.forEach((_, j) => {
      const variance = linear.residuals.reduce(
        (sum, r, i) => sum + (influence(j, i) * (r / (1 - linear.leverage[i]!))) ** 2,
        0,
      );
      expect(Math.abs(result.standardErrors[j]! / Math.sqrt(variance) - 1)).toBeLessThan(0.05);
    });
  });

  test("gives intervals for derived quantities", () => {
    const fit = converge("puromycin");
    const result = bootstrap(fit, models.puromycin, {
      kind: "residual",
      seed: 4,
      resamples: 400,
      of: [{ name: "slope at zero", value: ([vm, k]) => vm! / k! }],
    });
    const [slope] = result.intervals;
    expectDigits(slope!.estimate, fit.estimates[0]! / fit.estimates[1]!, 14);
    expect(slope!.lower).toBeLessThan(slope!.estimate);
    expect(slope!.upper).toBeGreaterThan(slope!.estimate);
  });
});

describe("error models", () => {
  const { cars } = reference;
  const model = formulaModel("a + b * x", { variables: ["x"] });
  const run = (error: "additive" | "proportional" | "combined") =>
    fitWithErrorModel(observe(cars), model, { start: [0, 1], error });

  test("proportional: agrees with iterated weights in R", () => {
    const { fit, error } = run("proportional");
    const { estimates } = requireConverged(fit);
    cars.proportional.estimates.forEach((value, j) => {
      expectDigits(estimates[j]!, value, 6);
    });
    expectDigits(error.b, cars.proportional.relativeSd, 6);
    expect(error.a).toBe(0);
  });

  test("combined: agrees with the pseudo-likelihood in R", () => {
    const { fit, error, findings } = run("combined");
    const { estimates, residualSd } = requireConverged(fit);
    cars.combined.estimates.forEach((value, j) => {
      expectDigits(estimates[j]!, value, 6);
    });
    expectDigits(error.a, cars.combined.a, 6);
    expectDigits(error.b, cars.combined.b, 6);
    expectDigits(residualSd, 1, 6);
    expect(findings).toEqual([]);
  });

  test("additive: is the plain fit", () => {
    const { fit, error } = run("additive");
    const plain = requireConverged(fitNonlinear(observe(cars), model, { start: [0, 1] }));
    expectDigits(requireConverged(fit).estimates[1]!, plain.estimates[1]!, 12);
    expectDigits(error.a, plain.residualSd, 12);
    expect(error.b).toBe(0);
  });

  test("combined: finds the two parts it was simulated with", () => {
    const random = randomStream(11);
    const x = Array.from({ length: 400 }, (_, i) => [1 + (i % 40)]);
    const y = x.map(([v]) => 2 + 3 * v! + Math.hypot(2, 0.1 * (2 + 3 * v!)) * random.normal());
    const { error } = fitWithErrorModel({ x, y }, model, { start: [0, 1], error: "combined" });
    expect(Math.abs(error.a / 2 - 1)).toBeLessThan(0.25);
    expect(Math.abs(error.b / 0.1 - 1)).toBeLessThan(0.12);
  });

  test("combined: says that few rows leave intervals too narrow, where the other kinds hold", () => {
    const x = Array.from({ length: 12 }, (_, i) => [i + 1]);
    const y = x.map(([v], i) => 2 * v! + 0.5 * Math.sin(9 * i));
    const codes = (error: "additive" | "proportional" | "combined") =>
      fitWithErrorModel({ x, y }, model, { start: [0, 1], error }).findings.map(({ code }) => code);
    expect(codes("combined")).toContain("error-model-few-rows");
    expect([...codes("additive"), ...codes("proportional")]).not.toContain("error-model-few-rows");
  });
});

test("combined: intervals of nine rows hold about their level, which those of the fit alone do not", () => {
  const model = formulaModel("a * x^b", { variables: ["x"] });
  const random = randomStream(12);
  const truth = [1.5, 0.7];
  let [plain, over] = [0, 0];
  const studies = 240;
  for (let i = 0; i < studies; i++) {
    // Half of them without a proportional part, the hardest.
    const part = i % 2 === 0 ? 0 : 0.1;
    const x = Array.from({ length: 9 }, (_, k) => [1 + (7 * k) / 8]);
    const y = x.map(([v]) => {
      const mean = 1.5 * v! ** 0.7;
      return mean + Math.hypot(0.3, part * mean) * random.normal();
    });
    const { fit, intervals } = fitWithErrorModel({ x, y }, model, { start: truth, error: "combined" });
    const alone = tIntervals(requireConverged(fit));
    truth.forEach((value, j) => {
      if (alone[j]!.lower <= value && value <= alone[j]!.upper) plain += 0.5;
      if (intervals[j]!.lower <= value && value <= intervals[j]!.upper) over += 0.5;
    });
  }
  // Two binomial sd about 95 %.
  const slack = 2 * Math.sqrt((0.95 * 0.05) / studies);
  expect(plain / studies).toBeLessThan(0.95 - slack);
  expect(Math.abs(over / studies - 0.95)).toBeLessThan(slack);
});

describe("block offsets", () => {
  test("sum to zero and take a day's shift out of the estimates", () => {
    const clean = observe(reference.dnase);
    const labels = clean.y.map((_, i) => ["mon", "tue", "wed"][i % 3]!);
    const shift: Record<string, number> = { mon: 0.3, tue: -0.1, wed: -0.2 };
    const fitted = converge("dnase").fitted;
    const shifted = { x: clean.x, y: fitted.map((value, i) => value + shift[labels[i]!]!) };
    const { observations, model, blocks, columns } = withBlockOffsets(shifted, models.dnase, labels);
    const fit = requireConverged(fitNonlinear(observations, model, { start: [3, 0, 1, 0, 0] }));
    expect(blocks).toEqual(["mon", "tue", "wed"]);
    expect(model.parameters.slice(3)).toEqual(["block mon", "block tue"]);
    expectDigits(fit.estimates[3]!, 0.3, 7);
    expectDigits(fit.estimates[4]!, -0.1, 7);
    expectDigits(fit.estimates[0]!, converge("dnase").estimates[0]!, 7);
    const [wednesday] = predict({ fit, model, x: [[2, ...columns.wed!]] });
    const [average] = predict({ fit, model, x: [[2, 0, 0]] });
    expectDigits(wednesday!.mean - average!.mean, -0.2, 7);
  });
});

describe("leaving a row out by fitting again", () => {
  test("is what a fit without the row predicts", () => {
    const data = observe(reference.puromycin);
    const { predicted, method } = leaveOneOutRefit(converge("puromycin"), models.puromycin);
    expect(method).toBe("refit");
    const part = { x: data.x.slice(1), y: data.y.slice(1) };
    const fit = requireConverged(fitNonlinear(part, models.puromycin, { start: [200, 0.05] }));
    expectDigits(predicted[0]!, models.puromycin.predict(fit.estimates, data.x[0]!), 8);
  });
});
