import type { Coupon, StudyDefinition } from "../../study/index.js";
import { convert, sameDimension } from "../../units/index.js";
import type { Settings } from "../physical/index.js";
import { type Coordinate, studyCoordinates, toCoordinates } from "./coordinates.js";
import { couponOutcomes } from "./coupon-outcomes.js";
import { type LatentModel, latentModel } from "./latent.js";
import { latentValue } from "./latent-value.js";
import { physicalLogs } from "./physical-logs.js";
import { betweenLinkScales } from "./response-link.js";
import type { SeenCoupon } from "./seen-coupon.js";

/** A study to start from: another wire, another diameter, the rig before a rebuild. */
export interface OlderStudy {
  readonly definition: StudyDefinition;
  readonly coupons: readonly Coupon[];
}

/**
 * Lays an older study's coupons on the axes of a new one. Hidden quantities are compared, not dimensions:
 * fullness, for example, carries over between wire diameters where height does not. A coupon for which a
 * factor of the new study is not known is left out.
 */
export function olderCoupons(
  older: OlderStudy,
  definition: StudyDefinition,
  coordinates: readonly Coordinate[],
  latent: LatentModel,
): readonly SeenCoupon[] {
  const axes = studyCoordinates(older.definition);
  const outcomes = couponOutcomes(older.definition, older.coupons);
  const logs = physicalLogs(older.definition, axes, older.coupons);
  const model = latentModel(older.definition, axes, logs, outcomes.values);
  const matches = model.links.flatMap((link) => {
    const target = latent.links.findIndex(
      (candidate) =>
        model.priors[link.own]!.name === latent.priors[candidate.own]!.name && link.log === candidate.log,
    );
    return target < 0 ? [] : [{ link, target: latent.links[target]! }];
  });
  return outcomes.coupons.flatMap((coupon): SeenCoupon[] => {
    const settings = inNewUnits(older.definition, definition, coupon.settings);
    if (settings === undefined) return [];
    const latents = new Map<number, number>();
    const ownPoint = toCoordinates(axes, coupon.settings);
    for (const { link, target } of matches) {
      const value = latentValue(model, link, coupon.measured, ownPoint);
      if (value === undefined) continue;
      // Responses without physics behind them are placed by each study's own specification.
      const physical = link.offset.constant !== 0 || latent.priors[target.own]!.name.startsWith("ln ");
      latents.set(target.own, physical ? value : betweenLinkScales(link, target, value));
    }
    return [
      { point: toCoordinates(coordinates, settings), block: coupon.block, latents, passed: coupon.passed },
    ];
  });
}

/** Settings of the older study in the new one's factors and units; undefined when one is not known. */
function inNewUnits(
  older: StudyDefinition,
  definition: StudyDefinition,
  settings: Settings,
): Settings | undefined {
  const result: Record<string, number | string> = {};
  for (const factor of definition.factors) {
    const value = settings[factor.name];
    const constant = older.rig?.settings[factor.name];
    if (factor.kind === "category") {
      if (typeof value !== "string" || !factor.levels?.includes(value)) return undefined;
      result[factor.name] = value;
      continue;
    }
    const unit = older.factors.find(({ name }) => name === factor.name)?.unit;
    if (typeof value === "number" && unit !== undefined && sameDimension(unit, factor.unit)) {
      result[factor.name] = convert(value, unit, factor.unit);
    } else if (constant !== undefined && sameDimension(constant.unit, factor.unit)) {
      result[factor.name] = convert(constant.value, constant.unit, factor.unit);
    } else return undefined;
  }
  return result;
}
