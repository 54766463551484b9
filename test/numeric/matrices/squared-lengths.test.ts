import { expect, test } from "vitest";
import { addSquaredLengths, dot, randomStream, stackRows } from "../../../lib/numeric/index.js";
import { addSquaredLengthsByPairs } from "../../../lib/numeric/matrices/simd-tile.js";

/** A lower triangle and a block of rows, of any width. */
function drawn(width: number, count: number) {
  const random = randomStream(17).split(width);
  const triangle = Array.from({ length: width }, (_, i) =>
    Float64Array.from({ length: width }, (__, j) => (j > i ? 0 : random.normal())),
  );
  const block = Float64Array.from({ length: Math.ceil(count / 4) * 4 * width }, () => random.normal());
  return { triangle, block };
}

/** Each of them; the one that takes two numbers at a time is compiled here, or says that it cannot be. */
const ways: Readonly<Record<string, (work: Parameters<typeof addSquaredLengthsByPairs>[0]) => unknown>> = {
  "as offered": ({ block, count, inverse, width, sums }) =>
    addSquaredLengths(block, count, inverse, width, sums),
  "two at a time": (work) => expect(addSquaredLengthsByPairs(work)).toBe(true),
};

for (const [name, add] of Object.entries(ways))
  test(`squared lengths of L^-1 r, ${name}, are the sums of squared products, added to what is there`, () => {
    for (const [width, count] of [
      [1, 1],
      [3, 5],
      [4, 4],
      [7, 64],
      [130, 10],
      [200, 64],
    ] as const) {
      const { triangle, block } = drawn(width, count);
      const sums = new Float64Array(block.length / width).fill(0.5);
      add({ block, count, inverse: stackRows(triangle, width), width, sums });
      for (let b = 0; b < count; b++) {
        const expected = triangle.reduce((sum, row) => sum + dot(row, 0, block, b * width, width) ** 2, 0.5);
        expect(Math.abs(sums[b]! / expected - 1), `${width} ${b}`).toBeLessThan(1e-13);
      }
    }
  });
