import type { Corners, PhotoScale, Point } from "../../../photo/index.js";

/** What is read from a picture. */
export type MeasureKind = "width" | "height" | "outline";

/** A point someone sets on the picture. */
export interface Mark {
  readonly label: string;
  readonly group: "scale" | "first" | "second" | "outline";
  /** In pixels of the picture. */
  at: Point;
}

/** Points along each edge to begin with. */
const EDGE_POINTS = 4;

/** Names of the two edges, by what is measured. */
const edgeNames = {
  width: ["Left edge", "Right edge"],
  height: ["Base", "Top"],
} as const;

/** Points of the scale to begin with, near the lower border of the picture. */
export function scaleMarks(kind: PhotoScale["kind"], size: Point): Mark[] {
  const at = (x: number, y: number): Point => ({ x: Math.round(x * size.x), y: Math.round(y * size.y) });
  if (kind === "length")
    return [
      { label: "Scale, one end", group: "scale", at: at(0.2, 0.88) },
      { label: "Scale, other end", group: "scale", at: at(0.8, 0.88) },
    ];
  const places = [
    ["upper left", 0.12, 0.12],
    ["upper right", 0.88, 0.12],
    ["lower right", 0.88, 0.88],
    ["lower left", 0.12, 0.88],
  ] as const;
  return places.map(([name, x, y]) => ({ label: `Rectangle, ${name}`, group: "scale", at: at(x, y) }));
}

/** Points on both edges to begin with; none of an outline, which is traced. */
export function edgeMarks(kind: MeasureKind, size: Point): Mark[] {
  if (kind === "outline") return [];
  return (["first", "second"] as const).flatMap((group, side) =>
    Array.from({ length: EDGE_POINTS }, (_, k): Mark => {
      const along = 0.2 + (0.6 * k) / (EDGE_POINTS - 1);
      const across = side === 0 ? 0.4 : 0.6;
      const [x, y] = kind === "width" ? [across, along] : [along, 1 - across];
      return {
        label: `${edgeNames[kind][side]}, point ${k + 1}`,
        group,
        at: { x: Math.round(x * size.x), y: Math.round(y * size.y) },
      };
    }),
  );
}

/** Points of one group, in their order. */
export const pointsOf = (marks: readonly Mark[], group: Mark["group"]): readonly Point[] =>
  marks.filter((mark) => mark.group === group).map(({ at }) => at);

/** What is known of the scale. */
export interface KnownSize {
  readonly width: number;
  readonly height: number;
  /** Standard deviation, mm. */
  readonly sd: number;
}

/** The scale that the points and the known size give. */
export function scaleOf(kind: PhotoScale["kind"], marks: readonly Mark[], known: KnownSize): PhotoScale {
  const points = pointsOf(marks, "scale");
  return kind === "length"
    ? { kind, points: points as readonly [Point, Point] as [Point, Point], length: known.width, sd: known.sd }
    : { kind, points: points as unknown as Corners, width: known.width, height: known.height, sd: known.sd };
}
