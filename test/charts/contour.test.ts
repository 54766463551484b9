import { describe, expect, test } from "vitest";
import { contourSegments } from "../../lib/charts/contour.js";
import { fc } from "../support/properties.js";

const steps = (from: number, to: number, n: number): number[] =>
  Array.from({ length: n }, (_, i) => from + ((to - from) * i) / (n - 1));

describe("contourSegments", () => {
  test("of a plane lies on the straight line, from edge to edge", () => {
    const [x, y] = [steps(0, 4, 9), steps(0, 2, 5)];
    const segments = contourSegments({ x, y, z: y.map((v) => x.map((u) => u + 2 * v)), level: 3.3 });
    const ends = segments.flatMap((s) => [
      [s.x, s.y],
      [s.x2, s.y2],
    ]);
    for (const [u, v] of ends) expect(Math.abs(u! + 2 * v! - 3.3)).toBeLessThan(1e-12);
    const length = segments.reduce((sum, s) => sum + Math.hypot(s.x2 - s.x, s.y2 - s.y), 0);
    // u + 2 v = 3.3 leaves the 4 x 2 rectangle at (3.3, 0) and (0, 1.65).
    expect(Math.abs(length - Math.hypot(3.3, 1.65))).toBeLessThan(1e-12);
  });

  test("of a cone is a closed circle, to the accuracy of the grid", () => {
    const at = steps(-2, 2, 81);
    const z = at.map((v) => at.map((u) => Math.hypot(u, v)));
    const segments = contourSegments({ x: at, y: at, z, level: 1.31 });
    const length = segments.reduce((sum, s) => sum + Math.hypot(s.x2 - s.x, s.y2 - s.y), 0);
    // Chords of cells of 0.05 on a circle of radius 1.31 fall short by less than h^2/(24 r^2) = 6e-5.
    expect(Math.abs(length / (2 * Math.PI * 1.31) - 1)).toBeLessThan(1e-3);
    const ends = new Map<string, number>();
    for (const s of segments) {
      for (const key of [`${s.x.toFixed(9)},${s.y.toFixed(9)}`, `${s.x2.toFixed(9)},${s.y2.toFixed(9)}`]) {
        ends.set(key, (ends.get(key) ?? 0) + 1);
      }
    }
    expect([...ends.values()].filter((n) => n !== 2)).toEqual([]);
  });

  test("of a saddle keeps the corners that agree with the centre together", () => {
    const high = contourSegments({
      x: [0, 1],
      y: [0, 1],
      z: [
        [1, 0],
        [0, 1],
      ],
      level: 0.4,
    });
    expect(high).toHaveLength(2);
    // Centre 0.5 is above the level, so the low corners (1,0) and (0,1) are cut off.
    for (const s of high) expect(Math.abs((s.x + s.x2) / 2 - (s.y + s.y2) / 2)).toBeGreaterThan(0.5);
    const low = contourSegments({
      x: [0, 1],
      y: [0, 1],
      z: [
        [1, 0],
        [0, 1],
      ],
      level: 0.6,
    });
    for (const s of low) expect(Math.abs((s.x + s.x2) / 2 - (s.y + s.y2) / 2)).toBeLessThan(1e-12);
  });

  test("leaves out cells with a missing corner", () => {
    const z = [
      [0, 0, 0],
      [1, null, 1],
      [1, 1, 1],
    ];
    expect(contourSegments({ x: [0, 1, 2], y: [0, 1, 2], z, level: 0.5 })).toEqual([]);
  });

  test("ends lie on cell edges between a corner above and a corner below (property)", () => {
    const size = 5;
    const at = steps(0, size - 1, size);
    const table = fc.array(
      fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: size, maxLength: size }),
      {
        minLength: size,
        maxLength: size,
      },
    );
    fc.assert(
      fc.property(table, (z) => {
        for (const s of contourSegments({ x: at, y: at, z, level: 0.1 })) {
          for (const [u, v] of [
            [s.x, s.y],
            [s.x2, s.y2],
          ] as const) {
            const [i0, i1, j0, j1] = [Math.floor(u), Math.ceil(u), Math.floor(v), Math.ceil(v)];
            expect(i0 === i1 || j0 === j1).toBe(true);
            const [a, b] = [z[j0]![i0]!, z[j1]![i1]!];
            const t = i0 === i1 ? v - j0 : u - i0;
            expect(Math.abs(a + t * (b - a) - 0.1)).toBeLessThan(1e-9);
          }
        }
      }),
      { seed: 5, numRuns: 200 },
    );
  });
});
