import { describe, expect, test } from "vitest";
import { randomStream } from "../../lib/numeric/index.js";
import {
  measureArea,
  measureWidths,
  outlineArea,
  type Point,
  planeOfLength,
  planeOfRectangle,
  widthsBetween,
} from "../../lib/photo/index.js";
import { expectDigits } from "../support/digits.js";
import { fc } from "../support/properties.js";
import { type Camera, clickOnEdge, cornersSeen, seen } from "./camera.js";

const Z95 = 1.96;
const card = { width: 60, height: 40 } as const;
const cameras: readonly Camera[] = [0, 15, 30, 45].map((tilt, k) => ({
  tilt,
  turn: [0, 7, -20, 33][k]!,
  distance: 300,
  focal: 6000,
}));

describe("planeOfRectangle", () => {
  const tilted = fc.record({
    tilt: fc.double({ min: -50, max: 50, noNaN: true }),
    turn: fc.double({ min: -180, max: 180, noNaN: true }),
    distance: fc.double({ min: 150, max: 600, noNaN: true }),
    focal: fc.double({ min: 2000, max: 8000, noNaN: true }),
  });

  test("gives every point of the plane back, as a pinhole camera saw it", () => {
    const inside = fc.double({ min: -0.5, max: 0.5, noNaN: true });
    fc.assert(
      fc.property(tilted, inside, inside, (camera, u, v) => {
        const plane = planeOfRectangle(cornersSeen(camera, card.width, card.height), card);
        const point = { x: u * card.width, y: v * card.height };
        const found = plane(seen(camera, point));
        expect(
          Math.hypot(found.x - card.width / 2 - point.x, found.y - card.height / 2 - point.y),
        ).toBeLessThan(1e-8);
      }),
    );
  });

  test("agrees with the eight linear equations of a homography, solved by elimination", () => {
    fc.assert(
      fc.property(tilted, (camera) => {
        const corners = cornersSeen(camera, card.width, card.height);
        const to = [
          { x: 0, y: 0 },
          { x: card.width, y: 0 },
          { x: card.width, y: card.height },
          { x: 0, y: card.height },
        ];
        const [a, b, c, d, e, f, g, h] = solve(
          corners.flatMap(({ x, y }, k) => [
            [x, y, 1, 0, 0, 0, -x * to[k]!.x, -y * to[k]!.x, to[k]!.x],
            [0, 0, 0, x, y, 1, -x * to[k]!.y, -y * to[k]!.y, to[k]!.y],
          ]),
        ) as [number, number, number, number, number, number, number, number];
        const at = { x: 1480, y: 1015 };
        const w = g * at.x + h * at.y + 1;
        const found = planeOfRectangle(corners, card)(at);
        expectDigits(found.x, (a * at.x + b * at.y + c) / w, 6);
        expectDigits(found.y, (d * at.x + e * at.y + f) / w, 6);
      }),
    );
  });

  test.each([
    [
      "a corner inside the others",
      [
        [0, 0],
        [100, 0],
        [30, 30],
        [0, 100],
      ],
    ],
    [
      "sides that cross",
      [
        [0, 0],
        [100, 100],
        [100, 0],
        [0, 100],
      ],
    ],
    [
      "corners on a line",
      [
        [0, 0],
        [50, 0],
        [100, 0],
        [0, 100],
      ],
    ],
    [
      "corners in one place",
      [
        [0, 0],
        [1, 0],
        [1, 1],
        [0, 1],
      ],
    ],
  ])("refuses %s", (_, places) => {
    const corners = places.map(([x, y]) => ({ x: x!, y: y! })) as unknown as Parameters<
      typeof planeOfRectangle
    >[0];
    expect(() => planeOfRectangle(corners, card)).toThrow(/do not make the picture of a rectangle/);
  });
});

test("planeOfLength refuses a length of nothing and points on each other", () => {
  const [a, b] = [
    { x: 0, y: 0 },
    { x: 400, y: 300 },
  ];
  expectDigits(planeOfLength([a, b], 50)(b).x, 40, 12);
  expect(() => planeOfLength([a, b], 0)).toThrow(/known length must be above 0 mm/);
  expect(() => planeOfLength([a, { x: 1, y: 1 }], 50)).toThrow(/lie on each other/);
});

describe("widthsBetween", () => {
  const angle = fc.double({ min: -3, max: 3, noNaN: true });

  test("is the distance of two parallel lines, wherever on them the points lie", () => {
    const places = fc.array(fc.double({ min: -20, max: 20, noNaN: true }), { minLength: 4, maxLength: 4 });
    fc.assert(
      fc.property(angle, places, places, (turn, first, second) => {
        const spread = (list: readonly number[]): readonly number[] => [-25, ...list, 25];
        const point = (along: number, across: number): Point => ({
          x: along * Math.cos(turn) - across * Math.sin(turn),
          y: along * Math.sin(turn) + across * Math.cos(turn),
        });
        const widths = widthsBetween(
          [spread(first).map((t) => point(t, 0)), spread(second).map((t) => point(t, 6.2))],
          5,
        );
        expect(widths).toHaveLength(5);
        for (const width of widths) expectDigits(width, 6.2, 9);
      }),
    );
  });

  test("follows a bead that grows wider, station by station", () => {
    const edges = [-1, 1].map((side) => [0, 10, 20, 30].map((x) => ({ x, y: side * (2 + 0.05 * x) }))) as [
      Point[],
      Point[],
    ];
    const widths = widthsBetween(edges, 3);
    [4.5, 5.5, 6.5].forEach((width, k) => {
      expectDigits(widths[k]!, width, 9);
    });
  });

  test("refuses edges that do not run beside each other", () => {
    const edge = (from: number): Point[] => [
      { x: from, y: 0 },
      { x: from + 10, y: 0.1 },
    ];
    expect(() => widthsBetween([edge(0), edge(20)], 3)).toThrow(/do not run beside each other/);
    expect(() => widthsBetween([edge(0), [{ x: 0, y: 5 }]], 3)).toThrow(/at least two points, got 1/);
  });
});

describe("outlineArea", () => {
  test("is that of the rectangle and of the triangle, traced either way round", () => {
    const square = [
      { x: 1, y: 1 },
      { x: 4, y: 1 },
      { x: 4, y: 3 },
      { x: 1, y: 3 },
    ];
    expect(outlineArea(square)).toBe(6);
    expect(outlineArea([...square].reverse())).toBe(6);
  });

  test("refuses an outline that crosses itself, or has two points", () => {
    const bow = [
      { x: 0, y: 0 },
      { x: 4, y: 4 },
      { x: 4, y: 0 },
      { x: 0, y: 4 },
    ];
    expect(() => outlineArea(bow)).toThrow(/crosses itself/);
    expect(() => outlineArea(bow.slice(0, 2))).toThrow(/at least three points, got 2/);
  });
});

describe("a drawn bead of known width", () => {
  const bead = { half: 3.1, tilt: 4 } as const;
  /** The bead runs across the picture, a little aslant. */
  const slant = Math.tan((bead.tilt * Math.PI) / 180);
  const isBright = ({ x, y }: Point): boolean =>
    Math.abs(y - slant * x) * Math.cos(Math.atan(slant)) < bead.half;
  const edgePoint = (x: number, side: number): Point => ({
    x,
    y: slant * x + (side * bead.half) / Math.cos(Math.atan(slant)),
  });

  test.each(cameras.flatMap((camera) => [0.5, 2, 4].map((blur) => ({ ...camera, blur }))))(
    "is measured within 1 % or the error stated, tilt $tilt deg, blur $blur px",
    ({ blur, ...camera }) => {
      const edges = [-1, 1].map((side) =>
        [-18, -9, 0, 9, 18].map((x) => {
          const near = seen(camera, edgePoint(x, side));
          const beyond = seen(camera, edgePoint(x, side * 1.1));
          const length = Math.hypot(beyond.x - near.x, beyond.y - near.y);
          const along = { x: (beyond.x - near.x) / length, y: (beyond.y - near.y) / length };
          return clickOnEdge({ camera, isBright, near, along, blur });
        }),
      ) as [Point[], Point[]];
      const points = cornersSeen(camera, card.width, card.height).map(({ x, y }) => ({
        x: Math.round(x),
        y: Math.round(y),
      })) as unknown as Parameters<typeof planeOfRectangle>[0];
      const reading = {
        scale: { kind: "rectangle", points, ...card, sd: 0.02 },
        clickSd: 0.4 + 0.1 * blur,
      } as const;
      const { stations, mean } = measureWidths(reading, edges, 4);
      for (const { value, sd } of [...stations, mean]) {
        expect(Math.abs(value - 2 * bead.half)).toBeLessThan(Math.max(0.01 * 2 * bead.half, Z95 * sd));
        expect(sd).toBeLessThan(0.03 * 2 * bead.half);
      }
    },
  );

  test("seen under a tilt is measured wrong by one scale for all of it, which four corners mend", () => {
    const [, , camera] = cameras;
    const edges = [-1, 1].map((side) => [-18, 0, 18].map((x) => seen(camera!, edgePoint(x, side)))) as [
      Point[],
      Point[],
    ];
    const corners = cornersSeen(camera!, card.width, card.height);
    const one = { kind: "length", points: [corners[0], corners[1]], length: card.width, sd: 0 } as const;
    const four = { kind: "rectangle", points: corners, ...card, sd: 0 } as const;
    const wrong = measureWidths({ scale: one, clickSd: 0.3 }, edges, 1).mean.value;
    const right = measureWidths({ scale: four, clickSd: 0.3 }, edges, 1).mean.value;
    expect(Math.abs(wrong - 6.2) / 6.2).toBeGreaterThan(0.05);
    expectDigits(right, 6.2, 6);
  });
});

describe("the error stated", () => {
  const camera = cameras[2]!;
  const noise =
    (stream: ReturnType<typeof randomStream>, sd: number) =>
    ({ x, y }: Point): Point => ({
      x: x + sd * stream.normal(),
      y: y + sd * stream.normal(),
    });

  test("holds the true width about 95 times in 100, of stations and of their mean", () => {
    const stream = randomStream(20260401);
    const sd = 1.5;
    const runs = 600;
    let [station, mean] = [0, 0];
    for (let k = 0; k < runs; k++) {
      const set = noise(stream, sd);
      const edges = [-3, 3].map((y) => [-18, -6, 6, 18].map((x) => set(seen(camera, { x, y })))) as [
        Point[],
        Point[],
      ];
      const points = cornersSeen(camera, card.width, card.height).map(set) as unknown as Parameters<
        typeof planeOfRectangle
      >[0];
      const known = {
        width: card.width + 0.1 * stream.normal(),
        height: card.height + 0.1 * stream.normal(),
      };
      const found = measureWidths(
        { scale: { kind: "rectangle", points, ...known, sd: 0.1 }, clickSd: sd },
        edges,
        3,
      );
      const holds = ({ value, sd: own }: { readonly value: number; readonly sd: number }): boolean =>
        Math.abs(value - 6) < Z95 * own;
      station += Number(holds(found.stations[0]!));
      mean += Number(holds(found.mean));
    }
    // Four standard errors of a share of 0.95 in 600.
    for (const count of [station, mean])
      expect(Math.abs(count / runs - 0.95)).toBeLessThan(4 * Math.sqrt((0.95 * 0.05) / runs));
  });

  test("grows with that of the points and of the scale, and the mean keeps that of the scale", () => {
    const edges = [-3, 3].map((y) => [-18, -6, 6, 18].map((x) => seen(camera, { x, y }))) as [
      Point[],
      Point[],
    ];
    const points = cornersSeen(camera, card.width, card.height);
    const at = (clickSd: number, sd: number, stations = 3) =>
      measureWidths({ scale: { kind: "rectangle", points, ...card, sd }, clickSd }, edges, stations).mean;
    expect(at(2, 0).sd).toBeGreaterThan(1.9 * at(1, 0).sd);
    expect(at(1, 0.4).parts.scale).toBeGreaterThan(at(1, 0.1).parts.scale);
    // A side of 40 mm that is off by 0.4 mm makes 6 mm off by 0.06, however many stations there are.
    expect(at(0.01, 0.4, 12).sd).toBeGreaterThan(0.055);
  });
});

describe("a drawn section", () => {
  const scale = {
    kind: "length",
    points: [
      { x: 100, y: 900 },
      { x: 1100, y: 900 },
    ],
    length: 25,
    sd: 0.05,
  } as const;
  const perMm = 40;
  /** A crown: the part of a circle of 5 mm above a line 3 mm over its middle. Its area by the formula of the segment. */
  const [radius, below] = [5, 3];
  const half = Math.acos(below / radius);
  const area = radius ** 2 * (half - Math.sin(half) * Math.cos(half));
  const crown = (count: number): Point[] =>
    Array.from({ length: count }, (_, k) => {
      const angle = half * ((2 * k) / (count - 1) - 1);
      return {
        x: Math.round(600 + perMm * radius * Math.sin(angle)),
        y: Math.round(500 - perMm * radius * Math.cos(angle)),
      };
    });

  test.each([7, 12, 30])("has its area within the error stated, traced by %i points", (count) => {
    const { value, sd } = measureArea({ scale, clickSd: 0.5 }, crown(count));
    expect(Math.abs(value - area)).toBeLessThan(Z95 * sd);
    expect(sd).toBeLessThan(count < 10 ? 0.06 * area : 0.03 * area);
  });
});

/** Solves linear equations, each row with its right side behind it, by elimination with pivots. */
function solve(rows: readonly (readonly number[])[]): number[] {
  const m = rows.map((row) => [...row]);
  const n = m.length;
  for (let k = 0; k < n; k++) {
    const pivot = m
      .slice(k)
      .reduce((best, row, i) => (Math.abs(row[k]!) > Math.abs(m[best]![k]!) ? k + i : best), k);
    [m[k], m[pivot]] = [m[pivot]!, m[k]!];
    for (let i = k + 1; i < n; i++) {
      const factor = m[i]![k]! / m[k]![k]!;
      for (let j = k; j <= n; j++) m[i]![j]! -= factor * m[k]![j]!;
    }
  }
  const x = new Array<number>(n).fill(0);
  for (let k = n - 1; k >= 0; k--)
    x[k] =
      (m[k]![n]! - x.slice(k + 1).reduce((sum, value, j) => sum + value * m[k]![k + 1 + j]!, 0)) / m[k]![k]!;
  return x;
}
