import { expect, test } from "vitest";
import { randomStream } from "../../lib/numeric/index.js";
import { orderAgainstTrend } from "../../lib/window/run-order.js";
import { fc } from "../support/properties.js";

/** How far trends over the run order can be taken for what settings do: squared correlations, summed over the axes. */
function mixed(
  points: readonly Float64Array[],
  order: readonly number[],
  trend: (t: number) => number,
): number {
  const n = order.length;
  const raw = order.map((_, i) => trend(i - (n - 1) / 2));
  const level = raw.reduce((sum, t) => sum + t, 0) / n;
  const square = raw.reduce((sum, t) => sum + (t - level) ** 2, 0);
  return Array.from(points[0]!.keys()).reduce((sum, j) => {
    const mean = points.reduce((s, point) => s + point[j]!, 0) / n;
    const along = order.reduce((s, one, i) => s + (raw[i]! - level) * (points[one]![j]! - mean), 0);
    const size = points.reduce((s, point) => s + (point[j]! - mean) ** 2, 0);
    return size < 1e-12 ? sum : sum + along ** 2 / (size * square);
  }, 0);
}
const steady = (t: number): number => t;
const bending = (t: number): number => t * t;

const batch = fc.tuple(fc.integer({ min: 3, max: 9 }), fc.integer({ min: 1, max: 4 })).chain(([n, axes]) =>
  fc.array(
    fc
      .array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: axes, maxLength: axes })
      .map((point) => Float64Array.from(point)),
    { minLength: n, maxLength: n },
  ),
);

test("every coupon once, and a trend within the day mixed with settings less than in most orders", () => {
  fc.assert(
    fc.property(batch, fc.integer(), (points, seed) => {
      const none = points.map(() => "");
      const order = orderAgainstTrend(points, none, randomStream(seed));
      expect([...order].sort((a, b) => a - b)).toEqual(points.map((_, i) => i));
      // Over all orders the mean of a squared correlation is 1 / (n - 1), for each trend and axis.
      const usual = (2 * points[0]!.length) / (points.length - 1);
      const found = mixed(points, order, steady) + mixed(points, order, bending);
      expect(found).toBeLessThanOrEqual(usual + 1e-9);
    }),
    { seed: 5, numRuns: 40 },
  );
});

test("six points drawn at random: as good an order as any of all 720, nearly", () => {
  const orders = (left: readonly number[]): readonly (readonly number[])[] =>
    left.length === 0
      ? [[]]
      : left.flatMap((one) => orders(left.filter((i) => i !== one)).map((rest) => [one, ...rest]));
  const all = orders([0, 1, 2, 3, 4, 5]);
  const stream = randomStream(8);
  for (let trial = 0; trial < 6; trial++) {
    const points = Array.from({ length: 6 }, () => Float64Array.from({ length: 3 }, () => stream.normal()));
    const loss = (order: readonly number[]): number =>
      mixed(points, order, steady) + mixed(points, order, bending);
    const order = orderAgainstTrend(
      points,
      points.map(() => ""),
      stream.split(trial),
    );
    const losses = all.map(loss).sort((a, b) => a - b);
    // Among the best hundredth of all orders.
    expect(loss(order)).toBeLessThanOrEqual(losses[7]! + 1e-9);
  }
});

test("coupons alike in what is hard to change stay together", () => {
  const points = Array.from({ length: 6 }, (_, i) => Float64Array.of(i));
  const groups = ["a", "b", "a", "b", "a", "b"];
  const order = orderAgainstTrend(points, groups, randomStream(2)).map((i) => groups[i]);
  expect(order.filter((group, i) => i > 0 && group !== order[i - 1])).toHaveLength(1);
});
