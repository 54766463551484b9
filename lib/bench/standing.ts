import { asksNothing } from "../models/index.js";
import { percent } from "../numeric/index.js";
import { rangeText } from "../study/definition/index.js";
import type { Study } from "../study/index.js";
import { withUnit } from "../units/index.js";
import { volumeText } from "../window/index.js";
import { label, settingsShown } from "./columns.js";
import type { Foresight } from "./foresight.js";
import type { BenchStanding } from "./wire/index.js";

const NOTHING_ASKED =
  "Nothing is asked for: the study says of no result which is good, so no setting is better than another. Add a specification to study.json.";

/**
 * The best setting known and how large the window about it is.
 *
 * @throws {BeadbenchError} `infeasible` when the study's limits leave no setting
 */
export function benchStanding(study: Study, foresight: Foresight): BenchStanding {
  const model = foresight.model(study);
  const { best, ranges, level, volume, findings } = foresight.window(study);
  const { chance, interval } = best.conformance;
  const settings = Object.fromEntries(best.settings.map(({ factor, value }) => [factor, value]));
  const open = asksNothing(study.definition);
  return {
    ...(open ? { nothingAsked: NOTHING_ASKED } : {}),
    revision: study.entries.at(-1)?.seq ?? 0,
    coupons: model.coupons,
    best: settingsShown(study, settings),
    chance,
    chanceText: `${percent(chance)} (${percent(interval[0])} to ${percent(interval[1])} with what the coupons leave open)`,
    ranges: ranges.map(({ factor, unit, low, high }) => ({
      label: label(factor),
      text: low === high ? "no room" : `range ${withUnit(rangeText(low, high), unit)}`,
    })),
    window: volumeText(volume, `a chance of ${percent(level)}`),
    remarks: findings.filter(({ severity }) => severity !== "info").map(({ message }) => message),
  };
}
