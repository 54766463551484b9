import { asksNothing, unlimited } from "../models/index.js";
import { counted, fixed, inWords, percent, significant } from "../numeric/index.js";
import { doubtMark, type Preset } from "../presets/index.js";
import { rangeText, settingsText, settingText } from "../study/definition/index.js";
import type { StudyDefinition } from "../study/index.js";
import { headed } from "../units/index.js";
import type { ProcessWindow, Proposals } from "../window/index.js";
import { findingsBelow, textTable, wrap } from "./text.js";

/** Said in the place of a chance where nothing says which bead is good. */
const NOTHING_ASKED =
  'Nothing is asked for: study.json says of no result which is good, so no setting is better than another. Add a "spec" with lower and upper to a response.';

/** A share of coupons as a shop counts them. */
const ofHundred = (chance: number): string => percent(chance).replace(" %", " of 100");

/** What most often spoils a coupon, where it is more than one in a hundred. */
function mostAtRisk(parts: Readonly<Record<string, number>>): string {
  const [worst] = Object.entries(parts).sort(([, a], [, b]) => a - b);
  return worst === undefined || worst[1] > 0.99
    ? ""
    : ` Most at risk: ${inWords(worst[0])} (${ofHundred(worst[1])} come out right).`;
}

/** How many coupons conform, and how sure that is. */
function conformText(
  { value, lower, upper }: { readonly value: number; readonly lower: number; readonly upper: number },
  parts: Readonly<Record<string, number>>,
): string {
  return `${ofHundred(value)} coupons at it conform; the coupons so far leave open ${percent(lower).replace(" %", "")} to ${percent(upper).replace(" %", "")}.${mostAtRisk(parts)}`;
}

/** The window in plain words: what to set, how many coupons conform, and how far settings may move. */
export function plainWindow(definition: StudyDefinition, window: ProcessWindow): string {
  const { best, ranges, reached, findings } = window;
  if (asksNothing(definition)) return `${wrap(NOTHING_ASKED)}\n`;
  const { chance, interval, perResponse, perCheck } = best.conformance;
  const asked = unlimited(definition).map(({ name }) => name);
  const parts = Object.entries({ ...perResponse, ...perCheck }).filter(([name]) => !asked.includes(name));
  return [
    `${wrap(`Setting most likely to conform: ${settingsText(best.settings)}.`)}\n`,
    `${wrap(conformText({ value: chance, lower: interval[0], upper: interval[1] }, Object.fromEntries(parts)))}\n\n`,
    `Keep all of them within, and at least ${ofHundred(reached)} conform\n`,
    textTable(
      [{ title: "setting" }, { title: "best", align: "right" }, { title: "within", align: "right" }],
      ranges.map((r) => [headed(r.factor, r.unit), settingText(r.best), rangeText(r.low, r.high)]),
    ),
    findingsBelow(findings),
    "\nChances by result, each setting alone, drift: window --detail\n",
  ].join("");
}

/** The head of the coupons proposed: what they are for. */
export function plainAim({ proposals, aim }: Proposals): string {
  const what = {
    hit: "to come nearest to what is wanted",
    explore: "to learn where beads come out right",
    edge: "to find how far settings may go",
  }[aim];
  return `${counted(proposals.length, "coupon")} ${what}`;
}

/** Where the study stands, in plain words. */
export function plainStanding(
  definition: StudyDefinition,
  { best, batchGain, proposals }: Proposals,
): string {
  if (asksNothing(definition)) return NOTHING_ASKED;
  const gain = 100 * batchGain;
  const hope =
    gain < 0.5
      ? "these are hardly expected to raise it"
      : `${proposals.length === 1 ? "it is" : "these are"} expected to raise it by about ${fixed(gain, 0)}`;
  return `Best so far: ${settingsText(best.settings)}: ${ofHundred(best.chance)} conform, and ${hope}.`;
}

/** A preset in plain words: what to set, what comes of it, how far it may be relied on. */
export function plainPreset(preset: Preset, definition: StudyDefinition): string {
  const range = new Map(preset.window.ranges.map((item) => [item.name, item]));
  const asking = !asksNothing(definition);
  const open = unlimited(definition).map(({ name }) => name);
  const parts = [...preset.predicted, ...preset.checks].filter(({ name }) => !open.includes(name));
  const mark = doubtMark(preset);
  return [
    mark === undefined ? "" : `${wrap(mark)}\n\n`,
    `Preset for ${preset.study}, from ${counted(preset.basis.coupons, "coupon")}\n\n`,
    textTable(
      [
        { title: "setting" },
        { title: "value", align: "right" },
        { title: asking ? "within" : "", align: "right" },
      ],
      preset.settings.map(({ name, value, unit }) => {
        const found = range.get(name);
        return [
          headed(name, unit),
          settingText(value),
          found === undefined || !asking ? "" : rangeText(found.low, found.high),
        ];
      }),
    ),
    preset.predicted.length === 0
      ? "\n"
      : `\n${textTable(
          [{ title: "to expect" }, { title: "95 of 100 coupons", align: "right" }],
          preset.predicted.map(({ name, unit, lower, upper }) => [
            headed(name, unit),
            `${significant(lower)} to ${significant(upper)}`,
          ]),
        )}\n`,
    asking
      ? `${wrap(
          `${conformText(preset.chance, Object.fromEntries(parts.map(({ name, chance }) => [name, chance])))} Within the ranges, all at once, at least ${ofHundred(preset.window.reached)}.`,
        )}\n`
      : `${wrap(NOTHING_ASKED)}\n`,
    // Which model a preset rests on is one of the figures, unless that is doubtful.
    findingsBelow(preset.findings.filter(({ code }) => code !== "preset-rests-on")),
    `\n${wrap(preset.cautions[0] ?? "")}\n`,
    "\nMedians and chances by result: preset --detail\n",
  ].join("");
}
