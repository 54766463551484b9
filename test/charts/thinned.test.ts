import { expect, test } from "vitest";
import {
  chartNormalQuantiles,
  chartPredicted,
  chartResiduals,
  chartTimeline,
  renderSvg,
} from "../../lib/charts/index.js";
import { thinned } from "../../lib/charts/thinned.js";
import { fc } from "../support/properties.js";

test("few rows are all drawn, and nothing is said", () => {
  const rows = Array.from({ length: 150 }, (_, i) => i);
  expect(thinned(rows)).toEqual({ drawn: rows, said: [] });
});

test("of many rows some are drawn in their order, evenly, those a chart is about before others, and it is said", () => {
  fc.assert(
    fc.property(fc.integer({ min: 151, max: 3000 }), fc.integer({ min: 3, max: 200 }), (count, every) => {
      const rows = Array.from({ length: count }, (_, i) => i);
      const notable = (i: number): boolean => i % every === 1;
      const { drawn, said } = thinned(rows, { row: "residual", notable });
      expect(drawn.length).toBe(150);
      expect([...new Set(drawn)].sort((a, b) => a - b)).toEqual(drawn);
      expect(said).toEqual([`Drawn: 150 of ${count} residuals, spread evenly.`]);
      const about = rows.filter(notable);
      if (about.length <= 50) expect(drawn.filter(notable)).toEqual(about);
      // Both halves of the list are drawn alike.
      expect(Math.abs(drawn.filter((i) => i < count / 2).length - 75)).toBeLessThan(6);
    }),
  );
});

test("a chart of thousands of coupons counts them all, reaches as far as all, and says how many it draws", () => {
  const coupons = Array.from({ length: 2000 }, (_, i) => {
    const predicted = 5 + 2 * Math.sin(i);
    const measured = predicted + (i % 100 === 7 ? 1.5 : 0.1 * Math.cos(3 * i));
    return { coupon: `C${i}`, measured, predicted, low: predicted - 1, high: predicted + 1 };
  });
  const spec = chartPredicted({ response: { name: "width", unit: "mm" }, level: 0.95, coupons });
  expect(spec.description).toMatch(/of 2000 coupons; 20 outside/);
  const text = JSON.stringify(spec);
  expect(text).toContain("Drawn: 150 of 2000 coupons, spread evenly.");
  expect(text).toContain('"C7"');
  expect(text).toContain(String(Math.max(...coupons.flatMap(({ high, measured }) => [high, measured]))));
  expect(text.length).toBeLessThan(100_000);
});

test("charts of a thousand coupons over fifty days are drawn", async () => {
  const response = { name: "width", unit: "mm" };
  const coupons = Array.from({ length: 1000 }, (_, i) => ({
    coupon: `C${i}`,
    run: i + 1,
    residual: Math.sin(7 * i) * (i % 10 === 3 ? 3 : 1),
    block: `2026-02-day ${Math.floor(i / 20) + 1}`,
    outcome: i % 3 === 0 ? ("failed" as const) : ("passed" as const),
  }));
  for (const spec of [
    chartResiduals({ response, residuals: coupons, limit: 2 }),
    chartNormalQuantiles({ response, residuals: coupons }),
    chartTimeline({ coupons }),
  ])
    expect((await renderSvg(spec, { width: 334 })).length).toBeLessThan(100_000);
});
