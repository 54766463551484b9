import { ownValue } from "../../errors/index.js";
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
import { fromLinkScale, type ResponseLink, toLinkScale } from "./response-link.js";
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
  /** Its value in the new study, from that in the older one. */
  carry(value: number): number;
}

/**
 * Lays an older study's coupons on the axes of a new one. Hidden quantities are compared, not dimensions:
 * fullness, for example, carries over between wire diameters where height does not. A coupon for which a
 * factor of the new study is not known is left out.
 */
export function olderCoupons(older: OlderStudy, study: NewStudy): readonly SeenCoupon[] {
  const { definition, coordinates, priors } = study;
  const axes = studyCoordinates(older.definition);
  const outcomes = couponOutcomes(older);
  const parts = { definition: older.definition, coordinates: axes, priors };
  const logs = physicalLogs({ ...parts, coupons: older.coupons });
  const model = latentModel({ ...parts, logs, values: outcomes.values });
  const matches = matchesOf({ definition: older.definition, latent: model }, study);
  return outcomes.coupons.flatMap((coupon): SeenCoupon[] => {
    const settings = inNewUnits(older.definition, definition, coupon.settings);
    if (settings === undefined) return [];
    const { measured } = coupon;
    const values = latentValues(model, { measured, point: toCoordinates(axes, coupon.settings) });
    const latents = matches.flatMap(({ from, to, carry }) => {
      const value = values.get(from.own);
      return value === undefined ? [] : [[to.own, carry(value)] as const];
    });
    return [
      {
        point: toCoordinates(coordinates, settings),
        block: coupon.block,
        place: coupon.place,
        responses: new Map(),
        checkedAgain: coupon.checkedAgain,
        latents: new Map(latents),
        passed: coupon.passed,
      },
    ];
  });
}

/**
 * Hidden quantities that both studies show, both as logarithms or neither. Those that physics places mean the same in
 * both; a response on its own lies where each study's specification and unit put it.
 */
function matchesOf(older: Pick<NewStudy, "definition" | "latent">, study: NewStudy): readonly Match[] {
  return older.latent.links.flatMap((from): Match[] => {
    const prior = older.latent.priors[from.own]!;
    const to = study.latent.links.find(
      ({ own, log }) => sameLatent(prior, study.latent.priors[own]!) && log === from.log,
    );
    if (to === undefined) return [];
    if (prior.role !== "response") return [{ from, to, carry: (value) => value }];
    const [was, is] = [unitOf(older.definition, from), unitOf(study.definition, to)];
    if (!sameDimension(was, is)) return [];
    return [{ from, to, carry: (value) => toLinkScale(to, convert(fromLinkScale(from, value), was, is)) }];
  });
}

const unitOf = (definition: StudyDefinition, { response }: ResponseLink): string =>
  definition.responses.find(({ name }) => name === response)!.unit;

/** Settings of the older study in the new one's factors and units; undefined when one is not known. */
function inNewUnits(
  older: StudyDefinition,
  definition: StudyDefinition,
  settings: Settings,
): Settings | undefined {
  const result: Record<string, number | string> = {};
  for (const factor of definition.factors) {
    const value = ownValue(settings, factor.name);
    const constant = ownValue(older.rig?.settings, factor.name);
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
