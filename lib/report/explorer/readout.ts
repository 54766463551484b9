import { escapeMarkup, printedAxis } from "../../charts/index.js";
import { inWords, percent, sentence, settingDigits, significant } from "../../numeric/index.js";
import type { StudyDefinition } from "../../study/index.js";
import type { ExploredSetting } from "../../window/index.js";
import type { Warning } from "./words.js";

/** A number as it is read, with the number itself beside it for machines. */
const data = (value: number, text: string): string => `<data value="${value}">${escapeMarkup(text)}</data>`;

/** The chance of a good coupon at the setting, large, with what the coupons leave open about it. */
export function headline(
  { conformance: { chance, interval, perCheck } }: ExploredSetting,
  { responses }: StudyDefinition,
): string {
  const judged =
    Object.keys(perCheck).length > 0 || responses.some(({ spec }) => wantedText(spec) !== undefined);
  const [low, high] = interval.map((value) => data(value, percent(value)));
  return [
    `<p class="label">${judged ? "Chance that a coupon is good in everything" : "The study does not say what is good: every coupon counts"}</p>`,
    `<p class="value" data-of="chance">${data(chance, percent(chance))}</p>`,
    `<p class="note">90 % interval, what the coupons leave open: ${low} to ${high}</p>`,
  ].join("");
}

/** Everything predicted at the setting, as the rows of a table. */
export function predictionRows(
  { responses, conformance }: ExploredSetting,
  { responses: all }: StudyDefinition,
): string {
  const specOf = (name: string) => all.find((response) => response.name === name)?.spec;
  const row = (name: string, cells: readonly string[]): string => {
    const of = escapeMarkup(name);
    return `<tr data-of="${of}"><th scope="row">${cells[0]}</th>${cells
      .slice(1)
      .map((cell) => `<td class="numeric">${cell}</td>`)
      .join("")}</tr>`;
  };
  return [
    ...responses.map((one) => {
      const wanted = wantedText(specOf(one.response));
      return row(one.response, [
        headed(printedAxis({ name: one.response, unit: one.unit }), wanted),
        data(one.median, significant(one.median)),
        `${data(one.lower, significant(one.lower))} to ${data(one.upper, significant(one.upper))}`,
        wanted === undefined ? "no limits set" : data(one.chance, percent(one.chance)),
      ]);
    }),
    ...Object.entries(conformance.perCheck).map(([name, chance]) =>
      row(name, [headed(sentence(inWords(name)), "passed"), "", "", data(chance, percent(chance))]),
    ),
  ].join("\n");
}

/** What a row is about, and what is wanted of it. */
const headed = (title: string, wanted = "nothing said"): string =>
  `${escapeMarkup(title)}<span class="wanted">wanted: ${escapeMarkup(wanted)}</span>`;

function wantedText(spec: StudyDefinition["responses"][number]["spec"]): string | undefined {
  const { lower, upper } = spec ?? {};
  if (lower === undefined && upper === undefined) return undefined;
  if (upper === undefined) return `from ${settingDigits(lower!)}`;
  return lower === undefined
    ? `up to ${settingDigits(upper)}`
    : `${settingDigits(lower)} to ${settingDigits(upper)}`;
}

/** What is to be heeded about the setting, as items of a list; the severity stands in words too. */
export function warningItems(warnings: readonly Warning[]): string {
  const word = { error: "Error", warning: "Warning", info: "Note" } as const;
  return warnings
    .map(
      ({ severity, text }) =>
        `<li class="${severity}"><p><strong>${word[severity]}:</strong> ${escapeMarkup(text)}</p></li>`,
    )
    .join("\n");
}
