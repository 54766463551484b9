import type { DesignFactor } from "../../../lib/design/region/index.js";

/** A length from 0 to `high` mm in steps of 1 mm: its values are their own indices. */
export const number = (name: string, high = 10): DesignFactor => ({
  name,
  unit: "mm",
  low: 0,
  high,
  step: 1,
});

/** A category of three levels. */
export const cup: DesignFactor = {
  name: "cup",
  unit: "1",
  kind: "category",
  levels: ["small", "mid", "large"],
};

/** Every point of some axes with so many levels. */
export const allPoints = (sizes: readonly number[]): number[][] =>
  sizes.reduce<number[][]>(
    (points, size) =>
      points.flatMap((point) => Array.from({ length: size }, (_, level) => [...point, level])),
    [[]],
  );
