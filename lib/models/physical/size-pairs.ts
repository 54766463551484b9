import { onlyDefined } from "../../errors/index.js";
import { type SectionKind, type UsualFullness, usualFullness } from "../../process/bead/index.js";
import type { Coupon, Response, StudyDefinition } from "../../study/index.js";
import { layerOf, layerSetOf } from "./layer-sets.js";
import { type MeasuredSize, measuredSize, responsesOf, sizeNames } from "./measured-sizes.js";

/** A width and a height whose product follows from the wire fed. */
export interface SizePair {
  readonly width: Response;
  readonly height: Response;
  /** What both are sizes of, as far as their names say. */
  readonly of?: "bead" | "wall";
}

type Family = Pick<MeasuredSize, "of">;

const compatible = (a: Family, b: Family): boolean =>
  a.of === undefined || b.of === undefined || a.of === b.of;

const familyOf = (response: Response): Family => measuredSize(response) ?? {};

/**
 * The pairs of a study that mass balance ties, each response in one pair at most: sizes of the same thing first, then
 * with the words that are said of beads and walls alike.
 */
export function sizePairs({ responses }: Pick<StudyDefinition, "responses">): readonly SizePair[] {
  const all = responsesOf(responses, "width").flatMap((width) =>
    responsesOf(responses, "height").flatMap((height): SizePair[] => {
      const [w, h] = [familyOf(width), familyOf(height)];
      return compatible(w, h) ? [{ width, height, ...(h.of === undefined ? w : h) }] : [];
    }),
  );
  const alike = ({ width, height }: SizePair): boolean => familyOf(width).of === familyOf(height).of;
  const taken = new Set<Response>();
  return [...all.filter(alike), ...all.filter((pair) => !alike(pair))].flatMap(({ width, height, of }) => {
    if (taken.has(width) || taken.has(height)) return [];
    taken.add(width).add(height);
    return [{ width, height, ...onlyDefined({ of }) }];
  });
}

/** The names that would make a pair with a response; none for one that mass balance does not concern. */
export function partnerNames(response: Pick<Response, "name" | "unit">): readonly string[] {
  const size = measuredSize(response);
  if (size?.role !== "width" && size?.role !== "height") return [];
  const partners = sizeNames(size.role === "width" ? "height" : "width");
  return partners.filter((partner) => compatible(size, partner)).map(({ name }) => name);
}

/**
 * What section a coupon shows: by the layer it names, else by what its sizes are called. A bead named by its layer is
 * a bead on plate on layer 1, and half a wall on layers 2 and 3.
 */
export function sectionKindOf(of: "bead" | "wall" | undefined, coupon: Coupon): SectionKind {
  const layer = layerOf(coupon);
  if (layer === undefined) return of === "wall" ? "wall" : "bead";
  if (layerSetOf(coupon) === "wall") return "wall";
  return layer === 1 && of !== "wall" ? "bead" : "first-layer";
}

/** The fullness that these coupons' sections usually have; that of first layers, the widest, where they are of several kinds. */
export function usualFullnessOf(of: "bead" | "wall" | undefined, coupons: readonly Coupon[]): UsualFullness {
  const kinds = new Set(coupons.map((coupon) => sectionKindOf(of, coupon)));
  const [only] = kinds.size === 0 ? [of === "wall" ? ("wall" as const) : ("bead" as const)] : kinds;
  return usualFullness[kinds.size > 1 ? "first-layer" : only!];
}
