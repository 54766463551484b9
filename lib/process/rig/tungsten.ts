import { BeadbenchError, type Finding } from "../../errors/index.js";
import { fixed, settingDigits } from "../../numeric/figures/index.js";
import { requireSetting, type SourcedValue, sourced } from "../handbook/index.js";

/** How a tungsten is connected. */
export type Polarity = "dc-negative" | "dc-positive" | "ac";

/** Current range of a tungsten, A. */
export interface TungstenRange {
  readonly lower: SourcedValue;
  readonly upper: SourcedValue;
}

const table =
  "AWS A5.12 / ISO 6848 oxide-doped tungsten in argon, composite of a gas maker's and two source makers' tables";
const verified = (lower: number, upper: number, lowerSpread?: readonly [number, number]): TungstenRange => ({
  lower: sourced(lower, "A", "verified", table, lowerSpread),
  upper: sourced(upper, "A", "verified", table),
});
const tenth = (lower: number, upper: number): TungstenRange => ({
  lower: sourced(lower, "A", "from memory", "about a tenth of the range on negative"),
  upper: sourced(upper, "A", "from memory", "about a tenth of the range on negative"),
});

/** Current ranges by polarity and diameter (mm, as text). */
export const tungstenRanges: Readonly<Record<Polarity, Readonly<Record<string, TungstenRange>>>> = {
  "dc-negative": {
    "1.0": verified(15, 80),
    "1.6": verified(50, 150),
    "2.4": verified(100, 250, [100, 135]),
    "3.2": verified(200, 400, [200, 225]),
    "4.0": verified(400, 500),
  },
  "dc-positive": { "2.4": tenth(15, 30) },
  ac: { "2.4": verified(100, 180), "3.2": verified(160, 250) },
};

/**
 * Current range of a tungsten.
 *
 * @param diameter - mm
 * @throws {BeadbenchError} `not-found` naming the diameters with a range
 * @source AWS A5.12 / ISO 6848
 * @example tungstenRange(2.4, "dc-negative").upper.value // => 250
 */
export function tungstenRange(diameter: number, polarity: Polarity): TungstenRange {
  const ranges = tungstenRanges[polarity];
  const found = Object.entries(ranges).find(([size]) => Math.abs(Number(size) - diameter) < 0.05);
  if (found === undefined) {
    throw new BeadbenchError(
      "not-found",
      `no current range at hand for a ${settingDigits(diameter)} mm tungsten on ${polarity}; there are ranges for ${Object.keys(ranges).join(", ")} mm`,
    );
  }
  return found[1];
}

/**
 * Whether a current suits a tungsten: too little wanders, too much melts the tip into the part.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 */
export function checkTungsten(current: number, range: TungstenRange): readonly Finding[] {
  requireSetting("current", current);
  if (current > range.upper.value) {
    return [
      {
        code: "tungsten-overloaded",
        severity: "error",
        message: `${fixed(current, 0)} A is above the tungsten's ${range.upper.value} A: the tip melts and drops into the part`,
        advice: "take a thicker tungsten or less current",
      },
    ];
  }
  if (current < range.lower.value) {
    return [
      {
        code: "tungsten-underloaded",
        severity: "warning",
        message: `${fixed(current, 0)} A is below the tungsten's ${range.lower.value} A: the arc wanders over a cold tip`,
        advice: "take a thinner tungsten or a longer, finer grind",
      },
    ];
  }
  return [];
}
