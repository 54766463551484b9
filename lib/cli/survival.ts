import { InvalidArgumentError, Option } from "commander";
import type { Survival } from "../design/index.js";
import { onlyDefined } from "../errors/index.js";
import { dimensionsChance } from "../models/index.js";
import type { Coupon, Study } from "../study/index.js";
import type { CommandIo } from "./io.js";
import { modelFrom, type OutcomeOptions, outcomeBasis } from "./outcome.js";

/** What a plan asks of survival: nothing, or a chance for every coupon of a classical plan. */
export interface SurvivalOptions {
  readonly survival?: number | "off";
}

/** The option that says how a plan heeds that coupons may fail; `off` alone where no coupon is placed. */
export function survivalOption(placing: boolean): Option {
  return new Option(
    "--survival <off>",
    placing
      ? "chance to give dimensions that every coupon must have as far as is foreseen, such as 0.3 (default: 0.5); off: as if all survived"
      : "off: judge the plan as if all coupons survived",
  ).argParser((text) => {
    if (text === "off") return text;
    const level = Number(text);
    if (placing && level > 0 && level < 1) return level;
    throw new InvalidArgumentError(placing ? "Write a chance between 0 and 1, or off." : "Write off.");
  });
}

/** Chance that a coupon gives dimensions by the study's outcome model; undefined where nothing tells, or it is not asked. */
export function survivalOf(
  io: CommandIo,
  study: Study,
  { survival, like, older }: SurvivalOptions & Pick<OutcomeOptions, "like" | "older">,
): Survival | undefined {
  if (survival === "off") return undefined;
  const basis = outcomeBasis(io, study, onlyDefined({ like, older }));
  const coupons = basis.coupons.filter((coupon) => hasAllSettings(study, coupon));
  const model = modelFrom({ ...basis, coupons });
  return model.checks.length === 0 ? undefined : dimensionsChance(model, coupons);
}

/** Whether a coupon says what it was run at, factor by factor. */
export function hasAllSettings({ definition }: Study, { settings }: Coupon): boolean {
  return definition.factors.every(({ name }) => Object.hasOwn(settings, name));
}
