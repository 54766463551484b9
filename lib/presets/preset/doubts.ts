import { BeadbenchError } from "../../errors/index.js";
import { brief, inWords, levelPercent, percent } from "../../numeric/index.js";
import { rangeText, settingText } from "../../study/definition/index.js";
import { withUnit } from "../../units/index.js";
import type { Preset, PresetSetting } from "./preset.js";

/** What doubts are told from; everything of a preset that they rest on. */
export type Doubtful = Pick<Preset, "basis" | "chance" | "window" | "settings">;

/**
 * Why a preset must not go to a rig unseen: no coupons behind it, a chance below the level asked for, or settings that no coupon
 * was run at or beyond. None for one that is proven as far as it was asked.
 */
export function presetDoubts({ basis, chance, window, settings }: Doubtful): readonly string[] {
  const doubts: string[] = [];
  if (basis.coupons === 0) doubts.push("rests on no coupon");
  if (chance.value < window.asked)
    doubts.push(`has a chance of ${chanceText(chance.value)}, asked ${levelPercent(window.asked)}`);
  // Without coupons nothing was tried, which is said already.
  const outside = basis.coupons === 0 ? [] : settings.filter(isOutside);
  if (outside.length > 0) doubts.push(`goes beyond what was tried: ${outside.map(outsideText).join(", ")}`);
  const untold = settings.filter(({ tried }) => tried === undefined);
  if (untold.length > 0 && basis.coupons > 0)
    doubts.push(`does not tell what was tried of ${untold.map(({ name }) => inWords(name)).join(", ")}`);
  return doubts;
}

/** The doubts in one line that begins with UNPROVEN, to stand on every line of what is written; undefined without any. */
export function doubtMark(preset: Doubtful): string | undefined {
  const doubts = presetDoubts(preset);
  return doubts.length === 0 ? undefined : `UNPROVEN: ${doubts.join("; ")}`;
}

/**
 * Refuses a preset that is in doubt, unless that was asked for.
 *
 * @param how - what to do to have it written all the same
 * @throws {BeadbenchError} `refused` with every doubt
 */
export function requireProven(preset: Doubtful, how: string): void {
  const doubts = presetDoubts(preset);
  if (doubts.length === 0) return;
  throw new BeadbenchError(
    "refused",
    `this preset is not written for a rig: it ${doubts.join("; it ")}. Run coupons at or around it, or ask a lower --level; ${how} writes it marked as unproven on every line`,
    { doubts },
  );
}

/** A chance that is below a level prints below it. */
const chanceText = (chance: number): string =>
  chance < 0.1 ? `${brief(100 * chance, 2)} %` : percent(chance, 1);

/** Whether a setting lies beyond every coupon. */
export function isOutside({ value, tried }: PresetSetting): boolean {
  if (tried === undefined) return false;
  if (typeof value === "string") return !tried.includes(value);
  const [least, most] = [Number(tried[0]), Number(tried.at(-1))];
  const slack = 1e-9 * Math.max(Math.abs(least), Math.abs(most));
  return !(value >= least - slack && value <= most + slack);
}

function outsideText({ name, value, unit, tried }: PresetSetting): string {
  const [least, most] = [tried?.[0], tried?.at(-1)];
  const run =
    least === undefined || most === undefined
      ? "never run"
      : typeof least === "string"
        ? (tried ?? []).join(", ")
        : rangeText(least, most);
  return `${inWords(name)} ${withUnit(settingText(value), unit)} (tried ${run})`;
}
