import type { Finding } from "../errors/index.js";
import type { StudyData } from "../study/index.js";
import { type LayerSet, selectLayers } from "./physical/index.js";
import { soundCoupons } from "./plausibility/index.js";

/** The coupons that an outcome model is built from. */
export interface OutcomeData extends StudyData {
  readonly layers: LayerSet;
  /** What was left out. */
  readonly findings: readonly Finding[];
}

/**
 * The logged coupons of a study that an outcome model may rest on: of first layers or of walls, without values the check
 * refuses and without coupons someone leaves out.
 */
export function outcomeData(
  { definition, coupons }: StudyData,
  { without = [], layers: wanted }: { readonly without?: readonly string[]; readonly layers?: LayerSet } = {},
): OutcomeData {
  const { layers, coupons: selected, findings } = selectLayers({ coupons }, wanted);
  const sound = soundCoupons({
    definition,
    coupons: selected.filter(({ id, state }) => state === "logged" && !without.includes(id)),
  });
  return { definition, layers, coupons: sound.coupons, findings: [...findings, ...sound.findings] };
}
