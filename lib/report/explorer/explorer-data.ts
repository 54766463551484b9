import { judgeCoupon, type OutcomeModel, type Settings } from "../../models/index.js";
import type { StudyData } from "../../study/index.js";
import type { ProcessWindow, TriedCoupon } from "../../window/index.js";

/** What the window explorer of a page is made of. Plain data, carried in the page. */
export interface ExplorerData {
  readonly model: OutcomeModel;
  /** The recommended setting, at which the explorer starts. */
  readonly start: Settings;
  /** The chance that the window keeps. */
  readonly level: number;
  /** The two factors that the map starts with; absent for a study without two of numbers. */
  readonly map?: readonly [x: string, y: string];
  readonly tried: readonly TriedCoupon[];
}

/** What an explorer takes of a window: where to start, the level, and which factors its map is over. */
export interface ExplorerStart {
  readonly best: Pick<ProcessWindow["best"], "settings">;
  readonly level: number;
  readonly map?: {
    readonly x: { readonly factor: string };
    readonly y: { readonly factor: string };
  };
}

/** The explorer of a study: its model, started at the best setting of its window. */
export function explorerData(
  { definition, coupons }: StudyData,
  model: OutcomeModel,
  window: ExplorerStart,
): ExplorerData {
  return {
    model: leanModel(model),
    start: Object.fromEntries(window.best.settings.map(({ factor, value }) => [factor, value])),
    level: window.level,
    ...(window.map === undefined ? {} : { map: [window.map.x.factor, window.map.y.factor] }),
    tried: coupons
      .filter(({ state }) => state === "logged")
      .map((coupon) => ({
        coupon: coupon.id,
        settings: coupon.settings,
        verdict: judgeCoupon({ definition }, coupon),
      })),
  };
}

/** The model without what only fitting and explaining needed; it foretells the same. */
function leanModel({
  transfer: _,
  suspects: _suspects,
  control: _control,
  ...model
}: OutcomeModel): OutcomeModel {
  return {
    ...model,
    posteriors: model.posteriors.map((posterior) => ({
      ...posterior,
      gains: [],
      residuals: [],
      leftOut: [],
    })),
    checks: model.checks.map((check) => ({ ...check, margins: [] })),
    suspects: [],
    findings: [],
  };
}
