import { refusalOf } from "../errors/index.js";
import { buildOutcomeModel, type OutcomeModel, outcomeData } from "../models/index.js";
import { type Coupon, resultOf, type StudyData } from "../study/index.js";
import { type ForeseenCoupon, findWindow, foreseeCoupons, type ProcessWindow } from "../window/index.js";

/** What the coupons given foresee of others; models are kept, since a page asks again and again. */
export interface Foresight {
  /**
   * @throws {BeadbenchError} where the study allows no model
   */
  model(study: StudyData): OutcomeModel;
  /** The best setting and the window about it, as often as it is asked. */
  window(study: StudyData): ProcessWindow;
  /**
   * What is foreseen of coupons, in their order; a reason instead where the study allows no model. Of a response that few
   * coupons tell of nothing is: rules of the trade alone may be far off, and no welder's reading is called odd by them.
   */
  of(study: StudyData, coupons: readonly Coupon[]): readonly ForeseenCoupon[] | string;
}

/** Chance of a conforming coupon that the ranges of the window keep. */
const LEVEL = 0.8;
/** Results of a response from which on it is foreseen. Common practice, no source. */
const TELLING = 3;
/** Models kept: of the whole study, and of what stood before the last few coupons. */
const KEPT = 4;

/** A foresight that keeps the models it built last. */
export function makeForesight(): Foresight {
  const models = new Map<string, OutcomeModel>();
  const model = (study: StudyData): OutcomeModel => {
    const key = JSON.stringify([study.definition, study.coupons.map(({ id, seq }) => [id, seq])]);
    const known = models.get(key);
    if (known !== undefined) return known;
    const built = buildOutcomeModel(outcomeData(study));
    models.set(key, built);
    if (models.size > KEPT) models.delete(models.keys().next().value!);
    return built;
  };
  const windows = new WeakMap<OutcomeModel, ProcessWindow>();
  return {
    model,
    window(study) {
      const own = model(study);
      const found = windows.get(own) ?? findWindow(own, { level: LEVEL, mapSize: 2 });
      windows.set(own, found);
      return found;
    },
    of(study, coupons) {
      let found: readonly ForeseenCoupon[] = [];
      const refusal = refusalOf(() => {
        found = foreseeCoupons(
          model(study),
          coupons.map(({ settings }) => settings),
        );
      });
      if (refusal !== undefined) return refusal.message;
      const told = (name: string): boolean =>
        study.coupons.filter((coupon) => coupon.state === "logged" && resultOf(coupon, name) !== undefined)
          .length >= TELLING;
      return found.map(({ responses, checks }) => ({
        responses: responses.filter(({ response }) => told(response)),
        checks: Object.fromEntries(Object.entries(checks).filter(([name]) => told(name))),
      }));
    },
  };
}
