import { describe, expect, test } from "vitest";
import { randomStream } from "../../../lib/numeric/index.js";
import {
  fitLinear,
  fitNonlinear,
  fitRobust,
  linearModel,
  type Model,
  type Observations,
  type RobustFit,
  type RobustOptions,
} from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";

interface Part {
  readonly estimates: number[];
  readonly standardErrors: number[];
  readonly scale: number;
  readonly weights: number[];
}
interface Case {
  readonly x: number[][];
  readonly y: number[];
  readonly inverseVariances: number[];
  readonly huber: Part;
  readonly bisquare: Part;
}
type Name = "contaminated" | "line" | "weighted";
const reference = readFixture<Record<Name, Case>>(import.meta.url, "../fixtures/robust.json");

function robustLine(data: Observations, options: RobustOptions): RobustFit {
  const names = data.x[0]!.map((_, j) => `b${j}`);
  return fitRobust({
    observations: data,
    model: linearModel(names),
    leastSquares: (rows) => fitLinear(rows, { names }),
    ...options,
  });
}

describe("against MASS::rlm (fixtures/robust.R)", () => {
  const cases = (["contaminated", "line", "weighted"] as const).flatMap((name) =>
    (["huber", "bisquare"] as const).map((kind) => [name, kind] as const),
  );
  test.each(cases)("%s, %s: estimates, scale, errors and weights", (name, kind) => {
    const { x, y, inverseVariances } = reference[name];
    const expected = reference[name][kind];
    const fit = robustLine({ x, y, weights: inverseVariances }, { kind });
    expect(fit.status).toBe("converged");
    expected.estimates.forEach((value, j) => {
      expectDigits(fit.estimates[j]!, value, 8, `estimate ${j}`);
      expectDigits(fit.standardErrors[j]!, expected.standardErrors[j]!, 8, `standard error ${j}`);
    });
    expectDigits(fit.scale, expected.scale, 8, "scale");
    expected.weights.forEach((value, i) => {
      if (value === 0) expect(fit.weights[i]).toBe(0);
      else expectDigits(fit.weights[i]!, value, 7, `weight ${i}`);
    });
  });
});

describe("outliers", () => {
  test("the rows that were spoilt are listed, worst first, and said in a finding", () => {
    const { x, y } = reference.contaminated;
    const fit = robustLine({ x, y }, {});
    expect(fit.outliers.map((outlier) => outlier.row)).toEqual([24, 3, 10]);
    expect(fit.outliers.map((outlier) => outlier.weight)).toEqual([0, 0, 0]);
    expect(fit.findings[0]!.code).toBe("outliers");
    expect(fit.findings[0]!.message).toContain("3 of 30 rows disagree with the rest: row 25 (");
  });

  test("are listed by weight, then by how far they lie", () => {
    const { x, y } = reference.contaminated;
    for (const kind of ["huber", "bisquare"] as const) {
      const { outliers } = robustLine({ x, y: y.map((v, i) => (i % 7 === 2 ? v + i - 20 : v)) }, { kind });
      const sorted = [...outliers].sort((a, b) =>
        a.weight === b.weight ? Math.abs(b.scaled) - Math.abs(a.scaled) : a.weight - b.weight,
      );
      expect(outliers.map(({ row }) => row)).toEqual(sorted.map(({ row }) => row));
      if (kind === "huber") expect(new Set(outliers.map(({ weight }) => weight)).size).toBeGreaterThan(1);
    }
  });

  test("with the bisquare a spoilt row does not matter, however far it is", () => {
    const { x, y } = reference.line;
    const fit = robustLine({ x, y }, {});
    const further = robustLine({ x, y: y.map((value, i) => (i === 8 ? 1e6 : value)) }, {});
    further.estimates.forEach((value, j) => {
      expectDigits(value, fit.estimates[j]!, 9);
    });
  });

  test("up to a quarter of the rows is a warning, more an error: which rows are right is then open", () => {
    const stream = randomStream(12);
    const x = Array.from({ length: 20 }, (_, i) => [1, i]);
    const clean = x.map(([, v]) => 3 + 2 * v! + 0.1 * stream.normal());
    const severity = (spoilt: number): string => {
      const y = clean.map((value, i) => (i % 3 === 1 && i < 3 * spoilt ? value + 20 * (-1) ** i : value));
      const fit = robustLine({ x, y }, {});
      expect(fit.outliers).toHaveLength(spoilt);
      return fit.findings.find(({ code }) => code === "outliers")!.severity;
    };
    expect([1, 4, 5].map(severity)).toEqual(["warning", "warning", "warning"]);
    expect(severity(6)).toBe("error");
  });

  test("rows that agree exactly have a scale of 0 and keep their fit", () => {
    const x = [1, 2, 3, 4, 5, 6, 7].map((v) => [1, v]);
    const y = x.map(([, v], i) => (i === 2 ? 40 : 3 + 2 * v!));
    const fit = robustLine({ x, y }, { kind: "bisquare" });
    expectDigits(fit.estimates[1]!, 2, 9);
    expect(fit.findings.map((finding) => finding.code)).toContain("zero-scale");
    expect([fit.status, fit.scale]).toEqual(["converged", 0]);
  });
});

describe("laws", () => {
  test("units of y, shifts and row order", () => {
    const { x, y } = reference.contaminated;
    const fit = robustLine({ x, y }, {});
    const order = randomStream(4).shuffle(y.map((_, i) => i));
    const other = robustLine({ x: order.map((i) => x[i]!), y: order.map((i) => -25.4 * y[i]! + 7) }, {});
    expectDigits(other.estimates[1]!, -25.4 * fit.estimates[1]!, 9);
    expectDigits(other.estimates[0]!, -25.4 * fit.estimates[0]! + 7, 9);
    expectDigits(other.scale, 25.4 * fit.scale, 9);
    const tiny = robustLine({ x, y: y.map((value) => 1e-9 * value) }, {});
    expectDigits(tiny.scale, 1e-9 * fit.scale, 9);
    expect(tiny.outliers.map(({ row }) => row)).toEqual(fit.outliers.map(({ row }) => row));
  });

  test("a curved model goes the same way: the clean rows' answer, the spoilt row listed", () => {
    const decay: Model = {
      parameters: ["start", "rate"],
      predict: ([start, rate], [t]) => start! * Math.exp(-rate! * t!),
    };
    const stream = randomStream(9);
    const x = Array.from({ length: 20 }, (_, i) => [i / 4]);
    const clean = x.map(([t]) => 5 * Math.exp(-0.6 * t!) + 0.05 * stream.normal());
    const y = clean.map((value, i) => (i === 6 ? value + 3 : value));
    const least = (rows: Observations) => fitNonlinear(rows, decay, { start: [4, 0.5] });
    const fit = fitRobust({ observations: { x, y }, model: decay, leastSquares: least });
    expect(fit.outliers.map((outlier) => outlier.row)).toEqual([6]);
    const without = least({ x: x.filter((_, i) => i !== 6), y: y.filter((_, i) => i !== 6) });
    fit.estimates.forEach((value, j) => {
      expect(Math.abs(value - without.estimates[j]!)).toBeLessThan(fit.standardErrors[j]!);
    });
  });

  test("intervals reach Student's t times the standard error to both sides", () => {
    // SciPy's t.ppf(0.975, 27) and t.ppf(0.95, 27); 30 rows, 3 parameters.
    const { x, y } = reference.contaminated;
    expect([x.length, x[0]!.length]).toEqual([30, 3]);
    for (const [level, t] of [
      [0.95, 2.0518305164802837],
      [0.9, 1.7032884457221265],
    ] as const) {
      const fit = robustLine({ x, y }, { level });
      fit.intervals.forEach((interval, j) => {
        expect(interval).toMatchObject({ name: `b${j}`, estimate: fit.estimates[j]!, level });
        expectDigits(interval.upper - fit.estimates[j]!, t * fit.standardErrors[j]!, 9);
        expectDigits(fit.estimates[j]! - interval.lower, t * fit.standardErrors[j]!, 9);
      });
    }
  });

  test("rows without weights are rows of weight 1, errors too", () => {
    const { x, y } = reference.contaminated;
    const bare = robustLine({ x, y }, {});
    const weighted = robustLine({ x, y, weights: y.map(() => 1) }, {});
    expect(bare.standardErrors).toEqual(weighted.standardErrors);
  });

  test("any tuning above 0 solves Huber's equation: residuals clipped at tuning times scale sum to 0", () => {
    // Location: sum psi(r / s) = 0 with s = median |r| / 0.6745, the four digits of MASS::rlm (Huber 1981, 6.7).
    const y = [4.1, 3.2, 9.7, 5.5, 2.8, 4.4, 6.3, 4.9, 12.1];
    for (const tuning of [0.4, 1.345, 3]) {
      const { estimates, scale } = robustLine({ x: y.map(() => [1]), y }, { kind: "huber", tuning });
      const residuals = y.map((value) => value - estimates[0]!);
      const sizes = residuals.map(Math.abs).sort((a, b) => a - b);
      expectDigits(scale, sizes[4]! / 0.6745, 6);
      const sum = residuals.reduce((total, r) => total + Math.min(tuning, Math.max(-tuning, r / scale)), 0);
      expect(Math.abs(sum)).toBeLessThan(1e-5);
    }
    expect(() => robustLine({ x: y.map(() => [1]), y }, { tuning: 0 })).toThrow("tuning");
  });

  test("no row to spare is refused, for then every row is met exactly", () => {
    expect(() => robustLine({ x: [[1]], y: [2] }, {})).toThrow(
      "fitRobust needs more rows than parameters (1), got 1",
    );
  });

  test("a fit survives JSON", () => {
    const { x, y } = reference.line;
    const fit = robustLine({ x, y }, {});
    expect(JSON.parse(JSON.stringify(fit))).toEqual(fit);
  });
});
