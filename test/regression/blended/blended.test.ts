import { describe, expect, test } from "vitest";
import { randomStream, tQuantile } from "../../../lib/numeric/index.js";
import {
  type BlendedPoint,
  type BlendedRows,
  blendedColumns,
  blendedDf,
  blendedLeftOut,
  fitBlended,
  predictBlended,
  stackingWeights,
} from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";

interface Reference {
  readonly points: readonly (readonly number[])[];
  readonly bent: readonly (readonly number[])[];
  readonly y: readonly number[];
  readonly setting: readonly number[];
  readonly block: readonly string[];
  readonly shares: Readonly<
    Record<"departure" | "straight" | "bent" | "common" | "shift", number> & {
      readonly lengths: readonly number[];
    }
  >;
  readonly at: readonly (readonly number[])[];
  readonly atBent: readonly (readonly number[])[];
  readonly mean: readonly number[];
  readonly sd: readonly number[];
  readonly nextSd: readonly number[];
  readonly leftOut: readonly (readonly [number, number, number])[];
}
/** By dense matrices (fixtures/blended.py). */
const reference = readFixture<Reference>(import.meta.url, "fixtures/blended.json");
const rows: BlendedRows = {
  straight: reference.points,
  bent: reference.bent,
  y: reference.y,
  setting: reference.setting.map(String),
  block: reference.block,
};

/** The one draw whose variances are the reference's, by the medians and spreads of the documented beliefs. */
function drawOf({
  lengths,
  departure,
  straight,
  bent,
  common,
  shift,
}: Reference["shares"]): readonly number[] {
  const z = (value: number, median: number, logSd: number): number => Math.log(value / median) / logSd;
  return [
    ...lengths.map((length) => z(length, 2, 1.5)),
    z(departure, 1, 2),
    z(straight, 30, 2),
    z(common / (1 - common), 0.3, 1.5),
    z(bent, 0.3, 2),
    z(shift, 0.3, 1.5),
  ];
}
const given = { rows, draws: [drawOf(reference.shares)], slips: [], seed: 1 };

describe("a blended surface with given variances, against dense matrices", () => {
  test("in the second of two codings, whichever the rows or points hold as the first", () => {
    const bowed = (list: readonly (readonly number[])[]) => list.map((row) => row.map(Math.exp));
    const other = { straight: bowed(rows.straight), bent: bowed(rows.bent) };
    const turned = { ...rows, ...other, otherwise: { straight: rows.straight, bent: rows.bent } };
    const second = { ...given, rows: turned, draws: [[...given.draws[0]!, 1]] };
    const first = { ...given, rows: { ...rows, otherwise: other }, draws: [[...given.draws[0]!, -1]] };
    const points = reference.at.map((straight, i) => ({ straight, bent: reference.atBent[i]! }));
    const said = predictBlended(given, points);
    expect(
      predictBlended(
        second,
        points.map((point) => ({ straight: [9, 9], bent: [9, 9, 9], otherwise: point })),
      ),
    ).toEqual(said);
    expect(predictBlended(first, points)).toEqual(said);
    const folds = [{ rows: [0], without: [0] }];
    expect(blendedLeftOut(second, folds)).toEqual(blendedLeftOut(given, folds));
  });

  test("mean and standard deviations of surface and next row", () => {
    const points = reference.at.map((straight, i) => ({ straight, bent: reference.atBent[i]! }));
    predictBlended(given, points).forEach(({ mean, sd, nextSd }, i) => {
      expectDigits(mean, reference.mean[i]!, 10);
      expectDigits(sd, reference.sd[i]!, 9);
      expectDigits(nextSd, reference.nextSd[i]!, 9);
    });
  });

  test("settings left out are foreseen as by a surface that never saw them", () => {
    const folds = [...new Set(reference.setting)].map((setting) => {
      const members = reference.setting.flatMap((other, i) => (other === setting ? [i] : []));
      return { rows: members, without: members };
    });
    const said = blendedLeftOut(given, folds).flat();
    reference.leftOut.forEach(([row, mean, sd]) => {
      expectDigits(said[folds.flatMap((fold) => fold.rows).indexOf(row)]!.mean, mean, 9, `row ${row}`);
      expectDigits(said[folds.flatMap((fold) => fold.rows).indexOf(row)]!.sd, sd, 8, `row ${row}`);
    });
  });
});

/** Invented laws in two columns that neither a plane nor a square holds. */
const laws: readonly ((a: number, b: number) => number)[] = [
  (a, b) => 0.4 * a - 0.3 * b,
  (a, b) => Math.tanh(2 * a) * 0.4 - 0.2 * b,
  (a, b) => 0.3 * a * b + 0.4 / (1 + Math.exp(-6 * (a + b))),
  (a, b) => 0.5 * Math.exp(-(a + 1)) * (1 - b),
];

/** Rows of a law at random points, every third point twice, with 5 % scatter. */
function simulate(seed: number, law: (a: number, b: number) => number, count: number): BlendedRows {
  const rng = randomStream(seed);
  const points: number[][] = [];
  for (let i = 0; i < count; i++) {
    points.push(i % 3 === 2 ? points[i - 1]! : [2 * rng.uniform() - 1, 2 * rng.uniform() - 1]);
  }
  return {
    straight: points,
    bent: points.map(([a, b]) => [a! * b!, a! ** 2, b! ** 2]),
    y: points.map(([a, b]) => law(a!, b!) + 0.05 * rng.normal()),
    setting: points.map((point) => point.join()),
  };
}
const pointOf = (a: number, b: number) => ({ straight: [a, b], bent: [a * b, a * a, b * b] });

describe("a blended surface", () => {
  test.each([12, 20])("of %i rows holds the next row in about 95 of 100 of its intervals", (count) => {
    let inside = 0;
    let all = 0;
    for (let seed = 1; seed <= 40; seed++) {
      const law = laws[seed % laws.length]!;
      const fit = fitBlended(simulate(seed, law, count));
      const rng = randomStream(seed + 90000);
      const at = Array.from(
        { length: 25 },
        () => [1.8 * rng.uniform() - 0.9, 1.8 * rng.uniform() - 0.9] as const,
      );
      const reach = tQuantile(0.975, blendedDf(fit));
      predictBlended(
        fit,
        at.map(([a, b]) => pointOf(a, b)),
      ).forEach(({ mean, nextSd }, i) => {
        const next = law(...at[i]!) + 0.05 * rng.normal();
        all++;
        if (Math.abs(next - mean) <= reach * nextSd) inside++;
      });
    }
    expect(inside / all).toBeGreaterThan(0.93);
    expect(inside / all).toBeLessThan(0.975);
  });

  test("of columns in two codings foresees nearly as well as one told which of them is right", () => {
    const span = 1.4;
    const coded = (a: number): number =>
      (2 * (Math.exp(span * a) - Math.exp(-span))) / (Math.exp(span) - Math.exp(-span)) - 1;
    const asOther = ({ straight: [a, b] }: { readonly straight: readonly number[] }) =>
      pointOf(coded(a!), coded(b!));
    const squares = { told: 0, open: 0, misled: 0 };
    for (let seed = 1; seed <= 40; seed++) {
      // Straight in one coding on even seeds, in the other on odd ones.
      const plain = (a: number, b: number): number => 0.6 * a - 0.4 * b;
      const law = seed % 2 === 0 ? plain : (a: number, b: number): number => plain(coded(a), coded(b));
      const one = simulate(seed, law, 15);
      const points = one.straight.map((straight, i) => ({ straight, bent: one.bent[i]! }));
      const other = { ...one, ...blendedColumns(points.map(asOther)) };
      const both = {
        ...one,
        ...blendedColumns(points.map((point) => ({ ...point, otherwise: asOther(point) }))),
      };
      const rng = randomStream(seed + 90000);
      const at = Array.from({ length: 25 }, () => pointOf(2 * rng.uniform() - 1, 2 * rng.uniform() - 1));
      const ask = (rows: BlendedRows, points: readonly BlendedPoint[]): number =>
        predictBlended(fitBlended(rows), points).reduce(
          (sum, { mean }, i) => sum + (mean - law(at[i]!.straight[0]!, at[i]!.straight[1]!)) ** 2,
          0,
        );
      const inFirst = ask(one, at);
      const inOther = ask(other, at.map(asOther));
      squares.told += seed % 2 === 0 ? inFirst : inOther;
      squares.misled += seed % 2 === 0 ? inOther : inFirst;
      squares.open += ask(
        both,
        at.map((point) => ({ ...point, otherwise: asOther(point) })),
      );
    }
    expect(Math.sqrt(squares.open / squares.told)).toBeLessThan(1.15);
    expect(Math.sqrt(squares.misled / squares.told)).toBeGreaterThan(1.3);
  });

  test("names a slip of eight standard deviations, and is hardly moved by it", () => {
    const clean = simulate(5, laws[1]!, 24);
    const slipped = { ...clean, y: clean.y.map((value, i) => (i === 9 ? value + 0.4 : value)) };
    const fit = fitBlended(slipped);
    expect(fit.slips.map(({ row }) => row)).toEqual([9]);
    expect(fit.slips[0]!.deviation).toBeGreaterThan(4);
    const at = [pointOf(0.2, 0.3), pointOf(...(clean.straight[9] as [number, number]))];
    const own = predictBlended(fitBlended(clean), at);
    predictBlended(fit, at).forEach(({ mean }, i) => {
      expect(Math.abs(mean - own[i]!.mean)).toBeLessThan(0.03);
    });
  });

  test("names one sound study in twenty at most", () => {
    const named = Array.from(
      { length: 30 },
      (_, seed) => fitBlended(simulate(seed, laws[seed % 4]!, 18)).slips.length,
    );
    expect(named.filter((count) => count > 0).length).toBeLessThanOrEqual(2);
  });

  test("gives the same answer for the same seed, whatever the unit of y", () => {
    const data = simulate(3, laws[2]!, 15);
    const large = { ...data, y: data.y.map((value) => 1000 * value - 7) };
    const [one] = predictBlended(fitBlended(data), [pointOf(0.1, -0.4)]);
    const [other] = predictBlended(fitBlended(large), [pointOf(0.1, -0.4)]);
    expectDigits(other!.mean, 1000 * one!.mean - 7, 6);
    expectDigits(other!.nextSd, 1000 * one!.nextSd, 6);
  });
});

describe("stackingWeights", () => {
  test("sum to 1, are not negative, and no shift between two of them errs less", () => {
    const rng = randomStream(4);
    const errors = Array.from({ length: 15 }, () => [
      rng.normal(),
      0.8 * rng.normal() + 0.2,
      2 * rng.normal(),
    ]);
    const prior = [0.7, 0.15, 0.15];
    const loss = (w: readonly number[]): number => {
      const square = errors.reduce((sum, row) => sum + row[0]! ** 2, 0) / errors.length;
      const own = errors.reduce((sum, row) => sum + row.reduce((part, e, k) => part + w[k]! * e, 0) ** 2, 0);
      return own / square + 2 * w.reduce((sum, value, k) => sum + (value - prior[k]!) ** 2, 0);
    };
    const weights = stackingWeights(errors, prior);
    expectDigits(
      weights.reduce((sum, w) => sum + w, 0),
      1,
      13,
    );
    for (const [from, to] of [
      [0, 1],
      [1, 0],
      [0, 2],
      [2, 0],
      [1, 2],
      [2, 1],
    ] as const) {
      const moved = weights.map((w, k) => (k === from ? w - 1e-3 : k === to ? w + 1e-3 : w));
      if (moved[from]! < 0) continue;
      expect(loss(moved)).toBeGreaterThanOrEqual(loss(weights) - 1e-9);
    }
    for (const w of weights) expect(w).toBeGreaterThanOrEqual(0);
  });
});
