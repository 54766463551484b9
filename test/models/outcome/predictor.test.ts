import { describe, expect, test } from "vitest";
import { buildOutcomeModel, makePredictor, type PredictionAt } from "../../../lib/models/index.js";
import { tigWearRing as rig } from "../../rigs/tig-wear-ring.js";
import { fc } from "../../support/properties.js";
import { loopCoupons } from "../../window/studies.js";

const loose = {
  ...rig.definition,
  factors: rig.definition.factors.map((factor) => ({ ...factor, settingSd: 0.02 * factor.high })),
};
const model = buildOutcomeModel({ definition: loose, coupons: loopCoupons(rig, 12, 2) });
const predictor = makePredictor(model);
const n = predictor.responses;

/** The questions one can ask of a prediction, each with all the numbers it gives. */
const questions: readonly ((at: PredictionAt) => readonly number[])[] = [
  (at) => filled(n, (into) => at.means(into)),
  (at) => filled(n * n, (into) => at.covariance(into)),
  (at) => Array.from({ length: n }, (_, r) => at.variance(r)),
  (at) => filled(n, (into) => at.drawMeans(3, into)),
  (at) => filled(n * n, (into) => at.drawCovariance(into)),
  (at) => [at.pass(0), at.drawPass(0, 5)],
];
function filled(length: number, fill: (into: Float64Array) => void): readonly number[] {
  const room = new Float64Array(length);
  fill(room);
  return Array.from(room);
}
const anyPoint = fc
  .record({
    current: fc.double({ min: 60, max: 220, noNaN: true }),
    travel_speed: fc.double({ min: 50, max: 400, noNaN: true }),
    wire_feed_speed: fc.double({ min: 0.4, max: 3, noNaN: true }),
    standoff: fc.double({ min: 1.5, max: 6, noNaN: true }),
  })
  .map((settings) => predictor.point(settings));

describe("makePredictor", () => {
  test("a prediction answers about its own point, in whatever order it and others are asked", () => {
    fc.assert(
      fc.property(
        fc.array(anyPoint, { minLength: 2, maxLength: 4 }),
        fc.array(fc.tuple(fc.nat(), fc.nat()), { minLength: 1, maxLength: 20 }),
        (points, asked) => {
          const together = points.map((point) => predictor.at(point));
          for (const [p, q] of asked) {
            const question = questions[q % questions.length]!;
            const alone = makePredictor(model).at(points[p % points.length]!);
            expect(question(together[p % points.length]!)).toEqual(question(alone));
          }
        },
      ),
      { numRuns: 20 },
    );
  });

  test("the variance of one response is its entry of the covariance", () => {
    fc.assert(
      fc.property(anyPoint, (point) => {
        const at = predictor.at(point);
        const covariance = filled(n * n, (into) => at.covariance(into));
        for (let r = 0; r < n; r++) {
          expect(Math.abs(at.variance(r) / covariance[r * n + r]! - 1)).toBeLessThan(1e-12);
        }
      }),
      { numRuns: 40 },
    );
  });
});
