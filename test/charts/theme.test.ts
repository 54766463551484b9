import { describe, expect, test } from "vitest";
import { colours, darkChartCss } from "../../lib/charts/theme.js";

/** The set of Okabe and Ito as R 4.2.2 prints it: palette.colors(palette = "Okabe-Ito"). */
const okabeIto = ["#000000", "#e69f00", "#56b4e9", "#009e73", "#f0e442", "#0072b2", "#d55e00", "#cc79a7"];

const channels = (hex: string): number[] =>
  [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16) / 255);

/** Linear light of an sRGB channel, as defined in WCAG 2.2 under "relative luminance". */
const linear = (c: number): number => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);

/** WCAG 2.2 contrast ratio. */
function contrast(a: string, b: string): number {
  const luminance = (hex: string): number => {
    const [r, g, blue] = channels(hex).map(linear);
    return 0.2126 * r! + 0.7152 * g! + 0.0722 * blue!;
  };
  const [low, high] = [luminance(a), luminance(b)].sort((p, q) => p - q);
  return (high! + 0.05) / (low! + 0.05);
}

/**
 * Machado, Oliveira and Fernandes, "A Physiologically-based Model for Simulation of Color Vision
 * Deficiency", IEEE TVCG 15(6), 2009: matrices on linear RGB at full severity.
 */
const vision: Readonly<Record<string, readonly (readonly number[])[]>> = {
  protanopia: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deuteranopia: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
};

/** Distance in CIELAB (CIE 1976, D65), where about 2.3 is just noticeable. */
function distance(a: readonly number[], b: readonly number[]): number {
  const lab = ([r, g, blue]: readonly number[]) => {
    const f = (t: number): number => (t > (6 / 29) ** 3 ? Math.cbrt(t) : t / (3 * (6 / 29) ** 2) + 4 / 29);
    const x = f((0.4124 * r! + 0.3576 * g! + 0.1805 * blue!) / 0.9505);
    const y = f(0.2126 * r! + 0.7152 * g! + 0.0722 * blue!);
    const z = f((0.0193 * r! + 0.1192 * g! + 0.9505 * blue!) / 1.089);
    return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
  };
  const [p, q] = [lab(a), lab(b)];
  return Math.hypot(p[0]! - q[0]!, p[1]! - q[1]!, p[2]! - q[2]!);
}

const dataHues = [colours.model, colours.alarm, colours.good];
const dark = "#14181d";

describe("colours", () => {
  test("of data come from the named set", () => {
    for (const hue of dataHues) expect(okabeIto).toContain(hue.light);
  });

  test("of text have contrast 4.5 and of marks 3 on light and dark pages (WCAG 2.2, 1.4.3 and 1.4.11)", () => {
    for (const text of [colours.ink, colours.muted]) {
      expect(contrast(text.light, "#ffffff")).toBeGreaterThan(4.5);
      expect(contrast(text.dark, dark)).toBeGreaterThan(4.5);
    }
    for (const mark of [...dataHues, colours.measured]) {
      expect(contrast(mark.light, "#ffffff")).toBeGreaterThan(3);
      expect(contrast(mark.dark, dark)).toBeGreaterThan(3);
    }
  });

  test.each(Object.entries(vision))("of data stay apart with %s", (_, matrix) => {
    for (const page of ["light", "dark"] as const) {
      const seen = dataHues.map((hue) => {
        const rgb = channels(hue[page]).map(linear);
        return matrix.map((row) =>
          Math.min(
            1,
            Math.max(
              0,
              row.reduce((sum, m, i) => sum + m * rgb[i]!, 0),
            ),
          ),
        );
      });
      for (const [i, j] of [
        [0, 1],
        [0, 2],
        [1, 2],
      ] as const) {
        expect(distance(seen[i]!, seen[j]!)).toBeGreaterThan(15);
      }
    }
  });
});

test("darkChartCss recolours each theme colour within the scope", () => {
  const css = darkChartCss(".chart");
  expect(css).toContain(`.chart [fill="${colours.ink.light}"]{fill:${colours.ink.dark}}`);
  expect(css.split("\n")).toHaveLength(2 * Object.keys(colours).length);
});
