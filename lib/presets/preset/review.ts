import type { Preset } from "./preset.js";

/** Months after which a preset is looked at again though nothing was changed. Common practice, no source. */
const REVIEW_MONTHS = 6;

/** What calls for a review before its date. */
const SOONER =
  "after any change of torch, tip, tungsten, feeder, wire lot, gas or source, and when a control coupon falls outside what is foretold";

/** When a preset made at some time is to be looked at again: half a year on, a day that a shorter month lacks moved to its end. */
export function reviewOf(made: Date): Preset["review"] {
  const [year, month] = [made.getUTCFullYear(), made.getUTCMonth() + REVIEW_MONTHS];
  const lastDay = new Date(Date.UTC(year, month + 1, 0)).getUTCDate();
  const day = Math.min(made.getUTCDate(), lastDay);
  return { by: new Date(Date.UTC(year, month, day)).toISOString().slice(0, 10), sooner: SOONER };
}
