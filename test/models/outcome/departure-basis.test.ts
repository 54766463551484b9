import { describe, expect, test } from "vitest";
import type { Coordinate } from "../../../lib/models/outcome/coordinates.js";
import { chooseBasis, makeBasis } from "../../../lib/models/outcome/departure-basis.js";
import { usualPriors } from "../../../lib/models/priors/index.js";
import { fc } from "../../support/properties.js";

const axis = (factor: string, kind: Coordinate["kind"]): Coordinate => ({
  factor,
  kind,
  centre: 0,
  scale: 1,
  half: 1,
  settingSd: 0,
});
const axes = [axis("a", "log"), axis("b", "linear"), axis("c", "level")];
const anywhere = fc.array(fc.double({ min: -1.5, max: 1.5, noNaN: true }), { minLength: 3, maxLength: 3 });
const anyCoupons = fc.array(anywhere, { minLength: 1, maxLength: 12 });

describe("makeBasis", () => {
  test("carries all of a departure's variance at its anchors, and less the further away", () => {
    fc.assert(
      fc.property(anyCoupons, (coupons) => {
        const shape = chooseBasis(
          axes,
          coupons.map((point) => Float64Array.from(point)),
          usualPriors,
        );
        const basis = makeBasis(shape);
        const room = new Float64Array(basis.size);
        for (const anchor of shape.anchors) expect(basis.evaluate(anchor, room)).toBeLessThan(1e-6);
        expect(basis.evaluate([40, 40, 40], room)).toBeGreaterThan(0.999);
      }),
      { numRuns: 40 },
    );
  });

  test("the gradient agrees with central differences", () => {
    fc.assert(
      fc.property(
        anyCoupons,
        anywhere,
        fc.infiniteStream(fc.double({ min: -1, max: 1, noNaN: true })),
        (coupons, at, numbers) => {
          const basis = makeBasis(
            chooseBasis(
              axes,
              coupons.map((point) => Float64Array.from(point)),
              usualPriors,
            ),
          );
          const weights = Float64Array.from({ length: basis.size }, () => numbers.next().value as number);
          const room = new Float64Array(basis.size);
          const found = new Float64Array(axes.length);
          const gradient = basis.gradientOf(weights);
          basis.evaluate(at, room);
          gradient(found);
          const sum = (point: readonly number[]): number => {
            basis.evaluate(point, room);
            return room.reduce((total, value, a) => total + value * weights[a]!, 0);
          };
          // Anchors close together make large weights cancel: the error grows with them.
          const size = Math.max(1, ...found.map(Math.abs));
          for (let j = 0; j < axes.length; j++) {
            const moved = (step: number): number[] => at.map((x, k) => (k === j ? x + step : x));
            const slope = (sum(moved(1e-5)) - sum(moved(-1e-5))) / 2e-5;
            expect(Math.abs(found[j]! - slope)).toBeLessThan(1e-4 * size);
          }
        },
      ),
      { numRuns: 60 },
    );
  });
});
