import { expect, test } from "vitest";
import { randomStream } from "../../../lib/numeric/index.js";
import {
  effectsBeside,
  type ForeseenRow,
  type SmoothSpread,
  smoothing,
} from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";

/** From scikit-learn's Gaussian process with every variance held, each row left out in earnest; see smooth.py. */
const reference = readFixture<{
  readonly spread: SmoothSpread;
  readonly x: number[][];
  readonly group: string[];
  readonly y: number[];
  readonly leftOut: readonly { readonly mean: number; readonly sd: number }[];
}>(import.meta.url, "fixtures/smooth.json");
const { x, y, group, spread } = reference;

test("what the others foresee for each row is what scikit-learn foresees without it", () => {
  const leftOut = smoothing({ x, y, group }).leftOut([], spread);
  reference.leftOut.forEach(({ mean, sd }, i) => {
    expectDigits(leftOut[i]!.mean, mean, 9, `mean of row ${i + 1}`);
    expectDigits(leftOut[i]!.sd, sd, 9, `sd of row ${i + 1}`);
  });
});

test("the spread found is at least as likely as others it may be", () => {
  const { likeliest, evidence } = smoothing({ x, y, group });
  const found = likeliest([]);
  for (const bend of [0.01, 0.03, 0.06, 0.11, 0.2, 0.4])
    expect(found.evidence).toBeGreaterThanOrEqual(evidence([], { ...found.spread, bend }));
  expect(evidence([], found.spread)).toBe(found.evidence);
});

test("an effect beside the settings is found again, and the error it is told with holds it as often as it says", () => {
  const random = randomStream(5);
  let held = 0;
  const studies = 60;
  for (let study = 0; study < studies; study++) {
    const settings = Array.from({ length: 24 }, () => [random.uniform() - 0.5, random.uniform() - 0.5]);
    const column = settings.map((_, i) => (i < 12 ? -0.5 : 0.5));
    const heights = settings.map(
      ([a, b], i) =>
        0.4 * a! - 0.3 * b! + 0.05 * Math.sin(4 * a!) + 0.2 * column[i]! + 0.05 * random.normal(),
    );
    const [effect] = effectsBeside({ x: settings, y: heights })([column]);
    expect(effect!.standardError).toBeLessThan(0.05);
    if (Math.abs(effect!.estimate - 0.2) < 2 * effect!.standardError) held++;
  }
  // 95 % of 60 is 57; plain least squares would give an error of 0.02.
  expect(held).toBeGreaterThanOrEqual(51);
});

test("columns asked for in between change nothing", () => {
  const effectsOf = effectsBeside({ x, y });
  const order = y.map((_, i) => i / 11 - 0.5);
  const half = y.map((_, i) => (i < 6 ? -0.5 : 0.5));
  const first = effectsOf([order]);
  effectsOf([half]);
  effectsOf([half, order]);
  expect(effectsOf([order])).toEqual(first);
});

/** From NumPy's Cholesky factors of whole covariances; see many-rows.py, whose rows these are. */
const many = readFixture<{
  readonly spread: SmoothSpread;
  readonly aside: readonly number[];
  readonly foreseen: readonly ForeseenRow[];
  readonly leftOut: readonly (ForeseenRow & { readonly row: number })[];
}>(import.meta.url, "fixtures/many-rows.json");

function manyRows() {
  const x = Array.from({ length: 260 }, (_, i) => [
    ((i * Math.SQRT2) % 1) - 0.5,
    ((i * Math.sqrt(3)) % 1) - 0.5,
  ]);
  const heights = x.map(
    ([a, b], i) => 0.5 * a! - 0.3 * b! + 0.08 * Math.sin(5 * a! * b!) + 0.05 * Math.sin(37 * i),
  );
  [2.3, -0.7, 0.4].forEach((slip, k) => {
    heights[many.aside[k]!]! += slip;
  });
  return { x, y: heights, group: x.map((_, i) => `day ${Math.floor(i / 20)}`) };
}

test("of many rows, those set aside and those left are foreseen as NumPy foresees them", () => {
  const { foreseen, leftOut } = smoothing(manyRows());
  const same = (actual: ForeseenRow, expected: ForeseenRow, what: string): void => {
    expectDigits(actual.mean, expected.mean, 9, `mean of ${what}`);
    expectDigits(actual.sd, expected.sd, 9, `sd of ${what}`);
  };
  const aside = foreseen(many.aside, many.spread);
  many.foreseen.forEach((one, i) => {
    same(aside[i]!, one, `row ${many.aside[i]} set aside`);
  });
  const left = leftOut(many.aside, many.spread);
  for (const one of many.leftOut) same(left[one.row]!, one, `row ${one.row}`);
  many.aside.forEach((row, i) => {
    expect(left[row]).toEqual(aside[i]);
  });
});

test("rows set aside are as rows that were never there", () => {
  const aside = [2, 9];
  const rest = <T>(all: readonly T[]): T[] => all.filter((_, i) => !aside.includes(i));
  const others = smoothing({ x: rest(x), y: rest(y), group: rest(group) });
  const without = others.likeliest([]);
  const expected = others.leftOut([], without.spread);
  const { likeliest, leftOut } = smoothing({ x, y, group });
  const found = likeliest(aside);
  expect(found.spread).toEqual(without.spread);
  expectDigits(found.evidence, without.evidence, 10);
  rest(leftOut(aside, found.spread)).forEach(({ mean, sd }, i) => {
    expectDigits(mean, expected[i]!.mean, 10);
    expectDigits(sd, expected[i]!.sd, 10);
  });
});
