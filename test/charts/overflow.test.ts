import { describe, expect, test } from "vitest";
import { renderSvg } from "../../lib/charts/index.js";
import { awkward } from "./awkward.js";
import { samples } from "./samples.js";

/** Advance widths of DejaVu Sans in em, from memory; other characters are taken as wide as a capital. */
const advance: Readonly<Record<string, number>> = {
  " ": 0.318,
  i: 0.278,
  l: 0.278,
  j: 0.278,
  t: 0.392,
  f: 0.352,
  r: 0.411,
  m: 0.974,
  w: 0.818,
  M: 0.863,
  W: 0.989,
  a: 0.613,
  b: 0.635,
  c: 0.55,
  d: 0.635,
  e: 0.615,
  g: 0.635,
  h: 0.634,
  k: 0.579,
  n: 0.634,
  o: 0.612,
  p: 0.635,
  q: 0.635,
  s: 0.521,
  u: 0.634,
  v: 0.592,
  x: 0.592,
  y: 0.592,
  z: 0.525,
  _: 0.5,
  ".": 0.318,
  ",": 0.318,
  "%": 0.95,
  "[": 0.39,
  "]": 0.39,
  "'": 0.275,
  "\\": 0.337,
};
const digits = /[0-9]/;
const widthOf = (text: string): number =>
  [...text].reduce((sum, char) => sum + (digits.test(char) ? 0.636 : (advance[char] ?? 0.7)), 0);

/** Texts of a drawing with where they stand, from its tags alone. */
function textsOf(svg: string) {
  const found: {
    text: string;
    x: number;
    y: number;
    anchor: string;
    size: number;
    turned: boolean;
    bold: boolean;
  }[] = [];
  const stack: [number, number][] = [[0, 0]];
  for (const [tag] of svg.matchAll(/<\/?[^>]+>(?:[^<]*)/g)) {
    const move = /transform="translate\((-?[\d.]+),(-?[\d.]+)\)/.exec(tag);
    const [dx, dy] = move === null ? [0, 0] : [Number(move[1]), Number(move[2])];
    if (tag.startsWith("<g")) {
      const [x, y] = stack.at(-1)!;
      stack.push([x + dx, y + dy]);
    } else if (tag.startsWith("</g")) stack.pop();
    else if (tag.startsWith("<text") && !/opacity="0"/.test(tag)) {
      const [x, y] = stack.at(-1)!;
      found.push({
        text: tag.replace(/^[^>]*>/, ""),
        x: x + dx,
        y: y + dy,
        anchor: /text-anchor="(\w+)"/.exec(tag)?.[1] ?? "start",
        size: Number(/font-size="([\d.]+)px"/.exec(tag)?.[1] ?? 11),
        turned: /rotate\(/.test(tag),
        bold: /font-weight="bold"/.test(tag),
      });
    }
  }
  return found;
}

/** Texts that reach out of the drawing by more than 2 px, measured by the font's own widths. */
function cut(svg: string): string[] {
  const [, width, height] = /width="([\d.]+)" height="([\d.]+)"/.exec(svg)!.map(Number);
  return textsOf(svg)
    .filter(({ turned }) => !turned)
    .flatMap(({ text, x, y, anchor, size, bold }) => {
      const plain = text.replace(/&[a-z]+;|&#\d+;/g, "m");
      const wide = widthOf(plain) * size * (bold ? 1.08 : 1);
      const left = anchor === "start" ? x : anchor === "end" ? x - wide : x - wide / 2;
      const beyond = Math.max(-left, left + wide - width!, size * 0.7 - y, y - height!);
      return beyond > 2 ? [`"${text}" by ${Math.round(beyond)} px`] : [];
    });
}

describe("no label is cut off", () => {
  test.each(Object.keys(samples))("%s, as made and 360 and 900 px wide", async (name) => {
    for (const width of [undefined, 360, 900]) {
      const svg = await renderSvg(samples[name]!(), width === undefined ? {} : { width });
      expect(cut(svg)).toEqual([]);
      expect(svg).not.toContain("…");
    }
  });

  // Ideographs and pictures are wider than this font says, so the browser judges those: `npm run gallery`.
  test.each(Object.keys(awkward).filter((name) => !name.includes("script names")))("%s", async (name) => {
    const svg = await renderSvg(awkward[name]!());
    expect(cut(svg)).toEqual([]);
    expect(svg).not.toMatch(/NaN|undefined|Infinity|<script/);
  });
});

describe("a width that is asked for", () => {
  const wideOf = (svg: string): number => Number(/ width="([\d.]+)"/.exec(svg)![1]);

  test.each(["residuals", "growth", "control", "learning", "standoff", "timeline", "gain"])(
    "%s is drawn to it",
    async (name) => {
      for (const width of [420, 700, 1100]) {
        expect(Math.abs(wideOf(await renderSvg(samples[name]!(), { width })) - width)).toBeLessThanOrEqual(2);
      }
    },
  );

  test("text keeps its size, plots that are about square keep their shape", async () => {
    const svg = await renderSvg(samples.predicted!(), { width: 1100 });
    expect(wideOf(svg)).toBeLessThan(700);
    expect(svg).toContain('font-size="11px"');
  });

  test("below 240 px is refused", async () => {
    await expect(renderSvg(samples.gain!(), { width: 100 })).rejects.toThrow(
      "renderSvg: width must be at least 240 px",
    );
  });
});

test("a dark drawing has no light ground, one that follows its theme has rules for both", async () => {
  const dark = await renderSvg(samples.gain!(), { scheme: "dark" });
  expect(dark).not.toContain("#ffffff");
  const both = await renderSvg(samples.gain!(), { scheme: "both" });
  expect(both).toMatch(
    /^<svg [^>]*class="follows-theme marks"[^>]*><style>@media \(prefers-color-scheme:dark\)/,
  );
  expect(both).toContain('[data-jp-theme-light="false"] svg.follows-theme [fill="#ffffff"]{fill:#14181d}');
});
