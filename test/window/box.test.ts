import { expect, test } from "vitest";
import { studyCoordinates } from "../../lib/models/outcome/coordinates.js";
import { growBox } from "../../lib/window/box.js";
import { makeGrid } from "../../lib/window/grid.js";
import { fc } from "../support/properties.js";
import { tigDefinition } from "../support/studies.js";

const definition = tigDefinition();
const grid = makeGrid(definition, studyCoordinates(definition));
const middle = grid.axes.map(({ values }) => Math.floor(values.length / 2));

test("a box gives room on both sides of its start wherever a step on every side keeps the level", () => {
  fc.assert(
    fc.property(
      fc.array(fc.integer({ min: 3, max: 90 }), { minLength: 3, maxLength: 3 }),
      fc.double({ min: 0.3, max: 0.99, noNaN: true }),
      (widths, level) => {
        const chance = (point: readonly number[]): number =>
          Math.max(0, 1 - point.reduce((sum, index, j) => sum + ((index - middle[j]!) / widths[j]!) ** 2, 0));
        fc.pre(chance(middle.map((index) => index + 1)) >= level);
        const { low, high, worst } = growBox({ grid, chance, start: middle, level });
        middle.forEach((index, j) => {
          expect(low[j]).toBeLessThan(index);
          expect(high[j]).toBeGreaterThan(index);
        });
        expect(worst).toBeGreaterThanOrEqual(level);
      },
    ),
    { numRuns: 60 },
  );
});
