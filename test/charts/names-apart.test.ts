import { describe, expect, test } from "vitest";
import { chartPredicted, chartResiduals, chartTimeline, renderSvg } from "../../lib/charts/index.js";
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
    /<text text-anchor="(start|middle|end)"[^>]*translate\(([-\d.]+),([-\d.]+)\)[^>]*font-size="([\d.]+)[^>]*>([^<]*)</g,
  );
  return [...found].flatMap(([, anchor, x, y, size, text]) => {
    if (!text!.startsWith(word)) return [];
    const width = textWidth(text!, { fontSize: Number(size) });
    return [
      {
        text: text!,
        x: Number(x) - (anchor === "end" ? width : anchor === "middle" ? width / 2 : 0),
        y: Number(y),
        width,
      },
    ];
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
    const svg = await renderSvg(spec, width === undefined ? {} : { width });
    for (const mark of ["A", "B", "C", "D"]) expect(svg).toContain(`>${mark}</text>`);
    expect(svg.replace(/<[^>]*>/g, " ").replace(/\s+/g, " ")).toContain(
      "D day 3, cylinder of the other supplier.",
    );
  });

  test("short ones of blocks stand in their stretches", async () => {
    const residuals = Array.from({ length: 20 }, (_, i) => ({
      coupon: `C${i}`,
      run: i + 1,
      residual: Math.sin(i),
      block: `day ${Math.floor(i / 5)}`,
    }));
    const spec = chartResiduals({ response: { name: "bead_width", unit: "mm" }, residuals, limit: 2 });
    const svg = await renderSvg(spec, { width: 334 });
    for (const day of [0, 1, 2, 3]) expect(svg).toContain(`>day ${day}</text>`);
  });

  test("long ones of outliers are numbers, each told once beside the title", async () => {
    const outliers = Array.from({ length: 8 }, (_, i) => `plate_${i}_second_side_left_of_the_old_bead_${i}`);
    const residuals = outliers.map((coupon, i) => ({
      coupon,
      run: i + 1,
      residual: 5 - 10 * (i % 2),
      block: "",
    }));
    const coupons = outliers.map((coupon, i) => ({
      coupon,
      measured: 5 + 0.02 * i,
      predicted: 4 + 2 * (i % 2),
      low: 4,
      high: 4,
    }));
    const response = { name: "bead_width", unit: "mm" };
    for (const spec of [
      chartResiduals({ response, residuals, limit: 2 }),
      chartPredicted({ response, level: 0.95, coupons }),
    ]) {
      const svg = await renderSvg(spec, { width: 334 });
      const said = svg.replace(/<[^>]*>|\s/g, "");
      for (const [i, name] of outliers.entries()) {
        expect(said.split(name).length - 1).toBe(1);
        expect(svg).toContain(`>${i + 1}</text>`);
      }
    }
  });

  test("short ones of outliers close together stand on sides that are free", async () => {
    const coupons = Array.from({ length: 3 }, (_, i) => ({
      coupon: `C00${i}`,
      measured: 5 + 0.01 * i,
      predicted: 4,
      low: 3.9,
      high: 4.1,
    }));
    const far = { coupon: "C009", measured: 9, predicted: 9, low: 8, high: 10 };
    const spec = chartPredicted({
      response: { name: "bead_width", unit: "mm" },
      level: 0.95,
      coupons: [...coupons, far],
    });
    const svg = await renderSvg(spec, { width: 334 });
    const names = written(svg, "C00");
    expect(names.length).toBe(3);
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
