import { describe, expect, test } from "vitest";
import { normalQuantile, randomStream, tCdf, tQuantile } from "../../../lib/numeric/index.js";
import { fitLogistic, fitOrdinal, type OrdinalFit, predictOrdinal } from "../../../lib/regression/index.js";
import { coverage, expectNominal } from "../../support/coverage.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { fc } from "../../support/properties.js";

interface Case {
  readonly x: number[][];
  readonly grade: string[];
  readonly grades: string[];
  readonly counts: number[];
  readonly polr: number[];
  readonly estimates: number[];
  readonly standardErrors: number[];
  readonly logLikelihood: number;
}
const reference = readFixture<Record<"simulated" | "grouped", Case>>(
  import.meta.url,
  "../fixtures/ordinal.json",
);
// The writer of the fixture turns a one-column matrix into a list.
const cases = (["simulated", "grouped"] as const).map((name) => {
  const entry = reference[name];
  return { name, ...entry, x: entry.x.map((row) => (Array.isArray(row) ? row : [row])) as number[][] };
});
const namesOf = (x: readonly (readonly number[])[]): string[] => x[0]!.map((_, j) => `b${j}`);

describe("against MASS::polr (fixtures/ordinal.R)", () => {
  test.each(cases)("$name: effects, thresholds, errors and likelihood", (entry) => {
    const fit = fitOrdinal(entry, { names: namesOf(entry.x), grades: entry.grades });
    expect(fit.status).toBe("converged");
    fit.estimates.forEach((value, j) => {
      expectDigits(value, entry.polr[j]!, 6.5, `estimate ${j} of polr`);
      expectDigits(value, entry.estimates[j]!, 8, `polished estimate ${j}`);
      expectDigits(fit.standardErrors[j]!, entry.standardErrors[j]!, 7, `standard error ${j}`);
    });
    expectDigits(fit.logLikelihood, entry.logLikelihood, 12);
  });
});

interface ProfileCase {
  readonly x: (number | number[])[];
  readonly grade: string[];
  readonly grades: string[];
  readonly row: number | number[];
  readonly sd: number;
  readonly estimates: number[];
  readonly parameters: number[][];
  readonly logits: number[][];
}
const profiles = readFixture<Record<"few" | "parted", ProfileCase>>(
  import.meta.url,
  "../fixtures/ordinal-profile.json",
);

describe("limits against profiles climbed in R (fixtures/ordinal-profile.R)", () => {
  const listOf = (row: number | number[]): number[] => [row].flat();

  test.each(["few", "parted"] as const)("%s: of effects, thresholds and chances", (name) => {
    const { sd, row, parameters, logits, ...entry } = profiles[name];
    const x = entry.x.map(listOf);
    const names = namesOf(x);
    const prior = { mean: names.map(() => 0), sd: names.map(() => sd) };
    // R's limits are those of the normal quantile 1.96: the level at which t with the coupons left over is the same.
    const df = x.length - (entry.grades.length - 1) - (sd === 0 ? names.length : 0);
    const level = 2 * tCdf(normalQuantile(0.975), df) - 1;
    const fit = fitOrdinal(
      { x, grade: entry.grade },
      { names, grades: entry.grades, level, ...(sd === 0 ? {} : { prior }) },
    );
    fit.intervals.forEach(({ lower, upper }, j) => {
      expectDigits(fit.estimates[j]!, entry.estimates[j]!, 5, `estimate ${j}`);
      expectDigits(lower, parameters[j]![0]!, 4, `lower limit ${j}`);
      expectDigits(upper, parameters[j]![1]!, 4, `upper limit ${j}`);
    });
    const logit = (chance: number): number => Math.log(chance / (1 - chance));
    predictOrdinal(fit, [listOf(row)], { level })[0]!.atLeast.forEach(({ lower, upper }, k) => {
      expectDigits(logit(lower), logits[k]![0]!, 4, `lower limit of chance ${k}`);
      expectDigits(logit(upper), logits[k]![1]!, 4, `upper limit of chance ${k}`);
    });
  });

  test("estimate +- t se, asked for, is symmetric in the log odds", () => {
    const { x, grade, grades } = profiles.few;
    const rows = x.map(listOf);
    const fit = fitOrdinal({ x: rows, grade }, { names: namesOf(rows), grades, intervals: "wald" });
    const reach = tQuantile(0.975, 8);
    fit.intervals.forEach(({ lower, upper, estimate }, j) => {
      expectDigits(upper - estimate, reach * fit.standardErrors[j]!, 9);
      expectDigits(estimate - lower, reach * fit.standardErrors[j]!, 9);
    });
  });
});

test("default limits of 16 graded coupons hold effects and chances", () => {
  const random = randomStream(29);
  const chanceOf = (logit: number): number => 1 / (1 + Math.exp(-logit));
  const cuts = [-0.8, 1];
  const grades = ["poor", "fair", "good"];
  const shares = coverage(1000, () => {
    for (;;) {
      const x = Array.from({ length: 16 }, (_, i) => [-1 + (2 * i) / 15, 2 * random.uniform() - 1]);
      const grade = x.map(([s, t]) => {
        const u = random.uniform();
        return grades[cuts.filter((cut) => u >= chanceOf(cut - 2 * s! + 0.5 * t!)).length]!;
      });
      if (new Set(grade).size < 3) continue;
      const fit = fitOrdinal({ x, grade }, { names: ["s", "t"], grades });
      if (fit.status !== "converged") continue;
      const holds = ({ lower, upper }: { lower: number; upper: number }, value: number): boolean =>
        lower <= value && value <= upper;
      const { atLeast } = predictOrdinal(fit, [[0.3, 0.1]])[0]!;
      return [
        holds(fit.intervals[0]!, 2),
        ...atLeast.map((one, k) => holds(one, chanceOf(2 * 0.3 - 0.5 * 0.1 - cuts[k]!))),
      ];
    }
  });
  shares.forEach((share, j) => {
    expectNominal(share, ["effect", "at least fair", "good"][j]!);
  });
});

describe("laws", () => {
  const [simulated] = cases;
  const names = namesOf(simulated!.x);
  const { x, grade, grades } = simulated!;
  const fit = fitOrdinal({ x, grade }, { names, grades });

  test("grades read backwards turn the effects and swap the thresholds", () => {
    const turned = fitOrdinal({ x, grade }, { names, grades: [...grades].reverse() });
    for (let j = 0; j < 3; j++) expectDigits(turned.estimates[j]!, -fit.estimates[j]!, 9);
    for (let k = 0; k < 3; k++) expectDigits(turned.estimates[3 + k]!, -fit.estimates[5 - k]!, 9);
    expectDigits(turned.logLikelihood, fit.logLikelihood, 13);
  });

  test("two grades are ordinary logistic regression", () => {
    const two = grade.map((word) => (word === "poor" ? "bad" : "good"));
    const ordinal = fitOrdinal({ x, grade: two }, { names, grades: ["bad", "good"] });
    const logistic = fitLogistic(
      { x: x.map((row) => [...row, -1]), passes: two.map((word) => (word === "good" ? 1 : 0)) },
      { names: [...names, "threshold"], penalty: "none" },
    );
    ordinal.estimates.forEach((value, j) => {
      expectDigits(value, logistic.estimates[j]!, 9);
      expectDigits(ordinal.standardErrors[j]!, logistic.standardErrors[j]!, 9);
    });
  });

  test("units, offsets and row order leave chances alone", () => {
    const order = x.map((_, i) => (i * 37) % x.length);
    const other = fitOrdinal(
      {
        x: order.map((i) => x[i]!.map((v, j) => 1000 * (j + 1) * v + 3e4)),
        grade: order.map((i) => grade[i]!),
      },
      { names, grades },
    );
    const expected = predictOrdinal(fit, x);
    predictOrdinal(
      other,
      x.map((row) => row.map((v, j) => 1000 * (j + 1) * v + 3e4)),
    ).forEach(({ chances }, i) => {
      chances.forEach((chance, k) => {
        expectDigits(chance, expected[i]!.chances[k]!, 7);
      });
    });
  });

  test("chances are positive, sum to 1, and lie in their intervals", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -3, max: 3, noNaN: true }), { minLength: 3, maxLength: 3 }),
        (row) => {
          const { chances, atLeast } = predictOrdinal(fit, [row])[0]!;
          expect(Math.min(...chances)).toBeGreaterThan(0);
          expectDigits(
            chances.reduce((a, b) => a + b, 0),
            1,
            12,
          );
          for (const { chance, lower, upper } of atLeast) {
            expect(lower).toBeLessThan(chance);
            expect(upper).toBeGreaterThan(chance);
          }
        },
      ),
      { numRuns: 50 },
    );
  });

  test("the likelihood is at its top: no step along a parameter gains", () => {
    const likelihood = (estimates: readonly number[]): number => {
      const chances = predictOrdinal({ ...fit, estimates }, x, { intervals: "wald" });
      return grade.reduce((sum, word, i) => sum + Math.log(chances[i]!.chances[grades.indexOf(word)]!), 0);
    };
    expectDigits(likelihood(fit.estimates), fit.logLikelihood, 12);
    fit.estimates.forEach((value, j) => {
      const at = (d: number): number =>
        likelihood(fit.estimates.map((old, k) => (k === j ? value + d : old)));
      expect(Math.abs((at(1e-5) - at(-1e-5)) / 2e-5)).toBeLessThan(1e-7);
      const curvature = (at(1e-3) + at(-1e-3) - 2 * likelihood(fit.estimates)) / 1e-6;
      expect(-1 / curvature).toBeLessThanOrEqual(fit.covariance[j]![j]! * 1.001);
    });
  });

  test("a fit survives JSON", () => {
    const copy = JSON.parse(JSON.stringify(fit)) as OrdinalFit;
    expect(predictOrdinal(copy, x)).toEqual(predictOrdinal(fit, x));
  });
});

describe("trouble", () => {
  const x = [[1], [2], [3], [4], [5], [6]];
  const grade = ["a", "a", "b", "b", "c", "c"];
  const options = { names: ["v"], grades: ["a", "b", "c"] };

  test("separated grades have no maximum; a weak prior gives a finite answer", () => {
    const plain = fitOrdinal({ x, grade }, options);
    expect(plain.status).not.toBe("converged");
    expect(plain.findings.map((finding) => finding.code)).toEqual(["separation"]);
    const weak = fitOrdinal({ x, grade }, { ...options, prior: { mean: [0], sd: [2] } });
    expect(weak.status).toBe("converged");
    expect(weak.estimates[0]).toBeGreaterThan(0);
    expect(weak.intervals[0]!.upper - weak.intervals[0]!.lower).toBeGreaterThan(2);
  });

  test("a grade that never occurred is left out with a finding", () => {
    const fit = fitOrdinal(
      { x, grade: ["a", "b", "a", "b", "a", "b"] },
      { names: ["v"], grades: ["a", "b", "c"] },
    );
    expect(fit.grades).toEqual(["a", "b"]);
    expect(fit.findings.map((finding) => finding.code)).toEqual(["unused-grade"]);
  });

  test("bad input is refused", () => {
    expect(() => fitOrdinal({ x, grade: ["a", "b", "c", "d", "a", "a"] }, options)).toThrow(
      "grade of row 4 must be one of a, b, c, got d",
    );
    expect(() => fitOrdinal({ x: x.map(() => [1]), grade }, options)).toThrow("v never moves");
    expect(() => fitOrdinal({ x, grade: x.map(() => "a") }, options)).toThrow("two different grades");
  });
});

test("fitOrdinal refuses grades named twice, no names, and rows without a grade or a count", () => {
  const data = { x: [[0], [1], [2]], grade: ["poor", "fair", "good"] };
  const grades = ["poor", "fair", "good"];
  expect(() => fitOrdinal(data, { names: ["a"], grades: [...grades, "fair"] })).toThrow(/distinct grades/);
  expect(() => fitOrdinal({ ...data, x: [[], [], []] }, { names: [], grades })).toThrow(/needs names/);
  expect(() => fitOrdinal({ ...data, grade: ["poor"] }, { names: ["a"], grades })).toThrow(
    /3 rows of x need as many grades \(1\)/,
  );
  expect(() => fitOrdinal({ ...data, counts: [1, 1] }, { names: ["a"], grades })).toThrow(/and counts/);
  expect(() => fitOrdinal({ ...data, grade: ["poor", "fair", "fine"] }, { names: ["a"], grades })).toThrow(
    /grade of row 3 must be one of poor, fair, good, got fine/,
  );
});
