import { describe, expect, test } from "vitest";
import { randomStream } from "../../../lib/numeric/index.js";
import { fitRandomBlock, type RandomBlockFit } from "../../../lib/regression/index.js";
import { correctDigits, expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { fc } from "../../support/properties.js";

interface Part {
  readonly estimates: number[];
  readonly standardErrors: number[];
  readonly errorVariance: number;
  readonly blockVariance: number;
  readonly logLikelihood: number;
  readonly blockEffects: number[];
  readonly df: number[];
}
interface Case {
  readonly x: number[][];
  readonly y: number[];
  readonly block: string[];
  readonly nlme: Part;
  readonly dense: Part;
  readonly gls: { readonly ratio: number; readonly standardErrors: number[]; readonly errorVariance: number };
}
type Name = "unbalanced" | "splitPlot" | "boundary";
const reference = readFixture<Record<Name, Case>>(import.meta.url, "../fixtures/reml.json");
const namesOf = (x: readonly (readonly number[])[]): string[] => x[0]!.map((_, j) => `b${j}`);
const fitOf = (name: Name): RandomBlockFit =>
  fitRandomBlock(reference[name], { names: namesOf(reference[name].x) });

describe("against R (fixtures/reml.R)", () => {
  test.each(["unbalanced", "splitPlot"] as const)("%s: nlme::lme", (name) => {
    const fit = fitOf(name);
    const { nlme } = reference[name];
    nlme.estimates.forEach((value, j) => {
      expectDigits(fit.estimates[j]!, value, 9, `estimate ${j}`);
    });
    expectDigits(fit.errorVariance, nlme.errorVariance, 9, "error variance");
    // VarCorr prints eight digits.
    expectDigits(fit.blockVariance, nlme.blockVariance, 7, "block variance");
    expectDigits(fit.logLikelihood, nlme.logLikelihood, 11, "restricted likelihood");
    nlme.blockEffects.forEach((value, b) => {
      expectDigits(fit.blockEffects[b]!.effect, value, 8, `block effect ${b}`);
    });
  });

  test.each(["unbalanced", "splitPlot"] as const)("%s: Kenward-Roger by dense matrices", (name) => {
    const fit = fitOf(name);
    const { dense } = reference[name];
    dense.standardErrors.forEach((value, j) => {
      expectDigits(fit.standardErrors[j]!, value, 8, `standard error ${j}`);
      expectDigits(fit.df[j]!, dense.df[j]!, 8, `df ${j}`);
    });
    expectDigits(fit.blockVariance, dense.blockVariance, 9, "block variance");
  });

  test("boundary: a block variance of 0 is ordinary least squares, with a finding and the doubt of a ratio below 0", () => {
    const fit = fitOf("boundary");
    const { nlme, dense } = reference.boundary;
    expect(fit.blockVariance).toBe(0);
    expect(fit.findings.map((finding) => finding.code)).toEqual(["no-block-variance"]);
    expectDigits(fit.logLikelihood, nlme.logLikelihood, 8);
    expectDigits(fit.errorVariance, nlme.errorVariance, 7);
    // gls with one correlation within blocks lets blocks differ less than their rows' scatter makes them.
    const { gls } = reference.boundary;
    expectDigits(fit.doubt!.errorVariance, gls.errorVariance, 8);
    expectDigits(fit.doubt!.blockVariance / fit.doubt!.errorVariance, gls.ratio, 7);
    gls.standardErrors.forEach((value, j) => {
      expectDigits(Math.sqrt(fit.doubt!.plain[j]![j]!), value, 7, `plain standard error ${j}`);
    });
    dense.standardErrors.forEach((value, j) => {
      expectDigits(fit.standardErrors[j]!, value, 8, `standard error ${j}`);
      expectDigits(fit.df[j]!, dense.df[j]!, 8, `df ${j}`);
    });
  });
});

describe("laws", () => {
  test("a balanced split plot has the textbook degrees of freedom: 6 between 8 spools, 22 within", () => {
    const fit = fitOf("splitPlot");
    [6, 6, 22, 22].forEach((df, j) => {
      expectDigits(fit.df[j]!, df, 9);
    });
  });

  // One-way layout, textbook (Searle, Casella and McCulloch 1992, chapter 3): with balanced data and a
  // positive estimate, REML equals the analysis of variance: s^2 = MSE, block variance = (MSA - MSE) / n.
  test("a balanced one-way layout gives the analysis-of-variance estimates", () => {
    const stream = randomStream(12);
    const data = Array.from({ length: 5 }, (_, b) => {
      const shift = 3 * stream.normal();
      return Array.from({ length: 4 }, () => ({ block: `b${b}`, y: 10 + shift + stream.normal() }));
    });
    const rows = data.flat();
    const fit = fitRandomBlock(
      { x: rows.map(() => [1]), y: rows.map((row) => row.y), block: rows.map((row) => row.block) },
      { names: ["mean"] },
    );
    const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;
    const grand = mean(rows.map((row) => row.y));
    const means = data.map((group) => mean(group.map((row) => row.y)));
    const msa = means.reduce((sum, value) => sum + 4 * (value - grand) ** 2, 0) / 4;
    const mse =
      data.flatMap((group, b) => group.map((row) => (row.y - means[b]!) ** 2)).reduce((a, b) => a + b, 0) /
      15;
    expectDigits(fit.errorVariance, mse, 9);
    expectDigits(fit.blockVariance, (msa - mse) / 4, 9);
    expectDigits(fit.estimates[0]!, grand, 12);
    expectDigits(fit.standardErrors[0]!, Math.sqrt(msa / 20), 9);
    expectDigits(fit.df[0]!, 4, 9);
  });

  test("row order, block names, units of y and of x change nothing but units", () => {
    const { x, y, block } = reference.unbalanced;
    const names = namesOf(x);
    const fit = fitOf("unbalanced");
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1000 }),
        fc.double({ min: 0.01, max: 100, noNaN: true }),
        (seed, unit) => {
          const order = randomStream(seed).shuffle(y.map((_, i) => i));
          const other = fitRandomBlock(
            {
              x: order.map((i) => x[i]!.map((value, j) => (j === 0 ? value : value / unit))),
              y: order.map((i) => unit * y[i]! + 5),
              block: order.map((i) => `renamed ${block[i]}`),
            },
            { names },
          );
          expect(correctDigits(other.errorVariance, unit ** 2 * fit.errorVariance)).toBeGreaterThan(8);
          expect(correctDigits(other.blockVariance, unit ** 2 * fit.blockVariance)).toBeGreaterThan(8);
          expect(correctDigits(other.estimates[1]!, unit ** 2 * fit.estimates[1]!)).toBeGreaterThan(8);
          expect(correctDigits(other.df[2]!, fit.df[2]!)).toBeGreaterThan(7);
        },
      ),
      { numRuns: 20 },
    );
  });

  test("a fit survives JSON", () => {
    const fit = fitOf("unbalanced");
    expect(JSON.parse(JSON.stringify(fit))).toEqual(fit);
  });
});

describe("trouble", () => {
  test("a term constant within blocks that uses up all their differences", () => {
    const { y } = reference.splitPlot;
    const block = y.map((_, i) => (i < 16 ? "a" : "b"));
    const fit = fitRandomBlock(
      { x: y.map((_, i) => [1, i < 16 ? 0 : 1]), y, block },
      { names: ["one", "second"] },
    );
    expect(fit.findings.map((finding) => finding.code)).toContain("blocks-confounded");
    expect(fit.df).toEqual([30, 30]);
  });

  test("rows met exactly give a finite answer", () => {
    const x = Array.from({ length: 12 }, (_, i) => [1, i]);
    const block = x.map((_, i) => `day ${i % 3}`);
    for (const y of [
      x.map(() => 5),
      x.map(([, v]) => 2 + 3 * v!),
      x.map(([, v], i) => 3 * v! + 10 * (i % 3)),
    ]) {
      const fit = fitRandomBlock({ x, y, block }, { names: ["one", "v"] });
      expect(JSON.parse(JSON.stringify(fit))).toEqual(fit);
      expect(Math.abs(fit.estimates[1]! - (y[0] === 5 ? 0 : 3))).toBeLessThan(1e-6);
      expect(fit.errorVariance).toBeLessThan(1e-6);
    }
  });

  test("few blocks are warned of; one block is refused", () => {
    const { x, y, block } = reference.unbalanced;
    const names = namesOf(x);
    const part = block.map((label) => (label === "day 1" ? "a" : "b"));
    expect(fitRandomBlock({ x, y, block: part }, { names }).findings.map((f) => f.code)).toContain(
      "few-blocks",
    );
    expect(() => fitRandomBlock({ x, y, block: y.map(() => "a") }, { names })).toThrow("at least two blocks");
    expect(() => fitRandomBlock({ x, y, block: ["a"] }, { names })).toThrow("1 blocks for 27 rows");
  });
});
