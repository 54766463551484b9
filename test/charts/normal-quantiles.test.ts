import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { chartNormalQuantiles } from "../../lib/charts/index.js";
import { expectDigits } from "../support/digits.js";

interface Sample {
  readonly values: readonly number[];
  readonly expected: readonly number[];
  readonly slope: number;
  readonly intercept: number;
}
const reference: { readonly samples: readonly Sample[] } = JSON.parse(
  readFileSync(new URL("./fixtures/normal-quantiles.json", import.meta.url), "utf8"),
);

const width = { name: "bead_width", unit: "mm" };

describe.each(reference.samples)("chartNormalQuantiles against R, $values.length residuals", (sample) => {
  const spec = chartNormalQuantiles({
    response: width,
    residuals: sample.values.map((residual, i) => ({ coupon: `C${i}`, residual })),
  });
  const [line, points] = (
    spec.layer as { data: { values: { expected: number; residual: number; coupon: string }[] } }[]
  ).map((layer) => layer.data.values);

  test("plots each residual against the quantile qqnorm() gives it", () => {
    for (const point of points!) {
      const i = Number(point.coupon.slice(1));
      expect(point.residual).toBe(sample.values[i]);
      expectDigits(point.expected, sample.expected[i]!, 12);
    }
  });

  test("draws the line of qqline()", () => {
    for (const end of line!) expectDigits(end.residual, sample.intercept + sample.slope * end.expected, 12);
  });
});

test("chartNormalQuantiles needs three residuals", () => {
  const residuals = [1, 2].map((residual) => ({ coupon: "C1", residual }));
  expect(() => chartNormalQuantiles({ response: width, residuals })).toThrow("at least 3");
});
