import { describe, expect, test } from "vitest";
import { normalCdf, randomStream } from "../../../lib/numeric/index.js";
import {
  type BootstrapKind,
  bootstrap,
  fitLinear,
  fitNonlinear,
  formulaModel,
  leaveOneOut,
  linearModel,
  predict,
  profileIntervals,
  requireConverged,
  tIntervals,
  toleranceInterval,
} from "../../../lib/regression/index.js";
import { coverage, expectNominal } from "../../support/coverage.js";

/** Nominal 95 % intervals in 1000 simulated refits per kind, seeded. Longer runs: `npm run bench -- coverage`. */
const repeats = 1000;
const patience = 60_000;

const holds = ({ lower, upper }: { lower: number; upper: number }, truth: number): boolean =>
  lower <= truth && truth <= upper;

test(
  "nonlinear fit, 12 rows, growth a (1 - exp(-k t)): t, profile, confidence and prediction intervals",
  () => {
    const model = formulaModel("a * (1 - exp(-k * t))", { variables: ["t"] });
    const truth = [20, 0.5];
    const x = [0.5, 1, 1, 2, 2, 3, 3, 4, 5, 5, 7, 7].map((t) => [t]);
    const there = model.predict(truth, [2.5]);
    const random = randomStream(41);
    const shares = coverage(repeats, () => {
      const y = x.map((row) => model.predict(truth, row) + 0.8 * random.normal());
      const fit = requireConverged(fitNonlinear({ x, y }, model, { start: truth }));
      const [, rate] = tIntervals(fit);
      const [profile] = profileIntervals(fit, model, { parameters: ["k"] });
      const [at] = predict({ fit, model, x: [[2.5]] });
      const next = there + 0.8 * random.normal();
      return [
        holds(rate!, 0.5),
        holds(profile!, 0.5),
        holds(at!.confidence, there),
        holds(at!.prediction, next),
      ];
    });
    const kinds = ["t interval", "profile interval", "confidence interval", "prediction interval"];
    shares.forEach((share, j) => {
      expectNominal(share, kinds[j]!);
    });
  },
  patience,
);

describe("straight line", () => {
  const names = ["a", "b"];
  const model = linearModel(names);
  const rows = Array.from({ length: 40 }, (_, i) => [1, (i + 0.5) / 40]);

  test("t interval, weighted, 8 rows", () => {
    const random = randomStream(42);
    const x = rows.filter((_, i) => i % 5 === 0);
    const sds = x.map((_, i) => 0.2 + 0.1 * i);
    const weights = sds.map((sd) => 3 / sd ** 2);
    const [share] = coverage(repeats, () => {
      const y = x.map((row, i) => 2 + 3 * row[1]! + sds[i]! * random.normal());
      return [holds(tIntervals(fitLinear({ x, y, weights }, { names }))[1]!, 3)];
    });
    expectNominal(share!, "weighted t interval");
  });

  test("tolerance interval: the share held exceeds 90 % in 95 % of cases", () => {
    const random = randomStream(43);
    const x = rows.filter((_, i) => i % 4 === 0);
    const [share] = coverage(repeats, () => {
      const y = x.map((row) => 2 + 3 * row[1]! + random.normal());
      const fit = fitLinear({ x, y }, { names });
      const [at] = predict({ fit, model, x: [[1, 0.3]] });
      const { lower, upper } = toleranceInterval(at!, fit, { share: 0.9, confidence: 0.95 });
      return [normalCdf(upper - 2.9) - normalCdf(lower - 2.9) >= 0.9];
    });
    expectNominal(share!, "tolerance interval");
  });

  test.each<BootstrapKind>(["residual", "case", "wild"])(
    "%s bootstrap of five means, 40 rows, 400 resamples",
    (kind) => {
      const random = randomStream(51);
      const means = [0.1, 0.3, 0.5, 0.7, 0.9].map((at) => ({
        name: `mean at ${at}`,
        truth: 2 + 3 * at,
        value: (theta: readonly number[]) => theta[0]! + theta[1]! * at,
      }));
      const shares = coverage(repeats, (run) => {
        const x = kind === "case" ? rows.map(() => [1, random.uniform()]) : rows;
        const sd = (row: readonly number[]): number => (kind === "wild" ? 0.2 + 0.4 * row[1]! : 0.5);
        const y = x.map((row) => 2 + 3 * row[1]! + sd(row) * random.normal());
        const fit = fitLinear({ x, y }, { names });
        const { intervals } = bootstrap(fit, model, { kind, seed: 1000 + run, resamples: 400, of: means });
        return intervals.map((interval, j) => holds(interval, means[j]!.truth));
      });
      expectNominal(shares.reduce((sum, share) => sum + share, 0) / shares.length, `${kind} bootstrap`);
    },
    patience,
  );

  test("leave-one-out error estimates the error on new rows", () => {
    const random = randomStream(45);
    const x = rows.filter((_, i) => i % 4 === 0);
    let foreseen = 0;
    let met = 0;
    for (let k = 0; k < repeats; k++) {
      const draw = (): number[] => x.map((row) => 2 + 3 * row[1]! + random.normal());
      const fit = fitLinear({ x, y: draw() }, { names });
      foreseen += leaveOneOut(fit).press / x.length;
      met += draw().reduce((sum, value, i) => sum + (value - fit.fitted[i]!) ** 2, 0) / x.length;
    }
    expect(Math.abs(foreseen / met - 1)).toBeLessThan(0.08);
  });
});
