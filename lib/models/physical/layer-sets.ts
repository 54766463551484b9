import type { Finding } from "../../errors/index.js";
import { counted } from "../../numeric/figures/index.js";
import type { Coupon, StudyData } from "../../study/index.js";

/**
 * Where in a build a coupon was measured: `first` on the base or on layers 1 to 3, `wall` from layer 4 on. The two
 * obey different laws: a cold base makes the first layers taller and narrower, so they are never fitted together.
 */
export type LayerSet = "first" | "wall";

/** Last layer that still feels the base. Common practice, no source: 3, on cold thick bases up to 5. */
const LAST_FIRST_LAYER = 3;

/** Coupons of one layer set, and which were set aside. */
export interface LayerSelection {
  readonly layers: LayerSet;
  readonly coupons: readonly Coupon[];
  /** Logged coupons of the other set, or with a layer that is none. */
  readonly aside: readonly string[];
  readonly findings: readonly Finding[];
}

/** The layer a coupon says it was measured on, if it names one: its context, a factor or a block column called `layer`. */
export function layerOf({ context, settings, blocks }: Coupon): number | undefined {
  const said = context.layer?.value ?? settings.layer ?? blocks.layer;
  return said === undefined ? undefined : Number(said);
}

/**
 * The set a coupon belongs to. A coupon that names no layer is a single bead on the base, which is layer 1.
 *
 * @returns undefined for a layer that is no whole number from 1
 */
export function layerSetOf(coupon: Coupon): LayerSet | undefined {
  const layer = layerOf(coupon) ?? 1;
  if (!Number.isInteger(layer) || layer < 1) return undefined;
  return layer <= LAST_FIRST_LAYER ? "first" : "wall";
}

/**
 * The coupons of one layer set; without a wish the set with more logged coupons (`first` on a tie). Whatever is set
 * aside is named in the findings, with the way to ask for it. Planned and voided coupons go along with either set.
 */
export function selectLayers({ coupons }: Pick<StudyData, "coupons">, wanted?: LayerSet): LayerSelection {
  const logged = coupons.filter(({ state }) => state === "logged");
  const ids: Readonly<Record<LayerSet | "odd", string[]>> = { first: [], wall: [], odd: [] };
  for (const coupon of logged) ids[layerSetOf(coupon) ?? "odd"].push(coupon.id);
  const layers = wanted ?? (ids.wall.length > ids.first.length ? "wall" : "first");
  const other = layers === "first" ? "wall" : "first";
  const aside = [...ids[other], ...ids.odd];
  return {
    layers,
    coupons: aside.length === 0 ? coupons : coupons.filter(({ id }) => !aside.includes(id)),
    aside,
    findings: [...otherSet(layers, other, ids), ...oddLayers(ids.odd)],
  };
}

const wording: Readonly<Record<LayerSet, string>> = {
  first: `the base and layers 1 to ${LAST_FIRST_LAYER}`,
  wall: `layers ${LAST_FIRST_LAYER + 1} and up of a wall`,
};

function otherSet(
  layers: LayerSet,
  other: LayerSet,
  ids: Readonly<Record<LayerSet, readonly string[]>>,
): readonly Finding[] {
  if (ids[other].length === 0) return [];
  const count = (set: LayerSet): string => counted(ids[set].length, "coupon");
  return [
    {
      code: "layers-kept-apart",
      severity: "info",
      message: `used ${count(layers)} on ${wording[layers]}; ${count(other)} on ${wording[other]} set aside, because first layers and walls follow different laws`,
      advice: `ask for the others with --layers ${other} (in a notebook: selectLayers(coupons, "${other}"))`,
      about: ids[other],
    },
  ];
}

function oddLayers(ids: readonly string[]): readonly Finding[] {
  if (ids.length === 0) return [];
  return [
    {
      code: "odd-layer",
      severity: "warning",
      message: `set aside, because their layer is no whole number from 1: ${ids.join(", ")}`,
      advice: "log a correction; layer 1 lies on the base",
      about: ids,
    },
  ];
}
