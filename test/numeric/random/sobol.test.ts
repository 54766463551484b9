import { describe, expect, test } from "vitest";
import { SOBOL_MAX_DIMENSIONS, sobolPoints } from "../../../lib/numeric/index.js";
import { readFixture } from "../../support/fixture.js";

const reference = readFixture<{ rows: Record<string, number[]> }>(import.meta.url, "fixtures/sobol.json");

describe("plain Sobol points", () => {
  test("equal SciPy's in 21 dimensions", () => {
    const points = sobolPoints(256, 21);
    for (const [index, row] of Object.entries(reference.rows)) expect(points[Number(index)]).toEqual(row);
  });
});

describe("scrambled Sobol points", () => {
  test("every coordinate fills each of 2^m equal cells once, for several seeds", () => {
    for (const seed of [1, 2, 77]) {
      const points = sobolPoints(128, SOBOL_MAX_DIMENSIONS, seed);
      for (let d = 0; d < SOBOL_MAX_DIMENSIONS; d++) {
        expect(new Set(points.map((p) => Math.floor(p[d]! * 128))).size).toBe(128);
      }
      expect(points.flat().every((u) => u > 0 && u < 1)).toBe(true);
    }
  });

  test("the first two coordinates are a (0, m, 2) net: one point in each elementary box", () => {
    const points = sobolPoints(64, 2, 5);
    for (const columns of [1, 2, 4, 8, 16, 32, 64]) {
      const rows = 64 / columns;
      const boxes = new Set(points.map(([u, v]) => Math.floor(u! * columns) * rows + Math.floor(v! * rows)));
      expect(boxes.size).toBe(64);
    }
  });

  test("a seed repeats, another seed differs", () => {
    expect(sobolPoints(10, 3, 4)).toEqual(sobolPoints(10, 3, 4));
    expect(sobolPoints(10, 3, 4)).not.toEqual(sobolPoints(10, 3, 5));
  });

  // Mean of the product of (1 + (u - 1/2)) over ten coordinates is exactly 1; plain random points of
  // this count have a standard error of (1 + 1/12)^10 - 1 = 1.23 variance, sqrt(1.23 / 4096) = 0.017.
  test("integrates a smooth function in ten dimensions ten times better than random points", () => {
    const errors = [1, 2, 3, 4, 5, 6, 7, 8].map((seed) => {
      const points = sobolPoints(4096, 10, seed);
      const sum = points.reduce((total, p) => total + p.reduce((product, u) => product * (0.5 + u), 1), 0);
      return sum / 4096 - 1;
    });
    const rms = Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length);
    expect(rms).toBeLessThan(0.0017);
  });

  test("refuses too many dimensions", () => {
    expect(() => sobolPoints(2, 22)).toThrow("dimensions must be an integer from 1 to 21, got 22");
  });
});
