import type { ComparedMeasure, PlanEvaluation } from "../design/index.js";
import { brief, counted, fixed, levelPercent, percent } from "../numeric/index.js";
import { findingsText, type TextColumn, textTable } from "./text.js";

/** A table whose first column is to the left, the others to the right. */
function table(titles: readonly string[], rows: readonly (readonly string[])[]): string {
  return textTable(
    titles.map((title, i): TextColumn => (i === 0 ? { title } : { title, align: "right" })),
    rows,
  );
}

const number = (value: number | undefined): string => (value === undefined ? "-" : brief(value));
const share = (value: number | undefined): string => (value === undefined ? "-" : percent(value));

/** Most coupons and leaks listed in the text. */
const LISTED = 10;

/** An evaluation as plain text: terms, predictions, what coupons carry, findings. */
export function evaluationText(evaluation: PlanEvaluation): string {
  const { terms, prediction, coupons, leaks, findings } = evaluation;
  const carrying = [...coupons].sort((a, b) => b.leverage - a.leverage).slice(0, LISTED);
  const sections = [
    `${headline(evaluation)}\n`,
    `Effects (chance to detect a change of ${brief(evaluation.change)} at a scatter of ${brief(evaluation.sd)}, confidence ${levelPercent(evaluation.level)})\n${table(
      ["term", "chance", "standard error", "df", "inflation"],
      terms.map((term) => [
        term.name,
        share(term.power),
        number(term.standardError),
        String(term.degreesOfFreedom),
        number(term.inflation),
      ]),
    )}`,
    `Standard error of predictions: ${number(prediction.mean)} on average, ${number(prediction.max)} at worst\n${table(
      ["share of the region", ...prediction.shares.map((one) => percent(one.share))],
      [["error at most", ...prediction.shares.map(({ standardError }) => number(standardError))]],
    )}`,
    `Coupons that carry most\n${table(
      ["coupon", "leverage", "information left without it", "prediction error grows to"],
      carrying.map((coupon) => [
        coupon.name,
        number(coupon.leverage),
        share(coupon.informationWithout),
        share(coupon.predictionWithout),
      ]),
    )}`,
    ...(leaks.length === 0
      ? []
      : [
          `Terms left out of the model would leak\n${table(
            ["from", "into", "share"],
            leaks.slice(0, LISTED).map((leak) => [leak.from, leak.into, fixed(leak.share, 2)]),
          )}`,
        ]),
    ...(findings.length === 0 ? [] : [findingsText(findings)]),
  ];
  return sections.join("\n");
}

/** The coupons judged, in a few words, and how many of them are expected to tell something. */
export function countText({ runs, existing, wholePlots, survivors, parameters }: PlanEvaluation): string {
  const groups = wholePlots === undefined ? "" : ` in ${wholePlots} groups of hard-to-change settings`;
  const all = `${counted(runs, "coupon")}${existing === 0 ? "" : ` and ${existing} already run`}${groups}`;
  if (survivors === undefined) return all;
  const { expected, lower, upper, allTerms } = survivors;
  return `${all}; ${fixed(expected, 1)} of the ${runs} are expected to give dimensions (${lower} to ${upper}, 8 times in 10), and what follows rests on those; with a chance of ${percent(allTerms)} the survivors can tell all ${parameters} effects`;
}

function headline(evaluation: PlanEvaluation): string {
  const { rank, parameters, efficiency } = evaluation;
  return [
    countText(evaluation),
    `${rank} of ${parameters} model terms can be estimated; ${evaluation.residualDegreesOfFreedom} degrees of freedom for scatter, ${evaluation.pureErrorDegreesOfFreedom} of repeats`,
    `efficiency per coupon: D ${number(efficiency.D)}, A ${number(efficiency.A)}, G ${number(efficiency.G)}`,
  ].join("\n");
}

/** Two plans side by side as plain text; a star marks the better figure. */
export function comparisonText(
  measures: readonly ComparedMeasure[],
  names: readonly [string, string] = ["first", "second"],
): string {
  const star = ({ first, second, better }: ComparedMeasure, own: "first" | "second"): string => {
    if (better === undefined || first === second) return "";
    const firstWins =
      second === undefined || (first !== undefined && (better === "more" ? first > second : first < second));
    return (own === "first") === firstWins ? "*" : "";
  };
  return table(
    ["", ...names],
    measures.map((m) => [
      m.measure,
      `${number(m.first)}${star(m, "first").padEnd(1)}`,
      `${number(m.second)}${star(m, "second").padEnd(1)}`,
    ]),
  );
}
