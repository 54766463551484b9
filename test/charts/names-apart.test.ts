import { describe, expect, test } from "vitest";
import { chartResiduals, chartTimeline, renderSvg } from "../../lib/charts/index.js";
import { textWidth } from "../../lib/charts/text-width.js";

interface Written {
  readonly text: string;
  readonly x: number;
  readonly y: number;
  readonly width: number;
}

/** Texts of a drawing that begin with a word, all in one frame, where they stand. */
function written(svg: string, word: string): readonly Written[] {
  const found = svg.matchAll(
    /<text text-anchor="(start|end)"[^>]*translate\(([-\d.]+),([-\d.]+)\)[^>]*font-size="([\d.]+)[^>]*>([^<]*)</g,
  );
  return [...found].flatMap(([, anchor, x, y, size, text]) => {
    if (!text!.startsWith(word)) return [];
    const width = textWidth(text!, { fontSize: Number(size) });
    return [{ text: text!, x: Number(x) - (anchor === "end" ? width : 0), y: Number(y), width }];
  });
}

const overlaps = (names: readonly Written[]): readonly string[] =>
  names.flatMap((a, i) =>
    names
      .slice(i + 1)
      .filter((b) => Math.abs(a.y - b.y) < 10 && a.x < b.x + b.width && b.x < a.x + a.width)
      .map((b) => `${a.text} on ${b.text}`),
  );

describe("names close to each other stand apart", () => {
  test.each([undefined, 360])("of blocks, %s px wide", async (width) => {
    const residuals = Array.from({ length: 20 }, (_, i) => ({
      coupon: `C${i}`,
      run: i + 1,
      residual: Math.sin(i),
      block: `day ${Math.floor(i / 5)}, cylinder of the other supplier`,
    }));
    const spec = chartResiduals({ response: { name: "bead_width", unit: "mm" }, residuals, limit: 2 });
    const names = written(await renderSvg(spec, width === undefined ? {} : { width }), "day");
    expect(names).toHaveLength(4);
    expect(overlaps(names)).toEqual([]);
  });

  test.each([undefined, 360])("of changes, %s px wide", async (width) => {
    const coupons = Array.from({ length: 12 }, (_, i) => ({
      coupon: `C${i}`,
      block: "day 1",
      outcome: "passed" as const,
    }));
    const changes = [2, 3, 4, 4, 11].map((i) => ({ before: `C${i}`, what: `new contact tip ${i}` }));
    const svg = await renderSvg(chartTimeline({ coupons, changes }), width === undefined ? {} : { width });
    const names = written(svg, "new contact");
    for (const { what } of changes) expect(names.some(({ text }) => text.includes(what))).toBe(true);
    expect(overlaps(names)).toEqual([]);
  });
});
