import type { GroupComparison, PassComparison, ResponseShift, StudyComparison } from "../models/index.js";
import { counted, inWords, levelPercent, percent, sentence, significant } from "../numeric/index.js";
import { withUnit } from "../units/index.js";
import { findingsBelow, textTable, wrap } from "./text.js";

/** Two groups in plain words; their statistics with `detail`. */
export function groupsText(comparison: GroupComparison, detail: boolean): string {
  const { coupons, shifts, checks, findings } = comparison;
  return [
    `${wrap(headText(comparison))}\n`,
    `${sides(comparison)
      .map((side, i) => `${side} ${counted(coupons[i]!, "coupon")}`)
      .join(", ")}, at equal settings\n`,
    resultsText(comparison),
    detail && shifts.length > 0 ? `\n${shiftTable(shifts)}` : "",
    findingsBelow(findings),
    detail || shifts.length + checks.length === 0
      ? ""
      : "\nHow settings were allowed for, errors and chances: compare --detail\n",
  ].join("");
}

/** Every result of a comparison at equal settings, in a sentence or two each. */
function resultsText(comparison: GroupComparison): string {
  const { shifts, checks, left, looks, level } = comparison;
  const said = [
    ...shifts.map((shift) => shiftText(shift, comparison)),
    ...checks.map((check) => checkText(check, comparison)),
    ...left.map(({ response, reason }) => `${sentence(inWords(response))}: not compared, ${reason}.`),
  ];
  return [
    said.length === 0 ? "" : "\n",
    ...said.map((text) => `${wrap(`  ${text}`, "    ")}\n`),
    looks < 2
      ? ""
      : `\n${wrap(`Looking at ${looks} results makes one that differs by luck likelier: ranges are widened so that all hold together in ${levelPercent(level)} of such comparisons.`)}\n`,
  ].join("");
}

/** Two studies in plain words. */
export function studiesText(comparison: StudyComparison, detail: boolean): string {
  const { a, b, coupons, facts, refused, results, effects, left, findings } = comparison;
  const unlike = facts.filter(({ same }) => !same);
  const alike = facts.filter(({ same }) => same).map(({ what }) => what);
  const told = effects.filter(({ differs }) => differs);
  return [
    `${wrap(studiesHead(comparison))}\n`,
    `${a} ${counted(coupons[0], "coupon")}, ${b} ${coupons[1]}\n`,
    alike.length === 0 ? "" : `\n${wrap(`The same in both: ${alike.join(", ")}.`)}\n`,
    unlike.length === 0
      ? ""
      : `\nNot the same, so a difference may come from it\n${textTable(
          [{ title: "" }, { title: a }, { title: b }],
          unlike.map((fact) => [fact.what, fact.a, fact.b]),
        )}`,
    refused.length === 0
      ? ""
      : `\n${refused.map((reason) => `${wrap(`  Not compared at equal settings: ${reason}.`, "    ")}\n`).join("")}`,
    results === undefined ? "" : resultsText(results),
    effects.length === 0
      ? ""
      : `\n${wrap(
          told.length === 0
            ? "What settings do is not told apart between the two."
            : `Settings do not do the same in both: ${told.map((effect) => effectText(effect, a, b)).join("; ")}.`,
        )}\n`,
    ...left.map(
      ({ response, reason }) =>
        `${wrap(`  ${sentence(inWords(response))}: not compared, ${reason}.`, "    ")}\n`,
    ),
    detail && results !== undefined && results.shifts.length > 0 ? `\n${shiftTable(results.shifts)}` : "",
    detail && effects.length > 0 ? `\n${effectTable(comparison)}` : "",
    findingsBelow([...findings, ...(results?.findings ?? [])]),
  ].join("");
}

function studiesHead({ a, b, results, refused }: StudyComparison): string {
  if (results !== undefined) return headText(results);
  return refused.length > 0
    ? `Results of ${a} and ${b} do not compare at equal settings.`
    : `${a} and ${b} have no result in common.`;
}

/** The answer in a sentence. */
function headText(comparison: GroupComparison): string {
  const [a, b] = sides(comparison);
  const { shifts, checks } = comparison;
  const of = (...verdicts: readonly string[]): readonly string[] =>
    [...shifts, ...checks]
      .filter(({ verdict }) => verdicts.includes(verdict))
      .map(({ response }) => inWords(response));
  const differ = of("matters", "may-matter", "harmless", "differs");
  const matter = of("matters");
  const open = of("unsettled", "too-few", "nothing-shared");
  const alike = of("alike");
  const unseen = of("not-seen");
  if (shifts.length + checks.length === 0) return `${sentence(b)} and ${a}: nothing can be compared yet.`;
  const parts = [
    differ.length === 0
      ? `No difference between ${a} and ${b} is told.`
      : `${sentence(b)} differs from ${a} in ${list(differ)}.`,
    matter.length === 0
      ? differ.length > 0 && shifts.some(({ verdict }) => verdict === "may-matter")
        ? "It may matter for what is wanted."
        : ""
      : `That matters for what is wanted${matter.length === differ.length ? "" : ` of ${list(matter)}`}.`,
    alike.length === 0 ? "" : `As good as equal: ${list(alike)}.`,
    unseen.length === 0 || differ.length === 0 ? "" : `No difference seen: ${list(unseen)}.`,
    open.length === 0 ? "" : `Not settled: ${list(open)}.`,
  ];
  return parts.filter((part) => part !== "").join(" ");
}

const list = (words: readonly string[]): string =>
  words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;

/** `day 1` and `day 4`, `before the change of tungsten`, or the names of studies. */
function sides({ what, a, b }: GroupComparison): readonly [string, string] {
  if (what === "study") return [a, b];
  return what.startsWith("change of ") ? [`${a} the ${what}`, `${b} it`] : [`${what} ${a}`, `${what} ${b}`];
}

function shiftText(shift: ResponseShift, comparison: GroupComparison): string {
  const { response, unit, difference, lower, upper, relative, verdict, specification } = shift;
  const [, b] = sides(comparison);
  const name = sentence(inWords(response));
  const size = (value: number): string => withUnit(significant(Math.abs(value), 2), unit);
  const way = (value: number): string => `${size(value)} ${value < 0 ? "less" : "more"}`;
  const seen = lower > 0 || upper < 0;
  const near = Math.abs(lower) < Math.abs(upper) ? [lower, upper] : [upper, lower];
  const range = seen
    ? `${significant(Math.abs(near[0]!), 2)} to ${size(near[1]!)}`
    : `from ${way(lower)} to ${way(upper)}`;
  const share = relative === undefined ? "" : `, ${percent(Math.abs(relative.difference), 1)}`;
  const lead = seen
    ? `${name}: ${way(difference)} on ${b} (${range}${share}).`
    : `${name}: no difference told (${range}).`;
  if (specification === undefined)
    return `${lead} The study asks nothing of it, so whether that matters is not said.`;
  const { conforming, chanceItMatters, couponsToSettle } = specification;
  const [before, after] = conforming.map((chance) => percent(chance));
  const cost = `Of coupons aimed well ${before} conform, and ${after} at the same settings on ${b}`;
  const more =
    couponsToSettle === undefined
      ? ""
      : ` ${couponsToSettle} coupons of each at one setting would settle it.`;
  switch (verdict) {
    case "matters":
      return `${lead} That matters: ${lowerFirst(cost)}.`;
    case "may-matter":
      return `${lead} ${cost}; chance that it costs a twentieth or more ${percent(chanceItMatters)}.${more}`;
    case "harmless":
      return `${lead} It does no harm: ${lowerFirst(cost)}.`;
    case "alike":
      return `${lead} As good as equal for what is wanted.`;
    default:
      return `${lead} One that matters is not ruled out (chance ${percent(chanceItMatters)}).${more}`;
  }
}

const lowerFirst = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);

function checkText(
  { response, passed, judged, verdict, p }: PassComparison,
  comparison: GroupComparison,
): string {
  const [a, b] = sides(comparison);
  const counts = `passed ${passed[0]} of ${judged[0]} on ${a}, ${passed[1]} of ${judged[1]} on ${b}`;
  const words = {
    differs: `that is more than luck at equal settings (chance ${p === undefined ? "-" : significant(p, 2)})`,
    "not-seen": "no difference told at equal settings",
    "too-few": "too few at equal settings to tell any difference",
    "nothing-shared": "no setting was judged in both, so the counts say nothing of them",
  } as const;
  return `${sentence(inWords(response))}: ${counts}; ${words[verdict]}.`;
}

const allowedWords = {
  "one-setting": "all at one setting",
  "same-settings": "a mean per setting",
  straight: "straight law",
  curved: "curved law",
} as const;
const blockWords = {
  none: "-",
  random: "drawn by chance",
  fixed: "a shift each",
  "not-told-apart": "not told apart",
} as const;

function shiftTable(shifts: readonly ResponseShift[]): string {
  const right = (title: string) => ({ title, align: "right" as const });
  return textTable(
    [
      { title: "result" },
      right("coupons"),
      right("at"),
      right("difference"),
      right("range"),
      right("df"),
      right("p"),
      right("scatter"),
      { title: "settings" },
      { title: "other blocks" },
    ],
    shifts.map((shift) => [
      withUnit(inWords(shift.response), shift.unit === "1" ? "1" : `[${shift.unit}]`),
      shift.coupons.join(" + "),
      significant(shift.at),
      significant(shift.difference),
      `${significant(shift.lower)} to ${significant(shift.upper)}`,
      significant(shift.df),
      significant(shift.p, 2),
      significant(shift.scatter, 2),
      allowedWords[shift.allowedFor],
      blockWords[shift.otherBlocks],
    ]),
  );
}

function effectText(effect: StudyComparison["effects"][number], a: string, b: string): string {
  const does = (exponent: number): string => {
    const change = 1.1 ** exponent - 1;
    return `${percent(Math.abs(change), 1)} ${change < 0 ? "less" : "more"}`;
  };
  return `10 % more ${inWords(effect.setting)} gives ${does(effect.a.estimate)} ${inWords(effect.response)} in ${a}, ${does(effect.b.estimate)} in ${b}`;
}

function effectTable({ a, b, effects }: StudyComparison): string {
  const right = (title: string) => ({ title, align: "right" as const });
  return textTable(
    [
      { title: "exponent of" },
      { title: "by" },
      right(a),
      right(b),
      right("difference"),
      right("range"),
      right("p"),
    ],
    effects.map((effect) => [
      inWords(effect.response),
      inWords(effect.setting),
      significant(effect.a.estimate, 2),
      significant(effect.b.estimate, 2),
      significant(effect.difference, 2),
      `${significant(effect.lower, 2)} to ${significant(effect.upper, 2)}`,
      significant(effect.p, 2),
    ]),
  );
}
