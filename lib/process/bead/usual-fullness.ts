import { type SourcedValue, sourced } from "../handbook/index.js";

/** Sections whose fullness, area over width times height, is known by habit. */
export type SectionKind = "bead" | "first-layer" | "wall";

/** The fullness that sections of one kind show. */
export interface UsualFullness {
  /** What such sections are called, in the plural. */
  readonly what: string;
  /** The usual value; its range is where the mean of a study lies. */
  readonly value: SourcedValue & { readonly range: readonly [lower: number, upper: number] };
  /** Standard deviation of its logarithm from study to study; the range is about two of them to either side. */
  readonly logSd: number;
  /** Where a single coupon lies: the range with room for scatter and for wire lost or gauged wrongly. */
  readonly oneCoupon: readonly [lower: number, upper: number];
}

const usual = (value: number, range: readonly [number, number], source: string): UsualFullness["value"] => ({
  ...sourced(value, "1", "derived", source),
  range,
});

/**
 * Usual fullness A / (w h) of a section:
 *
 *     bead on plate  between a flat raised cosine (0.5) and a half ellipse (0.785)
 *     wall           1 - (1 - EWW / TWW) / 3 over the total width TWW, for parabolic side lobes and an effective
 *                    width EWW: 0.8 for EWW of two fifths, 1 for smooth sides
 *     first layer    anything from the bead that layer 1 is to the wall that layer 3 begins to be
 *
 * Ranges are rounded outwards. All values are the geometry of outlines; which outlines rigs lay down, and the
 * spreads, are common practice, no source.
 */
export const usualFullness: Readonly<Record<SectionKind, UsualFullness>> = {
  bead: {
    what: "bead sections",
    value: usual(
      0.69,
      [0.5, 0.85],
      "circular segment 0.2 to 0.22 times as high as wide (a parabola has 0.667)",
    ),
    logSd: 0.12,
    oneCoupon: [0.45, 0.95],
  },
  "first-layer": {
    what: "first layers",
    value: usual(0.8, [0.5, 1.05], "geometric middle of the usual bead and the usual wall"),
    logSd: 0.17,
    oneCoupon: [0.45, 1.2],
  },
  wall: {
    what: "walls",
    value: usual(
      0.93,
      [0.8, 1.05],
      "parabolic side lobes with an effective width of four fifths of the total",
    ),
    logSd: 0.06,
    oneCoupon: [0.7, 1.2],
  },
};
