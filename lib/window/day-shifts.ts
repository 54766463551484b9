import { BeadbenchError, type Finding } from "../errors/index.js";
import type { OutcomeModel } from "../models/index.js";
import { counted, percent } from "../numeric/index.js";
import { settingsText } from "../study/definition/index.js";
import { withUnits } from "./best-setting.js";
import { type ChanceFunction, makeChance } from "./chance.js";
import { conformanceAt } from "./conformance.js";
import { couponExpense } from "./expense.js";
import type { Scored } from "./pool.js";
import type { Proposal } from "./proposal.js";

/** Chance that days must cost before anyone is troubled with them, and days from which their size is known well enough. */
const COSTLY = 0.05;
const ENOUGH_DAYS = 6;

/** The model of a rig whose days are all alike. */
const withoutDays = (model: OutcomeModel): OutcomeModel => ({
  ...model,
  posteriors: model.posteriors.map((posterior) => ({
    ...posterior,
    blockSd: 0,
    trend: { estimate: 0, sd: 0 },
  })),
});

/**
 * Asks for a control coupon a day where shifts from day to day, or what is not known of them, cost much of the chance and
 * a control has not told their size yet.
 */
export function dayFindings(
  model: OutcomeModel,
  { coordinates, score }: Pick<Scored, "coordinates" | "score">,
): readonly Finding[] {
  const { control, blocks } = model;
  if (model.coupons === 0 || control === undefined || control.blocks >= ENOUGH_DAYS) return [];
  const cost = makeChance(withoutDays(model)).chance(coordinates) - score;
  if (cost < COSTLY) return [];
  const settings = settingsText(withUnits(model, control.settings));
  return [
    {
      code: "days-open",
      severity: "info",
      message: `shifts from day to day, as far as ${counted(blocks, "day tells", "days tell")} them, cost ${percent(cost)} of the chance; a control was run on ${control.blocks} of them`,
      advice: `run the same coupon first on every day, a control: ${settings}, as ${control.coupon} (\`next --control\` plans it)`,
      about: [control.coupon],
    },
  ];
}

/**
 * The control coupon of a day: the setting that told most days apart so far, run once more.
 *
 * @throws {BeadbenchError} `bad-argument` before any coupon passed and was measured in full
 */
export function controlProposal(model: OutcomeModel, chances: ChanceFunction): Proposal {
  const { control } = model;
  if (control === undefined) {
    throw new BeadbenchError(
      "bad-argument",
      "a control repeats a coupon that passed every check and was measured in full, and there is none yet; run some coupons first",
    );
  }
  const found = conformanceAt(model, chances, chances.predictor.point(control.settings));
  return {
    settings: withUnits(model, control.settings),
    role: "control",
    chance: found.chance,
    survival: Object.values(found.perCheck).reduce((product, value) => product * value, 1),
    interval: found.interval,
    expectedGain: 0,
    expense: couponExpense(model)(control.settings),
    why: `control, to run first: repeats ${control.coupon}; run once a day, it tells what the day does from what the settings do`,
  };
}
