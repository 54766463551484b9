import { describe, expect, test } from "vitest";
import { refusalOf } from "../../../lib/errors/index.js";
import {
  betaCdf,
  betaQuantile,
  chiSquareCdf,
  chiSquareQuantile,
  fCdf,
  fQuantile,
  logGamma,
  noncentralFCdf,
  noncentralFQuantile,
  noncentralTCdf,
  noncentralTQuantile,
  normalCdf,
  normalQuantile,
  quantile,
  tCdf,
  tQuantile,
} from "../../../lib/numeric/index.js";
import { correctDigits, expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";

type Rows = readonly (readonly number[])[];
const reference = readFixture<Record<string, Rows>>(import.meta.url, "fixtures/distributions.json");
const rowsOf = (name: string): Rows => reference[name]!;
const cases: readonly [name: string, f: (...x: number[]) => number, rows: Rows, digits: number][] = [
  ["tQuantile", tQuantile, rowsOf("tQuantile"), 11],
  ["tCdf", tCdf, rowsOf("tCdf"), 11],
  ["fQuantile", fQuantile, rowsOf("fQuantile"), 10],
  ["fCdf", fCdf, rowsOf("fCdf"), 11],
  ["chiSquareQuantile", chiSquareQuantile, rowsOf("chiSquareQuantile"), 11],
  ["chiSquareCdf", chiSquareCdf, rowsOf("chiSquareCdf"), 11],
  ["betaQuantile", betaQuantile, rowsOf("betaQuantile"), 11],
  ["betaCdf", betaCdf, rowsOf("betaCdf"), 11],
  ["normalQuantile", normalQuantile, rowsOf("normalQuantile"), 11],
  ["normalCdf", normalCdf, rowsOf("normalCdf"), 11],
  ["logGamma", logGamma, rowsOf("logGamma"), 11],
  ["noncentralTCdf", noncentralTCdf, rowsOf("noncentralTCdf"), 10],
  ["noncentralTQuantile", noncentralTQuantile, rowsOf("noncentralTQuantile"), 9],
  [
    "noncentralFCdf",
    (x, df1, df2, noncentrality) =>
      noncentralFCdf({ x: x!, df1: df1!, df2: df2!, noncentrality: noncentrality! }),
    rowsOf("noncentralFCdf"),
    11,
  ],
  // The rounding of x alone moves a beta of shapes 1e10 by 1e-11.
  ["betaCdf", betaCdf, rowsOf("largeBetaCdf"), 10],
  ["betaQuantile", betaQuantile, rowsOf("largeBetaQuantile"), 11],
  ["fCdf", fCdf, rowsOf("largeFCdf"), 10],
  ["chiSquareCdf", chiSquareCdf, rowsOf("largeChiSquareCdf"), 11],
  ["chiSquareQuantile", chiSquareQuantile, rowsOf("largeChiSquareQuantile"), 11],
  ["tQuantile", tQuantile, rowsOf("largeTQuantile"), 11],
];

describe("against R", () => {
  test.each(cases)("%s agrees", (name, f, rows, digits) => {
    for (const row of rows)
      expectDigits(f(...row.slice(0, -1)), row.at(-1)!, digits, `${name}(${row.slice(0, -1)})`);
  });

  // R's series for the noncentral t keeps an absolute accuracy of about 1e-12 (AS 243).
  test("noncentralTCdf agrees with pt(ncp) to 9 digits, or to 1e-11 where the probability is tiny", () => {
    for (const [t, df, ncp, p] of rowsOf("noncentralTCdfOfR")) {
      const error = Math.abs(noncentralTCdf(t!, df!, ncp!) - p!);
      expect(error, `t ${t}, df ${df}, ncp ${ncp}`).toBeLessThan(Math.max(1e-9 * p!, 1e-11));
    }
  });

  // R sums its series to an absolute error of 1e-9 (AS 226, AS R84).
  test("noncentralFCdf agrees with pf(ncp) to the accuracy R promises", () => {
    for (const [x, df1, df2, ncp, p] of rowsOf("noncentralFCdfOfR")) {
      expect(
        Math.abs(noncentralFCdf({ x: x!, df1: df1!, df2: df2!, noncentrality: ncp! }) - p!),
      ).toBeLessThan(1e-9);
    }
  });
});

describe("laws of the central distributions", () => {
  test("quantile and cdf undo each other from the smallest shapes to the largest", () => {
    const shapes = [1e-3, 0.3, 2, 2999, 3001, 1e7, 1e12, 1e150];
    for (const p of [1e-300, 1e-9, 0.3, 0.5, 0.7, 1 - 1e-9])
      for (const df of shapes) {
        expectDigits(
          chiSquareCdf(chiSquareQuantile(p, df), df) || p,
          p,
          df < 1e8 ? 9 : 4,
          `chi-square ${p} ${df}`,
        );
        for (const other of shapes) {
          const f = fQuantile(p, df, other);
          // What lies outside the range of numbers comes back as 0 or Infinity.
          if (f < 1e-280 || f > 1e280 || Math.min(df, other) > 1e7) continue;
          expectDigits(fCdf(f, df, other), p, 8, `F ${p} ${df} ${other}`);
        }
      }
  });

  test("the far ends: nothing, everything and what is no number", () => {
    expect([betaCdf(0, 2, 3), betaCdf(1, 2, 3), fCdf(-1, 2, 3), fCdf(0, 2, 3)]).toEqual([0, 1, 0, 0]);
    expect([fCdf(Number.POSITIVE_INFINITY, 2, 3), chiSquareCdf(Number.POSITIVE_INFINITY, 3)]).toEqual([1, 1]);
    expect([betaQuantile(0, 2, 3), betaQuantile(1, 2, 3)]).toEqual([0, 1]);
    expect([fQuantile(1, 2, 3), chiSquareQuantile(1, 3)]).toEqual([
      Number.POSITIVE_INFINITY,
      Number.POSITIVE_INFINITY,
    ]);
    expect([fCdf(Number.NaN, 2, 3), chiSquareCdf(Number.NaN, 2)]).toEqual([Number.NaN, Number.NaN]);
  });
});

describe("laws of the noncentral distributions", () => {
  test("quantile and cdf undo each other", () => {
    for (const p of [0.001, 0.2, 0.8, 0.999]) {
      expectDigits(noncentralTCdf(noncentralTQuantile(p, 6, 1.7), 6, 1.7), p, 11);
      expectDigits(
        noncentralFCdf({
          x: noncentralFQuantile({ p, df1: 3, df2: 11, noncentrality: 9 }),
          df1: 3,
          df2: 11,
          noncentrality: 9,
        }),
        p,
        11,
      );
    }
  });

  test("the square of a noncentral t is a noncentral F with one degree of freedom", () => {
    for (const t of [0.4, 2.2, 7]) {
      const both = noncentralTCdf(t, 9, 1.3) - noncentralTCdf(-t, 9, 1.3);
      expectDigits(noncentralFCdf({ x: t * t, df1: 1, df2: 9, noncentrality: 1.69 }), both, 11);
    }
  });

  test("the same where the noncentrality is large", () => {
    for (const [ncp, df] of [
      [20, 9],
      [60, 300],
      [150, 40],
      [300, 2],
      [300, 1e5],
    ] as const) {
      for (const share of [0.97, 1, 1.05]) {
        const t = share * ncp;
        const both = noncentralTCdf(t, df, ncp) - noncentralTCdf(-t, df, ncp);
        expectDigits(
          noncentralFCdf({ x: t * t, df1: 1, df2: df, noncentrality: ncp ** 2 }),
          both,
          9,
          `${ncp} ${df} ${share}`,
        );
      }
    }
  });

  test("few degrees of freedom: the probability of 0 is that of the normal, and s alone decides far out", () => {
    for (const df of [1e-9, 1e-3, 0.1, 1]) {
      expectDigits(noncentralTCdf(0, df, 1.5), normalCdf(-1.5), 12);
      expectDigits(noncentralTCdf(1e-200, df, 1.5), normalCdf(-1.5), 12);
    }
    // P(T <= t) for large t: s >= (z + 1) / t, to first order in the power law of small s.
    const far = noncentralTCdf(1e40, 0.1, 1);
    expect(far).toBeGreaterThan(0.999);
    expect(far).toBeLessThan(1);
  });

  test("many degrees of freedom come back too", () => {
    for (const df of [1e10, 1e14, 1e19, 1e30, 1e150]) {
      expectDigits(noncentralTCdf(2, df, 0.5), normalCdf(1.5), 9);
      expectDigits(noncentralTQuantile(0.7, df, 100), 100 + normalQuantile(0.7), 6);
    }
  });

  test("what takes too long is refused, and a quantile out of reach is said to be", () => {
    expect(() => noncentralTCdf(2, 10, 1e8)).toThrow("noncentrality must be at least -300 and at most 300");
    expect(() => noncentralFCdf({ x: 2, df1: 3, df2: 10, noncentrality: 1e12 })).toThrow(
      "noncentrality must be at least 0 and at most 90000",
    );
    expect(() => noncentralTQuantile(1e-12, 1e-9, 0.2)).toThrow("beyond what can be computed");
  });

  test("large degrees of freedom approach the normal", () => {
    expectDigits(noncentralTCdf(2, 1e7, 0.5), normalCdf(1.5), 6);
    expectDigits(noncentralTCdf(2, Number.POSITIVE_INFINITY, 0.5), normalCdf(1.5), 15);
  });

  test("bad arguments are refused", () => {
    expect(() => noncentralTCdf(1, 0, 1)).toThrow("degrees of freedom must be above 0");
    expect(() => noncentralFCdf({ x: 1, df1: 2, df2: 3, noncentrality: -1 })).toThrow(
      "noncentrality must be at least 0",
    );
    expect(() => noncentralTQuantile(1, 4, 1)).toThrow("probability must be above 0 and below 1");
  });
});

test("a shape or a share that cannot be is refused in words, not as NaN or a package's own error", () => {
  expect(() => betaCdf(0.5, -1, 2)).toThrow("shape of a beta distribution must be above 0, got -1");
  expect(() => betaQuantile(0.5, 2, 0)).toThrow("shape of a beta distribution must be above 0, got 0");
  expect(refusalOf(() => quantile([1, 2], 1.5))?.code).toBe("bad-argument");
});

test("expectDigits counts digits of the relative error", () => {
  expect(Math.round(correctDigits(1.001, 1))).toBe(3);
});
