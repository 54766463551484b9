import { describe, expect, test } from "vitest";
import { normalCdf, randomStream } from "../../../lib/numeric/index.js";
import {
  conditionNumber,
  diagnoseRows,
  distanceOutsideHull,
  fitLinear,
  fitNonlinear,
  formulaModel,
  lackOfFit,
  linearModel,
  normalityPlot,
  parameterSlopes,
  requireConverged,
  runOrderDrift,
  unusualRows,
  varianceInflation,
  weakDirections,
} from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { fc } from "../../support/properties.js";

interface Stackloss {
  readonly x: number[][];
  readonly y: number[];
  readonly names: string[];
  readonly leverage: number[];
  readonly studentised: number[];
  readonly external: number[];
  readonly cook: number[];
  readonly vif: number[];
  readonly conditionNumber: number;
  readonly drift: { readonly slope: number; readonly t: number; readonly p: number };
}
/** Figures by R's lm, rstandard, rstudent, cooks.distance (fixtures/least-squares.R). */
const { stackloss } = readFixture<{ stackloss: Stackloss }>(
  import.meta.url,
  "../fixtures/least-squares.json",
);
const { x, y, names } = stackloss;
const fit = fitLinear({ x, y }, { names });

describe("diagnoseRows", () => {
  test("agrees with R", () => {
    diagnoseRows(fit).forEach((row, i) => {
      expectDigits(row.leverage, stackloss.leverage[i]!, 12);
      expectDigits(row.studentised, stackloss.studentised[i]!, 11);
      expectDigits(row.external, stackloss.external[i]!, 11);
      expectDigits(row.cook, stackloss.cook[i]!, 11);
    });
  });

  test("the external residual is what leaving the row out shows", () => {
    const keep = y.map((_, i) => i).filter((i) => i !== 20);
    const without = fitLinear({ x: keep.map((i) => x[i]!), y: keep.map((i) => y[i]!) }, { names });
    const predicted = x[20]!.reduce((sum, value, j) => sum + value * without.estimates[j]!, 0);
    const variance = without.residualSd ** 2 / (1 - fit.leverage[20]!);
    expectDigits(diagnoseRows(fit)[20]!.external, (y[20]! - predicted) / Math.sqrt(variance), 10);
  });

  test("external residuals of good rows follow t(df - 1)", () => {
    const random = randomStream(5);
    let beyond = 0;
    for (let k = 0; k < 1000; k++) {
      const simulated = fitLinear({ x, y: x.map(() => random.normal()) }, { names });
      const [row] = diagnoseRows(simulated);
      /** t(0.975, 16) by R's qt. */
      if (Math.abs(row!.external) > 2.119905299221255) beyond++;
    }
    expect(Math.abs(beyond / 1000 - 0.05)).toBeLessThan(0.02);
  });

  test("finds a planted slip and a row that decides the fit", () => {
    const slip = fitLinear({ x, y: y.map((v, i) => (i === 6 ? v + 25 : v)) }, { names });
    const found = unusualRows(
      slip,
      y.map((_, i) => `coupon ${i + 1}`),
    );
    expect(found.filter(({ code }) => code === "outlier").map(({ about }) => about![0])).toEqual([
      "coupon 7",
    ]);
    const far = fitLinear(
      {
        x: [
          [1, 0],
          [1, 1],
          [1, 2],
          [1, 3],
          [1, 40],
        ],
        y: [0, 1, 2, 3, 10],
      },
      { names: ["a", "b"] },
    );
    expect(unusualRows(far).map(({ code, about }) => `${code} ${about![0]}`)).toContain(
      "influential-row row 5",
    );
  });
});

describe("lackOfFit", () => {
  /**
   * NIST/SEMATECH e-Handbook 4.6.1, load cell calibration, two runs of 20 loads (LOAD_CELL_CAL.DAT); the printed F
   * and p were read, and recomputed with R 4.2.2: line 214.746923654137, quadratic 0.810723900313337.
   */
  const runs = [
    [
      0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146, 1.20001,
      1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
    ],
    [
      0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474, 0.983, 1.0915, 1.20004, 1.30818,
      1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
    ],
  ];
  const loads = runs.flatMap((run) => run.map((_, i) => 150000 * (i + 1)));
  const deflection = runs.flat();

  test("load cell: the line misses", () => {
    const line = fitLinear({ x: loads.map((l) => [1, l]), y: deflection }, { names: ["one", "load"] });
    expectDigits(line.estimates[0]!, 0.00614969, 5);
    expectDigits(line.estimates[1]!, 7.22103e-7, 6);
    const result = lackOfFit(line);
    expectDigits(result.f, 214.7464, 5.5);
    expectDigits(result.f, 214.746923654137, 9);
    expectDigits(result.pureError.ss, 9.22149999999101e-7, 9);
    expect([result.lackOfFit.df, result.pureError.df]).toEqual([18, 20]);
    expect(result.findings[0]!.code).toBe("lack-of-fit");
  });

  test("load cell: the quadratic fits", () => {
    const names2 = ["one", "load", "load2"];
    const curve = fitLinear({ x: loads.map((l) => [1, l, l * l]), y: deflection }, { names: names2 });
    const result = lackOfFit(curve);
    expectDigits(result.f, 0.810723900313337, 8);
    expectDigits(result.p, 0.666172944804942, 8);
    expect(result.findings).toEqual([]);
  });

  test("takes labels instead of exact repeats, and needs repeats", () => {
    const line = fitLinear(
      {
        x: [
          [1, 1],
          [1, 1.01],
          [1, 2],
          [1, 3],
        ],
        y: [1, 2, 3, 5],
      },
      { names: ["a", "b"] },
    );
    expect(() => lackOfFit(line)).toThrow(/repeated settings/);
    expect(lackOfFit(line, { groups: ["p", "p", "q", "r"] }).pureError.ss).toBe(0.5);
  });

  test("pure error follows the weights", () => {
    const doubled = fitLinear(
      { x: [[1], [1], [1], [2], [2], [3], [4]], y: [1, 1, 4, 3, 2, 6, 5] },
      { names: ["b"] },
    );
    const weighted = fitLinear(
      { x: [[1], [1], [2], [2], [3], [4]], y: [1, 4, 3, 2, 6, 5], weights: [2, 1, 1, 1, 1, 1] },
      { names: ["b"] },
    );
    expectDigits(lackOfFit(weighted).pureError.ss, lackOfFit(doubled).pureError.ss, 12);
  });
});

describe("runOrderDrift", () => {
  test("agrees with R's lm that has the order as one more term", () => {
    const order = y.map((_, i) => i + 1);
    const drift = runOrderDrift(fit, linearModel(names), order);
    expectDigits(drift.slope, stackloss.drift.slope, 11);
    expectDigits(drift.t, stackloss.drift.t, 11);
    expectDigits(drift.p, stackloss.drift.p, 9);
    expect(drift.findings.map(({ code }) => code)).toContain("run-order-drift");
  });

  test("its chances are uniform without drift and small with it", () => {
    const random = randomStream(8);
    const p: number[] = [];
    let serial = 0;
    for (let k = 0; k < 400; k++) {
      const quiet = fitLinear({ x, y: x.map(() => random.normal()) }, { names });
      const test0 = runOrderDrift(quiet, linearModel(names), random.shuffle(y.map((_, i) => i)));
      p.push(test0.p);
      if (test0.serialP < 0.05) serial++;
    }
    p.sort((a, b) => a - b);
    /** Kolmogorov-Smirnov limit at 0.1 %: 1.95 / sqrt(n). */
    const distance = Math.max(...p.map((value, i) => Math.abs(value - (i + 0.5) / p.length)));
    expect(distance).toBeLessThan(1.95 / Math.sqrt(p.length));
    expect(serial / 400).toBeLessThan(0.1);
    const order = random.shuffle(y.map((_, i) => i));
    const drifting = fitLinear({ x, y: order.map((place) => 0.5 * place + random.normal()) }, { names });
    expect(runOrderDrift(drifting, linearModel(names), order).p).toBeLessThan(1e-4);
  });

  test("sees likeness of neighbours", () => {
    const random = randomStream(9);
    let state = 0;
    const wander = y.map(() => {
      state = 0.9 * state + random.normal();
      return state;
    });
    const result = runOrderDrift(
      fitLinear({ x: y.map(() => [1]), y: wander }, { names: ["m"] }),
      linearModel(["m"]),
      y.map((_, i) => i),
    );
    expect(result.serialCorrelation).toBeGreaterThan(0.3);
    expect(result.findings.map(({ code }) => code)).toContain("serial-correlation");
  });
});

describe("normalityPlot", () => {
  test("its chances are uniform for normal errors and small for skew ones", () => {
    const random = randomStream(6);
    const p: number[] = [];
    let caught = 0;
    for (let k = 0; k < 400; k++) {
      const rows = Array.from({ length: 40 }, (_, i) => [1, i]);
      const plain = fitLinear({ x: rows, y: rows.map(() => random.normal()) }, { names: ["a", "b"] });
      const skew = fitLinear(
        { x: rows, y: rows.map(() => -Math.log(1 - random.uniform())) },
        { names: ["a", "b"] },
      );
      p.push(normalityPlot(plain).p);
      if (normalityPlot(skew).p < 0.05) caught++;
    }
    p.sort((a, b) => a - b);
    const distance = Math.max(...p.map((value, i) => Math.abs(value - (i + 0.5) / p.length)));
    expect(distance).toBeLessThan(1.95 / Math.sqrt(p.length));
    expect(caught / 400).toBeGreaterThan(0.9);
  });

  test("holds every row once, in order, against symmetric quantiles", () => {
    const { points, straightness } = normalityPlot(fit);
    expect(points.map(({ row }) => row).sort((a, b) => a - b)).toEqual(y.map((_, i) => i));
    expect(points.map(({ residual }) => residual)).toEqual(
      [...points.map(({ residual }) => residual)].sort((a, b) => a - b),
    );
    expectDigits(normalCdf(points[0]!.quantile), (1 - 0.375) / 21.25, 10);
    expect(straightness).toBeLessThanOrEqual(1);
  });
});

describe("collinearity", () => {
  test("variance inflation and condition number agree with R", () => {
    varianceInflation(x)
      .slice(1)
      .forEach((value, j) => {
        expectDigits(value, stackloss.vif[j]!, 11);
      });
    expectDigits(conditionNumber(x), stackloss.conditionNumber, 11);
  });

  test("are 1 for orthogonal columns and boundless for dependent ones", () => {
    const square = [
      [1, -1, -1],
      [1, 1, -1],
      [1, -1, 1],
      [1, 1, 1],
    ];
    expect(varianceInflation(square)).toEqual([1, 1, 1]);
    expectDigits(conditionNumber(square), 1, 14);
    expect(conditionNumber(square.map((row) => [...row, row[1]! + row[2]!]))).toBe(Number.MAX_VALUE);
  });

  test("weakDirections names what cannot be told apart", () => {
    const rows = [0, 1, 2, 3, 4, 5].map((v) => [1, v, 2 * v + 1e-4 * v * v, Math.sin(v)]);
    const [worst] = weakDirections(rows, ["one", "current", "speed", "other"]);
    expect(worst!.sentence).toMatch(/^current and speed can hardly be told apart/);
    expect(worst!.conditionIndex).toBeGreaterThan(1000);
    expect(
      weakDirections(
        [
          [1, -1],
          [1, 1],
          [1, -1],
          [1, 1],
        ],
        ["a", "b"],
      ),
    ).toEqual([]);
  });

  test("weakDirections reads a nonlinear fit through its derivatives", () => {
    const model = formulaModel("a * exp(-b * t) + c * exp(-d * t)", { variables: ["t"] });
    const times = Array.from({ length: 20 }, (_, i) => [i / 5]);
    const random = randomStream(2);
    const values = times.map((row) => model.predict([1, 1, 1, 1.3], row) + 1e-4 * random.normal());
    const close = requireConverged(fitNonlinear({ x: times, y: values }, model, { start: [1, 1, 1, 1.4] }));
    const directions = weakDirections(parameterSlopes(model, close.estimates, times), model.parameters);
    expect(directions.length).toBeGreaterThan(0);
  });
});

describe("distanceOutsideHull", () => {
  test("triangle: inside, edge and outside", () => {
    const corners = [
      [0, 0],
      [1, 0],
      [0, 1],
    ];
    const [inside, edge, beyond, left] = distanceOutsideHull(corners, [
      [0.2, 0.2],
      [0.5, 0.5],
      [1, 1],
      [-0.25, 0.5],
    ]);
    expect([inside, edge]).toEqual([0, 0]);
    expectDigits(beyond!, Math.SQRT1_2, 11);
    expectDigits(left!, 0.25, 11);
  });

  test("mixtures of measured rows are inside, in any units", () => {
    const share = fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 8, maxLength: 8 });
    const random = randomStream(4);
    const rows = Array.from({ length: 8 }, () => [
      100 * random.uniform(),
      1e-3 * random.uniform(),
      5 + random.uniform(),
    ]);
    fc.assert(
      fc.property(share, (shares) => {
        const total = shares.reduce((sum, s) => sum + s, 0);
        fc.pre(total > 0.01);
        const mixture = [0, 1, 2].map((j) =>
          rows.reduce((sum, row, i) => sum + (shares[i]! / total) * row[j]!, 0),
        );
        expect(distanceOutsideHull(rows, [mixture])).toEqual([0]);
      }),
    );
  });

  test("finds the untried corner of a factor range that is covered factor by factor", () => {
    const diagonal = [
      [0, 0],
      [1, 1],
      [2, 2],
      [3, 3],
    ];
    expectDigits(distanceOutsideHull(diagonal, [[0, 3]])[0]!, Math.SQRT1_2, 11);
  });
});
