import type { Coupon, StudyDefinition } from "../../study/index.js";
import { convert, sameDimension } from "../../units/index.js";
import type { Priors } from "../priors/index.js";
import type { Settings } from "../settings/index.js";
import { type Coordinate, studyCoordinates, toCoordinates } from "./coordinates.js";
import { couponOutcomes } from "./coupon-outcomes.js";
import { type LatentModel, latentModel } from "./latent.js";
import { sameLatent } from "./latent-prior.js";
import { latentValues } from "./latent-value.js";
import { physicalLogs } from "./physical-logs.js";
import { betweenLinkScales, type ResponseLink } from "./response-link.js";
import type { SeenCoupon } from "./seen-coupon.js";

/** A study to start from: another wire, another diameter, the rig before a rebuild. */
export interface OlderStudy {
  readonly definition: StudyDefinition;
  readonly coupons: readonly Coupon[];
}

/** The study that an older one is laid on. */
export interface NewStudy {
  readonly definition: StudyDefinition;
  readonly coordinates: readonly Coordinate[];
  readonly latent: LatentModel;
  readonly priors: Priors;
}

/** A link of the older study, and the one of the new study that shows the same hidden quantity. */
interface Match {
  readonly from: ResponseLink;
  readonly to: ResponseLink;
  /** Whether physics places it; else each study's own specification does. */
  readonly physical: boolean;
}

/**
 * Lays an older study's coupons on the axes of a new one. Hidden quantities are compared, not dimensions:
 * fullness, for example, carries over between wire diameters where height does not. A coupon for which a
 * factor of the new study is not known is left out.
 */
export function olderCoupons(older: OlderStudy, study: NewStudy): readonly SeenCoupon[] {
  const { definition, coordinates, latent, priors } = study;
  const axes = studyCoordinates(older.definition);
  const outcomes = couponOutcomes(older);
  const parts = { definition: older.definition, coordinates: axes, priors };
  const logs = physicalLogs({ ...parts, coupons: older.coupons });
  const model = latentModel({ ...parts, logs, values: outcomes.values });
  const matches = matchesOf(model, latent);
  return outcomes.coupons.flatMap((coupon): SeenCoupon[] => {
    const settings = inNewUnits(older.definition, definition, coupon.settings);
    if (settings === undefined) return [];
    const { measured } = coupon;
    const values = latentValues(model, { measured, point: toCoordinates(axes, coupon.settings) });
    const latents = matches.flatMap(({ from, to, physical }) => {
      const value = values.get(from.own);
      if (value === undefined) return [];
      return [[to.own, physical ? value : betweenLinkScales(from, to, value)] as const];
    });
    return [
      {
        point: toCoordinates(coordinates, settings),
        block: coupon.block,
        latents: new Map(latents),
        passed: coupon.passed,
      },
    ];
  });
}

/** Hidden quantities that both studies show, both as logarithms or neither. */
function matchesOf(older: LatentModel, latent: LatentModel): readonly Match[] {
  return older.links.flatMap((from): Match[] => {
    const prior = older.priors[from.own]!;
    const to = latent.links.find(
      ({ own, log }) => sameLatent(prior, latent.priors[own]!) && log === from.log,
    );
    return to === undefined ? [] : [{ from, to, physical: prior.role !== "response" }];
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
